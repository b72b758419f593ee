//! What the host is told about each car's way, held against the handlings; and who may handle it.

use std::collections::BTreeSet;

use super::Found;
use super::facts::Facts;
use super::log::{Leg, Log};
use super::replay::call_place;
use super::scene::At;
use crate::ids::Id;
use crate::layout::{Industry, JobKind, LaneEnd, Service};
use crate::session::plan::{LegLine, TripLine};

/// Checks every trip, and that no car is moved without one.
pub(super) fn check(facts: &Facts<'_>, log: &Log<'_>, found: &mut Found) {
    let legs = log.legs();
    let none = Vec::new();
    let mut seen: BTreeSet<&Id> = BTreeSet::new();
    for trip in &facts.plan.trips {
        if !seen.insert(&trip.car) {
            found.say(8, format!("`{}` has two trips", trip.car));
            continue;
        }
        let real = legs.get(&trip.car).unwrap_or(&none);
        stated(log, trip, found);
        agree(trip, real, found);
        no_place_twice(facts, trip, found);
        services(facts, log, trip, real, found);
        goals(trip, found);
        destination(facts, trip, found);
        made_up(facts, trip, found);
    }
    for (car, real) in &legs {
        if !facts.trips.contains_key(car) {
            found.say(8, format!("`{car}` is moved, and no trip says why"));
        }
        for leg in real {
            may_handle(facts, car, leg, found);
        }
    }
    // A car that is repaired has come to where it was going.
    let on_its_way = |done: &[(usize, Service)]| done.iter().any(|(_, service)| *service != Service::Repair);
    let served = log.served.iter().filter(|(_, done)| on_its_way(done));
    for (car, _) in served.filter(|(car, _)| !facts.trips.contains_key(*car)) {
        found.say(7, format!("`{car}` is served on its way, and has no trip"));
    }
}

/// What a trip says of its car, its lading and its reason.
fn stated(log: &Log<'_>, trip: &TripLine, found: &mut Found) {
    let car = &trip.car;
    if trip.why.trim().is_empty() {
        found.say(8, format!("the trip of `{car}` has no reason"));
    }
    if trip.legs.iter().any(|leg| leg.why.trim().is_empty()) {
        found.say(8, format!("a leg of `{car}` has no reason"));
    }
    if trip.arrives && (trip.legs.is_empty() || trip.expected.is_some()) {
        found.say(8, format!("the trip of `{car}` arrives, and says too that it does not"));
    }
    match log.start.get(car) {
        Some(At::Track(track, _)) if **track == trip.from => {}
        Some(at) => {
            found.say(8, format!("the trip of `{car}` begins on `{}`, but the car is {at}", trip.from));
        }
        None => found.say(0, format!("`{car}` has a trip, but is no car of the session")),
    }
    if log.ladings.get(car).copied() != trip.lading.as_ref() {
        found.say(7, format!("the trip of `{car}` tells another lading than the events"));
    }
}

fn agree(trip: &TripLine, real: &[Leg<'_>], found: &mut Found) {
    let same = |line: &LegLine, leg: &Leg<'_>| {
        line.job == *leg.job
            && (line.from_call, line.to_call) == (leg.from_call, leg.to_call)
            && line.from == *leg.from
            && line.to == *leg.to
            && line.spot.as_ref() == leg.spot
    };
    let fits = trip.legs.len() == real.len() && trip.legs.iter().zip(real).all(|(line, leg)| same(line, leg));
    if !fits {
        let told: Vec<String> = real.iter().map(told).collect();
        let told = if told.is_empty() { "it stays".to_owned() } else { told.join(", then ") };
        found.say(5, format!("the legs of `{}` are not what the handlings do: {told}", trip.car));
    }
}

fn told(leg: &Leg<'_>) -> String {
    let to = leg.spot.unwrap_or(leg.to);
    format!(
        "`{}` takes it from `{}` at call {} to `{to}` at call {}",
        leg.job, leg.from, leg.from_call, leg.to_call
    )
}

/// A car that leaves a place does not come back to it on the same delivery. Two set-outs in a row
/// at one place, as for a scale there, are one visit.
fn no_place_twice(facts: &Facts<'_>, trip: &TripLine, found: &mut Found) {
    let mut visited: Vec<&Id> = Vec::new();
    for leg in &trip.legs {
        let Some(place) = facts.tracks.get(&leg.to).map(|track| &track.place) else { continue };
        if visited.last() == Some(&place) {
            continue;
        }
        if visited.contains(&place) {
            found.say(5, format!("`{}` is set out twice at `{place}` for one delivery", trip.car));
        }
        visited.push(place);
    }
}

/// A train is made up by yard jobs alone, and its crew takes the car from where they leave it.
fn made_up(facts: &Facts<'_>, trip: &TripLine, found: &mut Found) {
    for (number, leg) in trip.legs.iter().enumerate() {
        let Some(train) = &leg.made_up_for else { continue };
        if facts.described_jobs.get(&leg.job).is_none_or(|job| job.kind != JobKind::Yard) {
            found.say(8, format!("`{}` makes up a train with `{}`, and is no yard job", leg.job, trip.car));
        }
        let next = trip.legs.get(number + 1);
        if next.is_none_or(|next| next.job != *train || next.from != leg.to) {
            found.say(
                8,
                format!("`{}` is made up for `{train}`, which does not take it from there", trip.car),
            );
        }
    }
}

/// Services are done in order, and none is skipped on the way to the end of the trip.
fn services(facts: &Facts<'_>, log: &Log<'_>, trip: &TripLine, real: &[Leg<'_>], found: &mut Found) {
    // A bad order that is mended has come to its goal: that is no service on a way.
    let on_the_way = |done: &&(usize, Service)| done.1 != Service::Repair || trip.services.contains(&done.1);
    let done: Vec<(usize, Service)> =
        log.served.get(&trip.car).into_iter().flatten().filter(on_the_way).copied().collect();
    let in_order = done.len() <= trip.services.len()
        && done.iter().zip(&trip.services).all(|((_, done), wanted)| done == wanted);
    if !in_order {
        found.say(7, format!("the services of `{}` are not done in the order of its trip", trip.car));
    }
    none_skipped(facts, log, trip, found);
    let (true, Some(last)) = (trip.arrives, real.last()) else { return };
    let offers = facts.tracks.get(last.to).map_or(&[][..], |track| track.offers.as_slice());
    for (number, service) in trip.services.iter().enumerate() {
        let before = done.get(number).is_some_and(|(event, _)| *event < last.left);
        if !before && !offers.contains(service) {
            found.say(7, format!("`{}` arrives without having been to {}", trip.car, service.word()));
        }
    }
}

/// What is done by hand before the first job and what the trip still has to do end as the car's lane does.
fn none_skipped(facts: &Facts<'_>, log: &Log<'_>, trip: &TripLine, found: &mut Found) {
    let order = trip.order.as_ref().filter(|_| trip.lading.is_some() && !trip.for_repair);
    let lane = order.and_then(|order| facts.lanes.get(&facts.orders.get(order)?.lane));
    let Some(lane) = lane else { return };
    let by_hand = log.served_by_hand.get(&trip.car).into_iter().flatten();
    let by_hand = by_hand.filter(|service| lane.on_the_way.contains(service));
    let left: Vec<Service> = by_hand.chain(&trip.services).copied().collect();
    if !lane.on_the_way.ends_with(&left) {
        found.say(7, format!("the services of `{}` are not the last of its lane", trip.car));
    }
}

/// A trip has a goal for each of its stages, and one that arrives ends at the last.
fn goals(trip: &TripLine, found: &mut Found) {
    if trip.goals.len() != trip.services.len() + 1 {
        found.say(8, format!("the trip of `{}` has not one goal for each stage", trip.car));
    }
    let (true, Some(leg), Some(goal)) = (trip.arrives, trip.legs.last(), trip.goals.last()) else { return };
    if !goal.contains(&leg.to) && !leg.spot.as_ref().is_some_and(|spot| goal.contains(spot)) {
        let at = leg.spot.as_ref().unwrap_or(&leg.to);
        found.say(8, format!("`{}` arrives at `{at}`, which is not the goal of its trip", trip.car));
    }
}

/// A car that arrives for an order is where its order wants it.
fn destination(facts: &Facts<'_>, trip: &TripLine, found: &mut Found) {
    let (true, Some(leg), Some(order)) = (trip.arrives, trip.legs.last(), &trip.order) else { return };
    if trip.for_repair {
        return;
    }
    let Some(line) = facts.orders.get(order) else { return };
    let Some(ends) = ends(facts, &line.lane, trip.lading.is_some()) else { return };
    let offers = facts.tracks.get(&leg.to).map_or(&[][..], |track| track.offers.as_slice());
    let for_service = trip.services.iter().any(|service| offers.contains(service));
    let there = ends.contains(&&leg.to) || leg.spot.as_ref().is_some_and(|spot| ends.contains(&spot));
    if !there && !for_service {
        let at = leg.spot.as_ref().unwrap_or(&leg.to);
        found.say(8, format!("`{}` arrives at `{at}`, where its order does not want it", trip.car));
    }
}

/// Where an order's car is loaded, or, once loaded, where it is bound: spots and tracks.
pub(super) fn ends<'p>(facts: &Facts<'p>, lane: &Id, loaded: bool) -> Option<Vec<&'p Id>> {
    let lane = facts.lanes.get(lane)?;
    let layout = facts.layout;
    let ids = match if loaded { lane.to } else { lane.from } {
        LaneEnd::Industry(industry) => {
            let industry = &layout.industries()[industry];
            let targets =
                if loaded { industry.unloads_at(lane.commodity) } else { industry.loads_at(lane.commodity) };
            targets.iter().map(|target| facts.target(*target)).collect()
        }
        LaneEnd::Beyond(gateway, _) => {
            layout.gateways()[gateway].takes.iter().map(|track| &layout.tracks()[*track].id).collect()
        }
    };
    Some(ids)
}

/// The job may work the tracks from and to which it moves a car, and the customers there.
fn may_handle(facts: &Facts<'_>, car: &Id, leg: &Leg<'_>, found: &mut Found) {
    let Some(job) = facts.jobs.get(leg.job) else { return };
    let described = facts.described_jobs.get(leg.job);
    for (call, track) in [(leg.from_call, leg.from), (leg.to_call, leg.to)] {
        let Some(place) = call_place(job, call) else { continue };
        let named = described.is_some_and(|job| {
            let at = |known: &&crate::layout::Call| facts.layout.places()[known.place].id == *place;
            let mut there = job.calls.iter().filter(at).filter(|call| !call.tracks.is_empty()).peekable();
            let every_call_names = job.calls.iter().filter(at).all(|call| !call.tracks.is_empty());
            every_call_names
                && there.peek().is_some()
                && !there.any(|call| call.tracks.iter().any(|ix| facts.layout.tracks()[*ix].id == *track))
        });
        if named {
            found.say(
                5,
                format!("`{}` does not work `{track}` at `{place}`, but moves `{car}` there", leg.job),
            );
        }
    }
    let Some(at) = facts.served.get(leg.spot.unwrap_or(leg.to)) else { return };
    let served = |industry: &&Industry| {
        industry.served_by.is_empty()
            || industry.served_by.iter().any(|road| facts.layout.railroads()[*road].id == job.railroad)
    };
    let own = customer(facts, car).filter(|own| at.iter().any(|known| known.id == own.id));
    let may = own.map_or_else(|| at.iter().any(&served), |own| served(&own));
    if !may {
        found.say(5, format!("`{}` may not serve the customer to whom it brings `{car}`", leg.job));
    }
}

/// The customer to whom a car goes for its order.
pub(super) fn customer<'p>(facts: &Facts<'p>, car: &Id) -> Option<&'p Industry> {
    let trip = facts.trips.get(car)?;
    let line = facts.orders.get(trip.order.as_ref()?)?;
    let lane = facts.lanes.get(&line.lane)?;
    match if trip.lading.is_some() { lane.to } else { lane.from } {
        LaneEnd::Industry(industry) => Some(&facts.layout.industries()[industry]),
        LaneEnd::Beyond(..) => None,
    }
}
