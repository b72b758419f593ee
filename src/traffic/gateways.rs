//! Cars that leave the layout, and the room for those that come.

use super::release::finish;
use super::{Demand, Hand};
use crate::ids::{CarIx, CommodityIx, GatewayIx, TrackIx};
use crate::layout::{LaneEnd, Layout};
use crate::network::Network;
use crate::standing::{Away, Condition, Standing};
use crate::units::Length;

/// The gateway a car goes home through: its own, else its railroad's.
pub fn home_of(layout: &Layout, car: CarIx) -> Option<GatewayIx> {
    let car = &layout.cars()[car];
    car.home.or_else(|| car.railroad.and_then(|railroad| layout.railroads()[railroad].beyond))
}

/// Lifts what stands on a gateway's tracks and is bound out through it.
pub(super) fn lift(network: &Network<'_>, demand: &mut Demand, session: i32) {
    let layout = network.layout();
    for (gateway, described) in layout.gateways().iter() {
        if !described.existence.on(network.date()) {
            continue;
        }
        for track in &described.takes {
            for car in demand.standing.on(*track).to_vec() {
                if goes_out(layout, &demand.standing, car, gateway) {
                    lift_car(layout, demand, session, (car, *track, gateway));
                }
            }
        }
    }
}

fn lift_car(
    layout: &Layout,
    demand: &mut Demand,
    session: i32,
    (car, track, gateway): (CarIx, TrackIx, GatewayIx),
) {
    demand.standing.take_away(car, Away::Beyond(gateway));
    let state = demand.standing.car_mut(car);
    let before = std::mem::replace(&mut state.condition, Condition::Empty);
    state.since = session;
    state.services_done = 0;
    state.bad_order = false; // its owner's shop sees to it before it comes back
    state.dirty = false;
    demand.hands.push(Hand::Lifted(car, track, gateway));
    if let Condition::Loaded { order, lading: _ } = before {
        let name = &layout.gateways()[gateway].name;
        finish(demand, &order, format!("went out by {name} in {}", layout.cars()[car].id));
    }
}

/// Whether a car on one of a gateway's tracks is bound out through it.
fn goes_out(layout: &Layout, standing: &Standing, car: CarIx, gateway: GatewayIx) -> bool {
    let state = standing.car(car);
    match &state.condition {
        Condition::Empty => home_of(layout, car).or(state.came_by).is_none_or(|home| home == gateway),
        Condition::Loaded { order, lading: _ } => {
            let lane = standing.order(order).map(|open| &layout.lanes()[open.lane]);
            lane.is_some_and(|lane| {
                matches!(lane.to, LaneEnd::Beyond(to, _) if to == gateway)
                    && usize::try_from(state.services_done).is_ok_and(|done| done >= lane.on_the_way.len())
            })
        }
        Condition::Ordered { .. } | Condition::Loading { .. } | Condition::Unloading { .. } => false,
    }
}

/// Puts a car onto one of a gateway's tracks.
pub(super) fn place(
    demand: &mut Demand,
    session: i32,
    (car, track, gateway): (CarIx, TrackIx, GatewayIx),
    lading: Option<CommodityIx>,
) {
    demand.standing.put(car, track, None);
    let state = demand.standing.car_mut(car);
    state.came_by = Some(gateway);
    state.since = session;
    demand.hands.push(Hand::Placed(car, track, gateway, lading));
}

/// The first of a gateway's tracks with room for a car that it takes.
pub(super) fn room_at(
    network: &Network<'_>,
    standing: &Standing,
    gateway: GatewayIx,
    car: CarIx,
) -> Option<TrackIx> {
    let layout = network.layout();
    let described = &layout.gateways()[gateway];
    let length = layout.cars()[car].length;
    described.existence.on(network.date()).then_some(())?;
    described.gives.iter().copied().find(|track| {
        let on: Length = standing.on(*track).iter().map(|on| layout.cars()[*on].length).sum();
        // A loaded car is the heavier case: a track that takes it loaded takes it empty.
        let heaviest = layout.cars()[car].light + layout.cars()[car].capacity;
        network.takes(*track, car, heaviest) && on + length <= layout.tracks()[*track].length
    })
}
