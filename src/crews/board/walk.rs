//! When everything happens, once it is known who takes what.

use super::{Board, CallOf, Hands};

/// When everything happens, in minutes from the beginning of the session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Times {
    /// For each job, for each of its calls, when its work begins and when it is done.
    pub calls: Vec<Vec<(u32, u32)>>,
    /// For each job, when it begins and when it ends: with fetching its engine, where it must.
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

/// Follows the board's row of calls with all links; nothing if somebody, or an engine, is called to a job in
/// the row before the one before it is done there: then the row must be put in another order.
pub fn walk(board: &Board, hands: &[Hands]) -> Option<Times> {
    if hands.len() != board.jobs.len() {
        return None;
    }
    let mut walk = Walk {
        board,
        hands,
        times: Times {
            calls: board.jobs.iter().map(|job| vec![(0, 0); job.calls.len()]).collect(),
            jobs: vec![(0, 0); board.jobs.len()],
        },
        free: vec![0; board.people],
        busy: vec![false; board.people],
        state: vec![State::Waits; board.jobs.len()],
    };
    for at in &board.row {
        walk.call(*at)?;
    }
    Some(walk.times)
}

/// The state of a walk.
struct Walk<'a> {
    board: &'a Board,
    hands: &'a [Hands],
    times: Times,
    /// When each person is free, and whether they are in the middle of a job.
    free: Vec<u32>,
    busy: Vec<bool>,
    state: Vec<State>,
}

/// How far a job is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Waits,
    Runs,
    Done,
}

impl Walk<'_> {
    fn call(&mut self, at: CallOf) -> Option<()> {
        let job = &self.board.jobs[at.job];
        let from = match at.call.checked_sub(1) {
            Some(before) => self.times.calls[at.job][before].1 + job.calls[before].run,
            None => self.job(at.job)? + job.light,
        };
        let links = self.board.links.iter().filter(|link| link.then == at).map(|link| link.first);
        let begins = links.map(|first| self.times.calls[first.job][first.call].1).fold(from, u32::max);
        let call = job.calls[at.call];
        self.times.calls[at.job][at.call] = (begins, begins + call.work);
        if at.call + 1 == job.calls.len() {
            let ends = begins + call.work + call.run;
            self.times.jobs[at.job] = (self.times.calls[at.job][0].0 - job.light, ends);
            self.state[at.job] = State::Done;
            for person in self.people(at.job) {
                (self.free[person], self.busy[person]) = (ends, false);
            }
        }
        Some(())
    }

    /// When a job can begin; nothing if those who take it are in the middle of another.
    fn job(&mut self, place: usize) -> Option<u32> {
        let job = &self.board.jobs[place];
        let people = self.people(place);
        if people.iter().any(|person| self.busy[*person]) {
            return None;
        }
        for person in &people {
            self.busy[*person] = true;
        }
        let same_engine =
            |other: &usize| job.engine.is_some() && self.board.jobs[*other].engine == job.engine;
        let begun = |other: &usize| self.state[*other] != State::Waits;
        let others = (0..self.board.jobs.len()).filter(|other| same_engine(other) && begun(other));
        let others: Vec<usize> = others.collect();
        if others.iter().any(|other| self.state[*other] == State::Runs) {
            return None;
        }
        self.state[place] = State::Runs;
        let before = job.after.iter().copied().chain(others);
        let waits = before.map(|before| self.times.jobs[before].1);
        Some(waits.chain(people.iter().map(|person| self.free[*person])).fold(job.begins, u32::max))
    }

    fn people(&self, job: usize) -> Vec<usize> {
        [Some(self.hands[job].0), self.hands[job].1].into_iter().flatten().collect()
    }
}
