//! Whether every engine that one job leaves elsewhere than where the next one begins is fetched, by the shortest way.
//!
//! Found anew from the events and the world of the plan alone.

use std::collections::BTreeMap;

use super::Found;
use super::facts::Facts;
use super::minutes;
use crate::ids::Id;
use crate::session::plan::{Event, JobMinutes, LightRun, WorldJob};
use crate::units::Minutes;

/// An engine to be fetched: the job that had it before, where that ends, and where the one begins that fetches it.
type Fetched<'p> = (&'p Id, &'p Id, &'p Id);

/// Rule 12: a job begins with the light run of its engine if that is elsewhere, and with none if not.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let fetched = fetched(facts);
    for JobMinutes { job, light, .. } in &facts.plan.minutes {
        match (light, fetched.get(job)) {
            (None, None) => {}
            (Some(light), Some(wanted)) if (&light.after, &light.from, &light.to) == *wanted => {
                runs(facts, job, light, found);
            }
            (Some(light), _) => {
                let LightRun { after, from, to, .. } = light;
                let text = format!(
                    "`{job}` fetches its engine at `{from}` for `{to}`, after `{after}`: it is not so"
                );
                found.say(12, text);
            }
            (None, Some((after, from, _))) => {
                found.say(
                    12,
                    format!("`{after}` leaves the engine of `{job}` at `{from}`, and nobody fetches it"),
                );
            }
        }
    }
}

/// By job, its engine where it is left elsewhere by the last one before it that has it.
fn fetched<'p>(facts: &Facts<'p>) -> BTreeMap<&'p Id, Fetched<'p>> {
    let mut last: BTreeMap<&str, &WorldJob> = BTreeMap::new();
    let mut fetched = BTreeMap::new();
    for event in &facts.plan.events {
        let Event::Starts { job, place } = event else { continue };
        let Some(known) = facts.jobs.get(job) else { continue };
        let before = known.engine.as_deref().and_then(|engine| last.insert(engine, known));
        let left = before.and_then(|before| Some((&before.id, before.calls.last()?, place)));
        fetched.extend(left.filter(|(_, from, to)| from != to).map(|left| (job, left)));
    }
    fetched
}

/// Whether a light run goes over links, over no more of them than it must, and takes as long as they do.
fn runs(facts: &Facts<'_>, job: &Id, light: &LightRun, found: &mut Found) {
    let over = light.way.windows(2).map(|pair| minutes::link(facts, &pair[0], &pair[1]));
    let over: Option<Minutes> = over.sum();
    let ends = (light.way.first(), light.way.last()) == (Some(&light.from), Some(&light.to));
    let shortest = shortest(facts, &light.from, &light.to);
    let sound = match shortest {
        Some(shortest) => ends && over == Some(shortest) && light.links == shortest,
        None => light.way.is_empty() && light.links == Minutes::default(),
    };
    if !sound {
        found.say(12, format!("the engine of `{job}` is not fetched by the shortest way"));
    }
    if light.run != minutes::run(light.links, &facts.plan.pace) {
        found.say(12, format!("the light run of the engine of `{job}` does not take as long as its links"));
    }
}

/// The shortest run from one place to another; nothing where no links join them.
fn shortest(facts: &Facts<'_>, from: &Id, to: &Id) -> Option<Minutes> {
    let mut reached: BTreeMap<&Id, Minutes> = BTreeMap::from([(from, Minutes::default())]);
    let mut nearer = true;
    while nearer {
        nearer = false;
        for link in &facts.plan.world.links {
            for (one, other) in [(&link.west, &link.east), (&link.east, &link.west)] {
                let Some(by_it) = reached.get(one).map(|so_far| *so_far + link.seconds) else { continue };
                if reached.get(other).is_none_or(|known| by_it < *known) {
                    reached.insert(other, by_it);
                    nearer = true;
                }
            }
        }
    }
    reached.get(to).copied()
}
