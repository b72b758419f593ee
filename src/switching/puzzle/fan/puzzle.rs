//! The puzzle as it is searched, packed into a word of one size.

use super::pattern::Pattern;
use super::word::Word;
use super::yard::Yard;
use super::{State, Step};
use crate::switching::search::{Answer, Budget, Cost, Problem, search};

/// A puzzle in a word.
#[derive(Debug)]
pub(super) struct Puzzle<W> {
    yard: Yard,
    /// The bits that the goal says something about, and what it says.
    goal: (W, W),
    pattern: Option<Pattern<W>>,
}

impl<W: Word> Puzzle<W> {
    /// The rows that are wanted, all cars, the class of those that the goal leaves open, and the most
    /// states of a pattern table.
    pub(super) fn new(
        yard: &Yard,
        wanted: &[Option<Vec<u8>>],
        cars: &[u8],
        others: u8,
        table: usize,
    ) -> Self {
        let goal = (yard.fields(wanted), yard.filled(&[], wanted));
        Puzzle { yard: yard.clone(), goal, pattern: Pattern::new(yard, wanted, cars, others, table) }
    }

    pub(super) fn solve(&self, start: State, states: usize) -> Answer<Step> {
        search(self, W::narrow(start), Budget::states(states))
    }

    pub(super) fn all(&self) -> Option<Vec<(State, Cost)>> {
        let whole = self.pattern.as_ref().filter(|pattern| pattern.whole)?;
        Some(whole.distances.all().map(|(state, moves)| (state.widen(), moves)).collect())
    }
}

impl<W: Word> Problem for Puzzle<W> {
    type State = W;
    type Move = Step;

    fn moves(&self, state: W, last: Option<Step>, each: &mut impl FnMut(Step, W, Cost)) {
        self.yard.moves(state, last, each);
    }

    fn bound(&self, state: W) -> Option<Cost> {
        match &self.pattern {
            Some(pattern) => pattern.bound(state),
            // A move changes one track, so every track that is not as wanted needs one.
            None => Some(self.yard.different(state, self.goal)),
        }
    }

    fn done(&self, state: W) -> bool {
        state & self.goal.0 == self.goal.1
    }
}
