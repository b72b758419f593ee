//! What keeps a session from ending sooner.

use super::{Board, CallOf, Hands, Times};

/// The jobs on the way to the latest end, the last first: each begins, or one of its calls does, at the
/// moment at which something of the one after it in this list is done.
pub fn critical(board: &Board, hands: &[Hands], times: &Times) -> Vec<usize> {
    let latest = (0..board.jobs.len()).max_by_key(|job| (times.jobs[*job].1, std::cmp::Reverse(*job)));
    let mut found = Vec::new();
    let mut at = latest.map(|job| CallOf { job, call: board.jobs[job].calls.len().saturating_sub(1) });
    while let Some(here) = at {
        if !found.contains(&here.job) {
            found.push(here.job);
        }
        at = waits_for(board, hands, times, here)
            .filter(|next| !found.contains(&next.job) || next.job == here.job);
    }
    found
}

/// The call whose end is the moment at which this one begins; nothing if it waits for nothing.
fn waits_for(board: &Board, hands: &[Hands], times: &Times, here: CallOf) -> Option<CallOf> {
    let begins = times.calls[here.job].get(here.call)?.0;
    if let Some(before) = here.call.checked_sub(1) {
        let run = board.jobs[here.job].calls[before].run;
        if times.calls[here.job][before].1 + run == begins {
            return Some(CallOf { call: before, ..here });
        }
    }
    let links = board.links.iter().filter(|link| link.then == here).map(|link| link.first);
    let mut links = links.filter(|first| times.calls[first.job][first.call].1 == begins);
    links.next().or_else(|| {
        let begins = times.jobs[here.job].0;
        let people = |job: usize| [Some(hands[job].0), hands[job].1].into_iter().flatten();
        let job = &board.jobs[here.job];
        let holds_up = |other: usize| {
            job.after.contains(&other)
                || (job.engine.is_some() && job.engine == board.jobs[other].engine)
                || people(other).any(|person| people(here.job).any(|own| own == person))
        };
        let mut before = (0..board.jobs.len()).filter(|other| {
            here.call == 0
                && begins > 0
                && *other != here.job
                && times.jobs[*other].1 == begins
                && holds_up(*other)
        });
        before.next().map(|job| CallOf { job, call: board.jobs[job].calls.len() - 1 })
    })
}
