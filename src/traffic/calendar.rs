//! Working days: which sessions count for a customer.

use crate::ids::LaneIx;
use crate::layout::{Days, Lane, LaneEnd, Layout, Span};
use crate::units::{Date, Weekdays};

/// The first session the long run is counted from; those before the first real session run the
/// railroad in.
pub(super) const FIRST_COUNTED: i32 = -63;

/// How many days on which a lane runs lie in the sessions from one to another, both included.
pub(super) fn days_run(layout: &Layout, lane: LaneIx, works: Weekdays, from: i32, to: i32) -> u32 {
    let days = layout.settings().days;
    counted(days, from, to, |date| works.has(date.weekday()) && runs(layout, lane, date))
}

/// How many of the sessions from one to another have a day that counts, both included; what counts repeats
/// with the days that sessions walk through.
fn counted(days: Days, from: i32, to: i32, counts: impl Fn(Date) -> bool) -> u32 {
    let count = |from: i32, to: i32| (from..=to).filter(|session| counts(days.of_session(*session))).count();
    let cycle = days.first.days_until(days.last) + 1;
    let whole = (to - from + 1).max(0) / cycle;
    let counted =
        count(from, from + cycle - 1) * usize::try_from(whole).unwrap_or(0) + count(from + whole * cycle, to);
    u32::try_from(counted).unwrap_or(u32::MAX)
}

/// The first session in which a car is ready that was spotted in a session and takes so long.
///
/// Every working day counts, that of the session itself included; it is never ready in the same
/// session, and a customer says that it is done with a car only on a day on which it works. A customer
/// with no working day in the layout's days is taken to work every day.
pub(super) fn ready(days: Days, works: Weekdays, session: i32, takes: Span) -> i32 {
    let cycle = days.first.days_until(days.last) + 1;
    let ever = (1..=cycle).any(|session| works.has(days.of_session(session).weekday()));
    let works = if ever { works } else { Weekdays::EVERY };
    let mut left = takes.count();
    let mut day = session;
    while left > 0 {
        if works.has(days.of_session(day).weekday()) {
            left -= 1;
        }
        day += 1;
    }
    day = day.max(session + 1);
    while !works.has(days.of_session(day).weekday()) {
        day += 1;
    }
    day
}

/// The working days of the customer a lane is counted by: the one that ships, else the one that
/// receives.
pub(super) fn lane_works(layout: &Layout, lane: &Lane) -> Weekdays {
    match (lane.from, lane.to) {
        (LaneEnd::Industry(industry), _) | (_, LaneEnd::Industry(industry)) => {
            layout.industries()[industry].works
        }
        (LaneEnd::Beyond(..), LaneEnd::Beyond(..)) => Weekdays::EVERY,
    }
}

/// Whether a lane and both its ends exist on a day, in its season.
pub(super) fn runs(layout: &Layout, lane: LaneIx, date: Date) -> bool {
    let lane = &layout.lanes()[lane];
    let end_exists = |end: LaneEnd| match end {
        LaneEnd::Industry(industry) => layout.industries()[industry].existence.on(date),
        LaneEnd::Beyond(gateway, _) => layout.gateways()[gateway].existence.on(date),
    };
    lane.existence.on(date)
        && end_exists(lane.from)
        && end_exists(lane.to)
        && lane.season.is_none_or(|season| season.has(date))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Date, Weekday};

    fn week() -> Days {
        let first = Date::new(1978, 10, 2).unwrap();
        Days { first, last: first.plus_days(6) }
    }

    fn weekdays() -> Weekdays {
        Weekday::ALL[..5].iter().fold(Weekdays::NONE, |set, day| set.with(*day))
    }

    #[test]
    fn two_weeks_have_ten_working_days() {
        let working = |from, to| counted(week(), from, to, |date| weekdays().has(date.weekday()));
        assert_eq!([working(1, 14), working(6, 7), working(5, 8), working(-6, 7)], [10, 0, 2, 10]);
    }

    #[test]
    fn forty_eight_hours_over_a_weekend_end_on_tuesday() {
        // 48 h to unload, Saturdays and Sundays not counted (railroad demurrage practice of the
        // time, 49 CFR era free time): spotted on Friday (session 5), Friday and Monday are worked,
        // so it can be pulled on Tuesday (session 9).
        assert_eq!(ready(week(), weekdays(), 5, Span::days(2)), 9);
        // Spotted on Monday: Monday and Tuesday are worked, pulled on Wednesday.
        assert_eq!(ready(week(), weekdays(), 1, Span::days(2)), 3);
        assert_eq!(ready(week(), weekdays(), 1, Span::days(0)), 2);
    }

    #[test]
    fn a_customer_says_that_it_is_done_only_on_a_day_on_which_it_works() {
        // Spotted on Friday (session 5) and loaded by the evening: nobody calls before Monday.
        assert_eq!(ready(week(), weekdays(), 5, Span::days(1)), 8);
        assert_eq!(ready(week(), Weekdays::EVERY, 5, Span::days(1)), 6);
    }
}
