//! Cars that customers have finished with since the last session, and those with which they have not.

use super::calendar::ready;
use super::repair::{bad_order, found_bad};
use super::{Demand, Hand, News, Outcome, Remark};
use crate::chance::Chance;
use crate::ids::{CarIx, Id, IndustryIx, LaneIx};
use crate::layout::{LaneEnd, Layout, Span};
use crate::network::Network;
use crate::said::{self, Given};
use crate::standing::{Condition, Standing};

/// Turns loading into loaded, and unloading into empty, where the time is up.
pub(super) fn release(network: &Network<'_>, demand: &mut Demand, session: i32, chance: Chance) {
    let cars: Vec<CarIx> = demand.standing.cars().map(|(car, _)| car).collect();
    let told = demand.news.len();
    for car in cars {
        let (order, unloads) = match &demand.standing.car(car).condition {
            Condition::Loading { order, ready } if *ready <= session => (order.clone(), false),
            Condition::Unloading { order, lading: _, ready } if *ready <= session => (order.clone(), true),
            _ => continue,
        };
        let Some(lane) = demand.standing.order(&order).map(|open| open.lane) else { continue };
        if not_finished(network.layout(), demand, (car, lane), session, chance) {
            continue;
        }
        let bad = found_bad(network, &demand.standing, car, session, chance);
        let state = demand.standing.car_mut(car);
        (state.since, state.placed, state.unfinished) = (session, None, 0);
        if unloads {
            emptied(network.layout(), demand, car, &order);
            if bad {
                bad_order(network, demand, car, said::found_bad(&network.layout().cars()[car].id));
            }
        } else if bad {
            refused(network, demand, car, &order);
        } else {
            let lading = network.layout().lanes()[lane].commodity;
            demand.standing.car_mut(car).condition = Condition::Loaded { order, lading };
            demand.hands.push(Hand::Released(car, Some(lading)));
        }
    }
    take_off(demand, told);
}

/// The customer that has a car of a lane in hand.
fn customer(layout: &Layout, standing: &Standing, car: CarIx, lane: LaneIx) -> Option<IndustryIx> {
    let lane = &layout.lanes()[lane];
    let end = if standing.car(car).condition.lading().is_some() { lane.to } else { lane.from };
    match end {
        LaneEnd::Industry(industry) => Some(industry),
        LaneEnd::Beyond(..) => None,
    }
}

/// Whether a customer is not done with a car though its time is up; then it keeps it for one more
/// working day.
fn not_finished(
    layout: &Layout,
    demand: &mut Demand,
    (car, lane): (CarIx, LaneIx),
    session: i32,
    chance: Chance,
) -> bool {
    let Some(industry) = customer(layout, &demand.standing, car, lane) else { return false };
    let customer = &layout.industries()[industry];
    let id = &layout.cars()[car].id;
    let one_in = u64::from(customer.unfinished.one_in);
    if one_in == 0 || chance.stream("unfinished", &format!("{id}|{session}")).below(one_in) != 0 {
        return false;
    }
    let until = ready(layout.settings().days, customer.works, session, Span::days(1));
    let state = demand.standing.car_mut(car);
    state.unfinished += 1;
    if let Condition::Loading { order: _, ready } | Condition::Unloading { order: _, lading: _, ready } =
        &mut state.condition
    {
        *ready = until;
    }
    let words = said::not_done(&*customer.name, id, until);
    demand.remarks.push(Remark { about: "not finished", words });
    true
}

fn emptied(layout: &Layout, demand: &mut Demand, car: CarIx, order: &Id) {
    let state = demand.standing.car_mut(car);
    let lading = state.condition.lading();
    state.condition = Condition::Empty;
    state.dirty |= lading.is_some_and(|lading| layout.commodities()[lading].soils);
    state.services_done = 0;
    demand.hands.push(Hand::Released(car, None));
    let track = demand.standing.car(car).track().map(|track| &layout.tracks()[track].name);
    let where_to = track.map_or(String::new(), |name| format!(" at {name}"));
    finish(demand, order, format!("unloaded{where_to}; {} is empty", layout.cars()[car].id));
}

/// An empty that its customer sends away unloaded: its order wants another car.
fn refused(network: &Network<'_>, demand: &mut Demand, car: CarIx, order: &Id) {
    demand.standing.car_mut(car).condition = Condition::Empty;
    if let Some(open) = demand.standing.orders.get_mut(order) {
        open.car = None;
    }
    let how = said::refused_bad(&network.layout().cars()[car].id, Given::order(order));
    bad_order(network, demand, car, how);
}

/// Tells of an order that it is done. Whoever says so of many takes them off the open ones in one pass
/// ([`take_off`]).
pub(super) fn finish(demand: &mut Demand, order: &Id, why: String) {
    if let Some(order) = demand.standing.order(order).cloned() {
        demand.news.push(News::plain(order, Outcome::Done, why));
    }
}

/// Takes the orders off that were told to be done since there was so much news.
pub(super) fn take_off(demand: &mut Demand, since: usize) {
    let done = demand.news[since..].iter().filter(|news| news.outcome == Outcome::Done);
    let done: Vec<Id> = done.map(|news| news.order.id.clone()).collect();
    demand.standing.orders.remove_all(&done);
}
