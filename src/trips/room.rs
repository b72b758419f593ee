//! What is still free: on every track and spot after every call, and in every train on every ride.
//!
//! A slot is a moment between calls: slot 0 before the first, slot n + 1 after call n. Pull before
//! spot is taken for granted within a call: what a track holds in the middle is switching's matter.

use std::ops::RangeInclusive;

use super::Leg;
use crate::ids::{CallIx, CarIx, Ix, IxVec, SpotIx, TrackIx};
use crate::network::Network;
use crate::standing::Standing;
use crate::units::{Length, Tons};

/// What is taken so far.
#[derive(Clone, Debug)]
pub(super) struct Room {
    slots: usize,
    /// By track, the length standing on it at each slot; empty while nothing ever does.
    tracks: IxVec<TrackIx, Vec<Length>>,
    /// By track, the number of cars on it at each slot.
    counts: IxVec<TrackIx, Vec<u32>>,
    /// By spot, the cars and the length at each slot; empty while nothing ever stands there.
    spots: IxVec<SpotIx, Vec<(u32, Length)>>,
    /// By the call a ride begins at, the train.
    rides: IxVec<CallIx, Load>,
    /// Where each car stands before the session.
    start: IxVec<CarIx, Option<(TrackIx, Option<SpotIx>)>>,
}

/// What a train carries.
#[derive(Clone, Copy, Debug, Default)]
struct Load {
    cars: u32,
    length: Length,
    tons: Tons,
}

impl Room {
    pub(super) fn new(network: &Network<'_>, standing: &Standing) -> Self {
        let layout = network.layout();
        let start =
            standing.cars().map(|(_, state)| state.track().map(|track| (track, state.spot()))).collect();
        let mut room = Room {
            slots: network.calls().len() + 1,
            tracks: IxVec::filled(Vec::new(), layout.tracks().len()),
            counts: IxVec::filled(Vec::new(), layout.tracks().len()),
            spots: IxVec::filled(Vec::new(), layout.spots().len()),
            rides: IxVec::filled(Load::default(), network.calls().len()),
            start,
        };
        for (car, state) in standing.cars() {
            if let Some(track) = state.track() {
                room.stand(track, state.spot(), layout.cars()[car].length, 0);
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

    /// Whether one more car takes a track beyond its working limit, and how many cars it has then.
    pub(super) fn crowding(
        &self,
        network: &Network<'_>,
        track: TrackIx,
        car: CarIx,
        call: CallIx,
    ) -> (bool, u32) {
        let layout = network.layout();
        let slot = after(call);
        let on = self.tracks[track].get(slot).copied().unwrap_or_default();
        let count = self.counts[track].get(slot).copied().unwrap_or(0);
        (on + layout.cars()[car].length > layout.tracks()[track].working, count)
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
                self.unstand(track, spot, length, after(leg.from));
            }
            let mut call = leg.from;
            while call != leg.to {
                let load = &mut self.rides[call];
                load.cars += 1;
                load.length = load.length + length;
                load.tons = load.tons + weight;
                call = network.calls()[call].next.expect("a leg ends at a later call of its job");
            }
            self.stand(leg.track, leg.spot, length, after(leg.to));
            stands = Some((leg.track, leg.spot, after(leg.to)));
        }
    }

    fn stand(&mut self, track: TrackIx, spot: Option<SpotIx>, length: Length, from: usize) {
        self.change(track, spot, from..=self.slots - 1, |on| *on = *on + length, |cars| *cars += 1);
    }

    fn unstand(&mut self, track: TrackIx, spot: Option<SpotIx>, length: Length, from: usize) {
        self.change(track, spot, from..=self.slots - 1, |on| *on = on.less(length), |cars| *cars -= 1);
    }

    fn change(
        &mut self,
        track: TrackIx,
        spot: Option<SpotIx>,
        slots: RangeInclusive<usize>,
        length: impl Fn(&mut Length),
        count: impl Fn(&mut u32),
    ) {
        let on = grown(&mut self.tracks[track], self.slots);
        on[slots.clone()].iter_mut().for_each(&length);
        grown(&mut self.counts[track], self.slots)[slots.clone()].iter_mut().for_each(&count);
        if let Some(spot) = spot {
            for (cars, taken) in &mut grown(&mut self.spots[spot], self.slots)[slots] {
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
