//! Lanes: `[[lane]]`.

use super::{Commodity, Existence, Service};
use crate::ids::{CommodityIx, GatewayIx, Id, IndustryIx, IxVec, TypeIx};

/// A stream of carloads from one end to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lane {
    /// `id`; made from the commodity and the ends, if nothing is said: `newsprint: paper > lakes`.
    pub id: Id,
    /// `commodity`.
    pub commodity: CommodityIx,
    /// `from`.
    pub from: LaneEnd,
    /// `to`.
    pub to: LaneEnd,
    /// `carloads`: so many a day, a week, a month or a session.
    pub rate: Rate,
    /// `spread`: how many carloads the running total may stray from the rate.
    pub spread: u32,
    /// `together`: how many carloads come due as one set.
    pub together: u32,
    /// `load`: how long a car takes to load.
    pub load: Span,
    /// `unload`: how long a car takes to unload.
    pub unload: Span,
    /// `free_time`: days to load it, and to unload it, where they differ from the layout's.
    pub free_time: (Option<Span>, Option<Span>),
    /// `on_the_way`: what is done between loading and delivery, in order.
    pub on_the_way: Vec<Service>,
    /// `season`: the part of the year in which it runs.
    pub season: Option<Season>,
    /// `gap`: the least time between two sets.
    pub gap: Span,
    /// `cancel_after`: how long an order waits before it is cancelled.
    pub cancel_after: Option<Span>,
    /// `promised`: goes first.
    pub promised: bool,
    /// `cars`: the kinds of car, where they differ from the commodity's.
    pub cars: Vec<TypeIx>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}

impl Lane {
    /// The kinds of car that it takes, the best first: its own, else those of its commodity.
    pub fn kinds<'l>(&'l self, commodities: &'l IxVec<CommodityIx, Commodity>) -> &'l [TypeIx] {
        if self.cars.is_empty() { &commodities[self.commodity].cars } else { &self.cars }
    }
}

/// An end of a lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LaneEnd {
    /// A customer on the layout.
    Industry(IndustryIx),
    /// A gateway, and which of its cities, if one is named.
    Beyond(GatewayIx, Option<u32>),
}

/// So many carloads in so long.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate {
    /// How many.
    pub carloads: u32,
    /// In how long.
    pub per: Duration,
}

impl Rate {
    /// Carloads in 84 days (twelve weeks): a whole number for every rate, fit to be added up.
    /// A month counts 28 days, a session one day.
    pub const fn in_twelve_weeks(self) -> u32 {
        match self.per {
            Duration::Day | Duration::Session => self.carloads * 84,
            Duration::Week => self.carloads * 12,
            Duration::Month => self.carloads * 3,
        }
    }
}

/// What a rate counts by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Duration {
    /// `"a day"`: every working day of the customer.
    Day,
    /// `"a week"`.
    Week,
    /// `"a month"`: four weeks.
    Month,
    /// `"a session"`: every session, whatever day it is.
    Session,
}

/// A stretch of time in whole days; one session is one day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    days: u32,
}

impl Span {
    /// So many days.
    pub const fn days(days: u32) -> Self {
        Span { days }
    }

    /// The number of days.
    pub const fn count(self) -> u32 {
        self.days
    }
}

/// A part of every year, from one day to another, both included; it may run over New Year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Season {
    /// Month and day it begins.
    pub first: (i8, i8),
    /// Month and day it ends.
    pub last: (i8, i8),
}

impl Season {
    /// Whether a day lies in it.
    pub fn has(self, date: crate::units::Date) -> bool {
        let day = (date.month(), date.day());
        if self.first <= self.last {
            self.first <= day && day <= self.last
        } else {
            self.first <= day || day <= self.last
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Date;

    #[test]
    fn a_season_may_run_over_new_year() {
        let winter = Season { first: (11, 15), last: (3, 1) };
        assert!(winter.has(Date::new(1978, 12, 24).unwrap()));
        assert!(winter.has(Date::new(1979, 3, 1).unwrap()));
        assert!(!winter.has(Date::new(1978, 10, 2).unwrap()));
    }
}
