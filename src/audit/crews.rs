//! Whether the people of the call board can do what they are given, at the minutes they are given.
//!
//! From `docs/plan-format.md` alone: nobody and no engine is in two jobs at once, what must come before
//! comes before, every call lasts as long as its minutes say.

use std::collections::BTreeMap;

use super::Found;
use super::facts::Facts;
use crate::ids::Id;
use crate::session::plan::{CrewJob, Crews, Event};
use crate::units::Minutes;

/// Rule 12: the times of the call board hold.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let Some(crews) = &facts.plan.crews else { return };
    let given: BTreeMap<&Id, &CrewJob> = crews.jobs.iter().map(|job| (&job.job, job)).collect();
    if given.len() != crews.jobs.len() || !given.keys().eq(facts.jobs.keys()) {
        found.say(12, "the call board does not have every job once".to_owned());
        return;
    }
    for job in &crews.jobs {
        people(facts, crews, job, found);
        lasts(facts, job, found);
        for before in &facts.jobs[&job.job].after {
            if given.get(before).is_some_and(|before| before.ends > job.begins) {
                found.say(12, format!("`{}` begins before `{before}` is done", job.job));
            }
        }
    }
    for (place, one) in crews.jobs.iter().enumerate() {
        for other in &crews.jobs[place + 1..] {
            if one.ends > other.begins && other.ends > one.begins {
                overlap(facts, one, other, found);
            }
        }
    }
    tracks(facts, &given, found);
}

fn people(facts: &Facts<'_>, crews: &Crews, job: &CrewJob, found: &mut Found) {
    let most = usize::try_from(facts.jobs[&job.job].crew).unwrap_or(usize::MAX);
    let known = job.people.iter().all(|person| (1..=crews.people).contains(person));
    let twice = job.people.windows(2).any(|pair| pair[0] >= pair[1]);
    if job.people.is_empty() || job.people.len() > most || !known || twice {
        found.say(12, format!("`{}` is given to people it cannot have: {:?}", job.job, job.people));
    }
}

/// A job begins with its light run, if it has one, and every call lasts as long as its minutes: the seconds of the job
/// so far, rounded up to the minute at the end of each call and of each run.
fn lasts(facts: &Facts<'_>, job: &CrewJob, found: &mut Found) {
    let Some(told) = facts.plan.minutes.iter().find(|told| told.job == job.job) else { return };
    let mut seconds = told.light.as_ref().map_or(Minutes::default(), |light| light.run);
    let first = job.begins + seconds.rounded_up();
    let mut free = first;
    let mut holds = told.calls.len() == job.calls.len();
    for (call, (begins, ends)) in told.calls.iter().zip(&job.calls) {
        let before = seconds.rounded_up();
        let done = (seconds + call.work).rounded_up();
        seconds = seconds + call.work + call.run;
        holds = holds && *begins >= free && *ends == begins + (done - before);
        free = ends + (seconds.rounded_up() - done);
    }
    if !holds || free != job.ends || job.calls.first().is_some_and(|(begins, _)| *begins != first) {
        found.say(12, format!("`{}` does not last as long as its minutes say", job.job));
    }
}

fn overlap(facts: &Facts<'_>, one: &CrewJob, other: &CrewJob, found: &mut Found) {
    if let Some(person) = one.people.iter().find(|person| other.people.contains(person)) {
        found.say(12, format!("person {person} is in `{}` and `{}` at once", one.job, other.job));
    }
    let engine = |job: &CrewJob| facts.jobs[&job.job].engine.as_deref();
    if engine(one).is_some() && engine(one) == engine(other) {
        found.say(12, format!("one engine is in `{}` and `{}` at once", one.job, other.job));
    }
}

/// Whoever works a track after another waits until that call is done.
fn tracks<'p>(facts: &Facts<'p>, given: &BTreeMap<&Id, &CrewJob>, found: &mut Found) {
    let mut last: BTreeMap<&Id, (&'p Id, u32)> = BTreeMap::new();
    let time = |job: &Id, call: u32| {
        let place = usize::try_from(call).ok()?.checked_sub(1)?;
        given.get(job)?.calls.get(place).copied()
    };
    for event in &facts.plan.events {
        let (Event::Couple { job, call, track, .. } | Event::Leave { job, call, track, .. }) = event else {
            continue;
        };
        let behind = facts.tracks.get(track).and_then(|track| track.behind.as_ref());
        for track in [Some(track), behind].into_iter().flatten() {
            let before = last.insert(track, (job, *call)).filter(|before| before.0 != job);
            let Some((other, its)) = before else { continue };
            if let (Some((_, done)), Some((begins, _))) = (time(other, its), time(job, *call))
                && done > begins
            {
                let text =
                    format!("`{job}` works `{track}` before `{other}`, which goes first, is done there");
                found.say(12, text);
            }
        }
    }
}
