//! What cars are about, once it is known where they are.

use std::collections::BTreeMap;

use super::replay::{Ids, Replayed};
use super::{Evening, away};
use crate::ids::{CarIx, IxVec};
use crate::layout::{LaneEnd, Layout, Service};
use crate::session::plan::{Event, TripLine};
use crate::session::{found, gives_up};
use crate::standing::{Condition, Standing, Whereabouts};

/// A car is off the layout, other than planned: by a gateway it has gone where its load was bound,
/// or its order waits for another car.
pub(super) fn off(layout: &Layout, standing: &mut Standing, car: CarIx, place: Whereabouts, was_on: bool) {
    let session = standing.session;
    let bound = match &standing.car(car).condition {
        Condition::Loaded { order, lading: _ } => standing.order(order).map(|open| open.lane),
        _ => None,
    };
    let order = gives_up(standing, car);
    if let Whereabouts::Beyond(gateway) = place {
        let there = |lane| matches!(layout.lanes()[lane].to, LaneEnd::Beyond(to, _) if to == gateway);
        if let Some(order) = order.filter(|_| bound.is_some_and(there)) {
            standing.orders.remove(&order);
        }
        if was_on {
            standing.passed[gateway].delivered += 1;
        }
        let state = standing.car_mut(car);
        (state.bad_order, state.dirty, state.repaired) = (false, false, None);
    }
    if let Some(away) = away(place) {
        standing.take_away(car, away);
    }
    standing.car_mut(car).since = session;
}

/// Sets the condition of every car that is not where the plan wanted it, or missed a service.
pub(super) fn follow(
    evening: &Evening<'_>,
    ids: &Ids<'_>,
    replayed: &Replayed,
    start: &IxVec<CarIx, Option<Whereabouts>>,
    standing: &mut Standing,
) {
    let trips: BTreeMap<CarIx, &TripLine> =
        evening.plan.trips.iter().filter_map(|trip| Some((ids.car(&trip.car)?, trip))).collect();
    let mut missed: BTreeMap<CarIx, Vec<Service>> = BTreeMap::new();
    for (car, service) in &replayed.unserved {
        missed.entry(*car).or_default().push(*service);
    }
    let hands = by_hand(evening, ids);
    for car in evening.layout.cars().indices() {
        let now = standing.car(car).whereabouts();
        let planned = evening.expected.car(car).whereabouts();
        let missed = missed.get(&car).map_or(&[][..], Vec::as_slice);
        if (now == planned && missed.is_empty()) || !matches!(now, Whereabouts::Track(..)) {
            continue;
        }
        if let Some(trip) = trips.get(&car) {
            undo(evening, standing, car, trip, hands.get(&car).copied().unwrap_or_default());
        }
        for service in missed {
            let state = standing.car_mut(car);
            match service {
                Service::Clean => state.dirty = true,
                Service::Repair => {}
                _ => state.services_done = state.services_done.saturating_sub(1),
            }
        }
        came_by(evening, standing, car, start[car].is_none());
        let session = evening.plan.session;
        if start[car] != Some(now) {
            standing.car_mut(car).since = session;
        }
        found(evening.layout, standing, car, session);
    }
}

/// What was done to a car by hand before the session.
#[derive(Clone, Copy, Default)]
struct ByHand {
    /// Its customer was done with it.
    released: bool,
    /// It came onto the layout, or was repaired.
    renewed: bool,
}

fn by_hand(evening: &Evening<'_>, ids: &Ids<'_>) -> BTreeMap<CarIx, ByHand> {
    let mut hands: BTreeMap<CarIx, ByHand> = BTreeMap::new();
    let before = evening.plan.events.iter().take_while(|event| !matches!(event, Event::Starts { .. }));
    for event in before {
        let (car, released, renewed) = match event {
            Event::Released { car, .. } => (car, true, true),
            Event::Placed { car, .. } | Event::Served { car, service: Service::Repair, .. } => {
                (car, false, true)
            }
            _ => continue,
        };
        if let Some(car) = ids.car(car) {
            let hand = hands.entry(car).or_default();
            hand.released |= released;
            hand.renewed |= renewed;
        }
    }
    hands
}

/// Takes back what the plan expected of a car's trip.
fn undo(evening: &Evening<'_>, standing: &mut Standing, car: CarIx, trip: &TripLine, hand: ByHand) {
    let before = evening.before.car(car);
    let state = standing.car_mut(car);
    if trip.arrives {
        state.condition = match std::mem::replace(&mut state.condition, Condition::Empty) {
            Condition::Loading { order, ready: _ } => Condition::Ordered { order },
            Condition::Unloading { order, lading, ready: _ } => Condition::Loaded { order, lading },
            other => other,
        };
    }
    if trip.for_repair {
        state.repaired = None;
    }
    state.placed = if hand.released { None } else { before.placed };
    state.waiting_since = trip.waits;
    state.since = if hand.renewed { evening.plan.session } else { before.since };
}

/// A car that came onto the layout otherwise than the plan has it.
fn came_by(evening: &Evening<'_>, standing: &mut Standing, car: CarIx, was_off: bool) {
    if let (true, Whereabouts::Beyond(gateway)) = (was_off, evening.expected.car(car).whereabouts()) {
        standing.passed[gateway].received += 1;
        standing.car_mut(car).came_by = Some(gateway);
    }
}
