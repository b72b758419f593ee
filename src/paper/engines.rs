//! Engines that a job takes over from another one that ends elsewhere: its crew fetches them there, light.

use crate::ids::Id;
use crate::session::plan::{Event, LightRun, Plan, WorldJob};

/// An engine that must be run light from one job to the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Light<'a> {
    pub(super) engine: &'a str,
    /// The job that has it next: its crew runs it.
    pub(super) then: &'a Id,
    pub(super) run: &'a LightRun,
    /// Whether a caboose comes along: both jobs have it.
    pub(super) caboose: bool,
}

/// The engines of a plan that must be run light, in the order in which jobs begin.
pub(super) fn light(plan: &Plan) -> Vec<Light<'_>> {
    let runs = plan.minutes.iter().filter_map(|told| {
        let run = told.light.as_ref()?;
        let (before, then) = (job_of(plan, &run.after)?, job_of(plan, &told.job)?);
        let caboose = before.caboose && then.caboose;
        Some(Light { engine: then.engine.as_deref()?, then: &then.id, run, caboose })
    });
    runs.collect()
}

/// The engine of a job that another one has next, that job, and whether the same people take both.
pub(super) fn next_with<'a>(plan: &'a Plan, job: &Id) -> Option<(&'a str, &'a Id, bool)> {
    let engine = job_of(plan, job)?.engine.as_deref()?;
    let mut later = in_turn(plan).skip_while(|begun| begun.id != *job).skip(1);
    let next = later.find(|later| later.engine.as_deref() == Some(engine))?;
    let people = |job: &Id| {
        let crews = plan.crews.as_ref()?;
        crews.jobs.iter().find(|taken| taken.job == *job).map(|taken| &taken.people)
    };
    Some((engine, &next.id, people(job).is_some_and(|people_of| people(&next.id) == Some(people_of))))
}

/// Whether the caboose of a job is coupled to its engine when it begins: not where the engine has just come from a
/// job without one.
pub(super) fn caboose_coupled(plan: &Plan, job: &WorldJob) -> bool {
    let same =
        in_turn(plan).take_while(|before| before.id != job.id).filter(|before| before.engine == job.engine);
    job.caboose && (job.engine.is_none() || same.last().is_none_or(|before| before.caboose))
}

fn job_of<'a>(plan: &'a Plan, id: &Id) -> Option<&'a WorldJob> {
    plan.world.jobs.iter().find(|job| job.id == *id)
}

/// The jobs in the order in which they begin.
fn in_turn(plan: &Plan) -> impl Iterator<Item = &WorldJob> {
    plan.events.iter().filter_map(|event| match event {
        Event::Starts { job, .. } => job_of(plan, job),
        _ => None,
    })
}
