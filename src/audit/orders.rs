//! Orders: each with one car or none, a state and a reason; and what rule 6 and 7 ask of its car.

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use super::facts::Facts;
use super::log::Log;
use super::scene::{At, listed};
use super::trips::ends;
use crate::ids::Id;
use crate::layout::LaneEnd;
use crate::session::plan::{OrderLine, OrderState};

/// Checks every order, and that trips speak of orders there are.
pub(super) fn check(facts: &Facts<'_>, log: &Log<'_>, found: &mut Found) {
    let mut seen: BTreeMap<&Id, &OrderLine> = BTreeMap::new();
    let mut serving: BTreeMap<&Id, &Id> = BTreeMap::new();
    let shelf: BTreeSet<&Id> = facts.plan.before.shelf.iter().map(|row| &row.car).collect();
    let ladings: BTreeMap<&Id, &Id> =
        listed(&facts.plan.before).filter_map(|(_, row)| Some((&row.car, row.lading.as_ref()?))).collect();
    for line in &facts.plan.orders {
        if seen.insert(&line.id, line).is_some() {
            found.say(8, format!("order `{}` stands twice", line.id));
        }
        sound(facts, line, found);
        let (OrderState::Filled, Some(car)) = (line.state, &line.car) else { continue };
        if let Some(other) = serving.insert(car, &line.id) {
            found.say(8, format!("`{car}` serves both `{other}` and `{}`", line.id));
        }
        if shelf.contains(car) && !facts.layout.settings().shelf {
            found
                .say(6, format!("`{car}` is taken from the shelf for `{}`, which the host forbids", line.id));
        }
        ready(facts, log, line, (car, ladings.get(car).copied()), found);
    }
    for trip in &facts.plan.trips {
        let Some(order) = &trip.order else { continue };
        match seen.get(order) {
            None => found.say(8, format!("the trip of `{}` serves `{order}`, which is no order", trip.car)),
            Some(line) if line.car.as_ref() != Some(&trip.car) => {
                found.say(8, format!("the trip of `{}` serves `{order}`, which has another car", trip.car));
            }
            Some(_) => {}
        }
    }
}

/// What a line of an order must have.
fn sound(facts: &Facts<'_>, line: &OrderLine, found: &mut Found) {
    if line.why.trim().is_empty() {
        found.say(8, format!("order `{}` has no reason", line.id));
    }
    match (line.state, &line.car) {
        (OrderState::Filled, None) => found.say(8, format!("order `{}` is filled by no car", line.id)),
        (OrderState::Waiting, Some(car)) => {
            found.say(8, format!("order `{}` waits for a car and has `{car}`", line.id));
        }
        (_, Some(car)) if !facts.roster.contains_key(car) => {
            found.say(8, format!("order `{}` has `{car}`, which is not in the roster", line.id));
        }
        _ => {}
    }
    let lane = facts.lanes.get(&line.lane);
    let commodity = lane.map(|lane| &facts.layout.commodities()[lane.commodity].id);
    if commodity.is_some_and(|commodity| *commodity != line.commodity) {
        found.say(8, format!("order `{}` carries what its lane does not", line.id));
    }
}

/// Rule 7: a car that stands where it is loaded or unloaded for its order, and with which the
/// customer has not finished, stays with that customer.
fn ready(
    facts: &Facts<'_>,
    log: &Log<'_>,
    line: &OrderLine,
    (car, lading): (&Id, Option<&Id>),
    found: &mut Found,
) {
    let known = lading.is_none() || lading == Some(&line.commodity);
    if log.released.contains_key(car) || !known {
        return;
    }
    let Some(ends) = ends(facts, &line.lane, lading.is_some()) else { return };
    let is_there = |at: Option<&At<'_>>| match at {
        Some(At::Track(track, spot)) => ends.contains(track) || spot.is_some_and(|spot| ends.contains(&spot)),
        _ => false,
    };
    let customer = facts.lanes.get(&line.lane).is_some_and(|lane| {
        matches!(if lading.is_some() { lane.to } else { lane.from }, LaneEnd::Industry(_))
    });
    if customer && is_there(log.start.get(car)) && !is_there(log.end.get(car)) {
        found.say(7, format!("`{car}` is taken from its customer before order `{}` is ready", line.id));
    }
}
