//! What is next for a car that is not where the plan wanted it: from what it is about, without a planner.

use crate::ids::CarIx;
use crate::layout::{LaneEnd, Layout};
use crate::standing::{Condition, Standing, Whereabouts};

/// The next step of a car, in words.
pub(super) fn step(layout: &Layout, standing: &Standing, car: CarIx) -> String {
    let state = standing.car(car);
    let end = |end: LaneEnd| match end {
        LaneEnd::Industry(industry) => layout.industries()[industry].name.to_string(),
        LaneEnd::Beyond(gateway, _) => layout.gateways()[gateway].name.to_string(),
    };
    let order = state.condition.order().and_then(|order| standing.order(order));
    let lane = order.map(|order| &layout.lanes()[order.lane]);
    match (&state.condition, lane) {
        _ if !matches!(state.whereabouts(), Whereabouts::Track(..)) => {
            "off the layout: nothing, until an order asks for it".to_owned()
        }
        (Condition::Loaded { .. }, Some(lane)) => format!("with its load to {}", end(lane.to)),
        (Condition::Ordered { .. }, Some(lane)) => format!("to be loaded at {}", end(lane.from)),
        (Condition::Loading { order: _, ready }, Some(lane)) => {
            format!("is loaded by {} until session {ready}", end(lane.from))
        }
        (Condition::Unloading { order: _, lading: _, ready }, Some(lane)) => {
            format!("is unloaded by {} until session {ready}", end(lane.to))
        }
        _ if state.bad_order => "to be repaired".to_owned(),
        _ => match layout.cars()[car].home {
            Some(home) => format!("a load, or home by {}", layout.gateways()[home].name),
            None => "a load, or a place to wait".to_owned(),
        },
    }
}
