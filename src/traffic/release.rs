//! Cars that customers have finished with since the last session.

use super::{Demand, Hand, News, Outcome};
use crate::ids::{CarIx, Id};
use crate::network::Network;
use crate::standing::{Condition, Standing};

/// Turns loading into loaded, and unloading into empty, where the time is up.
pub(super) fn release(network: &Network<'_>, demand: &mut Demand, session: i32) {
    let layout = network.layout();
    let cars: Vec<CarIx> = demand.standing.cars().map(|(car, _)| car).collect();
    for car in cars {
        match demand.standing.car(car).condition.clone() {
            Condition::Loading { order, ready } if ready <= session => {
                let Some(lane) = demand.standing.order(&order).map(|open| open.lane) else {
                    continue;
                };
                let lading = layout.lanes()[lane].commodity;
                let state = demand.standing.car_mut(car);
                state.condition = Condition::Loaded { order, lading };
                state.since = session;
                demand.hands.push(Hand::Released(car, Some(lading)));
            }
            Condition::Unloading { order, lading, ready } if ready <= session => {
                let state = demand.standing.car_mut(car);
                state.condition = Condition::Empty;
                state.dirty |= layout.commodities()[lading].soils;
                state.services_done = 0;
                state.since = session;
                demand.hands.push(Hand::Released(car, None));
                let customer = demand.standing.car(car).track().map(|track| &layout.tracks()[track].name);
                let where_to = customer.map_or(String::new(), |name| format!(" at {name}"));
                finish(demand, &order, format!("unloaded{where_to}; {} is empty", layout.cars()[car].id));
            }
            _ => {}
        }
    }
}

/// Takes an order off the open ones: it is done.
pub(super) fn finish(demand: &mut Demand, order: &Id, why: String) {
    if let Some(order) = take(&mut demand.standing, order) {
        demand.news.push(News { order, outcome: Outcome::Done, why: why.into() });
    }
}

fn take(standing: &mut Standing, order: &Id) -> Option<crate::standing::Order> {
    let place = standing.orders.iter().position(|open| open.id == *order)?;
    Some(standing.orders.remove(place))
}
