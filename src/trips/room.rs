//! What is still free: on every track and spot after every call, and in every train on every ride.
//!
//! A slot is a moment between calls: slot 0 before the first, slot n + 1 after call n. Pull before
//! spot is taken for granted within a call: what a track holds in the middle is switching's matter.

use super::Leg;
use crate::ids::{CallIx, CarIx, Ix, IxVec, PlaceIx, SpotIx, TrackIx};
use crate::layout::TrackUse;
use crate::network::Network;
use crate::traffic::Demand;
use crate::units::{Length, Tons};

/// What is taken so far.
#[derive(Clone, Debug)]
pub(super) struct Room {
    slots: usize,
    /// By track, the length standing on it at each slot; empty while nothing ever does.
    tracks: IxVec<TrackIx, Vec<Length>>,
    /// By track, who stands there from when until when.
    stays: IxVec<TrackIx, Vec<Stay>>,
    /// By car, the place it is bound for.
    bound: IxVec<CarIx, Option<PlaceIx>>,
    /// By spot, the cars and the length at each slot; empty while nothing ever stands there.
    spots: IxVec<SpotIx, Vec<(u32, Length)>>,
    /// By the call a ride begins at, the train.
    rides: IxVec<CallIx, Load>,
    /// Where each car stands before the session.
    start: IxVec<CarIx, Option<(TrackIx, Option<SpotIx>)>>,
}

/// A car on a track, from one slot until before another.
#[derive(Clone, Copy, Debug)]
struct Stay {
    car: CarIx,
    from: usize,
    until: usize,
}

/// What a train carries.
#[derive(Clone, Copy, Debug, Default)]
struct Load {
    cars: u32,
    length: Length,
    tons: Tons,
}

impl Room {
    pub(super) fn new(network: &Network<'_>, demand: &Demand) -> Self {
        let standing = &demand.standing;
        let layout = network.layout();
        let start =
            standing.cars().map(|(_, state)| state.track().map(|track| (track, state.spot()))).collect();
        let mut bound = IxVec::filled(None, layout.cars().len());
        for wish in &demand.wishes {
            let goal = wish.stages.last().and_then(|stage| stage.goals.first());
            bound[wish.car] = goal.map(|goal| layout.place_of(*goal));
        }
        let mut room = Room {
            slots: network.calls().len() + 1,
            tracks: IxVec::filled(Vec::new(), layout.tracks().len()),
            stays: IxVec::filled(Vec::new(), layout.tracks().len()),
            bound,
            spots: IxVec::filled(Vec::new(), layout.spots().len()),
            rides: IxVec::filled(Load::default(), network.calls().len()),
            start,
        };
        for (car, state) in standing.cars() {
            if let Some(track) = state.track() {
                room.stand(car, track, state.spot(), layout.cars()[car].length, 0);
            }
        }
        room
    }

    /// Whether a track, and a spot on it, has room for a car from after a call until the end.
    pub(super) fn has(
        &self,
        network: &Network<'_>,
        track: TrackIx,
        spot: Option<SpotIx>,
        car: CarIx,
        call: CallIx,
    ) -> bool {
        let layout = network.layout();
        let length = layout.cars()[car].length;
        let from = after(call);
        let on_track = self.tracks[track].get(from..).unwrap_or_default();
        let most = on_track.iter().copied().max().unwrap_or_default();
        if most + length > layout.tracks()[track].length {
            return false;
        }
        let Some(spot) = spot else { return true };
        let described = &layout.spots()[spot];
        let at_spot = self.spots[spot].get(from..).unwrap_or_default();
        let cars = at_spot.iter().map(|(cars, _)| *cars).max().unwrap_or(0);
        let taken = at_spot.iter().map(|(_, length)| *length).max().unwrap_or_default();
        described.cars.is_none_or(|most| cars < most.count())
            && described.length.is_none_or(|room| taken + length <= room)
    }

    /// How unwelcome one more car is on a track where it is to wait; the least is best. A track beyond
    /// its working limit is worst, then one that is meant for something else; among others, one where
    /// cars for the same place stand together is better than an empty one, and an empty one better
    /// than one with strangers, who would stand in its way.
    pub(super) fn discomfort(
        &self,
        network: &Network<'_>,
        track: TrackIx,
        car: CarIx,
        call: CallIx,
    ) -> (u32, u32) {
        let layout = network.layout();
        let described = &layout.tracks()[track];
        let slot = after(call);
        let on = self.tracks[track].get(slot).copied().unwrap_or_default();
        let special = !described.offers.is_empty() || described.usage != TrackUse::Yard;
        let beyond = on + layout.cars()[car].length > described.working;
        let there = || self.stays[track].iter().filter(|stay| stay.from <= slot && slot < stay.until);
        let same = |stay: &&Stay| self.bound[stay.car].is_some() && self.bound[stay.car] == self.bound[car];
        let friends = there().filter(same).count();
        let strangers = there().count() - friends;
        let strangers = u32::try_from(strangers).unwrap_or(u32::MAX / 4);
        (u32::from(beyond) * 2 + u32::from(special), strangers * 2 + u32::from(friends == 0))
    }

    /// Whether a train has room for one more car on the ride that begins at a call.
    pub(super) fn rides(&self, network: &Network<'_>, call: CallIx, car: CarIx, weight: Tons) -> bool {
        let layout = network.layout();
        let here = &network.calls()[call];
        let (Some(ride), Some(next)) = (&here.ride, here.next) else { return false };
        let job = &layout.jobs()[here.job];
        let load = self.rides[call];
        let at_once =
            [here.place, network.calls()[next].place].map(|place| layout.places()[place].limits.at_once);
        let cars = load.cars + 1;
        let length = load.length + layout.cars()[car].length + job.power.length;
        at_once
            .into_iter()
            .chain([job.max.cars, ride.limits.at_once])
            .flatten()
            .all(|most| cars <= most.count())
            && job.max.length.is_none_or(|most| length <= most)
            && job.max.tons.is_none_or(|most| load.tons + weight <= most)
    }

    /// Takes up what a car's legs need.
    pub(super) fn take(&mut self, network: &Network<'_>, weight: Tons, car: CarIx, legs: &[Leg]) {
        let length = network.layout().cars()[car].length;
        let mut stands = self.start[car].map(|(track, spot)| (track, spot, 0));
        for leg in legs {
            if let Some((track, spot, _)) = stands {
                self.unstand(car, track, spot, length, after(leg.from));
            }
            let mut call = leg.from;
            while call != leg.to {
                let load = &mut self.rides[call];
                load.cars += 1;
                load.length = load.length + length;
                load.tons = load.tons + weight;
                call = network.calls()[call].next.expect("a leg ends at a later call of its job");
            }
            self.stand(car, leg.track, leg.spot, length, after(leg.to));
            stands = Some((leg.track, leg.spot, after(leg.to)));
        }
    }

    fn stand(&mut self, car: CarIx, track: TrackIx, spot: Option<SpotIx>, length: Length, from: usize) {
        self.stays[track].push(Stay { car, from, until: self.slots });
        self.change(track, spot, from, |on| *on = *on + length, |cars| *cars += 1);
    }

    fn unstand(&mut self, car: CarIx, track: TrackIx, spot: Option<SpotIx>, length: Length, from: usize) {
        for stay in self.stays[track].iter_mut().filter(|stay| stay.car == car && stay.until > from) {
            stay.until = from;
        }
        self.change(track, spot, from, |on| *on = on.less(length), |cars| *cars -= 1);
    }

    fn change(
        &mut self,
        track: TrackIx,
        spot: Option<SpotIx>,
        from: usize,
        length: impl Fn(&mut Length),
        count: impl Fn(&mut u32),
    ) {
        grown(&mut self.tracks[track], self.slots)[from..].iter_mut().for_each(&length);
        if let Some(spot) = spot {
            for (cars, taken) in &mut grown(&mut self.spots[spot], self.slots)[from..] {
                length(taken);
                count(cars);
            }
        }
    }
}

/// The slot after a call.
fn after(call: CallIx) -> usize {
    call.place() + 1
}

fn grown<T: Clone + Default>(slots: &mut Vec<T>, len: usize) -> &mut Vec<T> {
    if slots.is_empty() {
        slots.resize(len, T::default());
    }
    slots
}
