//! The plan's events once more, as far as they really happened.
//!
//! A crew takes what it was to take of the cars that are there, and leaves those where it was to
//! leave them. A car for which there is no room then, because another one still stands there, stays
//! where it stood before the first crew came; so the replay is begun again with it held there, and
//! comes to an end because every round holds one car more.

use std::collections::{BTreeMap, BTreeSet};

use super::room::{Row, fits, slot};
use crate::ids::{CarIx, Id, IxVec, PlaceIx, SpotIx, TrackIx};
use crate::layout::{End, Layout, Service, TrackUse};
use crate::ledger::facts::{Facts, Stays};
use crate::ledger::names::Names;
use crate::session::plan::{Event, LeftCar, Plan};
use crate::standing::Whereabouts;

/// Where everything is after what really happened.
pub(super) struct Replayed {
    /// What stands where before the first crew comes.
    pub(super) start: IxVec<TrackIx, Row>,
    /// What stands where afterwards; cars that the host has placed are not among them.
    pub(super) rows: IxVec<TrackIx, Row>,
    /// Services of the plan that were not done.
    pub(super) unserved: Vec<(CarIx, Service)>,
    /// Cars left where they were because there was no room where they were to go.
    pub(super) no_room: BTreeSet<CarIx>,
    /// Cars set out where their job ended.
    pub(super) set_out: BTreeSet<CarIx>,
}

/// Names of the plan as indices of the layout, which may have changed since.
pub(super) struct Ids<'l> {
    layout: &'l Layout,
    names: Names<'l>,
}

impl<'l> Ids<'l> {
    pub(super) fn new(layout: &'l Layout) -> Self {
        Ids { layout, names: Names::new(layout) }
    }

    pub(super) fn car(&self, id: &Id) -> Option<CarIx> {
        self.names.cars.get(id.as_str()).copied()
    }

    pub(super) fn track(&self, id: &Id) -> Option<TrackIx> {
        self.names.tracks.get(id.as_str()).copied()
    }

    fn place(&self, id: &Id) -> Option<PlaceIx> {
        self.names.places.get(id.as_str()).copied()
    }

    fn spot(&self, id: Option<&Id>) -> Option<SpotIx> {
        id.and_then(|id| self.names.spot_of(id))
    }
}

/// Replays a plan.
///
/// # Complexity
/// Linear in the events for every round; a round more for each car that finds no room.
pub(super) fn replay(ids: &Ids<'_>, plan: &Plan, facts: &Facts) -> Replayed {
    let start = before_the_crews(ids, plan);
    let elsewhere = |stays: &Stays| matches!(stays, Stays::At(_));
    let placed: BTreeSet<CarIx> =
        facts.cars.iter().filter(|(_, stays)| elsewhere(stays)).map(|(car, _)| *car).collect();
    let mut held: BTreeSet<CarIx> =
        facts.cars.iter().filter(|(_, stays)| !elsewhere(stays)).map(|(car, _)| *car).collect();
    let mut no_room = BTreeSet::new();
    loop {
        let mut rows = start.clone();
        rows.values_mut().for_each(|row| row.retain(|(car, _)| !placed.contains(car)));
        let (trains, unserved) = (BTreeMap::new(), Vec::new());
        let mut round = Round { ids, facts, held: &held, rows, trains, unserved };
        let refused = round.events(plan).and_then(|()| round.ends(plan));
        match refused {
            Ok(set_out) => {
                let Round { rows, unserved, .. } = round;
                return Replayed { start, rows, unserved, no_room, set_out };
            }
            Err(cars) => {
                held.extend(cars.iter().copied());
                no_room.extend(cars);
            }
        }
    }
}

/// The rows once the hand moves before the session are made.
fn before_the_crews(ids: &Ids<'_>, plan: &Plan) -> IxVec<TrackIx, Row> {
    let mut rows: IxVec<TrackIx, Row> = IxVec::filled(Row::new(), ids.layout.tracks().len());
    for (track, row) in &plan.before.tracks {
        let Some(track) = ids.track(track) else { continue };
        let cars = row.iter().filter_map(|on| Some((ids.car(&on.car)?, ids.spot(on.spot.as_ref()))));
        rows[track] = cars.collect();
    }
    for event in &plan.events {
        match event {
            Event::Lifted { car, track, .. } => {
                if let (Some(car), Some(track)) = (ids.car(car), ids.track(track)) {
                    rows[track].retain(|(on, _)| *on != car);
                }
            }
            Event::Placed { car, track, .. } => {
                if let (Some(car), Some(track)) = (ids.car(car), ids.track(track)) {
                    rows[track].push((car, None));
                }
            }
            Event::Starts { .. } => break,
            _ => {}
        }
    }
    rows
}

struct Round<'a> {
    ids: &'a Ids<'a>,
    facts: &'a Facts,
    held: &'a BTreeSet<CarIx>,
    rows: IxVec<TrackIx, Row>,
    trains: BTreeMap<&'a Id, BTreeSet<CarIx>>,
    unserved: Vec<(CarIx, Service)>,
}

impl<'a> Round<'a> {
    /// Goes through the events; fails with the cars that find no room.
    fn events(&mut self, plan: &'a Plan) -> Result<(), Vec<CarIx>> {
        let first = plan.events.iter().position(|event| matches!(event, Event::Starts { .. }));
        for event in plan.events.iter().skip(first.unwrap_or(plan.events.len())) {
            match event {
                Event::Couple { job, call, track, cars, .. } if self.happens(job, *call) => {
                    self.couple(job, track, cars);
                }
                Event::Leave { job, call, track, end, cars } if self.happens(job, *call) => {
                    self.leave(job, track, *end, cars)?;
                }
                Event::Served { car, track, service } => self.served(car, track, *service),
                _ => {}
            }
        }
        Ok(())
    }

    fn happens(&self, job: &Id, call: u32) -> bool {
        self.facts.jobs.get(job).is_none_or(|last| call <= *last)
    }

    fn couple(&mut self, job: &'a Id, track: &Id, cars: &[Id]) {
        let Some(track) = self.ids.track(track) else { return };
        let train = self.trains.entry(job).or_default();
        let wanted = cars.iter().filter_map(|car| self.ids.car(car)).filter(|car| !self.held.contains(car));
        let wanted: BTreeSet<CarIx> = wanted.collect();
        self.rows[track].retain(|(car, _)| {
            let taken = wanted.contains(car);
            if taken {
                train.insert(*car);
            }
            !taken
        });
    }

    fn leave(&mut self, job: &'a Id, track: &Id, end: End, cars: &[LeftCar]) -> Result<(), Vec<CarIx>> {
        let train = self.trains.entry(job).or_default();
        let left: Row = cars
            .iter()
            .filter_map(|left| Some((self.ids.car(&left.car)?, self.ids.spot(left.spot.as_ref()))))
            .filter(|(car, _)| train.remove(car))
            .collect();
        let there = || left.iter().map(|(car, _)| *car).collect::<Vec<CarIx>>();
        let Some(track) = self.ids.track(track) else {
            return if left.is_empty() { Ok(()) } else { Err(there()) };
        };
        let row = &mut self.rows[track];
        let mut refused = Vec::new();
        // The car that goes in farthest is left first.
        let inward: Vec<_> =
            if end == End::West { left.iter().rev().collect() } else { left.iter().collect() };
        for on in inward {
            let place = if end == End::West { 0 } else { row.len() };
            row.insert(place, *on);
            if !fits(self.ids.layout, track, row) {
                row.remove(place);
                refused.push(on.0);
            }
        }
        if refused.is_empty() { Ok(()) } else { Err(refused) }
    }

    fn served(&mut self, car: &Id, track: &Id, service: Service) {
        let (Some(car), Some(track)) = (self.ids.car(car), self.ids.track(track)) else { return };
        // One that is said to stand there has come there.
        let said = |stays: &Stays| matches!(stays, Stays::At(Whereabouts::Track(at, _)) if *at == track);
        let said = self.facts.cars.get(&car).is_some_and(said);
        if !said && !self.rows[track].iter().any(|(on, _)| *on == car) {
            self.unserved.push((car, service));
        }
    }

    /// Sets out what is in the trains of jobs that were cut short, at the place they came to.
    fn ends(&mut self, plan: &Plan) -> Result<BTreeSet<CarIx>, Vec<CarIx>> {
        let mut set_out = BTreeSet::new();
        let mut refused = Vec::new();
        for job in &plan.world.jobs {
            let last = self.facts.jobs.get(&job.id).copied().and_then(|last| usize::try_from(last).ok());
            let place = last.and_then(|last| job.calls.get(last.checked_sub(1)?));
            for car in self.trains.remove(&job.id).unwrap_or_default() {
                if place.is_some_and(|place| self.set_out_at(place, car)) {
                    set_out.insert(car);
                } else {
                    refused.push(car);
                }
            }
        }
        if refused.is_empty() { Ok(set_out) } else { Err(refused) }
    }

    fn set_out_at(&mut self, place: &Id, car: CarIx) -> bool {
        let layout = self.ids.layout;
        let place = self.ids.place(place);
        let keeps = [TrackUse::Yard, TrackUse::Storage, TrackUse::Interchange, TrackUse::Staging];
        for usage in keeps {
            for (ix, track) in layout.tracks().iter() {
                if track.usage != usage || Some(track.place) != place {
                    continue;
                }
                let row = &mut self.rows[ix];
                let at = slot(row, None);
                row.insert(at, (car, None));
                if fits(layout, ix, row) {
                    return true;
                }
                row.remove(at);
            }
        }
        false
    }
}
