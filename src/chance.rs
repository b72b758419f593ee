//! Chance, in named streams.
//!
//! One seed a session. Every decision draws from a stream of its own, keyed by the seed, the
//! purpose and the stable id of what is decided, so that a new customer leaves every other
//! customer's draws as they were. The generator is `ChaCha` with eight rounds; the key comes from a
//! fixed hash written here, and the draws below are built on whole 64-bit words, because a
//! library's own samplers may change what they return from one release to the next.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// The source of all chance in one session: the hash of its seed, for each quarter of a stream's key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chance {
    seeded: [u64; 4],
}

/// The draws of one decision.
#[derive(Clone, Debug)]
pub struct Stream {
    words: ChaCha8Rng,
}

impl Chance {
    /// The chance of a session with this seed.
    pub fn new(seed: u64) -> Self {
        let seeded = seed.to_le_bytes().into_iter().fold(OFFSET, fold);
        let quarter = |number: u64| number.to_le_bytes().into_iter().fold(seeded, fold);
        Chance { seeded: [0, 1, 2, 3].map(quarter) }
    }

    /// The stream for one purpose and one thing.
    pub fn stream(self, purpose: &str, id: &str) -> Stream {
        let mut hashes = self.seeded;
        // 0xFF is never part of UTF-8: it keeps purpose and id apart.
        for bytes in [purpose.as_bytes(), &[0xFF], id.as_bytes()] {
            for &byte in bytes {
                hashes = hashes.map(|hash| fold(hash, byte));
            }
        }
        let mut key = [0; 32];
        for (part, hash) in key.chunks_exact_mut(8).zip(hashes) {
            part.copy_from_slice(&finish(hash).to_le_bytes());
        }
        Stream { words: ChaCha8Rng::from_seed(key) }
    }
}

impl Stream {
    /// A whole number from 0 to `bound` - 1, each as likely as the next.
    ///
    /// # Panics
    /// When `bound` is 0.
    pub fn below(&mut self, bound: u64) -> u64 {
        assert!(bound > 0, "nothing lies below zero");
        // Words beyond the last whole multiple of `bound` are drawn again, so that none is favoured.
        let limit = u64::MAX - u64::MAX % bound;
        loop {
            let word = self.words.next_u64();
            if word < limit {
                return word % bound;
            }
        }
    }

    /// One of a list, or nothing of an empty one.
    pub fn pick<'a, T>(&mut self, items: &'a [T]) -> Option<&'a T> {
        let count = u64::try_from(items.len()).ok().filter(|count| *count > 0)?;
        items.get(usize::try_from(self.below(count)).ok()?)
    }

    /// Puts a list into an order, each order as likely as the next (Fisher and Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for (left, last) in (1..items.len()).map(|last| (last as u64 + 1, last)).rev() {
            let chosen = usize::try_from(self.below(left)).expect("below a length");
            items.swap(chosen, last);
        }
    }
}

// FNV-1a, 64 bits: offset basis and prime as published by its authors.
const OFFSET: u64 = 0xCBF2_9CE4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01B3;

fn fold(hash: u64, byte: u8) -> u64 {
    (hash ^ u64::from(byte)).wrapping_mul(PRIME)
}

/// Spreads the hash over all 64 bits (the finalizer of `SplitMix64`).
fn finish(mut hash: u64) -> u64 {
    hash = (hash ^ (hash >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    hash = (hash ^ (hash >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    hash ^ (hash >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_key_draws_the_same_numbers_on_every_machine() {
        let mut stream = Chance::new(7).stream("orders", "newsprint");
        let drawn: Vec<u64> = (0..6).map(|_| stream.below(100)).collect();
        assert_eq!(
            drawn,
            [56, 95, 17, 95, 56, 1],
            "golden values: a change here changes every session ever planned"
        );
    }

    #[test]
    fn purpose_and_id_are_kept_apart() {
        let chance = Chance::new(1);
        let one = chance.stream("ab", "c").below(u64::MAX);
        let other = chance.stream("a", "bc").below(u64::MAX);
        assert_ne!(one, other);
    }

    #[test]
    fn a_shuffle_keeps_every_item() {
        let mut items: Vec<u32> = (0..40).collect();
        Chance::new(3).stream("shuffle", "test").shuffle(&mut items);
        let mut sorted = items.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (0..40).collect::<Vec<_>>());
        assert_ne!(items, sorted);
    }
}
