//! What trips are worth.

use std::ops::{AddAssign, SubAssign};

use super::Trip;
use crate::traffic::Wish;

/// What trips are worth: whole numbers, compared in order; more is better. What all trips of a session
/// are worth is the sum of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// Promised and perishable cars that arrive tonight.
    pub(super) promised: i64,
    /// Sessions waited, tonight's counted, by all cars that arrive tonight.
    pub(super) waited: i64,
    /// Sessions waited, tonight's counted, by all cars that do not arrive but get nearer, or stand near a
    /// spot that is full.
    pub(super) nearer: i64,
    /// Legs run, as a number below zero: fewer is better.
    pub(super) legs: i64,
    /// For every car that arrives or gets nearer its place in the order of urgency, as a number below
    /// zero: of two for whom all else is the same, the first goes.
    pub(super) order: i64,
}

impl Worth {
    /// What one trip is worth in a session, that of the wish at this place in the order of urgency.
    pub(super) fn of(wish: &Wish, place: usize, trip: &Trip, session: i32) -> Worth {
        let arrives = trip.stages == wish.stages.len();
        let nearer = !arrives && !trip.legs.is_empty() && !trip.aside;
        let count = |number: usize| i64::try_from(number).unwrap_or(i64::MAX / 2);
        let wait = i64::from(session.saturating_sub(wish.urgency.since)) + 1;
        Worth {
            promised: i64::from(arrives && wish.urgency.promised == 0),
            waited: if arrives { wait } else { 0 },
            nearer: if nearer { wait } else { 0 },
            legs: -count(trip.legs.len()),
            order: if arrives || nearer { -count(place) } else { 0 },
        }
    }

    /// What decides before legs are counted.
    pub(super) const fn cars(&self) -> (i64, i64, i64) {
        (self.promised, self.waited, self.nearer)
    }
}

impl AddAssign for Worth {
    fn add_assign(&mut self, more: Worth) {
        self.promised += more.promised;
        self.waited += more.waited;
        self.nearer += more.nearer;
        self.legs += more.legs;
        self.order += more.order;
    }
}

impl SubAssign for Worth {
    fn sub_assign(&mut self, less: Worth) {
        self.promised -= less.promised;
        self.waited -= less.waited;
        self.nearer -= less.nearer;
        self.legs -= less.legs;
        self.order -= less.order;
    }
}
