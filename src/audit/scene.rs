//! Who stands where, at one moment: a list of cars for each track, another for each side of each
//! engine, and the cars off the layout.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::Found;
use super::facts::Facts;
use crate::ids::Id;
use crate::session::plan::{RowCar, Rows};

/// Where a car is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum At<'p> {
    /// On a track, at a spot or at none.
    Track(&'p Id, Option<&'p Id>),
    /// In the train of a job.
    Train(&'p Id),
    /// Out beyond a gateway.
    Beyond(&'p Id),
    /// On the shelf.
    Shelf,
}

/// A car that stands on a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stand<'p> {
    pub(super) car: &'p Id,
    pub(super) spot: Option<&'p Id>,
}

/// Every car's place.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene<'p> {
    rows: BTreeMap<&'p Id, Vec<Stand<'p>>>,
    at: BTreeMap<&'p Id, At<'p>>,
    ladings: BTreeMap<&'p Id, &'p Id>,
    /// What the cars were emptied of before the session.
    emptied: BTreeMap<&'p Id, &'p Id>,
}

impl<'p> Scene<'p> {
    /// The scene that a plan begins with. A car named twice keeps its first place.
    pub(super) fn before(facts: &Facts<'p>, found: &mut Found) -> Self {
        let mut scene = Scene::default();
        for (at, row) in listed(&facts.plan.before) {
            let at = match at {
                At::Track(track, _) => At::Track(track, row.spot.as_ref()),
                At::Train(_) | At::Beyond(_) | At::Shelf => at,
            };
            if let Some(first) = scene.at.get(&row.car) {
                found.say(1, format!("`{}` is {} and {} before the session", row.car, first, at));
                continue;
            }
            if let At::Track(track, spot) = at {
                scene.rows.entry(track).or_default().push(Stand { car: &row.car, spot });
            }
            scene.at.insert(&row.car, at);
            scene.set_lading(&row.car, row.lading.as_ref());
        }
        scene
    }

    /// The cars on a track, from west to east.
    pub(super) fn row(&self, track: &Id) -> &[Stand<'p>] {
        self.rows.get(track).map_or(&[], Vec::as_slice)
    }

    /// The tracks on which cars stand, with their rows.
    pub(super) fn rows(&self) -> impl Iterator<Item = (&'p Id, &[Stand<'p>])> {
        self.rows.iter().map(|(track, row)| (*track, row.as_slice()))
    }

    /// Where a car is.
    pub(super) fn at(&self, car: &Id) -> Option<At<'p>> {
        self.at.get(car).copied()
    }

    /// Where all cars are.
    pub(super) fn all(&self) -> &BTreeMap<&'p Id, At<'p>> {
        &self.at
    }

    /// What is in a car.
    pub(super) fn lading(&self, car: &Id) -> Option<&'p Id> {
        self.ladings.get(car).copied()
    }

    /// What a car was emptied of before the session.
    pub(super) fn emptied_of(&self, car: &Id) -> Option<&'p Id> {
        self.emptied.get(car).copied()
    }

    /// Empties a car of what is in it.
    pub(super) fn empty_out(&mut self, car: &'p Id) {
        self.emptied.extend(self.ladings.remove(car).map(|lading| (car, lading)));
    }

    /// Loads or unloads a car.
    pub(super) fn set_lading(&mut self, car: &'p Id, lading: Option<&'p Id>) {
        match lading {
            Some(lading) => self.ladings.insert(car, lading),
            None => self.ladings.remove(car),
        };
    }

    /// Moves a car to a train or off the layout.
    pub(super) fn away(&mut self, car: &'p Id, to: At<'p>) {
        self.lift(car);
        self.at.insert(car, to);
    }

    /// Puts cars onto a track, at the west or the east end of its row.
    pub(super) fn put(&mut self, track: &'p Id, cars: &[Stand<'p>], at_west_end: bool) {
        for stand in cars {
            self.lift(stand.car);
            self.at.insert(stand.car, At::Track(track, stand.spot));
        }
        let row = self.rows.entry(track).or_default();
        let place = if at_west_end { 0 } else { row.len() };
        row.splice(place..place, cars.iter().copied());
    }

    fn lift(&mut self, car: &Id) {
        if let Some(At::Track(track, _)) = self.at.get(car)
            && let Some(row) = self.rows.get_mut(track)
        {
            row.retain(|stand| stand.car != car);
        }
    }

    /// Compares the end of the replay with the end that the plan states.
    pub(super) fn compare_with_after(&self, facts: &Facts<'p>, found: &mut Found) {
        let after = &facts.plan.after;
        let mut stated: BTreeMap<&Id, At<'_>> = BTreeMap::new();
        for (at, row) in listed(after) {
            let at = match at {
                At::Track(track, _) => At::Track(track, row.spot.as_ref()),
                At::Train(_) | At::Beyond(_) | At::Shelf => at,
            };
            if let Some(first) = stated.insert(&row.car, at) {
                found.say(1, format!("`{}` is {first} and {at} after the session", row.car));
            }
            match self.at(&row.car) {
                None => found.say(1, format!("`{}` appears only after the session, {at}", row.car)),
                Some(real) if real != at => {
                    found.say(1, format!("`{}` ends {real}, and the plan says {at}", row.car));
                }
                // Out there nobody sees what is in a car, and it may be unloaded at once.
                Some(At::Beyond(_)) => {}
                Some(_) if self.lading(&row.car) != row.lading.as_ref() => {
                    let text =
                        format!("the plan ends with another lading in `{}` than the events do", row.car);
                    found.say(7, text);
                }
                Some(_) => {}
            }
        }
        for car in self.at.keys().filter(|car| !stated.contains_key(*car)) {
            found.say(1, format!("`{car}` is lost: it has no place after the session"));
        }
        for (track, row) in &after.tracks {
            let real: Vec<&Id> = self.row(track).iter().map(|stand| stand.car).collect();
            let said: Vec<&Id> = row.iter().map(|row| &row.car).collect();
            let set = |row: &[&'_ Id]| row.iter().map(ToString::to_string).collect::<BTreeSet<_>>();
            if real != said && set(&real) == set(&said) {
                found.say(1, format!("the cars on `{track}` end in another order than the plan says"));
            }
        }
    }
}

/// All cars of a list of rows with their places; the spot is left to the caller.
pub(super) fn listed(rows: &Rows) -> impl Iterator<Item = (At<'_>, &RowCar)> {
    let tracks =
        rows.tracks.iter().flat_map(|(track, row)| row.iter().map(move |car| (At::Track(track, None), car)));
    let beyond =
        rows.beyond.iter().flat_map(|(gate, row)| row.iter().map(move |car| (At::Beyond(gate), car)));
    let shelf = rows.shelf.iter().map(|car| (At::Shelf, car));
    tracks.chain(beyond).chain(shelf)
}

impl fmt::Display for At<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            At::Track(_, Some(spot)) => write!(f, "at `{spot}`"),
            At::Track(track, None) => write!(f, "on `{track}`"),
            At::Train(job) => write!(f, "in the train of `{job}`"),
            At::Beyond(gateway) => write!(f, "beyond `{gateway}`"),
            At::Shelf => write!(f, "on the shelf"),
        }
    }
}
