//! A train between two calls: rule 3 and what rule 5 says of the way.

use super::Found;
use super::facts::Facts;
use super::room::{count, inches, passes};
use super::scene::Scene;
use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Train, WorldJob, WorldLimits, WorldLink};
use crate::units::{Length, Tons};

/// The cars on both sides of an engine, each row from west to east.
#[derive(Clone, Debug, Default)]
pub(super) struct Consist<'p> {
    pub(super) west: Vec<&'p Id>,
    pub(super) east: Vec<&'p Id>,
}

impl<'p> Consist<'p> {
    pub(super) fn is_empty(&self) -> bool {
        self.west.is_empty() && self.east.is_empty()
    }

    pub(super) fn cars(&self) -> impl Iterator<Item = &'p Id> {
        self.west.iter().chain(&self.east).copied()
    }

    /// The cars and the power together.
    pub(super) fn length(&self, facts: &Facts<'_>, job: &WorldJob) -> Length {
        job.power + self.cars().map(|car| facts.length(car)).sum()
    }
}

/// Checks that a stated train is the real one, and within its job's limits.
pub(super) fn limits(
    facts: &Facts<'_>,
    scene: &Scene<'_>,
    job: &WorldJob,
    consist: &Consist<'_>,
    stated: &Train,
    found: &mut Found,
) {
    let same = |real: &[&Id], said: &[Id]| real.iter().copied().eq(said);
    if !same(&consist.west, &stated.west) || !same(&consist.east, &stated.east) {
        found.say(4, format!("the train of `{}` has other cars than the plan says", job.id));
    }
    let length = consist.length(facts, job);
    if length != stated.length {
        let text = format!("the train of `{}` is {}, not {}", job.id, inches(length), inches(stated.length));
        found.say(3, text);
    }
    let tons: Tons = consist.cars().map(|car| facts.weight(car, scene.lading(car))).sum();
    if tons != stated.tons {
        found.say(3, format!("the train of `{}` weighs {tons}, not {}", job.id, stated.tons));
    }
    let cars = count(consist.cars().count());
    if job.max_cars.is_some_and(|most| cars > most) {
        found.say(3, format!("the train of `{}` has {cars}, more than it may", job.id));
    }
    if job.max_length.is_some_and(|most| length > most) {
        found.say(3, format!("the train of `{}` is {}, longer than it may be", job.id, inches(length)));
    }
    if job.max_tons.is_some_and(|most| tons > most) {
        found.say(3, format!("the train of `{}` weighs {tons}, more than it may", job.id));
    }
}

/// Checks a way, and tells the end from which the train comes into its last place; nothing if it
/// does not move.
pub(super) fn way(
    facts: &Facts<'_>,
    scene: &Scene<'_>,
    consist: &Consist<'_>,
    way: &[Id],
    direction: End,
    found: &mut Found,
) -> Option<End> {
    for place in way {
        match facts.places.get(place) {
            None => found.say(5, format!("`{place}` is not there on that day")),
            Some(known) => pass(facts, scene, consist, &known.limits, place.as_str(), found),
        }
    }
    let mut came = None;
    for (number, step) in way.windows(2).enumerate() {
        let [from, to] = step else { continue };
        let links = facts.plan.world.links.iter().filter(|link| joins(link, from, to));
        let links: Vec<&WorldLink> = links.collect();
        let Some(any) = links.first() else {
            found.say(5, format!("no link joins `{from}` and `{to}`"));
            continue;
        };
        let heading = if any.west == *from { End::East } else { End::West };
        if number == 0 && heading != direction {
            let text = format!("`{to}` lies {} of `{from}`, not {}", heading.word(), direction.word());
            found.say(5, text);
        }
        if !links.iter().any(|link| link_passes(facts, scene, consist, &link.limits)) {
            pass(facts, scene, consist, &any.limits, &format!("{from} - {to}"), found);
        }
        came = Some(heading.other());
    }
    came
}

fn joins(link: &WorldLink, from: &Id, to: &Id) -> bool {
    (link.west == *from && link.east == *to) || (link.west == *to && link.east == *from)
}

fn link_passes(facts: &Facts<'_>, scene: &Scene<'_>, consist: &Consist<'_>, limits: &WorldLimits) -> bool {
    let mut trial = Found::default();
    pass(facts, scene, consist, limits, "", &mut trial);
    trial.breaches.is_empty()
}

fn pass(
    facts: &Facts<'_>,
    scene: &Scene<'_>,
    consist: &Consist<'_>,
    limits: &WorldLimits,
    over: &str,
    found: &mut Found,
) {
    let cars = count(consist.cars().count());
    if limits.at_once.is_some_and(|most| cars > most) {
        found.say(5, format!("{cars} are more than `{over}` takes at once"));
    }
    for car in consist.cars() {
        let Some(known) = facts.cars.get(car) else { continue };
        for text in passes(limits, known, facts.weight(car, scene.lading(car))) {
            found.say(5, format!("`{car}` {text} for `{over}`"));
        }
    }
}
