//! What becomes of cars that have arrived: the standing as the session leaves it.

use super::calendar::ready;
use super::repair::until;
use super::{Demand, Purpose};
use crate::ids::{Id, IndustryIx};
use crate::layout::{Lane, LaneEnd, Layout, Service};
use crate::network::Network;
use crate::standing::{Condition, Standing};

/// How a wish ended tonight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ended {
    /// How many of its stages are done.
    pub stages: usize,
    /// Whether the car stands near its spot, which is full.
    pub off_spot: bool,
    /// Whether nothing but its customer keeps it from its spot: it is full, or takes no more.
    pub kept_off: bool,
}

/// Changes the conditions of the cars that had wishes; the rows are as switching left them.
pub fn settle(
    network: &Network<'_>,
    demand: &Demand,
    standing: &mut Standing,
    session: i32,
    ended: &[Ended],
) {
    for (wish, ended) in demand.wishes.iter().zip(ended) {
        let before = demand.standing.car(wish.car).whereabouts();
        let state = standing.car_mut(wish.car);
        if state.whereabouts() != before {
            state.since = session;
        }
        if ended.off_spot {
            state.waiting_since.get_or_insert(session);
        } else if ended.stages > 0 {
            state.waiting_since = None;
        }
        // Kept off by its customer, it is at the customer's disposal as if it had been spotted.
        if ended.kept_off && wish.customer.is_some() && ended.stages + 1 == wish.stages.len() {
            state.placed.get_or_insert(session);
        }
        for stage in wish.stages.iter().take(ended.stages) {
            match stage.purpose {
                Purpose::Serve(_) => standing.car_mut(wish.car).services_done += 1,
                Purpose::Mend(Service::Clean) => standing.car_mut(wish.car).dirty = false,
                Purpose::Mend(_) => standing.car_mut(wish.car).repaired = Some(until(network, session)),
                Purpose::Load | Purpose::Unload => {
                    let condition = standing.car(wish.car).condition.clone();
                    if let Some(condition) = at_the_spot(network, standing, condition, session) {
                        let state = standing.car_mut(wish.car);
                        state.condition = condition;
                        state.placed.get_or_insert(session);
                    }
                }
                Purpose::GoBeyond(_) | Purpose::Wait => {}
            }
        }
    }
    standing.session = session;
}

/// The condition of a car that has come to be loaded or unloaded.
fn at_the_spot(
    network: &Network<'_>,
    standing: &Standing,
    now: Condition,
    session: i32,
) -> Option<Condition> {
    let layout = network.layout();
    let lane = &layout.lanes()[standing.order(now.order()?)?.lane];
    match (now, lane.from, lane.to) {
        (Condition::Ordered { order }, LaneEnd::Industry(industry), _) => {
            Some(loading(layout, lane, industry, order, session))
        }
        (Condition::Loaded { order, lading }, _, LaneEnd::Industry(industry)) => {
            let works = layout.industries()[industry].works;
            let ready = ready(layout.settings().days, works, session, lane.unload);
            Some(Condition::Unloading { order, lading, ready })
        }
        _ => None,
    }
}

/// The condition of a car that is at a customer to be loaded.
pub(super) fn loading(
    layout: &Layout,
    lane: &Lane,
    industry: IndustryIx,
    order: Id,
    session: i32,
) -> Condition {
    let works = layout.industries()[industry].works;
    let ready = ready(layout.settings().days, works, session, lane.load);
    Condition::Loading { order, ready }
}
