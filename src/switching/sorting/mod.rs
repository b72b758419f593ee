//! Sorting: a string of cars put into the order of its blocks on the tracks of a yard.
//!
//! Takes the string as it lies, for each car the number of its block, and how many tracks there are;
//! gives every pull and every shove. It knows nothing of layouts: a car is its place in the string,
//! counted from the car that is left first, which is the outermost of a cut. The train grows in the
//! same sense: block 0 is left first and stands deepest on the train's track.
//!
//! The way is the multistage sorting of railroad yards: each car gets a code of bits, one for each
//! *step*. The string is rolled in once, every car onto the track of its lowest bit, or straight
//! into the train if it has none. Then the tracks are pulled one after the other, and every car goes to
//! the track of its next bit, or into the train: a stable sort by the code. It comes out right if codes
//! never fall along the train, and rise wherever the next car stands before this one in the string.
//! So the string falls into *chains* ([`chains()`]), all cars of a chain share a code ([`codes`]), and
//! `n` chains take ⌈log₂ n⌉ steps, which is the fewest.
//!
//! Sources: R. Jacob, P. Marton, J. Maue, M. Nunkesser, "Multistage methods for freight train
//! classification", Networks 57 (2011); C. F. Daganzo, R. G. Dowling, R. W. Hall, "Railroad
//! classification yard throughput: the case of multistage triangular sorting", Transportation
//! Research A 17 (1983). `tests/outside/sorting.py` holds it against them and against every way there
//! is for short strings.
//!
//! A worked example: `4 2 1 3` (blocks 0 to 3 are written 1 to 4). Reading for 1 finds 1, then 2 only
//! on the next reading, and 3 and 4 after it only 3: chains `1`, `2 3`, `4` with codes 00, 01, 10. Rolled
//! in: 4 to track 1, 2 to track 0, 1 into the train, 3 to track 0. Step 0 pulls 2 3: into the train. Step 1
//! pulls 4: into the train. It stands 1 2 3 4 after two steps = ⌈log₂ 3⌉.
//!
//! Cost: O(n log n) for the chains, O(n · steps) for the moves.

mod chains;
mod codes;
mod moves;

pub use chains::{Chains, chains};
pub use codes::{Scheme, most_chains, runs, steps};
pub use moves::{Roll, Stage, To};

/// A string's way into its order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sorting {
    /// The chains that the string falls into.
    pub chains: Chains,
    /// The code of each chain: bit `i` is set if its cars lie on the track that step `i` pulls.
    pub codes: Vec<u128>,
    /// The roll-in of the whole string, then one stage for each step.
    pub stages: Vec<Stage>,
}

impl Sorting {
    /// How many tracks are pulled.
    pub const fn steps(&self) -> usize {
        self.stages.len() - 1
    }

    /// How many cuts are shoved, all stages together: what a crew on the flat has to do.
    pub fn shoves(&self) -> usize {
        self.stages.iter().map(|stage| stage.rolls.len()).sum()
    }
}

/// The sorting of a string in the fewest steps that a scheme allows on so many tracks besides the
/// train's own; nothing if it cannot be done on them.
///
/// `blocks` has for each car, in the order in which they are left, the number of its block; cars of a
/// block may stand in any order.
///
/// # Complexity
/// O(n log n + n · steps).
pub fn sort(blocks: &[usize], scheme: Scheme, tracks: usize) -> Option<Sorting> {
    let chains = chains(blocks);
    let codes = codes::codes(chains.count, scheme, tracks)?;
    let of = chains.of.iter().map(|chain| codes[*chain]);
    let stages = moves::stages(&of.collect::<Vec<_>>(), tracks);
    Some(Sorting { chains, codes, stages })
}

#[cfg(test)]
mod tests;
