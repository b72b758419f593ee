//! A step of sizing a session: a shape, what came of it, and how well that fits the people.

use super::super::Made;
use super::super::asked::Shape;
use super::{ENOUGH, WHOLE, stretch};
use crate::crews::board::{Hands, Score, Times};
use crate::crews::{CallBoard, People};
use crate::ids::JobIx;

/// Jobs handed out.
#[derive(Clone, Debug)]
pub(in crate::session) struct Given {
    pub(in crate::session) people: People,
    pub(in crate::session) board: CallBoard,
    pub(in crate::session) hands: Vec<Hands>,
    pub(in crate::session) times: Times,
    /// What the assignment is worth, as it is walked through.
    pub(in crate::session) score: Score,
    /// Whether nothing better exists on this board.
    pub(in crate::session) proved: bool,
}

/// A step: a shape, and what came of it.
pub(in crate::session) struct Step<'s> {
    pub(in crate::session) made: Made<'s>,
    pub(in crate::session) shape: Shape,
    pub(in crate::session) given: Given,
    /// Whether people can follow the row of the calls as it is.
    pub(in crate::session) in_row: bool,
}

/// A shape that is too large, and by how many minutes.
#[derive(Clone, Debug)]
pub(super) struct Large {
    pub(in crate::session) shape: Shape,
    pub(super) over: u32,
}

impl Step<'_> {
    /// What does not fit.
    pub(super) fn large(&self) -> Large {
        Large { shape: self.shape.clone(), over: self.given.score.late }
    }

    pub(super) const fn late(&self) -> bool {
        self.given.score.late > 0
    }

    /// Whether there is enough to do for everybody, but not everybody has it.
    pub(super) fn unshared(&self) -> bool {
        let board = &self.given.board.board;
        let enough = board.hours * self.given.people.count * ENOUGH.0;
        !self.late() && !self.busy() && self.given.all() * ENOUGH.1 >= enough
    }

    /// Whether everybody has enough to do.
    pub(super) fn busy(&self) -> bool {
        self.given.least() * ENOUGH.1 >= self.given.board.board.hours * ENOUGH.0
    }

    /// This step, or another one that leaves whoever works least more to do.
    pub(super) fn busier(self, other: Self) -> Self {
        if other.given.least() > self.given.least() { other } else { self }
    }

    /// This step, or another one with more work: what brings a car to where it is bound before what does not, then the
    /// minutes at the calls. Jobs that only run do not count; where this one has nothing else, the other it is.
    pub(super) fn fuller(self, other: Self) -> Self {
        let none = (false, 0);
        if self.fullness() == none || other.fullness() > self.fullness() { other } else { self }
    }

    fn fullness(&self) -> (bool, u32) {
        let both = self.made.demand.wishes.iter().zip(&self.made.trips.trips);
        let arrives = both.into_iter().any(|(wish, trip)| trip.stages == wish.stages.len());
        let calls = self.given.board.board.jobs.iter().flat_map(|job| &job.calls);
        (arrives, calls.map(|call| call.work).sum())
    }

    /// Whether everybody has enough to do until the end.
    pub(super) fn whole(&self) -> bool {
        self.busy() && self.given.times.latest() * 100 >= self.given.board.board.hours * WHOLE
    }
}

impl Given {
    /// The minutes of all together.
    pub(super) fn all(&self) -> u32 {
        stretch::loads(&self.board.board, self).iter().sum()
    }

    /// The minutes of whoever works least.
    pub(super) fn least(&self) -> u32 {
        stretch::loads(&self.board.board, self).into_iter().min().unwrap_or(0)
    }

    /// Who takes a job.
    pub(super) fn of(&self, job: JobIx) -> Option<Hands> {
        let place = self.board.jobs.iter().position(|known| *known == job)?;
        self.hands.get(place).copied()
    }
}
