//! What switching refused.
//!
//! A car that is to be moved within a place, and cannot be left on its track, is first kept from that
//! track at that call: it may still be put aside there. When it is refused again it is not touched at that
//! call at all, and neither are other cars that are refused. Cars that are to change places are refused
//! together, though it is enough if one of them stays away: so of such cars one is banned at a time. Every
//! refusal adds a ban, so refusals come to an end.

use std::collections::BTreeMap;

use super::{Leg, Task};
use crate::ids::{CallIx, CarIx, Ix, TrackIx};
use crate::said::Worded;

/// Why a crew does not touch a car, or does not leave it on a track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ban {
    /// It is held back: there is no time for it in this session.
    Held,
    /// No track there lets the engine round the car.
    NoWayRound,
    /// Switching refused it, for this reason.
    Refused(Worded),
}

/// Cars that must not be touched at a call, or not be left on a track there, with the reason.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bans {
    calls: BTreeMap<(CarIx, CallIx), Ban>,
    tracks: BTreeMap<(CarIx, CallIx), (TrackIx, Ban)>,
}

impl Bans {
    /// No bans.
    pub const fn new() -> Self {
        Bans { calls: BTreeMap::new(), tracks: BTreeMap::new() }
    }

    /// Bans cars that were refused at a call with this task, the most important first.
    pub fn refuse(&mut self, cars: &[CarIx], call: CallIx, task: &Task, why: &Ban) {
        let within = |car: &CarIx| task.pulls.contains(car) && task.sets.iter().any(|set| set.car == *car);
        let (moved, others): (Vec<CarIx>, Vec<CarIx>) = cars.iter().partition(|car| within(car));
        for car in &others {
            self.calls.insert((*car, call), why.clone());
        }
        let Some(car) = moved.last().filter(|_| others.is_empty()) else { return };
        let set = task.sets.iter().find(|set| set.car == *car);
        match set.filter(|_| !self.tracks.contains_key(&(*car, call))) {
            Some(set) => {
                self.tracks.insert((*car, call), (set.track, why.clone()));
            }
            None => {
                self.calls.insert((*car, call), why.clone());
            }
        }
    }

    /// Bans a car from a call whatever is refused.
    pub fn keep(&mut self, car: CarIx, call: CallIx, why: &Ban) {
        self.calls.insert((car, call), why.clone());
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.calls.len() + self.tracks.len()
    }

    /// Why a car must not be touched at a call, if it must not.
    pub(super) fn at_call(&self, car: CarIx, call: CallIx) -> Option<&Ban> {
        self.calls.get(&(car, call))
    }

    /// Why a car must not be left on a track at a call, if it must not.
    pub(super) fn on_track(&self, car: CarIx, call: CallIx, track: TrackIx) -> Option<&Ban> {
        self.tracks.get(&(car, call)).filter(|(banned, _)| *banned == track).map(|(_, why)| why)
    }

    /// Whether a car is banned anywhere.
    pub(super) fn name(&self, car: CarIx) -> bool {
        let from = (car, CallIx::new(0));
        let first = [
            self.calls.range(from..).next().map(|(key, _)| key.0),
            self.tracks.range(from..).next().map(|(key, _)| key.0),
        ];
        first.contains(&Some(car))
    }

    /// Whether a car's leg does what is banned.
    pub(super) fn forbid(&self, car: CarIx, leg: &Leg) -> bool {
        [leg.from, leg.to].into_iter().any(|call| self.at_call(car, call).is_some())
            || self.on_track(car, leg.to, leg.track).is_some()
    }

    /// All cars that are banned somewhere, each at least once.
    pub(super) fn cars(&self) -> impl Iterator<Item = CarIx> + '_ {
        self.calls.keys().chain(self.tracks.keys()).map(|(car, _)| *car)
    }
}
