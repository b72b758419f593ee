//! When everything happens, once it is known who takes what.

use super::{Board, CallOf, Hands};

/// When everything happens, in minutes from the beginning of the session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Times {
    /// For each job, for each of its calls, when its work begins and when it is done.
    pub calls: Vec<Vec<(u32, u32)>>,
    /// For each job, when it begins and when it ends.
    pub jobs: Vec<(u32, u32)>,
}

impl Times {
    /// When the last job ends.
    pub fn latest(&self) -> u32 {
        self.jobs.iter().map(|(_, ends)| *ends).max().unwrap_or(0)
    }

    /// All calls in the order in which they begin; what begins at the same time keeps the order of the
    /// board, so that nobody is called to a job before the one before it is done.
    pub fn row(&self) -> Vec<CallOf> {
        let mut row: Vec<(u32, CallOf)> = Vec::new();
        for (job, calls) in self.calls.iter().enumerate() {
            row.extend(calls.iter().enumerate().map(|(call, (begins, _))| (*begins, CallOf { job, call })));
        }
        row.sort_unstable();
        row.into_iter().map(|(_, call)| call).collect()
    }
}

/// Follows the board's row of calls with all links; nothing if somebody is called to a job in the row
/// before the one before it is done there: then the row must be put in another order.
pub fn walk(board: &Board, hands: &[Hands]) -> Option<Times> {
    let mut times = dealt(board, hands)?;
    let mut free = vec![0; board.people];
    let mut open: Vec<Option<usize>> = vec![None; board.people];
    let mut engines: Vec<(usize, usize)> = Vec::new();
    let mut done: Vec<usize> = vec![0; board.jobs.len()];
    for at in &board.row {
        let (place, job) = (at.job, &board.jobs[at.job]);
        let people = || [Some(hands[place].0), hands[place].1].into_iter().flatten();
        let mut begins = match at.call.checked_sub(1) {
            Some(before) => times.calls[place][before].1 + job.calls[before].run,
            None => {
                if people().any(|person| open[person].is_some()) {
                    return None;
                }
                people().for_each(|person| open[person] = Some(place));
                let waits = job.after.iter().map(|before| times.jobs[*before].1);
                let engine = engines.iter().filter(|(engine, _)| Some(*engine) == job.engine);
                let engine = engine.map(|(_, before)| times.jobs[*before].1);
                let free = people().map(|person| free[person]);
                waits.chain(engine).chain(free).fold(job.begins, u32::max)
            }
        };
        for link in board.links.iter().filter(|link| link.then == *at) {
            begins = begins.max(times.calls[link.first.job][link.first.call].1);
        }
        let call = job.calls[at.call];
        times.calls[place][at.call] = (begins, begins + call.work);
        done[place] += 1;
        if done[place] == job.calls.len() {
            let ends = begins + call.work + call.run;
            times.jobs[place] = (times.calls[place][0].0, ends);
            engines.extend(job.engine.map(|engine| (engine, place)));
            for person in people() {
                (free[person], open[person]) = (ends, None);
            }
        }
    }
    Some(times)
}

/// No times yet; nothing if not every job is dealt.
fn dealt(board: &Board, hands: &[Hands]) -> Option<Times> {
    (hands.len() == board.jobs.len()).then(|| Times {
        calls: board.jobs.iter().map(|job| vec![(0, 0); job.calls.len()]).collect(),
        jobs: vec![(0, 0); board.jobs.len()],
    })
}
