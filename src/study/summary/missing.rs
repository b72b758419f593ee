//! What is described, but not there on the day of the next session.

use serde::Serialize;

use crate::layout::{Existence, Layout, State};
use crate::units::Date;

/// How much of each noun is not there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// `state = "planned"`.
    pub planned: Vec<Count>,
    /// `state = "out of service"`.
    pub out_of_service: Vec<Count>,
    /// Kept out by `since` or `until`.
    pub by_date: Vec<Count>,
}

/// So many of a noun.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Count {
    /// The noun, for one of them.
    pub one: &'static str,
    /// The noun, for several.
    pub several: &'static str,
    /// How many.
    pub number: usize,
}

impl Missing {
    /// Whether everything described is there.
    pub fn is_empty(&self) -> bool {
        self.planned.is_empty() && self.out_of_service.is_empty() && self.by_date.is_empty()
    }
}

/// Counts what is not there on a day.
pub(super) fn missing(layout: &Layout, date: Date) -> Missing {
    let mut missing = Missing::default();
    let mut noun = |one, several, all: Vec<Existence>| {
        let add = |list: &mut Vec<Count>, such: &dyn Fn(&Existence) -> bool| {
            let number = all.iter().filter(|existence| such(existence)).count();
            if number > 0 {
                list.push(Count { one, several, number });
            }
        };
        add(&mut missing.planned, &|existence| existence.state == State::Planned);
        add(&mut missing.out_of_service, &|existence| existence.state == State::OutOfService);
        add(&mut missing.by_date, &|existence| existence.state == State::Built && !existence.on(date));
    };
    noun("place", "places", layout.places().values().map(|item| item.existence).collect());
    noun("track", "tracks", layout.tracks().values().map(|item| item.existence).collect());
    noun("link", "links", layout.links().values().map(|item| item.existence).collect());
    noun("customer", "customers", layout.industries().values().map(|item| item.existence).collect());
    noun("gateway", "gateways", layout.gateways().values().map(|item| item.existence).collect());
    noun("lane", "lanes", layout.lanes().values().map(|item| item.existence).collect());
    noun("job", "jobs", layout.jobs().values().map(|item| item.existence).collect());
    noun("car", "cars", layout.cars().values().map(|item| item.existence).collect());
    missing
}
