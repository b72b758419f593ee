//! Engines that a job takes over from another one that ends elsewhere: somebody must run them there, light.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::{Event, Plan, WorldJob};
use crate::units::{Effort, Minutes};

/// An engine that must be run light from one job to the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Light<'a> {
    pub(super) engine: &'a str,
    /// The job that had it.
    pub(super) before: &'a Id,
    /// The job that has it next.
    pub(super) then: &'a Id,
    /// Where the one ends.
    pub(super) from: &'a Id,
    /// Where the other begins.
    pub(super) to: &'a Id,
    /// Whether a caboose comes along: both jobs have it.
    pub(super) caboose: bool,
    /// How long that takes, which is counted to no job.
    pub(super) run: Minutes,
}

/// The engines of a plan that must be run light, in the order in which jobs begin.
pub(super) fn light(plan: &Plan) -> Vec<Light<'_>> {
    let jobs: BTreeMap<&Id, &WorldJob> = plan.world.jobs.iter().map(|job| (&job.id, job)).collect();
    let mut last: BTreeMap<&str, &WorldJob> = BTreeMap::new();
    let mut light = Vec::new();
    for event in &plan.events {
        let Event::Starts { job, place } = event else { continue };
        let Some(job) = jobs.get(job) else { continue };
        let Some(engine) = job.engine.as_deref() else { continue };
        let before = last.insert(engine, job);
        if let Some((before, from)) = before.and_then(|before| Some((before, before.calls.last()?)))
            && from != place
        {
            let run = run(plan, from, place);
            let (before, caboose) = (&before.id, before.caboose && job.caboose);
            light.push(Light { engine, before, then: &job.id, from, to: place, caboose, run });
        }
    }
    light
}

/// Whether the caboose of a job is coupled to its engine when it begins: not where the engine has just come from a
/// job without one.
pub(super) fn caboose_coupled(plan: &Plan, job: &WorldJob) -> bool {
    let started = plan.events.iter().filter_map(|event| match event {
        Event::Starts { job, .. } => plan.world.jobs.iter().find(|known| known.id == *job),
        _ => None,
    });
    let same = started.take_while(|before| before.id != job.id).filter(|before| before.engine == job.engine);
    job.caboose && (job.engine.is_none() || same.last().is_none_or(|before| before.caboose))
}

/// How long an engine by itself runs from one place to another by the shortest way; no time where none leads there.
fn run(plan: &Plan, from: &Id, to: &Id) -> Minutes {
    let mut reached: BTreeMap<&Id, Minutes> = BTreeMap::from([(from, Minutes::default())]);
    let mut nearer = true;
    while nearer {
        nearer = false;
        let links = plan.world.links.iter();
        for (one, other, run) in links
            .flat_map(|link| [(&link.west, &link.east, link.seconds), (&link.east, &link.west, link.seconds)])
        {
            let Some(by_it) = reached.get(one).map(|so_far| *so_far + run) else { continue };
            if reached.get(other).is_none_or(|known| by_it < *known) {
                reached.insert(other, by_it);
                nearer = true;
            }
        }
    }
    let links = reached.get(to).copied().unwrap_or_default();
    Effort { links, ..Effort::default() }.run(&plan.pace)
}
