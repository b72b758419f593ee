//! The pace of a layout's crews, learned from the minutes that jobs really took.
//!
//! Takes the layout's own pace and the jobs whose minutes were recorded; gives a pace between the two, the
//! nearer to the records the more there are, and says how far it can be trusted. [`fit`] has the method.
//! The factor for slow and quick crews is taken out of what was recorded, so that the pace is that of a crew
//! of 100 %; runs from place to place are as long for every crew.

mod fit;
mod trust;

use serde::Serialize;

use crate::layout::Pace;
use crate::ledger::Timed;
use crate::units::{Effort, Minutes};
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
    /// How often it was recorded; of `running`, the minutes of the links.
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
const KINDS: [&str; DEEDS] =
    ["handling", "car", "coupling", "turnout", "spot", "run_around", "reading", "running"];

/// The place of running among them.
const RUNNING: usize = 7;

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
    let [handling, car, coupling, turnout, spot, run_around, reading, running] = each;
    let pace =
        Pace { handling, car, coupling, turnout, spot, run_around, reading, running, crew: given.crew };
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
        recorded: whole(timed.iter().map(|job| counts_of(job)[at]).sum()),
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
        let crew = if deed == RUNNING { 1.0 } else { crew };
        shares[deed] = counts[deed] * f64::from(own[deed]) * crew;
    }
    let given: f64 = shares.iter().sum();
    let all = given + f64::from(CLOCK);
    let longer = (f64::from(job.took.whole_seconds()) - given) / all;
    Row { shares: shares.map(|share| share / all), longer }
}

/// The seconds that a job takes at a pace, its own crew being as slow or quick as it was taken to be.
fn seconds_at(pace: &Pace, job: &Timed) -> u64 {
    let counted = job.counted.effort;
    let work = counted.work(&Pace { crew: job.crew, ..*pace });
    u64::from(work.whole_seconds()) + u64::from(counted.run(pace).whole_seconds())
}

fn seconds_of(pace: &Pace) -> [u32; DEEDS] {
    let Pace { handling, car, coupling, turnout, spot, run_around, reading, running, crew: _ } = *pace;
    [handling, car, coupling, turnout, spot, run_around, reading, running].map(Minutes::whole_seconds)
}

/// How often each kind of deed was done; of runs, the minutes of their links.
fn counts_of(job: &Timed) -> [f64; DEEDS] {
    let Effort { handlings, cars, couplings, turnouts, spots, run_arounds, reading, links } =
        job.counted.effort;
    let counts = [handlings, cars, couplings, turnouts, spots, run_arounds, reading].map(f64::from);
    let mut all = [f64::from(links.whole_seconds()) / 60.0; DEEDS];
    all[..RUNNING].copy_from_slice(&counts);
    all
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
