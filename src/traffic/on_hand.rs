//! Free time: how long customers keep cars, and which they have kept too long.
//!
//! The time of a car runs from the session in which it was put at its customer's disposal: at its
//! spot, or as near as it could come, its spot being full (constructive placement). A session is one
//! day. The day itself is not counted: the clock starts the next morning.
//!
//! Common practice and published sources: 48 hours to unload in the national code from about 1910
//! (253 U.S. 319, of 1920); the clock starts at 7 in the morning; Saturdays, Sundays and holidays are
//! left out until one day has been charged, and then every day counts (a railroad accountant's
//! recollection of the middle of the century).

use crate::ids::{CarIx, IndustryIx};
use crate::layout::{FreeTime, LaneEnd, Layout, Span};
use crate::network::Network;
use crate::standing::{Condition, Standing};
use crate::units::{Date, Weekday};

/// A car that its customer has kept beyond its free time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The car.
    pub car: CarIx,
    /// The customer.
    pub customer: IndustryIx,
    /// The session in which it was put at its customer's disposal.
    pub since: i32,
    /// The days that count.
    pub days: u32,
    /// How many of them are beyond the free time.
    pub over: u32,
}

/// All cars that were kept beyond their free time, those kept longest first.
pub(super) fn kept_too_long(network: &Network<'_>, standing: &Standing, session: i32) -> Vec<Kept> {
    let layout = network.layout();
    let lanes = standing.orders.iter().filter_map(|order| Some((order.car?, order.lane)));
    let mut kept: Vec<Kept> = lanes
        .filter_map(|(car, lane)| {
            let lane = &layout.lanes()[lane];
            let state = standing.car(car);
            let since = state.placed?;
            let (load, unload) = lane.free_time;
            let usual = &layout.settings().free_time;
            let loads = matches!(state.condition, Condition::Ordered { .. } | Condition::Loading { .. });
            let (end, free) = if loads {
                (lane.from, load.unwrap_or(usual.load))
            } else {
                (lane.to, unload.unwrap_or(usual.unload))
            };
            let LaneEnd::Industry(customer) = end else { return None };
            let days = days_that_count(layout, free, since, session);
            let over = days.checked_sub(free.count()).filter(|over| *over > 0)?;
            Some(Kept { car, customer, since, days, over })
        })
        .collect();
    kept.sort_by_key(|kept| (std::cmp::Reverse(kept.over), kept.since, kept.car));
    kept
}

fn days_that_count(layout: &Layout, free: Span, since: i32, session: i32) -> u32 {
    let settings = layout.settings();
    let dates = (since + 1..=session).map(|day| settings.days.of_session(day));
    counted(dates, &settings.free_time, free)
}

/// How many of these days count.
fn counted(dates: impl Iterator<Item = Date>, how: &FreeTime, free: Span) -> u32 {
    dates.fold(0, |counted, date| {
        let weekend = matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday) && !how.weekends;
        let left_out = (weekend || how.holidays.contains(&date)) && counted <= free.count();
        counted + u32::from(!left_out)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Monday to Sunday, 2 to 8 October 1978, and the Monday after, which is a holiday.
    fn how(weekends: bool) -> FreeTime {
        let holidays = vec![Date::new(1978, 10, 9).unwrap()];
        FreeTime { load: Span::days(1), unload: Span::days(2), weekends, holidays }
    }

    /// Days that count from the day after one of October 1978 to another, both included.
    fn october(how: &FreeTime, free: u32, placed: i8, until: i8) -> u32 {
        let days = (placed + 1..=until).map(|day| Date::new(1978, 10, day).unwrap());
        counted(days, how, Span::days(free))
    }

    #[test]
    fn forty_eight_hours_are_two_days_after_the_day_of_placement() {
        // 48 hours of free time to unload: 253 U.S. 319 (1920). Placed on Monday, Tuesday and
        // Wednesday are free, Thursday is the first day charged.
        let days = |until| october(&how(false), 2, 2, until);
        assert_eq!([days(2), days(3), days(4), days(5)], [0, 1, 2, 3]);
    }

    #[test]
    fn weekends_and_holidays_are_left_out_of_the_free_time() {
        // Saturdays, Sundays and holidays not counted: a trade column of 2003 on regulated days.
        // Placed on Thursday the 5th: Friday counts, Saturday, Sunday and the holiday do not,
        // Tuesday the 10th is the second free day.
        let days = |until| october(&how(false), 2, 5, until);
        assert_eq!([days(6), days(7), days(8), days(9), days(10), days(11)], [1, 1, 1, 1, 2, 3]);
    }

    #[test]
    fn once_a_day_was_charged_every_day_counts() {
        // A railroad accountant's recollection: until one chargeable day has run. Placed on Tuesday
        // the 3rd: Wednesday and Thursday are free, Friday is charged, and so are Saturday and Sunday.
        let days = |until| october(&how(false), 2, 3, until);
        assert_eq!([days(5), days(6), days(7), days(8)], [2, 3, 4, 5]);
    }

    #[test]
    fn later_carriers_count_weekends_from_the_first() {
        // Two days to unload, weekends count: a trade column of September 2003 on two carriers' tariffs.
        let days = |until| october(&how(true), 2, 5, until);
        assert_eq!([days(6), days(7), days(8)], [1, 2, 3]);
    }

    #[test]
    fn loading_has_twenty_four_hours() {
        // One day to load: a switching carrier's tariff of 2010.
        let days = |until| october(&how(false), 1, 2, until);
        assert_eq!([days(3), days(4)], [1, 2]);
    }
}
