//! The minutes that jobs really took, kept in `recorded.toml` beside what was counted for them.
//!
//! The counts stand there too, so that a pace can be fitted to many evenings without their plans.

use std::fmt::Write as _;
use std::path::Path;

use super::facts::Facts;
use super::walk::{Value, Walk};
use super::write::key;
use super::{Ledger, store};
use crate::error::Result;
use crate::ids::Id;
use crate::session::plan::{CallMinutes, LightRun, Plan};
use crate::units::{Effort, Minutes};

/// The minutes that a job took, beside what was counted for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timed {
    /// The session: its jobs were done on the same evening.
    pub session: i32,
    /// The job.
    pub job: Id,
    /// The sums of its calls: all of them, or where it was cut short those that it came to.
    pub counted: CallMinutes,
    /// How slow its crew was taken to be, in hundredths.
    pub crew: u32,
    /// The minutes that it took.
    pub took: Minutes,
}

impl Timed {
    /// The minutes that the plan gave it.
    pub fn estimated(&self) -> Minutes {
        self.counted.work + self.counted.run
    }
}

/// The heading under which the minutes stand.
const HEADING: &str = "[minutes]";

/// From how many closed sessions, the last ones, a pace is learned: crews change, and a ledger of
/// many years opens as fast as a young one.
const LEARNED_FROM: i32 = 40;

impl Ledger {
    /// The jobs of the last sessions whose minutes were recorded, the earliest session first.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn timed(&self) -> Result<Vec<Timed>> {
        let closed = self.closed()?.unwrap_or(0);
        let mut timed = Vec::new();
        for session in (closed - LEARNED_FROM + 1).max(1)..=closed {
            let path = self.of(session).join("recorded.toml");
            let text = store::read(&path)?;
            if let Some(text) = text.filter(|text| text.lines().any(|line| line.trim() == HEADING)) {
                // What the session did to its cars is of no interest here.
                let minutes = text.split("\n[count]\n").next().unwrap_or_default();
                timed.extend(read(&path, minutes, session)?);
            }
        }
        Ok(timed)
    }
}

/// The jobs of a plan whose minutes are said, with what the plan counts for them.
pub(super) fn timed(plan: &Plan, facts: &Facts) -> Vec<Timed> {
    let told = plan.minutes.iter().filter_map(|job| Some((job, *facts.minutes.get(&job.job)?)));
    let timed = told.map(|(job, took)| {
        // A job that was cut short took its minutes for the calls that it came to.
        let done = facts.jobs.get(&job.job).map_or(usize::MAX, |done| usize::try_from(*done).unwrap_or(0));
        let mut calls: Vec<CallMinutes> = job.calls.iter().take(done).copied().collect();
        if let Some(last) = calls.last_mut().filter(|_| done < job.calls.len()) {
            // From there it did not run on.
            (last.run, last.effort.links) = (Minutes::default(), Minutes::default());
        }
        // Whoever came to a call had fetched the engine.
        let light = job.light.as_ref().filter(|_| done > 0).map(LightRun::counted);
        let counted = calls.into_iter().chain(light).sum();
        let (job, took) = (job.job.clone(), Minutes::new(took));
        Timed { session: plan.session, job, counted, crew: plan.pace.crew, took }
    });
    timed.collect()
}

/// The minutes as text; nothing if there are none.
pub(super) fn text(timed: &[Timed]) -> String {
    if timed.is_empty() {
        return String::new();
    }
    let mut out = format!("\n# Minutes that jobs took, and what was counted for them.\n{HEADING}\n");
    for job in timed {
        let CallMinutes { work, run, effort } = job.counted;
        let Effort { handlings, cars, couplings, turnouts, spots, run_arounds, reading, links } = effort;
        writeln!(
            out,
            "{} = {{ took = {}, work_seconds = {}, run_seconds = {}, link_seconds = {}, crew_percent = {}, handlings = {handlings}, \
             cars = {cars}, couplings = {couplings}, turnouts = {turnouts}, spots = {spots}, \
             run_arounds = {run_arounds}, reading = {reading} }}",
            key(job.job.as_str()),
            job.took.rounded_up(),
            work.whole_seconds(),
            run.whole_seconds(),
            links.whole_seconds(),
            job.crew
        )
        .expect("writing to text does not fail");
    }
    out
}

/// The minutes of a session, back from text.
fn read(path: &Path, text: &str, session: i32) -> Result<Vec<Timed>> {
    let mut walk = Walk::new(text);
    let table = walk.parse();
    let mut timed = Vec::new();
    if let Some(minutes) = table.as_ref().and_then(|table| table.get_ref().get("minutes")) {
        for (job, _, value) in walk.entries(minutes) {
            timed.push(job_of(&mut walk, session, Id::from(job), value));
        }
    }
    match walk.failure(path) {
        Some(failure) => Err(failure),
        None => Ok(timed),
    }
}

fn job_of<'t>(walk: &mut Walk<'t>, session: i32, job: Id, value: &'t Value<'t>) -> Timed {
    let (mut took, mut work, mut run, mut links, mut crew) = (0, 0, 0, None, 0);
    let mut effort = Effort::default();
    let mut given = 0;
    for (key, place, value) in walk.entries(value) {
        let field = match key {
            "took" => &mut took,
            "work_seconds" => &mut work,
            "run_seconds" => &mut run,
            "link_seconds" => links.insert(0),
            "crew_percent" => &mut crew,
            "handlings" => &mut effort.handlings,
            "cars" => &mut effort.cars,
            "couplings" => &mut effort.couplings,
            "turnouts" => &mut effort.turnouts,
            "spots" => &mut effort.spots,
            "run_arounds" => &mut effort.run_arounds,
            "reading" => &mut effort.reading,
            other => {
                walk.fault(place, format!("`{other}` means nothing here: take it out"));
                continue;
            }
        };
        // What was written before runs had a pace does not tell their links from them.
        given += u32::from(key != "link_seconds");
        let count: u32 = walk.number(value).unwrap_or_default();
        if count > MOST {
            walk.fault(place, format!("`{key}` is more than {MOST}: put back what setout wrote here"));
        }
        *field = count.min(MOST);
    }
    let place = value.span().start;
    if given < FIELDS || took == 0 || crew == 0 {
        walk.fault(place, format!("the minutes of `{job}` are not whole: put the line back, or take it out"));
    }
    effort.links = Minutes::seconds(links.unwrap_or(run));
    let counted = CallMinutes { work: Minutes::seconds(work), run: Minutes::seconds(run), effort };
    Timed { session, job, counted, crew, took: Minutes::new(took) }
}

/// How many things are always kept of a job.
const FIELDS: u32 = 11;

/// More than this nothing is counted: sums of it still have room.
const MOST: u32 = 1_000_000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::plan::LightRun;

    #[test]
    fn a_crew_that_fetched_its_engine_took_its_minutes_for_that_too() {
        // The plan made by hand has 1,356 seconds, 240 of them over links; the engine comes from 120 seconds away.
        let mut plan: Plan = serde_json::from_str(include_str!("../audit/tests/turn.json")).unwrap();
        let job = Id::from("turn");
        let (links, run) = (Minutes::seconds(120), Minutes::seconds(150));
        let place = Id::from("mill");
        let light =
            LightRun { after: job.clone(), from: place.clone(), to: place, way: Vec::new(), links, run };
        plan.minutes[0].light = Some(light);
        let mut facts = Facts::default();
        facts.minutes.insert(job.clone(), 30);
        let timed = timed(&plan, &facts);
        assert_eq!(timed[0].estimated(), Minutes::seconds(1356 + 150));
        assert_eq!(timed[0].counted.effort.links, Minutes::seconds(240 + 120));
        // It came to its first call and no further: 306 seconds of work, and the run of the engine.
        facts.jobs.insert(job, 1);
        assert_eq!(super::timed(&plan, &facts)[0].estimated(), Minutes::seconds(306 + 150));
    }
}
