//! Cars on what the layout no longer has: where they are to be put, so that the next session is planned. And orders
//! of lanes that it no longer has: they are cancelled, and their cars are free for others.

use super::super::happened::room::{Row, fits};
use super::super::walk::Value;
use super::Reader;
use crate::ids::{CarIx, Id, SpotIx, TrackIx};
use crate::layout::{Layout, LoadLook, TrackUse};
use crate::session::gives_up;
use crate::standing::{Away, CarState, Condition, Standing};

/// Where a car is put for which there is no place.
const SHELF: &str = "shelf";

/// A car whose place is gone, with the name of the place; or that is gone itself.
pub(super) enum Lost {
    /// It stood on that track.
    OnTrack(CarIx, String),
    /// It stands on that track, which no longer holds it.
    NoRoom(CarIx, String),
    /// It was beyond that gateway.
    Away(CarIx, String),
    /// It is no longer in the roster, and stood on that track.
    Sold(Id, String),
}

/// What became of a car whose place the layout no longer has, or that the roster no longer has.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Adrift {
    /// The car.
    pub car: Id,
    /// The track or gateway where it was.
    pub from: String,
    /// Where it is put: a track or gateway, or `shelf`; nothing for a car that left the roster.
    pub to: Option<String>,
    /// Whether the place is still there, but no longer holds it.
    pub no_room: bool,
    /// Whether it was beyond a gateway, and not on the layout.
    pub was_away: bool,
    /// The order that it served and does not serve any more: off the layout nobody loads it.
    pub order: Option<Id>,
}

/// An order that is cancelled, because its lane is no longer in the layout.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Ended {
    /// The order.
    pub order: Id,
    /// Its lane.
    pub lane: Id,
    /// The car that had it.
    pub car: Option<Id>,
    /// Whether the load was in that car.
    pub was_loaded: bool,
    /// Whether that load is fixed: the car is to be taken off the layout.
    pub to_shelf: bool,
}

/// What a change of the layout did to the standing.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(untagged)]
pub enum Change {
    /// A car has another place, or is gone.
    Car(Adrift),
    /// An order is cancelled.
    Order(Ended),
}

impl<'t> Reader<'t> {
    /// Which of the orders that end is the one of a car.
    pub(super) fn ended_order(&mut self, about: &'t Value<'t>) -> Option<usize> {
        if self.ended.is_empty() {
            return None;
        }
        let order = self.walk.entries(about).into_iter().find(|(key, ..)| *key == "order")?.2;
        let order = self.walk.text(order)?;
        self.ended.iter().position(|ended| ended.order.as_str() == order)
    }

    /// A car whose order ended is empty, wherever it stands: the next plan finds another one for it, or sends it
    /// home. One whose load is fixed is taken off the layout, where it would be a load for nobody.
    pub(super) fn order_ends(&mut self, car: CarIx, ended: usize, is: &str, mut state: CarState) {
        let layout = self.names.layout;
        let described = &layout.cars()[car];
        let ended = &mut self.ended[ended];
        (ended.car, ended.was_loaded) = (Some(described.id.clone()), ["loaded", "unloading"].contains(&is));
        state.condition = Condition::Empty;
        (state.services_done, state.placed, state.unfinished, state.waiting_since) = (0, None, 0, None);
        let fixed = matches!(described.look, LoadLook::Fixed(_));
        let to_be_put =
            |lost: &Lost| matches!(lost, Lost::OnTrack(lost, _) | Lost::NoRoom(lost, _) if *lost == car);
        let on = state.track().is_some() || self.adrift.iter().flatten().any(to_be_put);
        ended.to_shelf = fixed && on;
        *self.standing.car_mut(car) = state;
        if fixed && on {
            self.standing.take_away(car, Away::Shelf);
            // Nobody puts it down elsewhere any more.
            self.adrift.iter_mut().for_each(|adrift| adrift.retain(|lost| !to_be_put(lost)));
        }
    }

    /// The cars of a track that is gone, to be put elsewhere when all others have their places.
    pub(super) fn off_track(&mut self, track: &str, value: &'t Value<'t>) {
        for item in self.walk.list(value) {
            let name = super::car_of(item).and_then(|name| self.names.cars.get(name).copied());
            let Some(car) = name.filter(|car| self.place(*car, item.span().start)) else { continue };
            if let Some(adrift) = &mut self.adrift {
                adrift.push(Lost::OnTrack(car, track.to_owned()));
            }
        }
    }

    /// Notes a car on a track that is no longer in the roster.
    pub(super) fn sold(&mut self, item: &'t Value<'t>, found: Option<CarIx>, track: &str) {
        if let (None, Some(adrift), Some(car)) = (found, &mut self.adrift, super::car_of(item)) {
            adrift.push(Lost::Sold(Id::from(car), track.to_owned()));
        }
    }

    /// Takes those cars off a row that its track no longer holds: those that do not even fit alone, then the
    /// eastmost first.
    pub(super) fn without_room(&mut self, track: TrackIx, key: &str, row: &mut Row) {
        let Some(adrift) = &mut self.adrift else { return };
        while !fits(self.names.layout, track, row) {
            let alone = |one: &(CarIx, Option<SpotIx>)| fits(self.names.layout, track, &vec![*one]);
            let at = row.iter().position(|one| !alone(one)).or(row.len().checked_sub(1));
            let Some(at) = at else { return };
            let (car, _) = row.remove(at);
            adrift.push(Lost::NoRoom(car, key.to_owned()));
        }
    }

    /// What stands on a track so far.
    pub(super) fn row(&self, track: TrackIx) -> Row {
        row(&self.standing, track)
    }

    /// Gives every car adrift a place: on the track of the same place that has room, then on any yard,
    /// storage or interchange track; a car from beyond a gateway that is gone goes beyond its home gateway. One
    /// for which there is no place goes on the shelf.
    pub(super) fn settle(&mut self) -> Vec<Change> {
        let layout = self.names.layout;
        let lost = self.adrift.take().unwrap_or_default();
        let settled = lost.into_iter().map(|lost| {
            let (no_room, was_away) = (matches!(lost, Lost::NoRoom(..)), matches!(lost, Lost::Away(..)));
            let (car, from, to) = match lost {
                Lost::Sold(car, from) => {
                    return Change::Car(Adrift { car, from, to: None, no_room, was_away, order: None });
                }
                Lost::OnTrack(car, from) | Lost::NoRoom(car, from) => {
                    let to = self.put_down(layout, car, &from);
                    (car, from, to)
                }
                Lost::Away(car, from) => {
                    let home = layout.cars()[car].home;
                    let to = home.map(|gateway| {
                        self.standing.take_away(car, Away::Beyond(gateway));
                        layout.gateways()[gateway].id.to_string()
                    });
                    (car, from, to)
                }
            };
            let order = self.standing.car(car).condition.order().filter(|_| to.is_none()).cloned();
            let to = to.unwrap_or_else(|| {
                // Off the layout nobody loads it or waits for it: its order waits for another car.
                gives_up(&mut self.standing, car);
                SHELF.to_owned()
            });
            let car = layout.cars()[car].id.clone();
            Change::Car(Adrift { car, from, to: Some(to), no_room, was_away, order })
        });
        let settled: Vec<Change> = settled.collect();
        settled.into_iter().chain(std::mem::take(&mut self.ended).into_iter().map(Change::Order)).collect()
    }

    fn put_down(&mut self, layout: &Layout, car: CarIx, from: &str) -> Option<String> {
        let place = from.split_once('/').and_then(|(place, _)| self.names.places.get(place).copied());
        let mut tracks: Vec<(bool, usize, TrackIx)> = Vec::new();
        for (ix, track) in layout.tracks().iter() {
            let here = Some(track.place) == place;
            let keeps = [TrackUse::Yard, TrackUse::Storage, TrackUse::Interchange];
            if let Some(order) = keeps.iter().position(|usage| *usage == track.usage) {
                tracks.push((!here, order, ix));
            }
        }
        tracks.sort_unstable();
        let found = tracks.into_iter().find(|(_, _, track)| {
            let mut row = row(&self.standing, *track);
            row.push((car, None));
            fits(layout, *track, &row)
        });
        found.map(|(_, _, track)| {
            self.standing.put(car, track, None);
            layout.tracks()[track].id.to_string()
        })
    }
}

fn row(standing: &Standing, track: TrackIx) -> Row {
    let with_spot = |car: &CarIx| -> (CarIx, Option<SpotIx>) { (*car, standing.car(*car).spot()) };
    standing.on(track).iter().map(with_spot).collect()
}
