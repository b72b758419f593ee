//! How far a learned pace can be trusted.
//!
//! Jobs of one evening share their crews, so evenings are counted, not jobs: the standard error is that
//! of a weighed mean over evenings, each being off by how much longer it took than the pace says.

use serde::Serialize;

use super::fit::{Row, Vector, weight};
use super::{Timed, seconds_at, whole};
use crate::layout::Pace;

/// An evening with recorded minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Evening {
    /// The session.
    pub session: i32,
    /// How many of its jobs were recorded.
    pub jobs: usize,
    /// The minutes they took.
    pub took: u32,
    /// Their minutes at the pace, rounded up.
    pub at_pace: u32,
    /// How much it counts, in hundredths: less than 100 where its jobs are odd.
    pub counts: u32,
}

/// How far a pace can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Trust {
    /// Nothing was recorded.
    Nothing,
    /// Too few evenings or jobs to say.
    Guess,
    /// Off by more than a tenth as likely as not.
    Rough,
    /// Within a tenth.
    Fair,
    /// Within a twentieth.
    Good,
}

/// Fewer evenings than this say nothing of the next one.
const FEW_EVENINGS: usize = 3;

/// Fewer jobs than this tell the deeds apart in nothing.
const FEW_JOBS: usize = 8;

/// The word for so many evenings and jobs with such an error.
pub(super) fn of(evenings: usize, jobs: usize, error: Option<u32>) -> Trust {
    match error {
        _ if jobs == 0 => Trust::Nothing,
        Some(error) if evenings >= FEW_EVENINGS && jobs >= FEW_JOBS => match error {
            0..=5 => Trust::Good,
            6..=10 => Trust::Fair,
            _ => Trust::Rough,
        },
        _ => Trust::Guess,
    }
}

/// The evenings, the earliest first.
pub(super) fn evenings(pace: &Pace, timed: &[Timed], rows: &[Row], factors: &Vector) -> Vec<Evening> {
    let mut sessions: Vec<i32> = timed.iter().map(|job| job.session).collect();
    sessions.sort_unstable();
    sessions.dedup();
    let evening = |session: i32| {
        let of = || timed.iter().zip(rows).filter(move |(job, _)| job.session == session);
        let seconds = |seconds: u64| u32::try_from(seconds).unwrap_or(u32::MAX);
        let counts: f64 = of().map(|(_, row)| weight(row.left(factors))).sum();
        let jobs = of().count();
        let took: u64 = of().map(|(job, _)| u64::from(job.took.whole_seconds())).sum();
        let at_pace: u64 = of().map(|(job, _)| seconds_at(pace, job)).sum();
        Evening {
            session,
            jobs,
            took: seconds(took).div_ceil(60),
            at_pace: seconds(at_pace).div_ceil(60),
            counts: whole(100.0 * counts / f64::from(u32::try_from(jobs).unwrap_or(u32::MAX))),
        }
    };
    sessions.into_iter().map(evening).collect()
}

/// The standard error of the pace as a whole, in hundredths, rounded up; nothing from a single evening.
///
/// With `m` the minutes of an evening at the pace times what it counts, and `d` how much longer it took, as
/// a share: √(Σ (m d)²) / Σ m, times √(n / (n - 1)) for `n` evenings.
pub(super) fn standard_error(evenings: &[Evening]) -> Option<u32> {
    let count = f64::from(u32::try_from(evenings.len()).ok()?);
    let off =
        |evening: &Evening| (f64::from(evening.took) - f64::from(evening.at_pace)) / whole_minutes(evening);
    let mass = |evening: &Evening| whole_minutes(evening) * f64::from(evening.counts);
    let squares: f64 =
        evenings.iter().map(|evening| mass(evening) * off(evening)).map(|part| part * part).sum();
    let all: f64 = evenings.iter().map(mass).sum();
    (count > 1.0 && all > 0.0).then(|| whole((100.0 * (squares * count / (count - 1.0)).sqrt() / all).ceil()))
}

fn whole_minutes(evening: &Evening) -> f64 {
    f64::from(evening.at_pace.max(1))
}

/// In hundredths, how far half of the jobs are from their minutes at most: the median.
pub(super) fn spread(pace: &Pace, timed: &[Timed]) -> u32 {
    let off = |job: &Timed| {
        let at_pace = seconds_at(pace, job).max(1);
        (u64::from(job.took.whole_seconds()).abs_diff(at_pace) * 100).div_ceil(at_pace)
    };
    let mut off: Vec<u64> = timed.iter().map(off).collect();
    off.sort_unstable();
    off.get(off.len().saturating_sub(1) / 2).map_or(0, |median| u32::try_from(*median).unwrap_or(u32::MAX))
}
