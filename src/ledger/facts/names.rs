//! Cars, places and jobs as hosts write them: shortened where that is enough, mistyped now and then.

use std::cmp::Reverse;

use crate::ids::{CarIx, Id, Ix};
use crate::layout::{FormerIds, Layout, near_miss};
use crate::session::plan::{Plan, WorldJob};
use crate::standing::Whereabouts;

/// What can be named.
pub(super) struct Names<'l> {
    pub(super) layout: &'l Layout,
    cars: Vec<(&'l str, CarIx)>,
    places: Vec<(&'l str, Whereabouts)>,
    jobs: &'l [WorldJob],
}

impl<'l> Names<'l> {
    pub(super) fn new(layout: &'l Layout, plan: &'l Plan) -> Self {
        let spots = layout
            .spots()
            .iter()
            .map(|(ix, spot)| (spot.id.as_str(), Whereabouts::Track(spot.track, Some(ix))));
        let tracks = layout.tracks().iter().map(|(ix, track)| {
            // Where a track has but one spot, a car on it is at that.
            let only = if let [spot] = track.spots[..] { Some(spot) } else { None };
            (track.id.as_str(), Whereabouts::Track(ix, only))
        });
        let gateways = layout.gateways().iter().map(|(ix, gate)| (gate.id.as_str(), Whereabouts::Beyond(ix)));
        let shelf = [("shelf", Whereabouts::Shelf)];
        Names {
            layout,
            cars: layout.cars().iter().map(|(ix, car)| (car.id.as_str(), ix)).collect(),
            places: tracks.chain(spots).chain(gateways).chain(shelf).collect(),
            jobs: &plan.world.jobs,
        }
    }

    /// A car by its mark and number, or by its number alone.
    pub(super) fn car(&self, said: &str) -> Result<CarIx, String> {
        find(&self.cars, "car", said, is_number, WHOLE_CAR)
    }

    /// A spot, track, gateway, or the shelf; the end of an id where no other ends so.
    pub(super) fn place(&self, said: &str) -> Result<Whereabouts, String> {
        let ends = |id: &str, said: &str| id.strip_suffix(said).is_some_and(|before| before.ends_with('/'));
        find(&self.places, "place", said, ends, "whole id")
    }

    /// A track, by its id or the end of it.
    pub(super) fn track(&self, said: &str) -> Result<Whereabouts, String> {
        let spot = |place: Whereabouts, id: &str| match place {
            Whereabouts::Track(track, _) => self.layout.tracks()[track].id.as_str() != id,
            Whereabouts::Beyond(_) | Whereabouts::Shelf => true,
        };
        let tracks: Vec<(&str, Whereabouts)> =
            self.places.iter().filter(|(id, place)| !spot(*place, id)).copied().collect();
        let ends = |id: &str, said: &str| id.strip_suffix(said).is_some_and(|before| before.ends_with('/'));
        find(&tracks, "track", said, ends, "whole id")
    }

    /// A job of the plan by its id or its name.
    pub(super) fn job(&self, said: &str) -> Result<&'l WorldJob, String> {
        let jobs: Vec<(&str, &WorldJob)> = self.jobs.iter().map(|job| (job.id.as_str(), job)).collect();
        let known = self.jobs.iter().find(|job| same(&job.name, said));
        known.map_or_else(|| find(&jobs, "job of this session", said, |_, _| false, "id"), Ok)
    }
}

/// A thing of the layout that a host names, to be looked up in the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// Its id today.
    pub id: Id,
    /// Its id today, and those that it had before.
    pub ids: Vec<Id>,
}

/// A car by its mark and number, of today or before, or by its number alone.
///
/// # Errors
/// In words, with the nearest that would do.
pub fn car(layout: &Layout, said: &str) -> Result<Known, String> {
    let cars = layout.cars().iter().map(|(ix, car)| (car.id.as_str(), ix));
    known(&cars.collect::<Vec<_>>(), &layout.former().cars, ("car", said), is_number, WHOLE_CAR)
}

/// A customer by its id, of today or before, or by its name.
///
/// # Errors
/// As above.
pub fn customer(layout: &Layout, said: &str) -> Result<Known, String> {
    let all = layout.industries();
    let ids = all.iter().map(|(ix, customer)| (customer.id.as_str(), ix));
    let named = |id: &str, said: &str| all.values().any(|one| one.id.as_str() == id && same(&one.name, said));
    known(&ids.collect::<Vec<_>>(), &layout.former().industries, ("customer", said), named, "id")
}

/// A job by its id, of today or before, or by its name.
///
/// # Errors
/// As above.
pub fn job(layout: &Layout, said: &str) -> Result<Known, String> {
    let all = layout.jobs();
    let ids = all.iter().map(|(ix, job)| (job.id.as_str(), ix));
    let named = |id: &str, said: &str| all.values().any(|one| one.id.as_str() == id && same(&one.name, said));
    known(&ids.collect::<Vec<_>>(), &layout.former().jobs, ("job", said), named, "id")
}

fn known<I: Ix>(
    today: &[(&str, I)],
    former: &FormerIds<I>,
    (noun, said): (&str, &str),
    shortened: impl Fn(&str, &str) -> bool,
    whole: &str,
) -> Result<Known, String> {
    let before: Vec<(&str, I)> = former.iter().map(|(id, ix)| (id.as_str(), *ix)).collect();
    // What is called so today goes before what was called so.
    let found = match find(&before, noun, said, |_, _| false, whole) {
        Ok(found) if !today.iter().any(|(id, _)| *id == said) => found,
        _ => find(today, noun, said, shortened, whole)?,
    };
    let own = |rows: &[(&str, I)]| -> Vec<Id> {
        rows.iter().filter(|(_, ix)| *ix == found).map(|(id, _)| Id::from(*id)).collect()
    };
    let ids = [own(today), own(&before)].concat();
    Ok(Known { id: ids[0].clone(), ids })
}

/// What to write where a number is not enough.
const WHOLE_CAR: &str = "mark and number";

/// Whether a number alone is that of a car.
fn is_number(id: &str, said: &str) -> bool {
    id.rsplit(' ').next() == Some(said)
}

/// Whether two names differ in nothing but blanks and the size of letters.
fn same(one: &str, other: &str) -> bool {
    let folded = |text: &str| -> String {
        text.chars().filter(|sign| !sign.is_whitespace()).flat_map(char::to_lowercase).collect()
    };
    folded(one) == folded(other)
}

fn find<T: Copy>(
    known: &[(&str, T)],
    noun: &str,
    said: &str,
    shortened: impl Fn(&str, &str) -> bool,
    whole: &str,
) -> Result<T, String> {
    if let Some((_, found)) = known.iter().find(|(id, _)| *id == said) {
        return Ok(*found);
    }
    let mut fits: Vec<&(&str, T)> = known.iter().filter(|(id, _)| same(id, said)).collect();
    if fits.is_empty() {
        fits = known.iter().filter(|(id, _)| shortened(id, said)).collect();
    }
    match fits[..] {
        [(_, found)] => Ok(*found),
        [] => Err(match near(known, said) {
            Some(near) => format!("no {noun} `{said}`: did you mean `{near}`?"),
            None => format!("no {noun} `{said}`"),
        }),
        _ => {
            let ids: Vec<String> = fits.iter().map(|(id, _)| format!("`{id}`")).collect();
            Err(format!("`{said}` could be {}: write the {whole}", ids.join(" or ")))
        }
    }
}

/// The name most like what was said: its last part, number or spot, like that one's; of those one with the same
/// figures in another order, then the one that begins most like it. Else like the whole of it.
fn near<'k, T>(known: &[(&'k str, T)], said: &str) -> Option<&'k str> {
    let cut = if said.contains('/') { '/' } else { ' ' };
    let last = |id: &str| id.rsplit(cut).next().unwrap_or(id).to_lowercase();
    let wanted = last(said);
    let allowed = wanted.chars().count() / 3;
    let figures = |part: &str| -> Vec<char> {
        let mut figures: Vec<char> = part.chars().collect();
        figures.sort_unstable();
        figures
    };
    let alike = |id: &str| id.chars().zip(said.chars()).take_while(|(one, other)| one == other).count();
    let ids = known.iter().map(|(id, _)| *id);
    let by_last = ids.clone().filter_map(|id| {
        let distance = strsim::damerau_levenshtein(&last(id), &wanted);
        let other_order = figures(&last(id)) == figures(&wanted);
        (distance <= allowed).then_some((distance, !other_order, Reverse(alike(id)), id))
    });
    by_last.min().map(|(.., id)| id).or_else(|| near_miss(said, ids))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_what_a_hand_mistyped() {
        let cars = [("GLN 1756", 0), ("GLN 1767", 1), ("CHT 1770", 2), ("CHT 3", 3)];
        assert_eq!(near(&cars, "GLN 1776"), Some("GLN 1767"));
        assert_eq!(near(&cars, "GLN 1757"), Some("GLN 1756"));
        assert_eq!(near(&cars, "1771"), Some("CHT 1770"));
        assert_eq!(near(&cars, "CTH 3"), Some("CHT 3"));
        assert_eq!(near(&cars, "RUNX 40"), None);
        let places =
            [("harbor/house/door 2", 0), ("northgate/paper/door 2", 1), ("northgate/paper/door 3", 2)];
        assert_eq!(near(&places, "northgate/mill/door 2"), Some("northgate/paper/door 2"));
        assert_eq!(near(&places, "northgate/paper/door 9"), Some("northgate/paper/door 2"));
        assert_eq!(near(&places, "harbour/house/door 2"), Some("harbor/house/door 2"));
    }
}
