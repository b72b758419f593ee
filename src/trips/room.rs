//! What is still free: on every track and spot after every call there, and in every train on every ride.
//!
//! A track changes only at the calls of its own place, so its slots are counted there: slot 0 is before
//! the first call at the place, slot n + 1 after its call n. Pull before spot is taken for granted
//! within a call: what a track holds in the middle is switching's matter. A plan that is being
//! changed may be over-full for a while; [`Room::over`] tells where.
//!
//! Cost: a car that is put or lifted costs the calls at the places where it stands, however large the
//! layout.

use std::ops::RangeInclusive;

use super::{Leg, Spare};
use crate::ids::{CallIx, CarIx, IxVec, PlaceIx, SpotIx, TrackIx};
use crate::layout::{Layout, TrackUse};
use crate::network::Network;
use crate::traffic::Demand;
use crate::units::{Cars, Length, Tons};

/// A slot that never comes: a car may stand until the end.
pub(super) const END: usize = usize::MAX;

/// What is taken.
#[derive(Clone, Debug)]
pub(super) struct Room {
    /// By place, its calls in order.
    calls_at: IxVec<PlaceIx, Vec<CallIx>>,
    /// By call, its number among the calls at its place.
    rank: IxVec<CallIx, usize>,
    /// By track, what stands on it at each slot.
    tracks: IxVec<TrackIx, Vec<Load>>,
    /// By spot, what stands at it at each slot.
    spots: IxVec<SpotIx, Vec<Load>>,
    /// By track, who stands there from when until when.
    stays: IxVec<TrackIx, Vec<Stay>>,
    /// By the call a ride begins at, the train.
    rides: IxVec<CallIx, Load>,
    /// By the call a ride begins at, who rides.
    riders: IxVec<CallIx, Vec<CarIx>>,
    /// By car, the place it is bound for.
    bound: IxVec<CarIx, Option<PlaceIx>>,
    /// Where each car stands before the session.
    start: IxVec<CarIx, Option<(TrackIx, Option<SpotIx>)>>,
    /// What each car weighs.
    weights: IxVec<CarIx, Tons>,
}

/// A car on a track, from one slot until before another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stay {
    pub(super) car: CarIx,
    pub(super) track: TrackIx,
    pub(super) spot: Option<SpotIx>,
    from: usize,
    until: usize,
}

/// Cars that stand somewhere or ride together.
#[derive(Clone, Copy, Debug, Default)]
struct Load {
    cars: u32,
    length: Length,
    tons: Tons,
}

impl Load {
    fn with(self, car: Load) -> Load {
        Load { cars: self.cars + car.cars, length: self.length + car.length, tons: self.tons + car.tons }
    }

    fn without(self, car: Load) -> Load {
        let tons = Tons::new(self.tons.count().saturating_sub(car.tons.count()));
        Load { cars: self.cars - car.cars, length: self.length.less(car.length), tons }
    }
}

/// The most that may stand on a track, or at a spot.
#[derive(Clone, Copy)]
struct Most {
    length: Option<Length>,
    cars: Option<Cars>,
}

impl Most {
    fn on_track(network: &Network<'_>, track: TrackIx) -> Most {
        let track = &network.layout().tracks()[track];
        Most { length: Some(track.length), cars: track.limits.at_once }
    }

    fn at_spot(network: &Network<'_>, spot: SpotIx) -> Most {
        let spot = &network.layout().spots()[spot];
        Most { length: spot.length, cars: spot.cars }
    }

    fn holds(self, on: Load, more: Load) -> bool {
        self.length.is_none_or(|most| on.length + more.length <= most)
            && self.cars.is_none_or(|most| on.cars + more.cars <= most.count())
    }
}

impl Room {
    /// The room of a session in which no car moves yet.
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
        let mut calls_at: IxVec<PlaceIx, Vec<CallIx>> = IxVec::filled(Vec::new(), layout.places().len());
        let mut rank = IxVec::new();
        for (ix, call) in network.calls().iter() {
            rank.push(calls_at[call.place].len());
            calls_at[call.place].push(ix);
        }
        let slots = |track: TrackIx| calls_at[layout.tracks()[track].place].len() + 1;
        let tracks = layout.tracks().indices().map(|track| vec![Load::default(); slots(track)]).collect();
        let spots = layout.spots().values().map(|spot| vec![Load::default(); slots(spot.track)]).collect();
        let mut room = Room {
            calls_at,
            rank,
            tracks,
            spots,
            stays: IxVec::filled(Vec::new(), layout.tracks().len()),
            rides: IxVec::filled(Load::default(), network.calls().len()),
            riders: IxVec::filled(Vec::new(), network.calls().len()),
            bound,
            start,
            weights: layout.cars().indices().map(|car| standing.weight(layout, car)).collect(),
        };
        for car in layout.cars().indices() {
            room.put(network, car, &[]);
        }
        room
    }

    /// The calls at a place, in order.
    pub(super) fn calls_at(&self, place: PlaceIx) -> &[CallIx] {
        &self.calls_at[place]
    }

    /// The number of a call among those at its place.
    pub(super) fn rank(&self, call: CallIx) -> usize {
        self.rank[call]
    }

    /// Where a car stands before the session.
    pub(super) fn start(&self, car: CarIx) -> Option<(TrackIx, Option<SpotIx>)> {
        self.start[car]
    }

    /// What a car weighs tonight.
    pub(super) fn weight(&self, car: CarIx) -> Tons {
        self.weights[car]
    }

    /// The slot until which a track, and a spot on it, has room for one more car from a slot on: that slot
    /// itself if there is none at all, [`END`] if there is room as long as it likes to stay.
    pub(super) fn until(
        &self,
        network: &Network<'_>,
        (track, spot): (TrackIx, Option<SpotIx>),
        car: CarIx,
        from: usize,
    ) -> usize {
        let one = self.one(network, car);
        let until = |loads: &[Load], most: Most| {
            let later = loads.iter().skip(from);
            later.into_iter().position(|on| !most.holds(*on, one)).map_or(END, |slots| from + slots)
        };
        let on_track = until(&self.tracks[track], Most::on_track(network, track));
        let at_spot = spot.map_or(END, |spot| until(&self.spots[spot], Most::at_spot(network, spot)));
        on_track.min(at_spot)
    }

    /// Whether a track and a spot on it would hold a car if nobody else were there.
    pub(super) fn could(network: &Network<'_>, track: TrackIx, spot: Option<SpotIx>, car: CarIx) -> bool {
        let length = network.layout().cars()[car].length;
        let spot = spot.map(|spot| &network.layout().spots()[spot]);
        length <= network.layout().tracks()[track].length
            && spot.and_then(|spot| spot.length).is_none_or(|room| length <= room)
    }

    /// Whether a track and a spot on it hold what is there at a slot.
    fn holds(&self, network: &Network<'_>, track: TrackIx, spot: Option<SpotIx>, slot: usize) -> bool {
        let none = Load::default();
        Most::on_track(network, track).holds(self.tracks[track][slot], none)
            && spot.is_none_or(|spot| Most::at_spot(network, spot).holds(self.spots[spot][slot], none))
    }

    /// Whether one more car takes a track beyond its working limit when it comes.
    pub(super) fn beyond(&self, network: &Network<'_>, track: TrackIx, car: CarIx, from: usize) -> bool {
        let layout = network.layout();
        let on = self.tracks[track].get(from).copied().unwrap_or_default();
        on.length + layout.cars()[car].length > layout.tracks()[track].working
    }

    /// How much more a track may hold at each slot, up to its working limit.
    pub(super) fn spare(&self, network: &Network<'_>, track: TrackIx) -> Vec<Spare> {
        let described = &network.layout().tracks()[track];
        let at_once = described.limits.at_once.map_or(u32::MAX, Cars::count);
        let more = |on: &Load| Spare {
            length: described.working.less(on.length),
            cars: at_once.saturating_sub(on.cars),
        };
        self.tracks[track].iter().map(more).collect()
    }

    /// How unwelcome one more car is on a track where it is to wait; the least is best. A track that is
    /// meant for something else is worst; among others, one where cars for the same place stand together
    /// is better than an empty one, and an empty one better than one with strangers, who would stand in
    /// its way.
    pub(super) fn discomfort(
        &self,
        network: &Network<'_>,
        track: TrackIx,
        car: CarIx,
        from: usize,
    ) -> (u32, u32) {
        let described = &network.layout().tracks()[track];
        let special = !described.offers.is_empty() || described.usage != TrackUse::Yard;
        let bound = self.bound[car];
        let (mut friends, mut strangers) = (0, 0);
        for stay in self.stays[track].iter().filter(|stay| stay.from <= from && from < stay.until) {
            let same = bound.is_some() && self.bound[stay.car] == bound;
            *if same { &mut friends } else { &mut strangers } += 1;
        }
        (u32::from(special), strangers * 2 + u32::from(friends == 0))
    }

    /// Whether a train has room for one more car on the ride that begins at a call.
    pub(super) fn rides(&self, network: &Network<'_>, call: CallIx, car: CarIx) -> bool {
        self.pulls(network, call, self.one(network, car))
    }

    /// Whether a train could pull a car if it had no other.
    pub(super) fn could_ride(&self, network: &Network<'_>, call: CallIx, car: CarIx) -> bool {
        fits_train(network, call, self.one(network, car))
    }

    fn pulls(&self, network: &Network<'_>, call: CallIx, more: Load) -> bool {
        fits_train(network, call, self.rides[call].with(more))
    }

    fn one(&self, network: &Network<'_>, car: CarIx) -> Load {
        Load { cars: 1, length: network.layout().cars()[car].length, tons: self.weights[car] }
    }

    /// Puts a car where it stands before the session and wherever its legs take it.
    pub(super) fn put(&mut self, network: &Network<'_>, car: CarIx, legs: &[Leg]) {
        let one = self.one(network, car);
        for stay in self.stays_of(car, legs) {
            self.stays[stay.track].push(stay);
            self.change(&stay, |on| *on = on.with(one));
        }
        for call in rides_of(network, legs) {
            self.rides[call] = self.rides[call].with(one);
            self.riders[call].push(car);
        }
    }

    /// Takes a car away altogether; its legs are those it was put with.
    pub(super) fn lift(&mut self, network: &Network<'_>, car: CarIx, legs: &[Leg]) {
        let one = self.one(network, car);
        for stay in self.stays_of(car, legs) {
            let stays = &mut self.stays[stay.track];
            let place = stays.iter().position(|known| *known == stay);
            stays.swap_remove(place.expect("a car is lifted with the legs that it was put with"));
            self.change(&stay, |on| *on = on.without(one));
        }
        for call in rides_of(network, legs) {
            self.rides[call] = self.rides[call].without(one);
            self.riders[call].retain(|rider| *rider != car);
        }
    }

    /// Where a car stands with these legs, from when until when.
    fn stays_of(&self, car: CarIx, legs: &[Leg]) -> Vec<Stay> {
        let Some((track, spot)) = self.start[car] else { return Vec::new() };
        let mut stays = vec![Stay { car, track, spot, from: 0, until: END }];
        for leg in legs {
            stays.last_mut().expect("it begins somewhere").until = self.rank[leg.from] + 1;
            let from = self.rank[leg.to] + 1;
            stays.push(Stay { car, track: leg.track, spot: leg.spot, from, until: END });
        }
        stays
    }

    fn change(&mut self, stay: &Stay, with: impl Fn(&mut Load)) {
        let slots = stay.from..stay.until.min(self.tracks[stay.track].len());
        self.tracks[stay.track][slots.clone()].iter_mut().for_each(&with);
        if let Some(spot) = stay.spot {
            self.spots[spot][slots].iter_mut().for_each(&with);
        }
    }

    /// Of the places a car takes with these legs, the first that is over-full: all cars that are there at
    /// that moment. Where all of them stood so before the session nobody is at fault.
    pub(super) fn over(&self, network: &Network<'_>, car: CarIx, legs: &[Leg]) -> Option<Vec<CarIx>> {
        for stay in self.stays_of(car, legs) {
            let slots = stay.from.max(1)..stay.until.min(self.tracks[stay.track].len());
            for slot in slots {
                if self.holds(network, stay.track, stay.spot, slot) {
                    continue;
                }
                let all = !self.holds(network, stay.track, None, slot);
                let there = |other: &&Stay| {
                    other.from <= slot && slot < other.until && (all || other.spot == stay.spot)
                };
                let there: Vec<&Stay> = self.stays[stay.track].iter().filter(there).collect();
                if there.iter().any(|other| other.from > 0) {
                    return Some(there.into_iter().map(|other| other.car).collect());
                }
            }
        }
        let full = |call: &CallIx| !self.pulls(network, *call, Load::default());
        rides_of(network, legs).into_iter().find(full).map(|call| self.riders[call].clone())
    }

    /// The cars that stand on a track at a slot.
    pub(super) fn standing(&self, track: TrackIx, slot: usize) -> impl Iterator<Item = CarIx> + '_ {
        self.stays[track]
            .iter()
            .filter(move |stay| stay.from <= slot && slot < stay.until)
            .map(|stay| stay.car)
    }

    /// Whether a track takes more cars at all these slots without passing its working limit.
    pub(super) fn has_working_room(
        &self,
        network: &Network<'_>,
        track: TrackIx,
        more: impl Iterator<Item = CarIx>,
        mut slots: RangeInclusive<usize>,
    ) -> bool {
        let described = &network.layout().tracks()[track];
        let more = more.fold(Load::default(), |all, car| all.with(self.one(network, car)));
        slots.all(|slot| {
            let on = self.tracks[track][slot].with(more);
            on.length <= described.working
                && described.limits.at_once.is_none_or(|most| on.cars <= most.count())
        })
    }

    /// All cars that stand on a track at some time from a slot on.
    pub(super) fn on(&self, track: TrackIx, from: usize) -> impl Iterator<Item = CarIx> + '_ {
        self.stays[track].iter().filter(move |stay| stay.until > from).map(|stay| stay.car)
    }

    /// Whether cars may wait off spot on a track. On a dead end they would stand before the cars at its
    /// spots, which could not come out: there they wait only while it is empty.
    pub(super) fn may_wait_off_spot(&self, layout: &Layout, track: TrackIx) -> bool {
        let described = &layout.tracks()[track];
        described.off_spot && !(described.bars_its_spots() && self.on(track, 0).next().is_some())
    }

    /// All cars that ride in a train from a call on to the next.
    pub(super) fn riders(&self, call: CallIx) -> &[CarIx] {
        &self.riders[call]
    }
}

fn fits_train(network: &Network<'_>, call: CallIx, load: Load) -> bool {
    let layout = network.layout();
    let here = &network.calls()[call];
    let (Some(ride), Some(next)) = (&here.ride, here.next) else { return false };
    let job = &layout.jobs()[here.job];
    let at_once =
        [here.place, network.calls()[next].place].map(|place| layout.places()[place].limits.at_once);
    at_once
        .into_iter()
        .chain([job.max.cars, ride.limits.at_once])
        .flatten()
        .all(|most| load.cars <= most.count())
        && job.max.length.is_none_or(|most| load.length + job.power.length <= most)
        && job.max.tons.is_none_or(|most| load.tons <= most)
}

/// The calls from which a car with these legs rides on to the next.
fn rides_of(network: &Network<'_>, legs: &[Leg]) -> Vec<CallIx> {
    let mut rides = Vec::new();
    for leg in legs {
        let mut call = leg.from;
        while call != leg.to {
            rides.push(call);
            call = network.calls()[call].next.expect("a leg ends at a later call of its job");
        }
    }
    rides
}
