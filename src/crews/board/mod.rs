//! The call board: which people take which job, so that all are done in time and nobody idles.
//!
//! A [`Board`] is a session as seen by somebody who hands out jobs: each with the minutes of its calls,
//! how many people it takes, its engine, and what must come before what. People take their jobs in the
//! order of the row. What an assignment is worth is [`Score`], a tuple of whole numbers compared in order.
//!
//! [`solve`] first deals the jobs out one by one ([`deal`]), betters that by moves and swaps, and then
//! goes through all assignments by branch and bound ([`search`]); if that ends within its budget, the
//! answer is proved best.
//!
//! # Complexity
//! Dealing and swaps: O(j² p²) assignments looked at, each O(calls + links), for j jobs and p people;
//! then at most [`BUDGET`] nodes of the search, each O(p²) for the choices at one job.
//!
//! # Example
//! Three jobs of 60, 40 and 20 minutes, two people: one takes the first, the other the rest; nobody has
//! more than the mean of 60.

mod critical;
mod deal;
mod search;
mod table;
mod walk;

pub use critical::critical;
pub use walk::{Times, walk};

use table::Table;

/// How many nodes the search may look at before it gives up proving.
pub const BUDGET: u32 = 60_000;

/// A session as seen by somebody who hands out jobs. Minutes throughout.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Board {
    /// How many people came.
    pub people: usize,
    /// When all shall be done.
    pub hours: u32,
    /// The jobs, in the order in which people take them.
    pub jobs: Vec<Job>,
    /// Which calls must be done before which others begin. Those from a later job to an earlier one are
    /// not looked at when jobs are dealt out: see [`walk()`].
    pub links: Vec<Link>,
    /// All calls in the order of the plan's events.
    pub row: Vec<CallOf>,
}

/// A job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    /// The minutes before its first call in which its crew fetches its engine from where another job left it.
    pub light: u32,
    /// Its calls.
    pub calls: Vec<Call>,
    /// The jobs, by their places on the board, that must be done before it begins; those after it on the
    /// board are not looked at.
    pub after: Vec<usize>,
    /// How many people it takes at most, 1 or 2.
    pub crew: u32,
    /// Its engine: two jobs with the same cannot run at the same time.
    pub engine: Option<usize>,
    /// When it may begin at the earliest.
    pub begins: u32,
}

/// A call: its work, and the run to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Call {
    /// The work.
    pub work: u32,
    /// The run to the next call.
    pub run: u32,
}

/// A call by its job and its number there, both from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CallOf {
    /// The job.
    pub job: usize,
    /// The call.
    pub call: usize,
}

/// The work of one call is done before that of another begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Link {
    /// The call that goes first.
    pub first: CallOf,
    /// The call that waits for it.
    pub then: CallOf,
}

/// What an assignment is worth, compared field by field; less is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Score {
    /// Minutes by which the latest job ends beyond the hours.
    pub late: u32,
    /// People that jobs would take and do not get.
    pub short: u32,
    /// The minutes of the busiest minus the mean, times the people: a whole number.
    pub uneven: u32,
    /// Jobs that somebody takes after another.
    pub changes: u32,
}

/// Who takes a job: one person or two, by their numbers from 0, the lower first.
pub type Hands = (usize, Option<usize>);

/// Jobs given to people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dealt {
    /// Who takes each job.
    pub hands: Vec<Hands>,
    /// What it is worth.
    pub score: Score,
    /// Whether nothing better exists.
    pub proved: bool,
}

impl Job {
    /// All its minutes, waiting not counted.
    pub fn minutes(&self) -> u32 {
        self.light + self.calls.iter().map(|call| call.work + call.run).sum::<u32>()
    }
}

/// Deals the jobs out.
///
/// Without people there is nothing to deal: then nobody is given anything.
pub fn solve(board: &Board, budget: u32) -> Dealt {
    solve_from(board, &[], budget)
}

/// The same, where jobs were given to these hands before, on a board much like this one: the search begins with
/// what is better. Hands of another number of jobs do not count.
pub fn solve_from(board: &Board, before: &[Hands], budget: u32) -> Dealt {
    let ahead = Ahead::new(board);
    let dealt = deal::deal(board, &ahead);
    let known = before.len() == dealt.len() && score(board, &ahead, before) < score(board, &ahead, &dealt);
    let first = deal::improved(board, &ahead, if known { before.to_vec() } else { dealt });
    search::search(board, &ahead, first, budget)
}

/// What an assignment is worth.
pub fn score_of(board: &Board, hands: &[Hands]) -> Score {
    score(board, &Ahead::new(board), hands)
}

/// How many people, at most as many as there are places in the jobs, would do all jobs within the hours
/// if they were dealt out one by one, and when the last would end; if that is never so, how many end
/// soonest.
pub fn suggested(board: &Board) -> Option<(usize, u32)> {
    let ahead = Ahead::new(board);
    let places: u32 = board.jobs.iter().map(|job| job.crew).sum();
    let mut soonest = None;
    for people in 1..=usize::try_from(places.min(MANY)).unwrap_or(1) {
        let board = Board { people, ..board.clone() };
        let hands = deal::deal(&board, &ahead);
        let mut table = Table::new(&board, &ahead);
        for hands in hands {
            table.give(hands);
        }
        if soonest.is_none_or(|(_, ends)| table.latest() < ends) {
            soonest = Some((people, table.latest()));
        }
        if table.latest() <= board.hours {
            break;
        }
    }
    soonest
}

/// More people than this are not suggested: no room holds them (common practice, no source).
const MANY: u32 = 40;

/// What each job waits for among the jobs before it on the board, by job.
#[derive(Debug)]
struct Ahead {
    /// For each job, the number of its first call when all calls are counted in the order of jobs.
    first: Vec<usize>,
    /// For each call, so counted, the earlier calls that it waits for.
    links: Vec<Vec<usize>>,
    /// For each job, the last one before it with the same engine, and those it comes after.
    jobs: Vec<Vec<usize>>,
    /// The minutes of each job.
    minutes: Vec<u32>,
}

impl Ahead {
    fn new(board: &Board) -> Self {
        let mut calls = 0;
        let mut first = Vec::with_capacity(board.jobs.len());
        for job in &board.jobs {
            first.push(calls);
            calls += job.calls.len();
        }
        let mut links = vec![Vec::new(); calls];
        for link in board.links.iter().filter(|link| link.first.job < link.then.job) {
            links[first[link.then.job] + link.then.call].push(first[link.first.job] + link.first.call);
        }
        let jobs = board.jobs.iter().enumerate().map(|(place, job)| {
            let engine = job.engine.and_then(|engine| {
                board.jobs[..place].iter().rposition(|before| before.engine == Some(engine))
            });
            job.after.iter().copied().filter(|before| *before < place).chain(engine).collect()
        });
        let jobs = jobs.collect();
        Ahead { first, links, jobs, minutes: board.jobs.iter().map(Job::minutes).collect() }
    }
}

/// What a whole assignment is worth.
fn score(board: &Board, ahead: &Ahead, hands: &[Hands]) -> Score {
    let mut table = Table::new(board, ahead);
    for hands in hands {
        table.give(*hands);
    }
    table.score()
}

/// All ways of giving one job to people: one by one, then in pairs if it takes two.
fn choices(board: &Board, job: usize) -> Vec<Hands> {
    let mut choices: Vec<Hands> = Vec::new();
    if board.jobs[job].crew > 1 {
        for one in 0..board.people {
            choices.extend((one + 1..board.people).map(|other| (one, Some(other))));
        }
    }
    choices.extend((0..board.people).map(|one| (one, None)));
    choices
}

#[cfg(test)]
mod tests;
