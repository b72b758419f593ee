//! The pace of a layout's crews, learned from the minutes that jobs really took.
//!
//! Takes the layout's own pace and the jobs whose minutes were recorded; gives a pace between the two, the
//! nearer to the records the more there are, and says how far it can be trusted. [`fit`] has the method.
//! Runs from place to place keep the minutes of their links. The factor for slow and quick crews is
//! taken out of what was recorded, so that the pace is that of a crew of 100 %.

mod fit;
mod trust;

use serde::Serialize;

use crate::layout::Pace;
use crate::ledger::Timed;
use crate::units::Minutes;
use fit::{DEEDS, Row, Vector};

pub use trust::{Evening, Trust};

/// The seconds added to those of a job before it is weighed against others: so far off is a look at
/// the clock, however short the job (common practice, no source).
const CLOCK: u32 = 600;

/// A pace learned from records.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Learned {
    /// The pace.
    pub pace: Pace,
    /// How many jobs it is learned from.
    pub jobs: usize,
    /// Every kind of deed.
    pub deeds: Vec<Deed>,
    /// The evenings it is learned from, the earliest first.
    pub evenings: Vec<Evening>,
    /// In hundredths of its minutes, how far half of the jobs are from them at most.
    pub spread: u32,
    /// The standard error of the whole pace, in hundredths; nothing from a single evening.
    pub standard_error: Option<u32>,
    /// How far it can be trusted.
    pub trust: Trust,
}

/// What is learned of one kind of deed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Deed {
    /// Its key in the table `[pace]`.
    pub deed: &'static str,
    /// How often it was recorded.
    pub recorded: u32,
    /// The layout's own seconds.
    pub given_seconds: u32,
    /// The seconds learned.
    pub learned_seconds: u32,
    /// Their standard error, in seconds, rounded up.
    pub error_seconds: u32,
    /// How much of what is not known of it beforehand the records tell, in hundredths.
    pub told: u32,
}

/// The kinds of deed, by their keys.
const KINDS: [&str; DEEDS] = ["handling", "car", "coupling", "turnout", "spot", "run_around", "reading"];

/// Learns a pace.
///
/// # Complexity
/// O(n) for n jobs.
pub fn learned(given: &Pace, timed: &[Timed]) -> Learned {
    let rows: Vec<Row> = timed.iter().map(|job| row(given, job)).collect();
    let factors = fit::factors(&rows);
    let own = seconds_of(given);
    let mut each = [Minutes::default(); DEEDS];
    for deed in 0..DEEDS {
        each[deed] = Minutes::seconds(whole(f64::from(own[deed]) * (1.0 + factors[deed])));
    }
    let [handling, car, coupling, turnout, spot, run_around, reading] = each;
    let pace = Pace { handling, car, coupling, turnout, spot, run_around, reading, crew: given.crew };
    let evenings = trust::evenings(&pace, timed, &rows, &factors);
    let standard_error = trust::standard_error(&evenings);
    Learned {
        pace,
        jobs: timed.len(),
        deeds: deeds(timed, &rows, &factors, &own, &seconds_of(&pace)),
        spread: trust::spread(&pace, timed),
        trust: trust::of(evenings.len(), timed.len(), standard_error),
        standard_error,
        evenings,
    }
}

fn deeds(
    timed: &[Timed],
    rows: &[Row],
    factors: &Vector,
    own: &[u32; DEEDS],
    learned: &[u32; DEEDS],
) -> Vec<Deed> {
    let before = fit::inverse(fit::known());
    let after = fit::inverse(fit::normal(rows, factors).0);
    let deed = |at: usize| Deed {
        deed: KINDS[at],
        recorded: timed.iter().map(|job| counts_of(job)[at]).sum(),
        given_seconds: own[at],
        learned_seconds: learned[at],
        error_seconds: whole((f64::from(own[at]) * fit::SCATTER * after[at][at].sqrt()).ceil()),
        told: whole(100.0 * (1.0 - after[at][at] / before[at][at])),
    };
    (0..DEEDS).map(deed).collect()
}

/// What a job says of the pace.
fn row(given: &Pace, job: &Timed) -> Row {
    let (own, counts) = (seconds_of(given), counts_of(job));
    let crew = f64::from(job.crew) / 100.0;
    let mut shares = [0.0; DEEDS];
    for deed in 0..DEEDS {
        shares[deed] = f64::from(counts[deed]) * f64::from(own[deed]) * crew;
    }
    let work: f64 = shares.iter().sum();
    let run = f64::from(job.counted.run.whole_seconds());
    let all = work + run + f64::from(CLOCK);
    let longer = (f64::from(job.took.whole_seconds()) - run - work) / all;
    Row { shares: shares.map(|share| share / all), longer }
}

/// The seconds that a job takes at a pace, its own crew being as slow or quick as it was taken to be.
fn seconds_at(pace: &Pace, job: &Timed) -> u64 {
    let each = seconds_of(pace).into_iter().zip(counts_of(job));
    let plain: u64 = each.map(|(seconds, count)| u64::from(seconds) * u64::from(count)).sum();
    (plain * u64::from(job.crew)).div_ceil(100) + u64::from(job.counted.run.whole_seconds())
}

fn seconds_of(pace: &Pace) -> [u32; DEEDS] {
    let Pace { handling, car, coupling, turnout, spot, run_around, reading, crew: _ } = *pace;
    [handling, car, coupling, turnout, spot, run_around, reading].map(Minutes::whole_seconds)
}

fn counts_of(job: &Timed) -> [u32; DEEDS] {
    let counted = &job.counted;
    [
        counted.handlings,
        counted.cars,
        counted.couplings,
        counted.turnouts,
        counted.spots,
        counted.run_arounds,
        counted.reading,
    ]
}

/// The nearest whole number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "brought within the bounds of the type"
)]
fn whole(number: f64) -> u32 {
    number.round().clamp(0.0, f64::from(u32::MAX)) as u32
}

#[cfg(test)]
mod tests;
