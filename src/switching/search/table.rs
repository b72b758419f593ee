//! A table of states: each is kept once, and found again by its hash.
//!
//! Open addressing, the next slot after a taken one. The standard library's maps draw their hash
//! anew in every run or walk a tree; this one is a single multiplication and mostly a single look.

use super::Key;

/// States, numbered in the order in which they were met.
#[derive(Clone, Debug)]
pub(super) struct Table<S> {
    states: Vec<S>,
    /// The number of the state in each slot, plus one; nothing is 0.
    slots: Vec<u32>,
    /// How far a hash is shifted to make a slot.
    shift: u32,
}

impl<S: Key> Table<S> {
    /// An empty table.
    pub(super) fn new() -> Self {
        const BITS: u32 = 8;
        Table { states: Vec::new(), slots: vec![0; 1 << BITS], shift: u64::BITS - BITS }
    }

    /// The number of a state, and whether it is new.
    pub(super) fn number(&mut self, state: S) -> (usize, bool) {
        // More than half full, the walks from slot to slot get long.
        if self.states.len() * 2 >= self.slots.len() {
            self.grow();
        }
        let slot = self.slot(state);
        if self.slots[slot] != 0 {
            return (self.slots[slot] as usize - 1, false);
        }
        self.states.push(state);
        self.slots[slot] = u32::try_from(self.states.len()).expect("a budget is far below 2^32 states");
        (self.states.len() - 1, true)
    }

    /// The number of a state that was met.
    pub(super) fn find(&self, state: S) -> Option<usize> {
        (self.slots[self.slot(state)] as usize).checked_sub(1)
    }

    /// A state by its number.
    pub(super) fn state(&self, number: usize) -> S {
        self.states[number]
    }

    /// How many states there are.
    pub(super) const fn len(&self) -> usize {
        self.states.len()
    }

    /// The slot of a state, or the empty one where it would be put.
    fn slot(&self, state: S) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = usize::try_from(state.hash() >> self.shift).expect("shifted below the length");
        while self.slots[slot] != 0 && self.states[self.slots[slot] as usize - 1] != state {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        // Four times as many: a table is filled from a few states to its last within one search.
        self.shift -= 2;
        self.slots = vec![0; self.slots.len() * 4];
        for number in 0..self.states.len() {
            let slot = self.slot(self.states[number]);
            self.slots[slot] = u32::try_from(number + 1).expect("a budget is far below 2^32 states");
        }
    }
}
