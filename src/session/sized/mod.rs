//! A session sized to the people who came.
//!
//! The session is planned, its jobs are handed out, and while it does not fit, it is made smaller
//! ([`shrink`]): orders are held back within the spread of their lanes, then the least urgent cars of
//! the job that holds everybody up; where there are far too few people, jobs do not run, in the host's
//! order. Where much time is left, orders are drawn forward ([`stretch`]). Between what fits and what does
//! not, halfway shapes are tried, and the one that keeps everybody busiest is taken. Every step plans anew,
//! but for what is [`known`] already; the number of steps is fixed.
//!
//! People take jobs one after the other, while the row of the calls may want one person in two places.
//! Then the row is put in the order in which the people can do it, and planned on again.

mod known;
mod made_up;
mod shrink;
mod step;
mod stretch;

pub(super) use known::Known;
use step::Large;
pub(super) use step::{Given, Step};

use crate::chance::Chance;
use crate::crews::board::{self, Board, Hands, Score, Times};
use crate::crews::{self, CallBoard, CallTime, People};
use crate::ids::{CallIx, IxVec, JobIx};
use crate::layout::{Layout, Pace};
use crate::standing::Standing;

use super::asked::Shape;
use super::{Care, Made};
use stretch::Spread;

/// The most steps in which a session is made smaller, or jobs are taken in again.
const STEPS: usize = 32;

/// The most shapes tried between one that fits and one that does not.
const BETWEEN: usize = 5;

/// How many nodes the search for who takes which job looks at in each step: the last step's jobs are dealt out
/// with the whole budget.
const BUDGET: u32 = board::BUDGET / 12;

/// The share of the hours that everybody shall work at least if there is work for it: two hours of three (common
/// practice, no source).
const ENOUGH: (u32, u32) = (2, 3);

/// How many of the jobs that were left out are looked at whether a part of them fits.
const PARTS: usize = 6;

/// How many things are tried one by one, of those held back and of those that can be drawn forward.
const ONE_BY_ONE: usize = 12;

/// How often a session that is made larger by one thing is made smaller elsewhere, if it is too late then.
const TRIMS: usize = 3;

/// The share of the hours, in hundredths, after which a session that ends is not made longer any more.
const WHOLE: u32 = 95;

/// What is planned: the same for every step.
pub(super) struct Session<'a> {
    pub(super) layout: &'a Layout,
    pub(super) standing: &'a Standing,
    pub(super) number: i32,
    pub(super) chance: Chance,
    pub(super) pace: Pace,
    pub(super) care: Care,
    pub(super) known: Known<'a>,
}

/// The shape in which the session fits the people best, and who does what in it.
pub(super) fn sized<'s>(session: &'s Session<'_>, asked: Shape, people: &People) -> Step<'s> {
    let mut best = session.step(asked, people, None);
    let whole = best.large();
    let mut too_large = None;
    for _ in 0..STEPS {
        let Some(shape) =
            best.late().then(|| shrink::smaller(&best.made, &best.shape, &best.given)).flatten()
        else {
            break;
        };
        let smaller = session.step(shape, people, Some(&best));
        too_large = Some(std::mem::replace(&mut best, smaller).large());
    }
    if best.late() {
        let step = if best.in_row { best } else { session.in_row(best.shape, &best.given) };
        return best_dealt(step, board::BUDGET);
    }
    let mut best = with_part_of_a_job(session, with_other_jobs(session, best, people), people);
    if let Some(large) = too_large {
        best = between(session, best, (large, Spread::Late), people);
    }
    if whole.over > 0 && !best.busy() {
        best = between(session, best, (whole.clone(), Spread::Early), people);
    }
    best = busier(session, best, people);
    if whole.over > 0 && !best.busy() {
        best = between(session, best, (whole, Spread::Late), people);
    }
    best = one_by_one(session, best, people);
    best_dealt(made_up::with_trains(session, best, people), board::BUDGET)
}

/// What fits, with more of the work that holds nobody up, until everybody has enough to do.
fn busier<'s>(session: &'s Session<'_>, fits: Step<'s>, people: &People) -> Step<'s> {
    let mut best = fits;
    let mut tried: Option<Large> = None;
    let ways: [(Larger, Spread); 4] = [
        (stretch::given_back, Spread::Late),
        (stretch::given_back, Spread::Early),
        (stretch::drawn_forward, Spread::Late),
        (stretch::drawn_forward, Spread::Early),
    ];
    for (larger, spread) in ways {
        let Some(shape) = (!best.busy()).then(|| larger(session.layout, &best.shape, &best.given)).flatten()
        else {
            continue;
        };
        let same = |large: &Large| large.shape.leans == shape.leans && large.shape.held == shape.held;
        let large = if let Some(large) = tried.take().filter(same) {
            large
        } else {
            let step = session.step(shape, people, Some(&best));
            if !step.late() {
                // All of it fits: nobody is busier for less.
                if step.given.least() >= best.given.least() {
                    best = step;
                }
                continue;
            }
            step.large()
        };
        tried = Some(large.clone());
        best = between(session, best, (large, spread), people);
    }
    best
}

/// What fits, with one more thing at a time of what was held back or can be drawn forward, until everybody has enough
/// to do: where all of it, or a part, holds up the session, one of it need not, or something else can be held back for it.
fn one_by_one<'s>(session: &'s Session<'_>, fits: Step<'s>, people: &People) -> Step<'s> {
    let mut best = fits;
    let ways: [Larger; 2] = [stretch::given_back, stretch::drawn_forward];
    for larger in ways {
        let mut place = 0;
        for _ in 0..ONE_BY_ONE {
            let large = (!best.busy()).then(|| larger(session.layout, &best.shape, &best.given)).flatten();
            let one = large.and_then(|large| stretch::with_one_of(&best.shape, &large, place));
            let Some(shape) = one else { break };
            let larger = session.step(shape, people, Some(&best));
            let other = trimmed(session, larger, people, TRIMS);
            let done = |step: &Step<'_>| (step.given.least(), step.given.all());
            if !other.late() && done(&other) > done(&best) {
                best = other;
            } else {
                place += 1;
            }
        }
    }
    best
}

/// A way to make a shape larger.
type Larger = fn(&Layout, &Shape, &Given) -> Option<Shape>;

/// What fits, without the jobs that it leaves nothing to do, and with those taken in again that were left out and
/// for which there is time after all.
fn with_other_jobs<'s>(session: &'s Session<'_>, fits: Step<'s>, people: &People) -> Step<'s> {
    let mut best = fits;
    let mut tried: Vec<JobIx> = Vec::new();
    let mut cleared = false;
    for _ in 0..STEPS {
        let light = || shrink::without_light_jobs(&best.made, &best.shape, &best.given);
        let shape = match if cleared { None } else { light() } {
            Some(shape) => shape,
            None => match stretch::with_one_more(&best.shape, &best.given, &tried) {
                Some((job, shape)) => {
                    tried.push(job);
                    shape
                }
                None => break,
            },
        };
        let other = session.step(shape, people, Some(&best));
        cleared = other.late();
        if !cleared {
            best = other;
        }
    }
    best
}

/// What fits, or with one of the best jobs that were left out and as many of its cars as there is time for, where
/// there is much time left: a person alone has an evening of a part of it.
fn with_part_of_a_job<'s>(session: &'s Session<'_>, fits: Step<'s>, people: &People) -> Step<'s> {
    let left_out: Vec<JobIx> = fits.shape.left_out.iter().map(|(job, _)| *job).collect();
    let mut best = fits;
    for job in left_out.into_iter().take(PARTS) {
        if best.busy() {
            break;
        }
        let part = session.step(stretch::with_part_of(&best.shape, job), people, Some(&best));
        let other = trimmed(session, part, people, BETWEEN);
        if !other.late() {
            let clear = shrink::without_light_jobs(&other.made, &other.shape, &other.given);
            let clear = clear.map(|shape| session.step(shape, people, Some(&other)));
            let other = clear.filter(|clear| !clear.late()).unwrap_or(other);
            best = best.fuller(other);
        }
    }
    best
}

/// A step that may be late, with cars held back that hold everybody up, at most so many times.
fn trimmed<'s>(session: &'s Session<'_>, late: Step<'s>, people: &People, most: usize) -> Step<'s> {
    let mut step = late;
    for _ in 0..most {
        let held = || shrink::held_back(&step.made, &step.shape, &step.given);
        let Some(shape) = step.late().then(held).flatten() else { break };
        step = session.step(shape, people, Some(&step));
    }
    step
}

/// The best of what fits and of shapes between it and one that does not.
///
/// The next shape is where the minutes that are left and those that are too many would meet if they grew evenly;
/// where one side does not move, it weighs half as much the next time, as in the rule of false position.
fn between<'s>(
    session: &'s Session<'_>,
    fits: Step<'s>,
    (large, spread): (Large, Spread),
    people: &People,
) -> Step<'s> {
    let mut best = fits;
    let (mut low, mut left) = (best.shape.clone(), slack(&best));
    let Large { shape: mut high, mut over } = large;
    for _ in 0..BETWEEN {
        let Some(shape) =
            (!best.whole()).then(|| stretch::towards(&low, &high, (left, left + over), spread)).flatten()
        else {
            break;
        };
        let other = session.step(shape, people, Some(&best));
        if other.late() {
            (high, over) = (other.shape, other.given.score.late);
            left /= 2;
            continue;
        }
        (low, left) = (other.shape.clone(), slack(&other));
        over = over.div_ceil(2);
        best = best.busier(other);
    }
    best
}

/// The minutes that are left when all is done.
fn slack(step: &Step<'_>) -> u32 {
    step.given.board.board.hours.saturating_sub(step.given.times.latest())
}

/// A step whose jobs are dealt out with such a budget, if that is better and can be walked.
fn best_dealt(step: Step<'_>, budget: u32) -> Step<'_> {
    let given = &step.given;
    if given.proved {
        return step;
    }
    let dealt = board::solve_from(&given.board.board, &given.hands, budget);
    let Some(times) = board::walk(&given.board.board, &dealt.hands) else { return step };
    let mut other = self::given(given.people, given.board.clone(), dealt.hands, times, dealt.proved);
    other.proved &= other.score.late <= dealt.score.late;
    // Somebody may get less to do though the busiest does, too: not where nothing else is won.
    let better = (other.score.late, other.score.short) < (given.score.late, given.score.short)
        || other.score <= given.score && other.least() >= given.least();
    if better { Step { given: other, ..step } } else { step }
}

impl Session<'_> {
    /// Plans a shape and hands its jobs out, so that everybody has enough to do if there is enough.
    fn step<'s>(&'s self, shape: Shape, people: &People, before: Option<&Step<'s>>) -> Step<'s> {
        let step = self.dealt(shape, people, before);
        if step.unshared() { self.shared_out(step) } else { step }
    }

    /// The same, beginning with who had the jobs before; if all can be done in time, but not in this order of calls,
    /// in an order in which the people can do it.
    fn dealt<'s>(&'s self, shape: Shape, people: &People, before: Option<&Step<'s>>) -> Step<'s> {
        let made = self.made(&shape);
        let board = board_of(&made, &self.pace, people);
        let hand_of = |job: &JobIx| before.and_then(|before| before.given.of(*job));
        let known: Option<Vec<Hands>> = board.jobs.iter().map(hand_of).collect();
        let dealt = board::solve_from(&board.board, &known.unwrap_or_default(), BUDGET);
        let late = |times: &Times| times.latest().saturating_sub(board.board.hours);
        let times = board::walk(&board.board, &dealt.hands).filter(|times| late(times) <= dealt.score.late);
        if let Some(times) = times {
            let given = given(*people, board, dealt.hands, times, dealt.proved);
            return Step { made, shape, given, in_row: true };
        }
        let Some(times) = board::walk(&one_after_the_other(&board.board), &dealt.hands) else {
            // There is nobody to hand anything to.
            let given = given(*people, board, Vec::new(), Times::default(), true);
            return Step { made, shape, given, in_row: true };
        };
        let given = given(*people, board, dealt.hands, times, false);
        let step = Step { made, shape, given, in_row: false };
        if step.late() { step } else { self.in_row(step.shape, &step.given) }
    }

    /// A shape in an order of calls in which the people can do it as it was dealt out.
    fn in_row<'s>(&'s self, mut shape: Shape, before: &Given) -> Step<'s> {
        let jobs = &before.board.jobs;
        shape.runs.row = before.times.row().into_iter().map(|at| (jobs[at.job], at.call)).collect();
        let made = self.made(&shape);
        let board = board_of(&made, &self.pace, &before.people);
        let hands: Vec<Hands> = board.jobs.iter().filter_map(|job| before.of(*job)).collect();
        let times = board::walk(&board.board, &hands).expect("the row was made for these hands");
        let given = given(before.people, board, hands, times, false);
        best_dealt(Step { made, shape, given, in_row: true }, BUDGET)
    }

    /// A step whose jobs are dealt out with all the budget there is, in another order of calls if need be, if
    /// whoever works least then has more to do.
    fn shared_out<'s>(&'s self, step: Step<'s>) -> Step<'s> {
        let board = &step.given.board;
        let dealt = board::solve_from(&board.board, &step.given.hands, board::BUDGET);
        let Some(times) = board::walk(&one_after_the_other(&board.board), &dealt.hands) else { return step };
        let given = given(step.given.people, board.clone(), dealt.hands, times, false);
        if given.least() <= step.given.least() {
            return step;
        }
        let other = self.in_row(step.shape.clone(), &given);
        if other.late() { step } else { step.busier(other) }
    }
}

fn board_of(made: &Made<'_>, pace: &Pace, people: &People) -> CallBoard {
    let times: IxVec<CallIx, CallTime> = crews::times(made.network, &made.worked, &made.trips.tasks, pace);
    crews::call_board(made.network, &made.worked, &times, people)
}

/// The board as jobs are dealt out on it: each wholly after those before it, where one waits for another.
fn one_after_the_other(board: &Board) -> Board {
    let mut row = board.row.clone();
    row.sort_unstable();
    let links = board.links.iter().copied().filter(|link| link.first.job < link.then.job).collect();
    Board { links, row, ..board.clone() }
}

fn given(people: People, board: CallBoard, hands: Vec<Hands>, times: Times, proved: bool) -> Given {
    let late = times.latest().saturating_sub(board.board.hours);
    let score = Score { late, ..board::score_of(&board.board, &hands) };
    Given { people, board, hands, times, score, proved }
}
