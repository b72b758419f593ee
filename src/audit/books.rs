//! What goes on from session to session: open orders (rule 8), and the cars that are chosen for them
//! tonight (rules 5 and 6).

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use super::facts::Facts;
use super::scene::listed;
use crate::ids::Id;
use crate::layout::{LaneEnd, Service};
use crate::session::plan::{OpenOrder, OrderLine, OrderState};

/// No order is lost or comes from nowhere, and those that get their car tonight get one that will do.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let plan = facts.plan;
    let open: BTreeMap<&Id, &OpenOrder> = plan.before.orders.iter().map(|order| (&order.id, order)).collect();
    let known: BTreeSet<&Id> = plan.orders.iter().map(|line| &line.id).collect();
    for id in open.keys().filter(|id| !known.contains(*id)) {
        found.say(8, format!("order `{id}` was open before the session, and the plan does not tell of it"));
    }
    let dirty: BTreeSet<&Id> =
        listed(&plan.before).filter(|(_, row)| row.dirty).map(|(_, row)| &row.car).collect();
    for line in &plan.orders {
        let before = open.get(&line.id);
        if before.is_none() && line.due != plan.session {
            found.say(8, format!("order `{}` was not open, and did not come due in this session", line.id));
        }
        let chosen = before.is_none_or(|order| order.car != line.car);
        if let (OrderState::Filled, Some(car), true) = (line.state, &line.car, chosen) {
            fit(facts, line, car, found);
            if dirty.contains(car) {
                can_be_cleaned(facts, line, car, found);
            }
        }
    }
    let open = |line: &&OrderLine| matches!(line.state, OrderState::Waiting | OrderState::Filled);
    let mut wanted: Vec<OpenOrder> = plan.orders.iter().filter(open).map(open_order).collect();
    let mut stated = plan.after.orders.clone();
    wanted.sort();
    stated.sort();
    for order in wanted.iter().filter(|order| stated.binary_search(order).is_err()) {
        found.say(8, format!("order `{}` is open, and is not handed on as it is", order.id));
    }
    for order in stated.iter().filter(|order| wanted.binary_search(order).is_err()) {
        found.say(8, format!("order `{}` is handed on, and is not open like that", order.id));
    }
}

fn open_order(line: &OrderLine) -> OpenOrder {
    OpenOrder { id: line.id.clone(), car: line.car.clone() }
}

/// Rule 6, for a car that was chosen tonight, by today's description.
fn fit(facts: &Facts<'_>, line: &OrderLine, car: &Id, found: &mut Found) {
    let (Some(lane), Some(known)) = (facts.lanes.get(&line.lane), facts.roster.get(car)) else { return };
    let commodity = &facts.layout.commodities()[lane.commodity];
    let kinds = if lane.cars.is_empty() { &commodity.cars } else { &lane.cars };
    if !kinds.contains(&known.kind) {
        found.say(6, format!("`{car}` is of a kind that does not carry {}", commodity.id));
    }
    if known.grade < commodity.grade {
        found.say(6, format!("`{car}` is too rough for {}", commodity.id));
    }
    let serves =
        |end: LaneEnd| matches!(end, LaneEnd::Industry(industry) if Some(industry) == known.assigned);
    if known.assigned.is_some() && !serves(lane.from) && !serves(lane.to) {
        found.say(6, format!("`{car}` is assigned to another customer's service"));
    }
    let (year, (first, last)) = (facts.plan.date.year(), known.years);
    if first.is_some_and(|first| year < first) || last.is_some_and(|last| last < year) {
        found.say(5, format!("`{car}` is outside its years"));
    }
    if !known.existence.on(facts.plan.date) || known.visits.one_in == 0 {
        found.say(5, format!("`{car}` does not run on that day, and serves `{}`", line.id));
    }
}

/// A dirty car is chosen for what wants a clean one only where it can be cleaned before it is loaded.
fn can_be_cleaned(facts: &Facts<'_>, line: &OrderLine, car: &Id, found: &mut Found) {
    let Some(lane) = facts.lanes.get(&line.lane) else { return };
    let offered = facts.plan.world.tracks.iter().any(|track| track.offers.contains(&Service::Clean));
    let here = matches!(lane.from, LaneEnd::Industry(_));
    if facts.layout.commodities()[lane.commodity].clean && !(offered && here) {
        found.say(6, format!("`{car}` is dirty, and nothing cleans it for `{}`", line.id));
    }
}
