//! Trains made up in a yard before they leave.
//!
//! A yard job that calls at its yard while cars for a later train stand there can put them where the others of
//! that train stand. Trips give it no reason to: each car has found its own way. So there are [`Offer`]s: for
//! a call of a yard job and a train that leaves its yard later, the cars for that train on one track, and
//! another track on which they would stand better. A car that the yard job moves anyway is left there instead;
//! another gets one more leg.
//!
//! Here it is seen to that there is room at every moment, below the working limit, and that track and cars suit
//! each other. Whether an offer saves handlings only working the calls can tell.
//!
//! Cost: the cars pulled in the yard, times its tracks, for each call of a yard job and each train.

use std::cmp::Reverse;

use super::draft::Draft;
use super::leaving::Leaving;
use super::{Bans, Leg, Trip};
use crate::ids::{CallIx, CarIx, TrackIx};
use crate::layout::{JobKind, TrackUse};

/// What a yard job could do for a later train.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// The call of the yard job.
    pub yard: CallIx,
    /// The call at which the train is coupled.
    pub train: CallIx,
    /// The track on which the cars are put.
    pub track: TrackIx,
    /// The cars.
    pub cars: Vec<CarIx>,
    /// The places of their wishes.
    places: Vec<usize>,
}

/// A car that stands in the yard when a yard job calls, and is taken by a train afterwards.
#[derive(Clone, Copy, Debug)]
struct Waiting {
    place: usize,
    /// Where the train finds it.
    track: TrackIx,
    /// Whether the yard job moves it at that call.
    moved: bool,
}

impl Draft<'_> {
    /// All offers, in the order of the calls of yard jobs and then of the trains.
    pub(super) fn offers(&self) -> Vec<Offer> {
        let calls = self.network().calls();
        let kind = |call: CallIx| self.network().layout().jobs()[calls[call].job].kind;
        let mut offers = Vec::new();
        for yard in calls.indices().filter(|call| kind(*call) == JobKind::Yard) {
            let later = self.room.calls_at(calls[yard].place).iter().filter(|train| **train > yard);
            for train in later.filter(|train| calls[**train].job != calls[yard].job) {
                offers.extend(self.offers_for(yard, *train));
            }
        }
        offers
    }

    /// The offers for one train: its cars on each track, those that the yard job moves apart from the others.
    fn offers_for(&self, yard: CallIx, train: CallIx) -> Vec<Offer> {
        let places = 0..self.trips().len();
        let taken: Vec<(usize, usize)> =
            places.filter_map(|place| Some((place, self.departs(place, train)?))).collect();
        let mut waiting: Vec<Waiting> =
            taken.iter().filter_map(|(place, leg)| self.waiting(*place, *leg, yard)).collect();
        waiting.sort_by_key(|car| (car.track, car.moved));
        let on_track: Vec<(CarIx, TrackIx)> = taken
            .iter()
            .map(|(place, leg)| (self.car(*place), self.trips()[*place].legs[*leg].from_track))
            .collect();
        let together = |one: &Waiting, other: &Waiting| (one.track, one.moved) == (other.track, other.moved);
        let groups = waiting.chunk_by(together);
        let offers = groups.filter_map(|cars| {
            let track = self.better_track((yard, train), cars, &on_track)?;
            let places: Vec<usize> = cars.iter().map(|car| car.place).collect();
            let cars = places.iter().map(|place| self.car(*place)).collect();
            Some(Offer { yard, train, track, cars, places })
        });
        offers.collect()
    }

    /// The leg of a trip by which its car leaves the place of a call.
    fn departs(&self, place: usize, call: CallIx) -> Option<usize> {
        self.trips()[place].legs.iter().position(|leg| leg.from == call && leg.to != call)
    }

    /// A car whose leg takes it away, if it stands there when the yard job calls or is left by it only to wait.
    fn waiting(&self, place: usize, leg: usize, yard: CallIx) -> Option<Waiting> {
        let legs = &self.trips()[place].legs;
        let track = legs[leg].from_track;
        let Some(before) = leg.checked_sub(1).map(|before| &legs[before]) else {
            return Some(Waiting { place, track, moved: false });
        };
        let moved = before.to == yard && before.ends_stage.is_none() && before.spot.is_none();
        (moved || before.to < yard).then_some(Waiting { place, track, moved })
    }

    /// The track on which cars of a train are best left: one with the fewest other cars, then where most of the
    /// train stand. Nothing if they stand as well where they are.
    fn better_track(
        &self,
        (yard, train): (CallIx, CallIx),
        cars: &[Waiting],
        taken: &[(CarIx, TrackIx)],
    ) -> Option<TrackIx> {
        let network = self.network();
        let layout = network.layout();
        let slots = self.room.rank(yard) + 1..=self.room.rank(train);
        let others = |track: TrackIx| {
            let there = self.room.standing(track, *slots.end());
            there.filter(|car| taken.iter().all(|(taken, _)| taken != car)).count()
        };
        let friends = |track: TrackIx| taken.iter().filter(|(_, on)| *on == track).count();
        let from = cars[0].track;
        let alone = others(from) == 0;
        let fits = |track: &TrackIx| {
            let described = &layout.tracks()[*track];
            *track != from
                && described.usage == TrackUse::Yard
                && described.offers.is_empty()
                && (!alone || friends(*track) > 0)
                && network.may_switch(yard, *track)
                && network.may_switch(train, *track)
                && self.room.has_working_room(
                    network,
                    *track,
                    cars.iter().map(|car| self.car(car.place)),
                    slots.clone(),
                )
        };
        let tracks = layout.places()[network.calls()[yard].place].tracks.iter().copied();
        tracks.filter(fits).min_by_key(|track| (others(*track), Reverse(friends(*track)), *track))
    }

    /// Takes an offer up, and gives the trips that were there before; nothing, and nothing changes, if a car may
    /// not be moved so, or there is no room any more.
    pub(super) fn take_up(&mut self, offer: &Offer, bans: &Bans) -> Option<Vec<Trip>> {
        let mut trips = self.trips().to_vec();
        for place in &offer.places {
            self.make_up(*place, &mut trips[*place], offer, bans)?;
        }
        let slots = self.room.rank(offer.yard) + 1..=self.room.rank(offer.train);
        self.change_to(&trips, &offer.places, (offer.track, slots))
    }

    /// A trip as an offer has it. Another yard job may have done the same meanwhile: once is enough.
    fn make_up(&self, place: usize, trip: &mut Trip, offer: &Offer, bans: &Bans) -> Option<()> {
        let (network, car) = (self.network(), self.car(place));
        let leg = trip.legs.iter().position(|leg| leg.from == offer.train)?;
        let before = leg.checked_sub(1);
        if trip.made_up.is_some() {
            return None;
        }
        let spot = match before {
            Some(before) => trip.legs[before].spot,
            None => self.room.start(car)?.1,
        };
        let from_track = trip.legs[leg].from_track;
        trip.legs[leg].from_track = offer.track;
        trip.made_up = Some(offer.yard);
        let moved = before.filter(|before| trip.legs[*before].to == offer.yard);
        if let Some(before) = moved {
            trip.legs[before].track = offer.track;
        } else {
            let here =
                network.may_switch(offer.yard, from_track) && network.may_serve(offer.yard, from_track, spot);
            let job = network.calls()[offer.yard].job;
            let (from, to, track) = (offer.yard, offer.yard, offer.track);
            trip.legs.insert(
                here.then_some(leg)?,
                Leg { job, from, from_track, to, track, spot: None, ends_stage: None },
            );
        }
        let made = trip.legs.iter().find(|leg| leg.to == offer.yard)?;
        let leaving = Leaving {
            car,
            weight: self.room.weight(car),
            call: made.to,
            pulled_from: (made.from == made.to).then_some(made.from_track),
            track: offer.track,
        };
        let may = made.from_track != offer.track
            && leaving.may_be(network, bans)
            && !trip.legs.iter().any(|leg| bans.forbid(car, leg));
        may.then_some(())
    }
}
