//! What customers ask beside a free spot: so many cars a session, cars in turn, none while shut.
//!
//! Which cars get to their spots tonight is for `trips` to find. What a customer refuses then is kept
//! off its spots, and trips are planned again; every round keeps more cars off, so the rounds end.

use std::collections::BTreeMap;

use super::{Demand, Purpose, Wish};
use crate::ids::{CallIx, CarIx, CommodityIx, IndustryIx, Ix};
use crate::network::Network;
use crate::units::Cars;

/// Wishes that customers do not take tonight, each by its place among them, with the reason.
pub type Declined = Vec<(usize, KeptOff)>;

/// Why a customer does not take a car tonight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeptOff {
    /// It is shut today.
    Shut(IndustryIx),
    /// It takes no more cars a session.
    Limit(IndustryIx, Cars),
    /// It takes cars in turn, and this one waits since that session.
    InTurn(IndustryIx, CarIx, i32),
}

/// Keeps off the cars whose customers are shut today.
pub(super) fn shut(network: &Network<'_>, demand: &mut Demand) {
    let layout = network.layout();
    let weekday = network.date().weekday();
    for wish in &mut demand.wishes {
        let Some((industry, _)) = wish.customer else { continue };
        let customer = &layout.industries()[industry];
        if customer.shut && !customer.works.has(weekday) {
            wish.kept_off = Some(KeptOff::Shut(industry));
        }
    }
}

/// The wishes that customers refuse tonight, each with the reason, when cars get to their spots at
/// these calls: those that came later than one that waits longer, and those beyond the customer's limit.
pub fn refused(network: &Network<'_>, demand: &Demand, arrivals: &[Option<CallIx>]) -> Declined {
    let layout = network.layout();
    let mut by_customer: BTreeMap<IndustryIx, Vec<usize>> = BTreeMap::new();
    for (place, wish) in demand.wishes.iter().enumerate() {
        let Some((industry, _)) = wish.customer else { continue };
        let customer = &layout.industries()[industry];
        if customer.in_turn || customer.limit.is_some() {
            by_customer.entry(industry).or_default().push(place);
        }
    }
    let mut refused = Vec::new();
    for (industry, places) in by_customer {
        let customer = &layout.industries()[industry];
        if customer.in_turn {
            refused.extend(out_of_turn(demand, (industry, &places), arrivals));
        }
        let mut come: Vec<usize> = places.into_iter().filter(|place| arrivals[*place].is_some()).collect();
        if let Some(limit) = customer.limit {
            // The wishes stand in the order of their urgency.
            let within = usize::try_from(limit.count()).unwrap_or(usize::MAX).min(come.len());
            let why = KeptOff::Limit(industry, limit);
            refused.extend(come.split_off(within).into_iter().map(|place| (place, why)));
        }
    }
    refused
}

/// Of one customer's cars, those that would get to a spot before another that has waited longer for one.
fn out_of_turn(
    demand: &Demand,
    (industry, places): (IndustryIx, &[usize]),
    arrivals: &[Option<CallIx>],
) -> Declined {
    let waits = |place: usize| demand.standing.car(demand.wishes[place].car).waiting_since;
    let comes = |place: usize| arrivals[place].map_or(usize::MAX, Ix::place);
    let mut queues: BTreeMap<(bool, Option<CommodityIx>), Vec<usize>> = BTreeMap::new();
    for place in places {
        queues.entry(turn(&demand.wishes[*place])).or_default().push(*place);
    }
    let mut refused = Vec::new();
    for queue in queues.into_values() {
        for later in queue.iter().copied().filter(|place| arrivals[*place].is_some()) {
            let sooner = |place: &usize| {
                let since = waits(*place)?;
                (waits(later).is_none_or(|own| since < own) && comes(*place) > comes(later)).then_some(since)
            };
            let first = queue.iter().filter_map(|place| Some((sooner(place)?, *place))).min();
            if let Some((since, place)) = first {
                refused.push((later, KeptOff::InTurn(industry, demand.wishes[place].car, since)));
            }
        }
    }
    refused
}

/// Cars that a customer takes in one turn: those to be unloaded of one commodity, or to be loaded.
fn turn(wish: &Wish) -> (bool, Option<CommodityIx>) {
    let loads = wish.stages.last().is_some_and(|stage| stage.purpose == Purpose::Load);
    (loads, wish.customer.map(|(_, commodity)| commodity))
}
