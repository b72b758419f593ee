//! The word a state is packed into: one of the machine's where it fits, else two.

use std::ops::{BitAnd, BitOr, BitXor, Not, Shl, Shr};

use super::State;
use crate::switching::search::Key;

/// A word of bits.
pub(super) trait Word:
    Key
    + From<u8>
    + Default
    + BitAnd<Output = Self>
    + BitOr<Output = Self>
    + BitXor<Output = Self>
    + Not<Output = Self>
    + Shl<u32, Output = Self>
    + Shr<u32, Output = Self>
{
    /// The same bits, of which no more are used than there are.
    fn narrow(state: State) -> Self;

    /// The same bits.
    fn widen(self) -> State;

    /// Its lowest bits as a place in a list.
    fn low(self, bits: u32) -> usize;
}

impl Word for u64 {
    fn narrow(state: State) -> Self {
        u64::try_from(state).expect("checked: the puzzle fits in this word")
    }

    fn widen(self) -> State {
        State::from(self)
    }

    fn low(self, bits: u32) -> usize {
        usize::try_from(self & ((1 << bits) - 1)).expect("a few bits")
    }
}

impl Word for u128 {
    fn narrow(state: State) -> Self {
        state
    }

    fn widen(self) -> State {
        self
    }

    fn low(self, bits: u32) -> usize {
        usize::try_from(self & ((1 << bits) - 1)).expect("a few bits")
    }
}
