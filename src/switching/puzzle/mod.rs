//! Two puzzles of cars and tracks, as they are published, for the search to be measured by.
//!
//! [`fan`]: sidings that fan out from one lead. [`cells`]: a locomotive among cars on any plan of
//! tracks with turnouts, a run-around among them. Real calls are not solved here: they have their
//! own states in `switching`, and the same search.

pub mod cells;
pub mod fan;
