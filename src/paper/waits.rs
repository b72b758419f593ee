//! What a crew waits for before each of its calls, without what the rest of it implies.
//!
//! A plan names every job whose earlier work on the same tracks a call follows, and a job every job that must be
//! done before it. Who reads ten names waits no better than who reads the two that come last: of each call it is
//! known how far every job has come by then, and a name that another one's course implies is left out.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::{CallWork, CrewJob, Plan, WorldJob};
use crate::units::Minutes;

use super::names::Names;

/// What a crew waits for before a call: nothing that the rest of it implies.
#[derive(Clone, Debug, Default)]
pub(super) struct Wait<'a> {
    /// The jobs that must be done, before its first call.
    done: Vec<&'a Id>,
    /// The jobs whose earlier work here must be finished.
    pub(super) clear: Vec<Clears<'a>>,
}

/// A job whose earlier work at a place must be finished.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clears<'a> {
    pub(super) job: &'a Id,
    /// Its last call there by then.
    pub(super) call: u32,
    /// Whether it works there again later.
    pub(super) again: bool,
}

impl Wait<'_> {
    /// The names of the jobs that must be done.
    pub(super) fn once_done(&self, names: &Names<'_>) -> String {
        names.job_names(self.done.iter().copied())
    }

    /// The names of the jobs whose earlier work must be finished.
    pub(super) fn once_clear(&self, names: &Names<'_>) -> String {
        let name = |before: &Clears<'_>| {
            let job = names.job_name(before.job);
            // It works here again, perhaps after this crew: only the call tells which work is meant.
            if before.again { names.words.switch_list.job_at_call(job, before.call).text() } else { job }
        };
        self.clear.iter().map(name).collect::<Vec<String>>().join("; ")
    }
}

/// What every call of the plan's work waits for.
#[derive(Debug)]
pub(super) struct Waits<'a>(BTreeMap<(&'a Id, u32), Wait<'a>>);

/// Of every job, how many of its calls are finished by then.
type Known<'a> = BTreeMap<&'a Id, u32>;

/// One thing that a call waits for: so many calls of a job, and what is known once they are finished.
#[derive(Debug)]
struct Before<'a> {
    job: &'a Id,
    call: u32,
    whole: bool,
    known: Known<'a>,
}

impl<'a> Waits<'a> {
    pub(super) fn new(plan: &'a Plan) -> Self {
        let jobs: BTreeMap<&Id, &WorldJob> = plan.world.jobs.iter().map(|job| (&job.id, job)).collect();
        let mut waits = BTreeMap::new();
        let mut course = Course::default();
        for work in &plan.work {
            let own = course.last.get(&work.job).and_then(|call| course.known.get(&(&work.job, *call)));
            let own = own.cloned();
            let after = jobs.get(&work.job).filter(|_| own.is_none()).map_or(&[][..], |job| &job.after);
            let whole = after.iter().map(|job| course.whole(job, calls(jobs.get(job).copied())));
            let parts = work.follows.iter().filter_map(|job| course.part(job, &work.place));
            let before: Vec<Before<'_>> = whole.chain(parts).collect();
            let mut now = own.unwrap_or_default();
            let needed = needed(&before, &now);
            let (done, clear): (Vec<&Before<'_>>, Vec<&Before<'_>>) =
                needed.iter().partition(|before| before.whole);
            let again = |before: &Before<'a>| {
                let later = usize::try_from(before.call).ok();
                let later = jobs.get(before.job).and_then(|job| job.calls.get(later?..));
                later.is_some_and(|later| later.contains(&work.place))
            };
            let clears =
                |before: &&Before<'a>| Clears { job: before.job, call: before.call, again: again(before) };
            let wait = Wait {
                done: done.iter().map(|before| before.job).collect(),
                clear: clear.iter().map(clears).collect(),
            };
            waits.insert((&work.job, work.call), wait);
            for (job, calls) in before.iter().flat_map(|before| &before.known) {
                let known = now.entry(job).or_default();
                *known = (*known).max(*calls);
            }
            now.insert(&work.job, work.call);
            course.note(work, now);
        }
        // A job that begins where it has no work sets out once all are done that the host says.
        for job in &plan.world.jobs {
            let done = || job.after.iter().collect();
            waits.entry((&job.id, 1)).or_insert_with(|| Wait { done: done(), clear: Vec::new() });
        }
        Waits(waits)
    }

    /// What a call waits for.
    pub(super) fn of<'s>(&'s self, job: &'s Id, call: u32) -> Option<&'s Wait<'s>> {
        self.0.get(&(job, call))
    }
}

/// Before which of its calls, counted from 0, a job waits, and how many minutes: what a call begins later than its work and its
/// runs alone would have it.
pub(super) fn minutes(names: &Names<'_>, job: &WorldJob, taken: &CrewJob) -> Vec<(usize, u32)> {
    let Some(told) = names.minutes(&job.id) else { return Vec::new() };
    let mut time = told.light.as_ref().map_or_else(Minutes::default, |light| light.run);
    let mut waited = 0;
    let mut waits = Vec::new();
    for (number, ((begins, _), call)) in taken.calls.iter().zip(&told.calls).enumerate() {
        let more = begins.saturating_sub(taken.begins + waited + time.rounded_up());
        if more > 0 {
            waits.push((number, more));
        }
        waited += more;
        time = time + call.work + call.run;
    }
    waits
}

/// The calls of a job, counted.
fn calls(job: Option<&WorldJob>) -> u32 {
    job.and_then(|job| u32::try_from(job.calls.len()).ok()).unwrap_or(0)
}

/// The calls that were looked at.
#[derive(Debug, Default)]
struct Course<'a> {
    known: BTreeMap<(&'a Id, u32), Known<'a>>,
    /// Of every job, its last call.
    last: BTreeMap<&'a Id, u32>,
    /// Of every job and place, its last call there.
    last_at: BTreeMap<(&'a Id, &'a Id), u32>,
}

impl<'a> Course<'a> {
    /// A job with so many calls, done.
    fn whole(&self, job: &'a Id, calls: u32) -> Before<'a> {
        let known = self.last.get(job).and_then(|call| self.known.get(&(job, *call)));
        let mut known = known.cloned().unwrap_or_default();
        known.insert(job, calls);
        Before { job, call: calls, whole: true, known }
    }

    /// A job's last work at a place so far.
    fn part(&self, job: &'a Id, place: &'a Id) -> Option<Before<'a>> {
        let call = *self.last_at.get(&(job, place))?;
        Some(Before { job, call, whole: false, known: self.known.get(&(job, call))?.clone() })
    }

    fn note(&mut self, work: &'a CallWork, known: Known<'a>) {
        self.known.insert((&work.job, work.call), known);
        self.last.insert(&work.job, work.call);
        self.last_at.insert((&work.job, &work.place), work.call);
    }
}

/// Those of the things to wait for that neither what is known anyway nor another one of them implies.
fn needed<'b, 'a>(before: &'b [Before<'a>], known: &Known<'a>) -> Vec<&'b Before<'a>> {
    let mut needed: Vec<&Before<'_>> = before.iter().collect();
    let implies =
        |known: &Known<'_>, one: &Before<'_>| known.get(one.job).is_some_and(|calls| *calls >= one.call);
    // Of a job's last work here and the whole job, which imply each other where it ends here, the whole is told.
    for one in before.iter().rev() {
        let another = |other: &Before<'_>| !std::ptr::eq(other, one) && implies(&other.known, one);
        if implies(known, one) || needed.iter().any(|other| another(other)) {
            needed.retain(|kept| !std::ptr::eq(*kept, one));
        }
    }
    needed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(name: &str) -> Id {
        Id::from(name)
    }

    /// So many calls of a job, after which the calls of others are known to be finished.
    fn before<'a>(job: &'a Id, call: u32, whole: bool, others: &[(&'a Id, u32)]) -> Before<'a> {
        let known = others.iter().copied().chain([(job, call)]).collect();
        Before { job, call, whole, known }
    }

    fn told(before: &[Before<'_>], known: &Known<'_>) -> Vec<String> {
        needed(before, known).iter().map(|before| format!("{} {}", before.job, before.call)).collect()
    }

    #[test]
    fn who_is_waited_for_by_another_one_is_not_named() {
        let (drill, turn, extra) = (id("drill"), id("turn"), id("extra"));
        // The turn's second call waited for the drill: whoever waits for it waits for both. The extra's for nobody.
        let all = [
            before(&drill, 1, false, &[]),
            before(&turn, 2, false, &[(&drill, 1)]),
            before(&extra, 1, false, &[]),
        ];
        assert_eq!(told(&all, &Known::new()), ["turn 2", "extra 1"]);
        // An earlier call of its own has waited for the turn.
        assert_eq!(told(&all, &Known::from([(&turn, 2), (&drill, 1)])), ["extra 1"]);
    }

    #[test]
    fn an_earlier_call_implies_nothing_of_a_later_one() {
        let (drill, turn) = (id("drill"), id("turn"));
        let all = [before(&drill, 2, false, &[]), before(&turn, 2, false, &[(&drill, 1)])];
        assert_eq!(told(&all, &Known::new()), ["drill 2", "turn 2"]);
    }

    #[test]
    fn a_job_that_must_be_done_is_not_named_again_for_its_last_call() {
        let drill = id("drill");
        let all = [before(&drill, 3, true, &[]), before(&drill, 3, false, &[])];
        let needed = needed(&all, &Known::new());
        assert!(matches!(needed.as_slice(), [Before { whole: true, .. }]), "{needed:?}");
    }
}
