//! Cars that are found elsewhere than the plan has them: what that makes of them.

use super::calendar::ready;
use super::repair::repair_tracks;
use super::settle::loading;
use super::wishes::{is_spot, load_spots, unload_spots};
use crate::ids::{CarIx, Id};
use crate::layout::{LaneEnd, Layout};
use crate::network::Network;
use crate::standing::{Condition, Standing};

/// Changes a car's condition to what it is where the car stands now: one that has come to its
/// customer is loaded or unloaded from this session on; one that was taken from there goes on
/// serving its order and has to come back.
pub fn found(layout: &Layout, standing: &mut Standing, car: CarIx, session: i32) {
    if let Some(condition) = condition(layout, standing, car, session) {
        let there = matches!(condition, Condition::Loading { .. } | Condition::Unloading { .. });
        let state = standing.car_mut(car);
        state.condition = condition;
        if there {
            state.placed.get_or_insert(session);
        } else {
            (state.placed, state.unfinished) = (None, 0);
        }
        state.waiting_since = None;
    }
}

fn condition(layout: &Layout, standing: &Standing, car: CarIx, session: i32) -> Option<Condition> {
    let state = standing.car(car);
    let lane = &layout.lanes()[standing.order(state.condition.order()?)?.lane];
    let here = |targets| is_spot(targets, state.track(), state.spot());
    let loads = here(load_spots(layout, lane));
    let unloads = here(unload_spots(layout, lane));
    match (state.condition.clone(), lane.from, lane.to) {
        (Condition::Ordered { order }, LaneEnd::Industry(industry), _) if loads => {
            let wants_cleaning = layout.commodities()[lane.commodity].clean && state.dirty;
            (!wants_cleaning).then(|| loading(layout, lane, industry, order, session))
        }
        (Condition::Loaded { order, lading }, _, LaneEnd::Industry(industry)) if unloads => {
            let served = usize::try_from(state.services_done).is_ok_and(|done| done >= lane.on_the_way.len());
            let works = layout.industries()[industry].works;
            let ready = ready(layout.settings().days, works, session, lane.unload);
            (served && !state.bad_order).then_some(Condition::Unloading { order, lading, ready })
        }
        (Condition::Loading { order, ready: _ }, ..) if !loads => Some(Condition::Ordered { order }),
        (Condition::Unloading { order, lading, ready: _ }, ..) if !unloads => {
            Some(Condition::Loaded { order, lading })
        }
        _ => None,
    }
}

/// A car is found to need repair. Its customer does not load it; a load that is in it stays there,
/// unless nobody repairs such a car on the layout: then another car takes the order.
pub fn found_bad_order(layout: &Layout, standing: &mut Standing, car: CarIx) {
    let given_up = match standing.car(car).condition {
        Condition::Ordered { .. } | Condition::Loading { .. } => true,
        Condition::Loaded { .. } => {
            let network = Network::new(layout, layout.settings().days.of_session(standing.session + 1));
            repair_tracks(&network, standing, car).is_empty()
        }
        Condition::Empty | Condition::Unloading { .. } => false,
    };
    if given_up {
        gives_up(standing, car);
    }
    let state = standing.car_mut(car);
    (state.bad_order, state.repaired) = (true, None);
}

/// Takes a car out of its order, which then waits for another car; tells which order it was.
pub fn gives_up(standing: &mut Standing, car: CarIx) -> Option<Id> {
    let state = standing.car_mut(car);
    let order = std::mem::replace(&mut state.condition, Condition::Empty).order().cloned();
    (state.services_done, state.placed, state.unfinished, state.waiting_since) = (0, None, 0, None);
    let open = standing.orders.get_mut(order.as_ref()?)?;
    open.car = None;
    order
}
