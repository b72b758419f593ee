//! Draws for the generator: small whole numbers from one named stream.

use setout::chance::{Chance, Stream};

/// A stream with the few kinds of draw that the generator needs.
pub(crate) struct Draw(Stream);

impl Draw {
    /// The draws for one purpose.
    pub(crate) fn new(seed: u64, purpose: &str) -> Self {
        Draw(Chance::new(seed).stream("laws", purpose))
    }

    /// A number from `low` to `high`, both included.
    pub(crate) fn between(&mut self, low: usize, high: usize) -> usize {
        low + usize::try_from(self.0.below((high - low + 1) as u64)).unwrap()
    }

    /// Yes, so many times in so many.
    pub(crate) fn odds(&mut self, times: u64, of: u64) -> bool {
        self.0.below(of) < times
    }

    /// One of a list.
    pub(crate) fn one<T: Copy>(&mut self, items: &[T]) -> T {
        *self.0.pick(items).expect("nothing is drawn from an empty list")
    }

    /// A line of text, so many times in so many; otherwise nothing.
    pub(crate) fn maybe(&mut self, times: u64, of: u64, line: &str) -> String {
        if self.odds(times, of) { format!("{line}\n") } else { String::new() }
    }

    /// Puts a list into another order.
    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        self.0.shuffle(items);
    }
}
