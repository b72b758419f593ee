//! Cars, places and jobs as hosts write them: shortened where that is enough, mistyped now and then.

use crate::ids::CarIx;
use crate::layout::{Layout, near_miss};
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
        let number = |id: &str, said: &str| id.rsplit(' ').next() == Some(said);
        find(&self.cars, "car", said, number, "mark and number")
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

/// The name most like what was said: like the whole of it, or like its last part.
fn near<'k, T>(known: &[(&'k str, T)], said: &str) -> Option<&'k str> {
    let whole = near_miss(said, known.iter().map(|(id, _)| *id));
    whole.or_else(|| {
        let last = |id: &'k str| id.rsplit([' ', '/']).next().unwrap_or(id);
        let part = near_miss(said, known.iter().map(|(id, _)| last(id)))?;
        known.iter().find(|(id, _)| last(id) == part).map(|(id, _)| *id)
    })
}
