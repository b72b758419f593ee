//! Which cars are bad orders and which are dirty, followed through the events by themselves.
//!
//! Rule 6: a bad order is not loaded and serves no new order; a dirty car is not loaded with what
//! wants a clean one. A car is mended and cleaned only by what is done to it, or beyond a gateway.

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use super::facts::Facts;
use super::scene::listed;
use crate::ids::Id;
use crate::layout::Service;
use crate::session::plan::{Event, OrderState};

/// The cars that are not fit for everything.
struct Health<'a, 'p> {
    facts: &'a Facts<'p>,
    found: &'a mut Found,
    bad: BTreeSet<&'p Id>,
    dirty: BTreeSet<&'p Id>,
    ladings: BTreeMap<&'p Id, &'p Id>,
    /// Cars that were bad orders when the first job began.
    bad_at_start: Option<BTreeSet<&'p Id>>,
}

/// Follows every car's state from the rows before to the rows after.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let before = || listed(&facts.plan.before).map(|(_, row)| row);
    let mut health = Health {
        facts,
        found,
        bad: before().filter(|row| row.bad_order).map(|row| &row.car).collect(),
        dirty: before().filter(|row| row.dirty).map(|row| &row.car).collect(),
        ladings: before().filter_map(|row| Some((&row.car, row.lading.as_ref()?))).collect(),
        bad_at_start: None,
    };
    for (number, event) in facts.plan.events.iter().enumerate() {
        health.found.event = Some(number);
        health.event(event);
    }
    health.found.event = None;
    health.after();
    health.orders();
    health.trips();
}

impl<'p> Health<'_, 'p> {
    fn event(&mut self, event: &'p Event) {
        match event {
            Event::BadOrder { car } => {
                if self.bad_at_start.is_some() {
                    self.found.say(12, format!("`{car}` is found a bad order after the first job has begun"));
                }
                if !self.bad.insert(car) {
                    self.found.say(6, format!("`{car}` is found a bad order and was one already"));
                }
            }
            Event::Released { car, lading } => self.loaded(car, lading.as_ref()),
            Event::Placed { car, lading: Some(lading), .. } => self.loaded(car, Some(lading)),
            Event::Lifted { car, .. } => {
                self.bad.remove(car);
                self.dirty.remove(car);
                self.ladings.remove(car);
            }
            Event::Served { car, service: Service::Repair, .. } => {
                self.bad.remove(car);
            }
            Event::Served { car, service: Service::Clean, .. } if !self.ladings.contains_key(car) => {
                self.dirty.remove(car);
            }
            Event::Starts { .. } => {
                let bad = &self.bad;
                self.bad_at_start.get_or_insert_with(|| bad.clone());
            }
            Event::Placed { lading: None, .. }
            | Event::Served { .. }
            | Event::Couple { .. }
            | Event::Leave { .. }
            | Event::Goes { .. }
            | Event::Ends { .. } => {}
        }
    }

    fn loaded(&mut self, car: &'p Id, lading: Option<&'p Id>) {
        let kind = |lading: &Id| self.facts.commodities.get(lading).copied();
        let Some(lading) = lading else {
            if self.ladings.remove(car).and_then(kind).is_some_and(|kind| kind.soils) {
                self.dirty.insert(car);
            }
            return;
        };
        if self.bad.contains(car) {
            self.found.say(6, format!("`{car}` is a bad order and is loaded"));
        }
        if self.dirty.contains(car) && kind(lading).is_some_and(|kind| kind.clean) {
            self.found.say(6, format!("`{car}` is dirty and is loaded with `{lading}`"));
        }
        self.ladings.insert(car, lading);
    }

    /// What the plan says of the cars in the end.
    fn after(&mut self) {
        for (_, row) in listed(&self.facts.plan.after) {
            if row.bad_order != self.bad.contains(&row.car) {
                let said = if row.bad_order { "a bad order" } else { "sound" };
                self.found.say(6, format!("`{}` is {said} in the end, which no event says", row.car));
            }
            if row.dirty != self.dirty.contains(&row.car) {
                let said = if row.dirty { "dirty" } else { "clean" };
                self.found.say(6, format!("`{}` is {said} in the end, which no event says", row.car));
            }
        }
    }

    /// A bad order serves no order, unless it was found to be one with the load in it.
    fn orders(&mut self) {
        let bad = self.bad_at_start.as_ref().unwrap_or(&self.bad);
        for line in self.facts.plan.orders.iter().filter(|line| line.state == OrderState::Filled) {
            let Some(car) = line.car.as_ref().filter(|car| bad.contains(car)) else { continue };
            if !self.ladings.contains_key(car) {
                self.found.say(6, format!("`{car}` is a bad order and serves `{}`", line.id));
            }
        }
    }

    /// Only a bad order goes to be repaired, and to where that is done; loaded, it goes nowhere else.
    fn trips(&mut self) {
        let bad = self.bad_at_start.as_ref().unwrap_or(&self.bad);
        for trip in &self.facts.plan.trips {
            let is_bad = bad.contains(&trip.car);
            if trip.for_repair && !is_bad {
                self.found.say(6, format!("`{}` goes to be repaired and is no bad order", trip.car));
            }
            if is_bad && trip.lading.is_some() && !trip.for_repair {
                self.found.say(6, format!("`{}` is a bad order and goes on with its load", trip.car));
            }
            let repairs = |track: &Id| {
                self.facts.tracks.get(track).is_some_and(|track| track.offers.contains(&Service::Repair))
            };
            if let (true, true, Some(leg)) = (trip.for_repair, trip.arrives, trip.legs.last())
                && !repairs(&leg.to)
            {
                self.found
                    .say(7, format!("`{}` goes to be repaired to `{}`, which does not", trip.car, leg.to));
            }
        }
    }
}
