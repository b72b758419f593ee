//! Cars that nobody has paper for: on the layout, with no order and no trip, and for how long.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::facts::place_words;
use crate::ids::{Id, TypeIx};
use crate::layout::Layout;
use crate::session::plan::Plan;
use crate::standing::Standing;

/// Sessions without an order or a trip after which a car is told of unasked (common practice, no source).
pub const LONG_IDLE: i32 = 5;

/// A car on the layout that no order and no trip has use for.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Idle {
    /// The car.
    pub car: Id,
    /// Where it stands.
    pub at: String,
    /// For how many sessions: since it came there, or since its last order was done.
    pub sessions: i32,
    /// Whether it must be repaired.
    pub bad_order: bool,
}

/// All of them after a session, the longest idle first; a car that had a trip in its plan is none.
pub fn idle(layout: &Layout, standing: &Standing, plan: Option<&Plan>) -> Vec<Idle> {
    let trips = plan.map(|plan| &plan.trips[..]).unwrap_or_default();
    let sent: BTreeSet<&str> = trips.iter().map(|trip| trip.car.as_str()).collect();
    // Work cars, and whatever else no lane loads, wait for nothing.
    let kinds = layout.lanes().values().flat_map(|lane| lane.kinds(layout.commodities()));
    let loaded: BTreeSet<TypeIx> = kinds.copied().collect();
    let mut idle: Vec<Idle> = standing
        .cars()
        .filter(|(_, state)| state.track().is_some() && state.condition.order().is_none())
        .filter(|(car, _)| loaded.contains(&layout.cars()[*car].kind))
        .map(|(car, state)| Idle {
            car: layout.cars()[car].id.clone(),
            at: place_words(layout, state.whereabouts()),
            sessions: (standing.session - state.since.max(0)).max(0),
            bad_order: state.bad_order,
        })
        .filter(|idle| !sent.contains(idle.car.as_str()))
        .collect();
    idle.sort_by_key(|idle| Reverse(idle.sessions));
    idle
}
