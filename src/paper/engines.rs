//! Engines that a job takes over from another one that ends elsewhere: somebody must run them there, light.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::{Event, Plan, WorldJob};

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
            light.push(Light { engine, before: &before.id, then: &job.id, from, to: place });
        }
    }
    light
}
