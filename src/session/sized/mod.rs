//! A session sized to the people who came.
//!
//! The session is planned, its jobs are handed out, and while it does not fit, it is made smaller
//! ([`shrink`]): orders are held back within the spread of their lanes, then the least urgent cars of
//! the job that holds everybody up; where there are far too few people, jobs do not run, in the host's
//! order. Where much time is left, orders are drawn forward ([`stretch`]). Every step plans anew; the
//! number of steps is fixed.
//!
//! People take jobs one after the other, while the row of the calls may want one person in two places.
//! Then the row is put in the order in which the people can do it, and planned on again.

mod shrink;
mod stretch;

use std::cell::RefCell;
use std::ops::ControlFlow::{Break, Continue};

use crate::chance::Chance;
use crate::crews::board::{self, Board, Hands, Score, Times};
use crate::crews::{self, CallBoard, CallTime, People};
use crate::ids::{CallIx, IxVec, JobIx};
use crate::layout::{Layout, Pace};
use crate::network::Network;
use crate::standing::Standing;
use crate::switching::Memory;

use super::asked::Shape;
use super::{Care, Made, make};

/// The most steps in which a session is made smaller or larger.
const STEPS: usize = 32;

/// How many nodes the search for who takes which job looks at in each step: the last step's jobs are dealt out
/// with ten times as many.
const BUDGET: u32 = board::BUDGET / 10;

/// What is planned: the same for every step.
pub(super) struct Session<'a> {
    pub(super) layout: &'a Layout,
    pub(super) standing: &'a Standing,
    pub(super) number: i32,
    pub(super) chance: Chance,
    pub(super) pace: Pace,
    /// What its calls came to in the steps before.
    pub(super) memory: RefCell<Memory>,
}

/// Jobs handed out.
#[derive(Clone, Debug)]
pub(super) struct Given {
    pub(super) people: People,
    pub(super) board: CallBoard,
    pub(super) hands: Vec<Hands>,
    pub(super) times: Times,
    /// What the assignment is worth, as it is walked through.
    pub(super) score: Score,
    /// Whether nothing better exists on this board.
    pub(super) proved: bool,
}

/// A step: a shape, and what came of it.
struct Step {
    shape: Shape,
    given: Given,
    /// The next smaller shape, where this one does not fit.
    smaller: Option<Shape>,
}

impl Step {
    fn new(made: &Made<'_>, shape: &Shape, given: Given) -> Self {
        let late = given.score.late > 0;
        let smaller = late.then(|| shrink::smaller(made, shape, &given)).flatten();
        Step { shape: shape.clone(), given, smaller }
    }
}

impl Session<'_> {
    /// Plans the session in a shape, and does something with what was made.
    pub(super) fn made<T>(&self, shape: &Shape, with: impl FnOnce(&Made<'_>) -> T) -> T {
        let date = self.layout.settings().days.of_session(self.number);
        let network = Network::running(self.layout, date, &shape.runs);
        let (number, chance) = (self.number, self.chance);
        let memory = || self.memory.borrow_mut();
        let made = make(&network, self.standing, number, chance, Care::Full, shape, &mut memory());
        with(&made)
    }
}

/// The shape in which the session fits the people best, and who does what in it.
pub(super) fn sized(session: &Session<'_>, asked: Shape, people: &People) -> (Shape, Given) {
    let mut best = step(session, asked, people);
    let mut tried = Tried::default();
    for _ in 0..STEPS {
        let late = best.given.score.late > 0;
        let next = if late { best.smaller.take() } else { tried.larger(session, &best) };
        let Some(shape) = next else { break };
        let other = step(session, shape, people);
        // What is made smaller is gone on with; what is made larger counts only if it still fits.
        if late || other.given.score.late == 0 {
            best = other;
        }
    }
    (best.shape, best_dealt(best.given))
}

/// The jobs of the last step dealt out with all the budget there is, if that is better and can be walked.
fn best_dealt(given: Given) -> Given {
    if given.proved {
        return given;
    }
    let dealt = board::solve(&given.board.board, board::BUDGET);
    let Some(times) = board::walk(&given.board.board, &dealt.hands) else { return given };
    let mut other = self::given(given.people, given.board.clone(), dealt.hands, times, dealt.proved);
    other.proved &= other.score.late <= dealt.score.late;
    if other.score <= given.score { other } else { given }
}

/// What was tried to make a session larger: nothing is tried twice.
#[derive(Debug, Default)]
struct Tried {
    jobs: Vec<JobIx>,
    drawn: bool,
    cleared: bool,
    given_back: usize,
}

impl Tried {
    /// The next shape to try where the session fits: with a job that was left out, or with orders drawn
    /// forward; nothing if all was tried.
    fn larger(&mut self, session: &Session<'_>, best: &Step) -> Option<Shape> {
        if !self.cleared {
            self.cleared = true;
            let light = |made: &Made<'_>| shrink::without_light_jobs(made, &best.shape, &best.given);
            if let Some(shape) = session.made(&best.shape, light) {
                return Some(shape);
            }
        }
        if let Some((job, shape)) = stretch::with_one_more(&best.shape, &best.given, &self.jobs) {
            self.jobs.push(job);
            self.cleared = false;
            return Some(shape);
        }
        while self.given_back < stretch::GIVEN_BACK {
            self.given_back += 1;
            if let Some(shape) = stretch::given_back(&best.shape, &best.given, self.given_back - 1) {
                return Some(shape);
            }
        }
        if self.drawn {
            return None;
        }
        self.drawn = true;
        stretch::larger(session.layout, &best.shape, &best.given)
    }
}

/// Plans a shape and hands its jobs out; if the people cannot do it in this order of calls, in an order
/// in which they can.
fn step(session: &Session<'_>, mut shape: Shape, people: &People) -> Step {
    let dealt = session.made(&shape, |made| {
        let board = board_of(made, &session.pace, people);
        let dealt = board::solve(&board.board, BUDGET);
        let times = board::walk(&board.board, &dealt.hands);
        let late = |times: &Times| times.latest().saturating_sub(board.board.hours);
        if let Some(times) = times.filter(|times| late(times) <= dealt.score.late) {
            return Break(Step::new(made, &shape, given(*people, board, dealt.hands, times, dealt.proved)));
        }
        let Some(times) = board::walk(&one_after_the_other(&board.board), &dealt.hands) else {
            // There is nobody to hand anything to.
            let given = given(*people, board, Vec::new(), Times::default(), true);
            return Break(Step::new(made, &shape, given));
        };
        Continue((board, dealt, times))
    });
    let (board, dealt, times) = match dealt {
        Break(step) => return step,
        Continue(dealt) => dealt,
    };
    shape.runs.row = times.row().into_iter().map(|at| (board.jobs[at.job], at.call)).collect();
    session.made(&shape, |made| {
        let other = board_of(made, &session.pace, people);
        let hand_of =
            |job: &JobIx| board.jobs.iter().position(|known| known == job).map(|at| dealt.hands[at]);
        let hands: Vec<Hands> = other.jobs.iter().filter_map(hand_of).collect();
        let times = board::walk(&other.board, &hands).expect("the row was made for these hands");
        Step::new(made, &shape, given(*people, other, hands, times, false))
    })
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
