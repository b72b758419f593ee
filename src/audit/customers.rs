//! What customers ask: no more cars than they take, none while they are shut, cars in turn; and which
//! cars they have kept beyond their free time.

use std::collections::BTreeMap;

use super::Found;
use super::facts::Facts;
use super::log::Log;
use super::trips::customer;
use crate::ids::Id;
use crate::layout::{Industry, LaneEnd};
use crate::session::plan::{OnHandLine, OrderLine, OrderState, TripLine};
use crate::units::Weekday;

/// A car for a customer, and when it gets to its spot, if it does: job, call and event.
struct Visit<'p> {
    trip: &'p TripLine,
    commodity: &'p Id,
    comes: Option<(&'p Id, u32, usize)>,
}

/// Checks every customer that cars go to.
pub(super) fn check(facts: &Facts<'_>, log: &Log<'_>, found: &mut Found) {
    let legs = log.legs();
    let mut visits: BTreeMap<&Id, (&Industry, Vec<Visit<'_>>)> = BTreeMap::new();
    for trip in facts.plan.trips.iter().filter(|trip| !trip.for_repair) {
        let Some(customer) = customer(facts, &trip.car) else { continue };
        let Some(line) = trip.order.as_ref().and_then(|order| facts.orders.get(order)) else { continue };
        let last = legs.get(&trip.car).and_then(|legs| legs.last()).filter(|_| trip.arrives);
        let comes = last.map(|leg| (leg.job, leg.to_call, leg.left));
        let visit = Visit { trip, commodity: &line.commodity, comes };
        visits.entry(&customer.id).or_insert_with(|| (customer, Vec::new())).1.push(visit);
    }
    let weekday = facts.plan.date.weekday();
    for (customer, visits) in visits.into_values() {
        let come = visits.iter().filter(|visit| visit.comes.is_some());
        if let Some(limit) = customer.limit
            && u32::try_from(come.clone().count()).is_ok_and(|cars| cars > limit.count())
        {
            found.say(7, format!("`{}` takes no more than {limit} a session and gets more", customer.id));
        }
        if customer.shut && !customer.works.has(weekday) {
            for visit in come {
                found.say(7, format!("`{}` comes to `{}`, which is shut", visit.trip.car, customer.id));
            }
        }
        if customer.in_turn {
            in_turn(customer, &visits, found);
        }
    }
    on_hand(facts, found);
}

/// No car comes to a spot before another that has waited longer beside it for the same.
fn in_turn(customer: &Industry, visits: &[Visit<'_>], found: &mut Found) {
    for later in visits {
        let Some((job, call, event)) = later.comes else { continue };
        let passed = visits.iter().find(|sooner| {
            let same = sooner.commodity == later.commodity
                && sooner.trip.lading.is_some() == later.trip.lading.is_some();
            let longer =
                sooner.trip.waits.is_some_and(|since| later.trip.waits.is_none_or(|own| since < own));
            let comes_first = sooner.comes.is_some_and(|(its_job, its_call, its_event)| {
                its_event < event || (its_job, its_call) == (job, call)
            });
            same && longer && !comes_first
        });
        if let Some(sooner) = passed {
            let (car, first) = (&later.trip.car, &sooner.trip.car);
            found.say(7, format!("`{car}` comes to `{}` before `{first}`, which waits longer", customer.id));
        }
    }
}

/// Days on hand: what is stated is what the calendar gives, and a car is with the customer of its order.
fn on_hand(facts: &Facts<'_>, found: &mut Found) {
    for line in &facts.plan.on_hand {
        let serves =
            |order: &&OrderLine| order.state == OrderState::Filled && order.car.as_ref() == Some(&line.car);
        let lane = facts.plan.orders.iter().find(serves).and_then(|order| facts.lanes.get(&order.lane));
        let usual = &facts.layout.settings().free_time;
        let ends = lane.map(|lane| {
            let (load, unload) = lane.free_time;
            [(lane.from, load.unwrap_or(usual.load)), (lane.to, unload.unwrap_or(usual.unload))]
        });
        let free: Vec<u32> = ends
            .into_iter()
            .flatten()
            .filter(|(end, _)| matches!(end, LaneEnd::Industry(ix) if facts.layout.industries()[*ix].id == line.customer))
            .map(|(_, free)| free.count())
            .collect();
        if free.is_empty() {
            found.say(8, format!("`{}` is on hand at `{}`, where it has no order", line.car, line.customer));
        } else if !free.iter().any(|free| days(facts, line, *free) == (line.days, line.over)) {
            found.say(8, format!("the days on hand of `{}` are not those of the calendar", line.car));
        }
    }
}

/// The days that count, and those beyond the free ones, from the morning after a car was placed: a
/// weekend or a holiday counts only once a day was charged, unless weekends count anyhow.
fn days(facts: &Facts<'_>, line: &OnHandLine, free: u32) -> (u32, u32) {
    let settings = facts.layout.settings();
    let (mut days, mut over) = (0, 0);
    for session in line.placed + 1..=facts.plan.session {
        let date = settings.days.of_session(session);
        let idle = [Weekday::Saturday, Weekday::Sunday].contains(&date.weekday());
        let idle = idle && !settings.free_time.weekends || settings.free_time.holidays.contains(&date);
        if over == 0 && idle {
            continue;
        }
        days += 1;
        over = u32::saturating_sub(days, free);
    }
    (days, over)
}
