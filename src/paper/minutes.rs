//! The minutes of a job as its list has them: parts in whole minutes that add up to the whole.
//!
//! A job takes so many minutes, begun ones counted. Were its calls and its runs rounded each by itself, a reader who adds
//! them up would get another number: so every part gets its whole minutes, and those that are then missing go to the
//! parts with the largest rests.

use crate::session::plan::JobMinutes;
use crate::units::Minutes;

/// A job's minutes, whole.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Shown {
    /// The work of every call.
    pub(super) calls: Vec<u32>,
    /// All runs together, that of its engine to its first call counted.
    pub(super) running: u32,
    /// What the parts add up to.
    pub(super) all: u32,
}

/// What a reader is told of a job's minutes.
pub(super) fn shown(told: &JobMinutes) -> Shown {
    let light = told.light.as_ref().map(|light| light.run);
    let running: Minutes = told.calls.iter().map(|call| call.run).chain(light).sum();
    let parts: Vec<Minutes> = told.calls.iter().map(|call| call.work).chain([running]).collect();
    let all = told.seconds.rounded_up();
    let mut calls = shares(&parts, all);
    let running = calls.pop().unwrap_or_default();
    Shown { calls, running, all }
}

/// Whole minutes for each part, so many in all; of equal rests the first part's counts.
fn shares(parts: &[Minutes], all: u32) -> Vec<u32> {
    let seconds: Vec<u32> = parts.iter().map(|part| part.whole_seconds()).collect();
    let mut shares: Vec<u32> = seconds.iter().map(|seconds| seconds / 60).collect();
    let missing = all.saturating_sub(shares.iter().sum());
    let mut by_rest: Vec<usize> = (0..parts.len()).collect();
    by_rest.sort_by_key(|part| std::cmp::Reverse(seconds[*part] % 60));
    for part in by_rest.into_iter().take(usize::try_from(missing).unwrap_or(usize::MAX)) {
        shares[part] += 1;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_minutes_add_up_and_the_largest_rests_are_rounded_up() {
        // 3:20, 20:40, 8:30 and 8:00 are 40:30, so 41: 39 whole minutes, and one each for the rests of 40 and of 30.
        let parts = [200, 1240, 510, 480].map(Minutes::seconds);
        assert_eq!(shares(&parts, 41), [3, 21, 9, 8]);
    }

    #[test]
    fn of_equal_rests_the_first_is_rounded_up() {
        // 0:30 and 0:30 are one minute.
        assert_eq!(shares(&[30, 30].map(Minutes::seconds), 1), [1, 0]);
    }
}
