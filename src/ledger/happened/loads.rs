//! Cars that were loaded or emptied otherwise than planned: a load that was not lifted in, one that was found
//! in a car, a door that was done early.

use crate::ids::CarIx;
use crate::layout::{LaneEnd, Layout, LoadLook};
use crate::session::{found, gives_up};
use crate::standing::{Condition, Standing};

/// Gives a car its load, or takes it out. An order of which the load is not in the car is loaded again where it
/// begins; one that comes from beyond a gateway waits for another car.
///
/// # Errors
/// In words, when the car cannot be so.
pub(super) fn set(
    layout: &Layout,
    standing: &mut Standing,
    car: CarIx,
    is_loaded: bool,
) -> Result<(), String> {
    let described = &layout.cars()[car];
    let id = &described.id;
    let condition = standing.car(car).condition.clone();
    if is_loaded == condition.lading().is_some() {
        return Ok(());
    }
    if standing.car(car).track().is_none() {
        return Err(format!("`{id}` is off the layout, where nobody sees whether it is loaded"));
    }
    let fixed = matches!(described.look, LoadLook::Fixed(_));
    if fixed && !is_loaded {
        return Err(format!("`{id}` has a fixed load and is never empty"));
    }
    let lane = condition.order().and_then(|order| standing.order(order)).map(|order| order.lane);
    let (Some(lane), Some(order)) = (lane, condition.order().cloned()) else {
        return Err(format!("`{id}` has no order: setout does not know what would be in it"));
    };
    let lane = &layout.lanes()[lane];
    let session = standing.session;
    let state = standing.car_mut(car);
    state.since = session;
    match condition {
        Condition::Ordered { order } | Condition::Loading { order, ready: _ } => {
            state.condition = Condition::Loaded { order, lading: lane.commodity };
            (state.placed, state.unfinished) = (None, 0);
        }
        Condition::Unloading { .. } => {
            state.condition = Condition::Empty;
            state.dirty |= layout.commodities()[lane.commodity].soils;
            (state.placed, state.unfinished, state.services_done) = (None, 0, 0);
            standing.orders.remove(&order);
        }
        Condition::Loaded { .. } if matches!(lane.from, LaneEnd::Industry(_)) => {
            state.condition = Condition::Ordered { order };
            state.services_done = 0;
        }
        Condition::Loaded { .. } | Condition::Empty => {
            gives_up(standing, car);
        }
    }
    found(layout, standing, car, session);
    Ok(())
}
