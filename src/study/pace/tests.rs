//! Paces learned from jobs made up by hand.

use super::*;
use crate::ids::Id;
use crate::session::plan::CallMinutes;
use crate::units::Effort;

/// A job of ten handlings and thirty cars: 10 · 30 + 30 · 6 = 480 s of work, and a run of 120 s.
fn job(session: i32, took: u32) -> Timed {
    let counted = CallMinutes {
        work: Minutes::seconds(480),
        run: Minutes::seconds(120),
        effort: Effort { handlings: 10, cars: 30, links: Minutes::seconds(120), ..Effort::default() },
    };
    Timed { session, job: Id::from("drill"), counted, crew: 100, took: Minutes::new(took) }
}

fn evenings(took: &[u32]) -> Vec<Timed> {
    let evening =
        |(session, took): (i32, &u32)| [job(session, *took), job(session, *took), job(session, *took)];
    (1..).zip(took).flat_map(evening).collect()
}

#[test]
fn without_records_the_pace_is_the_layouts() {
    let found = learned(&Pace::default(), &[]);
    assert_eq!((found.pace, found.trust, found.standard_error), (Pace::default(), Trust::Nothing, None));
}

#[test]
fn what_takes_as_long_as_given_leaves_the_pace_alone() {
    let found = learned(&Pace::default(), &evenings(&[10, 10, 10]));
    assert_eq!((found.pace, found.trust), (Pace::default(), Trust::Good));
    assert_eq!((found.spread, found.standard_error), (0, Some(0)));
}

#[test]
fn slower_crews_make_a_slower_pace_and_what_was_not_recorded_follows_less() {
    let found = learned(&Pace::default(), &evenings(&[14, 14, 14, 14]));
    let pace = found.pace;
    assert!((40..=48).contains(&pace.handling.whole_seconds()), "{pace:?}");
    assert!((125..=170).contains(&pace.run_around.whole_seconds()), "{pace:?}");
    let told = |deed: &str| found.deeds.iter().find(|known| known.deed == deed).unwrap().told;
    assert!(told("handling") > told("run_around"), "{:?}", found.deeds);
}

#[test]
fn one_odd_evening_counts_little() {
    let usual = learned(&Pace::default(), &evenings(&[10, 10, 10, 10, 10]));
    let odd = learned(&Pace::default(), &evenings(&[10, 10, 10, 10, 10, 60]));
    let all = |found: &Learned| seconds_at(&found.pace, &job(1, 10));
    assert!(all(&odd) * 100 <= all(&usual) * 112, "{} {}", all(&odd), all(&usual));
    assert!(odd.evenings[5].counts < 20 && odd.evenings[0].counts == 100, "{:?}", odd.evenings);
    assert_eq!(odd.evenings[5].took, 180);
}

#[test]
fn the_factor_of_an_evening_is_taken_out_of_it() {
    // A crew of 150 % takes 480 · 1.5 + 120 = 840 s: fourteen minutes are what was to be expected.
    let slow = |mut job: Timed| {
        job.crew = 150;
        job
    };
    let timed: Vec<Timed> = evenings(&[14, 14, 14]).into_iter().map(slow).collect();
    assert_eq!(learned(&Pace::default(), &timed).pace, Pace::default());
}

#[test]
fn one_evening_or_a_few_jobs_are_a_guess() {
    assert_eq!(learned(&Pace::default(), &evenings(&[12])).trust, Trust::Guess);
    assert_eq!(learned(&Pace::default(), &evenings(&[12])).standard_error, None);
    assert_eq!(learned(&Pace::default(), &evenings(&[12, 11])).trust, Trust::Guess);
    // Off by 0 and 3 of 10 minutes each in turn: an error of the mean of more than a tenth.
    let scattered = learned(&Pace::default(), &evenings(&[5, 20, 5, 20]));
    assert_eq!(scattered.trust, Trust::Rough, "{:?}", scattered.standard_error);
}
