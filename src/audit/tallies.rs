//! What the plan counts for the host, held against its events: gateways (rule 10), loads that show
//! and kinds of car asked for (rules 6 and 8), and jobs that run light (rule 12).

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use super::facts::Facts;
use super::room::count;
use super::scene::listed;
use crate::ids::Id;
use crate::session::plan::{Event, GatewayLine, OrderState, WorldGateway};

/// Checks everything that is counted.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    gateways(facts, found);
    loads(facts, found);
    kinds(facts, found);
    light_jobs(facts, found);
}

/// Rule 10: every gateway has one line, and it is what the events and the rows say.
fn gateways(facts: &Facts<'_>, found: &mut Found) {
    let mut lines: BTreeMap<&Id, &GatewayLine> = BTreeMap::new();
    for line in &facts.plan.gateways {
        if lines.insert(&line.gateway, line).is_some() {
            found.say(10, format!("the gateway `{}` is counted twice", line.gateway));
        }
    }
    let mut moved: BTreeMap<&Id, (usize, usize)> = BTreeMap::new();
    for event in &facts.plan.events {
        match event {
            Event::Placed { gateway, .. } => moved.entry(gateway).or_default().0 += 1,
            Event::Lifted { gateway, .. } => moved.entry(gateway).or_default().1 += 1,
            _ => {}
        }
    }
    for gateway in &facts.plan.world.gateways {
        let moved = moved.get(&gateway.id).copied().unwrap_or_default();
        match lines.remove(&gateway.id) {
            None => found.say(10, format!("nothing counts the cars of the gateway `{}`", gateway.id)),
            Some(line) => counted(facts, (gateway, moved), line, found),
        }
    }
    for gateway in lines.keys() {
        found.say(10, format!("`{gateway}` is counted, but is no gateway of that day"));
    }
}

/// A gateway's line, held against how many cars were placed and lifted there.
fn counted(
    facts: &Facts<'_>,
    (gateway, (placed, lifted)): (&WorldGateway, (usize, usize)),
    line: &GatewayLine,
    found: &mut Found,
) {
    let mut say = |text: String| found.say(10, format!("the gateway `{}` {text}", gateway.id));
    let (received, delivered) = (count(placed), count(lifted));
    if (received.count(), delivered.count()) != (line.received, line.delivered) {
        say(format!("brings {received} and takes {delivered}, not {} and {}", line.received, line.delivered));
    }
    if line.received_in_all < line.received || line.delivered_in_all < line.delivered {
        say("brought or took less in all than tonight".to_owned());
    }
    if line.net != i64::from(line.received_in_all) - i64::from(line.delivered_in_all) {
        say("has a balance that is not what came less what went".to_owned());
    }
    if gateway.limit.is_some_and(|most| received > most) {
        say(format!("brings {received}, more than it gives in one session"));
    }
    let tracks: BTreeSet<&Id> = gateway.takes.iter().chain(&gateway.gives).collect();
    let rows = tracks.iter().filter_map(|track| facts.plan.after.tracks.get(*track));
    let standing: BTreeSet<&Id> = rows.flatten().map(|row| &row.car).collect();
    if count(standing.len()).count() != line.standing {
        say(format!("has {} on its tracks after the session, not {}", standing.len(), line.standing));
    }
    match &line.oldest {
        None if standing.is_empty() => {}
        Some(oldest) if standing.contains(&oldest.car) && oldest.since <= facts.plan.session => {}
        _ => say("does not tell the oldest car on its tracks".to_owned()),
    }
}

/// Rule 6: every load that is to be put in or taken out by hand is told, and no other.
fn loads(facts: &Facts<'_>, found: &mut Found) {
    let mut ladings: BTreeMap<&Id, &Id> =
        listed(&facts.plan.before).filter_map(|(_, row)| Some((&row.car, row.lading.as_ref()?))).collect();
    let shows = |car: &Id| facts.cars.get(car).is_some_and(|car| car.load.as_deref() == Some("lifts out"));
    let mut wanted: Vec<(&Id, &Id, bool)> = Vec::new();
    for event in &facts.plan.events {
        let (car, now) = match event {
            Event::Released { car, lading } | Event::Placed { car, lading, .. } => (car, lading.as_ref()),
            // What is lifted takes its load out of the layout.
            Event::Lifted { car, .. } => (car, None),
            _ => continue,
        };
        let was = ladings.remove(car);
        if let Some(lading) = now {
            ladings.insert(car, lading);
        }
        if !shows(car) || was == now {
            continue;
        }
        // A car that is placed comes without a load that anybody would have to take out.
        let out = was.filter(|_| !matches!(event, Event::Placed { .. }));
        wanted.extend(out.map(|lading| (car, lading, false)));
        wanted.extend(now.map(|lading| (car, lading, true)));
    }
    let mut told: Vec<(&Id, &Id, bool)> =
        facts.plan.loads.iter().map(|line| (&line.car, &line.lading, line.put_in)).collect();
    told.sort_unstable();
    wanted.sort_unstable();
    for (car, lading, put_in) in wanted.iter().filter(|line| told.binary_search(line).is_err()) {
        let deed = if *put_in { "put into" } else { "taken out of" };
        found.say(6, format!("nobody is told that `{lading}` is {deed} `{car}`"));
    }
    for (car, lading, _) in told.iter().filter(|line| wanted.binary_search(line).is_err()) {
        found.say(6, format!("`{lading}` of `{car}` is to be lifted, and nothing in the plan asks for it"));
    }
    if told.len() != wanted.len() && told.iter().all(|line| wanted.binary_search(line).is_ok()) {
        found.say(6, "a load is to be lifted twice");
    }
}

/// Rule 8: the counts of the kinds asked for add up to the orders that wait.
fn kinds(facts: &Facts<'_>, found: &mut Found) {
    let mut waiting: BTreeMap<Vec<&Id>, usize> = BTreeMap::new();
    for order in facts.plan.orders.iter().filter(|order| order.state == OrderState::Waiting) {
        let Some(lane) = facts.lanes.get(&order.lane) else { continue };
        let kinds =
            if lane.cars.is_empty() { &facts.layout.commodities()[lane.commodity].cars } else { &lane.cars };
        let kinds = kinds.iter().map(|kind| &facts.layout.types()[*kind].code).collect();
        *waiting.entry(kinds).or_default() += 1;
    }
    for line in &facts.plan.kinds {
        let names = line.kinds.iter().map(Id::as_str).collect::<Vec<_>>().join(" or ");
        if line.ordered != line.filled + line.held + line.unfilled {
            found.say(8, format!("the orders for {names} are not filled, held or unfilled"));
        }
        let real = waiting.remove(&line.kinds.iter().collect::<Vec<_>>()).unwrap_or(0);
        if count(real).count() != line.held + line.unfilled {
            found.say(8, format!("{real} orders wait for {names}, not {}", line.held + line.unfilled));
        }
        if (line.unfilled > 0) == line.why.is_empty() {
            found.say(8, format!("the orders for {names} that are not filled have no reason"));
        }
    }
    for kinds in waiting.keys() {
        let names = kinds.iter().map(|kind| kind.as_str()).collect::<Vec<_>>().join(" or ");
        found.say(8, format!("orders wait for {names}, and no count of kinds says so"));
    }
}

/// Rule 12: a job that moves no car is told before anything prints.
fn light_jobs(facts: &Facts<'_>, found: &mut Found) {
    let busy: BTreeSet<&Id> = facts
        .plan
        .events
        .iter()
        .filter_map(|event| match event {
            Event::Couple { job, .. } | Event::Leave { job, .. } => Some(job),
            _ => None,
        })
        .collect();
    for job in facts.plan.world.jobs.iter().filter(|job| !busy.contains(&job.id)) {
        let mut notices = facts.plan.notices.iter().filter(|notice| &*notice.about == "light job");
        if !notices.any(|notice| notice.text.contains(&*job.name) || notice.text.contains(job.id.as_str())) {
            found.say(12, format!("`{}` runs light, and no notice says so", job.id));
        }
    }
}
