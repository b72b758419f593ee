//! The standing that a session left, from what the plan said and what happened otherwise.
//!
//! What the host says nothing of went as planned, as far as it could: [`replay`] goes through the
//! plan's events, the host's facts are applied like moves by hand, and [`conditions`] follow from
//! where the cars are. No planner is asked: the plan and the standing it expected are all it takes.
//! Upholds rule 1: every car is in exactly one place, and tracks hold what stands on them.

mod conditions;
mod loads;
mod next;
mod replay;
pub(super) mod room;
mod seen;

use std::collections::BTreeSet;

use super::facts::{Facts, Stays, place_words};
use crate::ids::{CarIx, Id, IxVec, SpotIx, TrackIx};
use crate::layout::{Layout, LoadLook};
use crate::session::found_bad_order;
use crate::session::plan::Plan;
use crate::standing::{Away, CarState, Standing, Whereabouts};
use replay::{Ids, Replayed};
use room::{fits, slot};
pub use seen::seen;

/// What a session left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Happened {
    /// The standing.
    pub standing: Standing,
    /// Every car that is not where the plan wanted it.
    pub misplaced: Vec<Misplaced>,
}

/// A car that is not where the plan wanted it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misplaced {
    /// The car.
    pub car: Id,
    /// Where it is: a spot, track or gateway by its id, or `shelf`.
    pub at: String,
    /// Where the plan wanted it.
    pub planned: String,
    /// Why it is there, if the host did not say so.
    pub why: Option<&'static str>,
    /// The order it serves, which carries over.
    pub order: Option<Id>,
    /// What is next for it, in words.
    pub next: String,
}

/// What is known when a session is closed.
#[derive(Clone, Copy, Debug)]
pub struct Evening<'a> {
    /// The layout.
    pub layout: &'a Layout,
    /// The plan.
    pub plan: &'a Plan,
    /// The standing it began from.
    pub before: &'a Standing,
    /// The standing it would have left.
    pub expected: &'a Standing,
}

/// What a session left.
///
/// # Errors
/// With a line for everything that cannot be.
pub fn happened(evening: &Evening<'_>, facts: &Facts) -> Result<Happened, Vec<String>> {
    let layout = evening.layout;
    let ids = Ids::new(layout);
    let mut replayed = replay::replay(&ids, evening.plan, facts);
    let faults = put_down(evening, facts, &mut replayed);
    if !faults.is_empty() {
        return Err(faults);
    }
    for (track, row) in &facts.rows {
        replayed.rows[*track].clone_from(row);
    }
    let start = whereabouts(layout, &replayed.start);
    let mut standing = evening.expected.clone();
    arrange(layout, &mut standing, &replayed);
    for (car, stays) in &facts.cars {
        if let Stays::At(place @ (Whereabouts::Beyond(_) | Whereabouts::Shelf)) = stays {
            if evening.expected.car(*car).whereabouts() == *place {
                continue; // it is there as planned
            }
            conditions::off(layout, &mut standing, *car, *place, start[*car].is_some());
        }
    }
    conditions::follow(evening, &ids, &replayed, &start, &mut standing);
    let mut faults = Vec::new();
    for (car, is_loaded) in &facts.loads {
        faults.extend(loads::set(layout, &mut standing, *car, *is_loaded).err());
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    for car in &facts.bad_orders {
        found_bad_order(layout, &mut standing, *car);
    }
    let misplaced = misplaced(evening, &replayed, &standing);
    Ok(Happened { standing, misplaced })
}

/// Puts the cars down that the host has seen elsewhere, and tells what cannot be.
fn put_down(evening: &Evening<'_>, facts: &Facts, replayed: &mut Replayed) -> Vec<String> {
    let layout = evening.layout;
    let mut faults = Vec::new();
    let mut touched = BTreeSet::new();
    for (car, stays) in &facts.cars {
        let id = &layout.cars()[*car].id;
        if let Stays::At(Whereabouts::Track(track, spot)) = stays {
            let row = &mut replayed.rows[*track];
            row.insert(slot(row, *spot), (*car, *spot));
            touched.insert(*track);
            let fixed = matches!(layout.cars()[*car].look, LoadLook::Fixed(_));
            if fixed && evening.expected.car(*car).condition.lading().is_none() {
                faults
                    .push(format!("`{id}` has a fixed load: without an order for it, it is off the layout"));
            }
        }
    }
    for track in touched.iter().filter(|track| !fits(layout, **track, &replayed.rows[**track])) {
        let told = |(car, spot): &(CarIx, Option<SpotIx>)| {
            let at = spot.map_or(String::new(), |spot| format!(" at {}", layout.spots()[spot].name));
            let said = if facts.cars.contains_key(car) { "" } else { ", as planned" };
            format!("`{}`{at}{said}", layout.cars()[*car].id)
        };
        let cars: Vec<String> = replayed.rows[*track].iter().map(told).collect();
        faults.push(format!(
            "`{}` cannot hold {}: say where each of them really is",
            layout.tracks()[*track].id,
            cars.join("; ")
        ));
    }
    faults.extend(lost(evening, facts, replayed));
    for car in &facts.bad_orders {
        let off = match facts.cars.get(car) {
            Some(Stays::At(place)) => !matches!(place, Whereabouts::Track(..)),
            _ => !replayed.rows.values().flatten().any(|(on, _)| on == car),
        };
        if off {
            let id = &layout.cars()[*car].id;
            faults.push(format!("`{id}` is off the layout, where nobody finds it a bad order"));
        }
    }
    faults
}

/// Cars of which nobody can tell where they are: the layout no longer has the tracks of the plan.
fn lost(evening: &Evening<'_>, facts: &Facts, replayed: &Replayed) -> Vec<String> {
    let at = whereabouts(evening.layout, &replayed.rows);
    let lost = evening.expected.cars().filter(|(car, state)| {
        state.track().is_some() && at[*car].is_none() && !facts.cars.contains_key(car)
    });
    let line = |(car, _): (CarIx, &CarState)| {
        let id = &evening.layout.cars()[car].id;
        format!("`{id}` stood on a track that the layout no longer has: say where it is")
    };
    lost.map(line).collect()
}

/// By car, where it stands.
fn whereabouts(layout: &Layout, rows: &IxVec<TrackIx, room::Row>) -> IxVec<CarIx, Option<Whereabouts>> {
    let mut at = IxVec::filled(None, layout.cars().len());
    for (track, row) in rows.iter() {
        for (car, spot) in row {
            at[*car] = Some(Whereabouts::Track(track, *spot));
        }
    }
    at
}

fn arrange(layout: &Layout, standing: &mut Standing, replayed: &Replayed) {
    for track in layout.tracks().indices() {
        let row = &replayed.rows[track];
        let same = row.len() == standing.on(track).len()
            && row
                .iter()
                .zip(standing.on(track))
                .all(|((car, spot), on)| car == on && standing.car(*on).spot() == *spot);
        if !same {
            standing.arrange(track, row.iter().copied());
        }
    }
}

fn misplaced(evening: &Evening<'_>, replayed: &Replayed, standing: &Standing) -> Vec<Misplaced> {
    let layout = evening.layout;
    let moved = standing
        .cars()
        .filter(|(car, state)| state.whereabouts() != evening.expected.car(*car).whereabouts());
    let line = |(car, state): (CarIx, &CarState)| Misplaced {
        car: layout.cars()[car].id.clone(),
        at: place_words(layout, state.whereabouts()),
        planned: place_words(layout, evening.expected.car(car).whereabouts()),
        why: if replayed.no_room.contains(&car) {
            Some("no room where it was to go")
        } else if replayed.set_out.contains(&car) {
            Some("set out where its job ended")
        } else {
            None
        },
        order: state.condition.order().cloned(),
        next: next::step(layout, standing, car),
    };
    moved.map(line).collect()
}

/// Where a car goes that is off the layout.
const fn away(place: Whereabouts) -> Option<Away> {
    match place {
        Whereabouts::Beyond(gateway) => Some(Away::Beyond(gateway)),
        Whereabouts::Shelf => Some(Away::Shelf),
        Whereabouts::Track(..) => None,
    }
}
