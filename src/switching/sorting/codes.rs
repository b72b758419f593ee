//! Codes: which tracks the cars of a chain lie on, one after the other.

/// How often a car may be rolled again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scheme {
    /// Once only: each track is pulled straight into the train.
    Single,
    /// At most twice: triangular sorting.
    Triangular,
    /// As often as it takes: geometric sorting, the fewest steps.
    Geometric,
}

impl Scheme {
    /// The most bits of a code.
    const fn ones(self) -> u32 {
        match self {
            Scheme::Single => 1,
            Scheme::Triangular => 2,
            Scheme::Geometric => u32::MAX,
        }
    }
}

/// The most steps there are codes for: one for each bit, and far more than any yard has time for.
const MOST_STEPS: u32 = u128::BITS - 1;

/// The fewest steps for so many chains, on as many tracks as wanted: ⌈log₂ chains⌉.
pub fn steps(chains: usize) -> u32 {
    runs(chains, 2)
}

/// How often a whole string must be rolled over so many roads and collected again, road by road, to
/// sort so many chains: ⌈log chains⌉ to the base of the roads. Nothing sorts on less than two roads.
pub fn runs(chains: usize, roads: usize) -> u32 {
    let mut runs = 0;
    let mut sorted = 1usize;
    while sorted < chains {
        sorted = sorted.saturating_mul(roads.max(2));
        runs += 1;
    }
    runs
}

/// The most chains that a scheme sorts in so many steps, each on a track of its own, the chain that
/// runs straight into the train included: steps + 1, triangular steps·(steps + 1)/2 + 1, geometric 2^steps.
pub fn most_chains(scheme: Scheme, steps: u32) -> u64 {
    let steps = u64::from(steps);
    match scheme {
        Scheme::Single => steps + 1,
        Scheme::Triangular => steps * (steps + 1) / 2 + 1,
        Scheme::Geometric => 1u64 << steps.min(63),
    }
}

/// A code for each chain, rising, in the fewest steps; nothing if there are none.
///
/// Steps take the tracks in turn, so that a track is filled again once it was pulled: a car goes at
/// most as many steps ahead as there are tracks. So one track sorts steps + 1 chains, two as many as the
/// Fibonacci numbers say, and as many tracks as steps sort all that the scheme does.
pub(super) fn codes(chains: usize, scheme: Scheme, tracks: usize) -> Option<Vec<u128>> {
    let ahead = u32::try_from(tracks).unwrap_or(u32::MAX);
    let useful = match scheme {
        _ if tracks == 0 => 0,
        Scheme::Single => ahead,
        Scheme::Triangular => ahead.saturating_mul(2),
        Scheme::Geometric => MOST_STEPS,
    };
    (0..=useful.min(MOST_STEPS)).find_map(|steps| {
        let mut found = Found { codes: Vec::new(), enough: chains, ones: scheme.ones(), ahead };
        found.grow(Code { code: 0, above: None }, steps);
        (found.codes.len() == chains).then_some(found.codes)
    })
}

/// The codes found so far, and which are looked for.
struct Found {
    codes: Vec<u128>,
    enough: usize,
    ones: u32,
    ahead: u32,
}

/// A code of which the higher bits are set, and the lowest of those.
#[derive(Clone, Copy)]
struct Code {
    code: u128,
    above: Option<u32>,
}

impl Found {
    /// Adds all codes that differ from this one in the lowest bits only, the least first.
    fn grow(&mut self, from: Code, bits: u32) {
        if self.codes.len() == self.enough {
            return;
        }
        let spent = from.code.count_ones() == self.ones;
        // The roll-in reaches the tracks of the first steps, a step those of the next ones.
        if from.above.is_some_and(|above| above >= self.ahead && (spent || above - bits >= self.ahead)) {
            return;
        }
        let Some(bit) = bits.checked_sub(1) else {
            self.codes.push(from.code);
            return;
        };
        self.grow(from, bit);
        if !spent && from.above.is_none_or(|above| above - bit <= self.ahead) {
            self.grow(Code { code: from.code | (1 << bit), above: Some(bit) }, bit);
        }
    }
}
