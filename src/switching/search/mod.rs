//! A search for the cheapest way through a puzzle of cars and tracks: best first, with a bound.
//!
//! What is searched is a [`Problem`]: packed states, the moves that lead on from each, what a move
//! costs, and a bound that never says more than the rest of the way costs. The search is A* (P. E.
//! Hart, N. J. Nilsson, B. Raphael, "A formal basis for the heuristic determination of minimum cost
//! paths", 1968; from memory): the state whose way there and bound together are least is opened
//! next, ties to the one that was reached last. A state that is reached more cheaply later is opened
//! again, so a bound need not be consistent for the answer to be right.
//!
//! What a search may spend is counted in states that are opened, never in time, so every machine
//! finds the same. Within its budget it proves its answer; beyond it, the best of what is open is
//! followed a while with a few states kept at each step, and the answer says that it is not proved.
//!
//! A worked example: cars `2 1` on a track are wanted as `1 2`, with an empty track beside it and a
//! lead for two. Couple one, leave it beside; couple the other; couple the first, or leave the other
//! and fetch both in turn: the fewest moves are found because every shorter sequence was opened.
//!
//! # Complexity
//! One hash and one queue operation for each move that is tried; memory for each state that is met.

mod backward;
mod beam;
mod best_first;
mod table;

pub use backward::Distances;
pub use best_first::search;

/// What a move, or a way, costs.
pub type Cost = u32;

/// A state that fits in a few words, and is told from others by them.
pub trait Key: Copy + Eq {
    /// A number that differs for most different states, the same on every machine.
    fn hash(self) -> u64;
}

/// The odd number next to 2^64 divided by the golden ratio: products with it spread well over the high bits.
const SPREAD: u64 = 0x9E37_79B9_7F4A_7C15;

impl Key for u64 {
    fn hash(self) -> u64 {
        (self ^ (self >> 29)).wrapping_mul(SPREAD)
    }
}

impl Key for u128 {
    #[allow(clippy::cast_possible_truncation, reason = "the two halves are taken apart")]
    fn hash(self) -> u64 {
        let (low, high) = (self as u64, (self >> 64) as u64);
        (low ^ high.wrapping_mul(SPREAD)).hash()
    }
}

impl<const N: usize> Key for [u64; N] {
    fn hash(self) -> u64 {
        self.iter().fold(0, |sum, word| (sum ^ word).hash())
    }
}

/// What is searched.
pub trait Problem {
    /// Everything that matters for the rest of the way.
    type State: Key;
    /// What leads from one state to the next.
    type Move: Copy;

    /// Calls `each` with every move that can be made, the state that it leads to and what it costs.
    /// Moves that are of no use after the last one, because a single move does the same, may be left
    /// out.
    fn moves(
        &self,
        state: Self::State,
        last: Option<Self::Move>,
        each: &mut impl FnMut(Self::Move, Self::State, Cost),
    );

    /// The same, each with its bound, and with its state where it is asked for: for problems that find the bound more
    /// easily beside the state before, and need not pack states that are of no use.
    fn bounded_moves(
        &self,
        state: Self::State,
        last: Option<Self::Move>,
        each: &mut impl FnMut(Self::Move, Cost, &dyn Fn() -> Option<Cost>, &dyn Fn() -> Option<Self::State>),
    ) {
        self.moves(state, last, &mut |step, next, price| {
            each(step, price, &|| self.bound(next), &|| Some(next));
        });
    }

    /// The same, each with a guess of what the rest of the way costs. Moves of little use may be left out.
    fn guessed_moves(
        &self,
        state: Self::State,
        last: Option<Self::Move>,
        each: &mut impl FnMut(Self::Move, Cost, Guess, &dyn Fn() -> Option<Self::State>),
    ) {
        self.bounded_moves(state, last, &mut |step, price, bound, next| {
            if let Some(least) = bound() {
                each(step, price, Guess { least, likely: least.saturating_mul(PARTS) }, next);
            }
        });
    }

    /// Never more than the rest of the way costs; nothing if there is no way.
    fn bound(&self, state: Self::State) -> Option<Cost>;

    /// What a move costs, or most do.
    fn price(&self) -> Cost {
        1
    }

    /// What a way costs besides its moves if it ends in a state in which nothing is left to do: less than a move, where
    /// it only tells ways with as many moves apart.
    fn rest(&self, _done: Self::State) -> Cost {
        0
    }

    /// Whether nothing is left to do.
    fn done(&self, state: Self::State) -> bool;
}

/// In so many parts of a cost it is guessed what is likely.
pub const PARTS: Cost = 4;

/// What the rest of a way costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Guess {
    /// Never more than that: the bound.
    pub least: Cost,
    /// What it is likely to cost, or more, in [`PARTS`] of a cost: it only says which states are followed.
    pub likely: Cost,
}

/// What a search may spend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget {
    /// The most states it may open best first, to prove its answer.
    pub prove: usize,
    /// The most that it may open after that, to find a way without proof.
    pub follow: usize,
    /// Only a way that costs less than this is of any use.
    pub below: Cost,
}

impl Budget {
    /// So many states to prove a way of any cost, and as many again to find one without proof.
    pub const fn states(states: usize) -> Self {
        Budget { prove: states, follow: states, below: Cost::MAX }
    }
}

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer<M> {
    /// The cheapest way that it found, if it found any.
    pub way: Option<Way<M>>,
    /// Whether nothing cheaper exists; without a way, whether there is none below the limit.
    pub proved: bool,
    /// No way costs less.
    pub least: Cost,
    /// The states that were opened.
    pub opened: usize,
}

/// A way, and what it costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way<M> {
    /// Its moves, the first one first.
    pub moves: Vec<M>,
    /// What they cost together.
    pub cost: Cost,
}

#[cfg(test)]
mod tests;
