//! Trips that are being put together: every car's trip, what is taken by all of them, what they are worth.
//!
//! Cars are lifted out and put back one by one. A car that comes where another is may oust it: the
//! other is lifted and finds another way, which may oust a third. Such a row of changes is kept if
//! the trips are worth more after it, and undone if not.

use std::collections::VecDeque;
use std::ops::RangeInclusive;

use super::improve::MANNERS;
use super::room::Room;
use super::search::{Among, Search};
use super::worth::Worth;
use super::{Bans, Leg, Trip};
use crate::ids::{CarIx, IxVec, TrackIx};
use crate::network::Network;
use crate::traffic::{Demand, Wish};

/// Trips that are being put together.
#[derive(Debug)]
pub(super) struct Draft<'a> {
    network: &'a Network<'a>,
    demand: &'a Demand,
    search: Search<'a>,
    pub(super) room: Room,
    /// One for each wish; that of a lifted car means nothing.
    trips: Vec<Trip>,
    lifted: Vec<bool>,
    wish_of: IxVec<CarIx, Option<usize>>,
    worth: Worth,
    /// How many trips were looked for.
    pub(super) tried: usize,
}

/// How boldly cars are ousted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Manner {
    /// How many cars, one after the other, may oust others.
    pub(super) depth: usize,
    /// Which of those that could be ousted is: 0 is the least worth, 1 the next.
    pub(super) victim: usize,
    /// Whether a change is kept as well that is worth the same but for its legs and their order.
    pub(super) sideways: bool,
}

impl<'a> Draft<'a> {
    /// A draft in which nothing moves.
    pub(super) fn new(network: &'a Network<'a>, demand: &'a Demand) -> Self {
        let mut wish_of = IxVec::filled(None, network.layout().cars().len());
        for (place, wish) in demand.wishes.iter().enumerate() {
            wish_of[wish.car] = Some(place);
        }
        Draft {
            network,
            demand,
            search: Search::new(network, demand),
            room: Room::new(network, demand),
            trips: vec![Trip::default(); demand.wishes.len()],
            lifted: vec![false; demand.wishes.len()],
            wish_of,
            worth: Worth::default(),
            tried: 0,
        }
    }

    /// The trips, in the order of the wishes.
    pub(super) fn trips(&self) -> &[Trip] {
        &self.trips
    }

    /// The wishes.
    pub(super) fn wishes(&self) -> &'a [Wish] {
        &self.demand.wishes
    }

    /// The network.
    pub(super) const fn network(&self) -> &'a Network<'a> {
        self.network
    }

    /// The car of a wish.
    pub(super) fn car(&self, place: usize) -> CarIx {
        self.demand.wishes[place].car
    }

    /// What all trips are worth.
    pub(super) const fn worth(&self) -> Worth {
        self.worth
    }

    /// Goes back to trips that were there before.
    pub(super) fn restore(&mut self, trips: &[Trip]) {
        let changed: Vec<usize> =
            (0..trips.len()).filter(|place| self.trips[*place] != trips[*place]).collect();
        for place in &changed {
            self.lift(*place);
        }
        for place in changed {
            self.put(place, trips[place].clone());
        }
    }

    /// Takes over trips of which these have changed, and gives those before; nothing, and nothing changes, if they have
    /// no room then, or a track passes its working limit in these slots.
    pub(super) fn change_to(
        &mut self,
        trips: &[Trip],
        changed: &[usize],
        (track, slots): (TrackIx, RangeInclusive<usize>),
    ) -> Option<Vec<Trip>> {
        let before = self.trips.clone();
        self.restore(trips);
        let full = |place: &usize| {
            self.room.over(self.network, self.car(*place), &self.trips[*place].legs).is_some()
        };
        if changed.iter().any(full)
            || !self.room.has_working_room(self.network, track, std::iter::empty(), slots)
        {
            self.restore(&before);
            return None;
        }
        Some(before)
    }

    /// Whether a car arrives tonight.
    pub(super) fn arrives(&self, place: usize) -> bool {
        self.trips[place].stages == self.demand.wishes[place].stages.len()
    }

    /// Forgets all trips, and lets all cars choose in the order of their wishes.
    pub(super) fn begin(&mut self, bans: &Bans) {
        for place in 0..self.trips.len() {
            if !self.lifted[place] {
                self.lift(place);
            }
            self.put(place, Trip::default());
        }
        for place in 0..self.trips.len() {
            self.lift(place);
            let trip = self.trip(place, bans).unwrap_or_default();
            self.put(place, trip);
        }
    }

    /// Lets one car choose again. Its trip changes only for one that is worth as much; what keeps it
    /// from its goal is told as it is now.
    pub(super) fn choose(&mut self, place: usize, bans: &Bans) {
        let old = self.lift(place);
        let new = self.trip(place, bans);
        let trip = match new {
            Some(new) if self.worth_of(place, &new) >= self.worth_of(place, &old) => new,
            Some(new) => Trip { hindrance: new.hindrance, told: new.told, ..old },
            None => old,
        };
        self.put(place, trip);
    }

    /// Lets all cars that do not arrive choose once more, so that what kept them is true of what came out.
    pub(super) fn finish(&mut self, bans: &Bans) {
        for place in 0..self.trips.len() {
            if !self.arrives(place) {
                self.choose(place, bans);
            }
        }
    }

    /// Gives cars another trip that would be touched where they must not be; the cars that were kept
    /// by what they leave choose again. So many trips may be looked for to better what comes of it.
    pub(super) fn obey(&mut self, bans: &Bans, most: usize) {
        let mut broken: Vec<usize> = Vec::new();
        for car in bans.cars() {
            let Some(place) = self.wish_of[car] else { continue };
            if self.trips[place].legs.iter().any(|leg| bans.forbid(car, leg)) {
                broken.push(place);
            }
        }
        broken.sort_unstable();
        broken.dedup();
        let freed: Vec<Leg> = broken.iter().flat_map(|place| self.trips[*place].legs.clone()).collect();
        let cautious = Manner { depth: 0, victim: 0, sideways: false };
        if !self.mend(&broken, bans, cautious) {
            self.begin(bans);
        }
        let end = self.tried + most;
        for place in broken {
            for manner in MANNERS {
                if self.tried < end && !self.arrives(place) {
                    self.change(&[place], bans, manner);
                }
            }
        }
        for place in 0..self.trips.len() {
            let kept = |leg: &Leg| self.trips[place].hindrance.as_ref().is_some_and(|why| why.is_at(leg));
            if freed.iter().any(kept) || self.unexplained(place) {
                self.choose(place, bans);
            }
        }
    }

    /// Whether nothing is said yet of why a car does not arrive.
    fn unexplained(&self, place: usize) -> bool {
        !self.arrives(place) && self.trips[place].hindrance.is_none()
    }

    /// Whether a car could arrive tonight if it might oust all others.
    pub(super) fn has_hope(&mut self, place: usize, bans: &Bans) -> bool {
        let old = self.lift(place);
        let way = self.ousting(place, bans, &[]);
        self.put(place, old);
        way.is_some()
    }

    /// Lifts cars and lets them choose anew, one after the other, and all that they oust after them.
    /// Tells whether the change is kept.
    pub(super) fn change(&mut self, cars: &[usize], bans: &Bans, manner: Manner) -> bool {
        let before = self.worth;
        let mut undo: Vec<(usize, Trip)> = cars.iter().map(|place| (*place, self.lift(*place))).collect();
        let whole = self.settle(cars, bans, manner, &mut undo);
        let aside = manner.sideways && self.worth.cars() == before.cars();
        if whole && (self.worth > before || aside) {
            return true;
        }
        for (place, _) in &undo {
            if !self.lifted[*place] {
                self.lift(*place);
            }
        }
        for (place, trip) in undo {
            self.put(place, trip);
        }
        false
    }

    /// Lets lifted cars choose, and those they oust; what becomes of them is kept in any case. Tells
    /// whether everything fits.
    pub(super) fn mend(&mut self, cars: &[usize], bans: &Bans, manner: Manner) -> bool {
        for place in cars {
            self.lift(*place);
        }
        self.settle(cars, bans, manner, &mut Vec::new())
    }

    fn settle(&mut self, cars: &[usize], bans: &Bans, manner: Manner, undo: &mut Vec<(usize, Trip)>) -> bool {
        let mut waiting: VecDeque<usize> = cars.iter().copied().collect();
        let mut settled: Vec<usize> = Vec::new();
        while let Some(place) = waiting.pop_front() {
            let trip = self.next_trip(place, bans, &settled, manner);
            self.put(place, trip);
            settled.push(place);
            let car = self.demand.wishes[place].car;
            while let Some(crowd) = self.room.over(self.network, car, &self.trips[place].legs) {
                let Some(victim) = self.victim(&crowd, &settled, manner) else { return false };
                undo.push((victim, self.lift(victim)));
                waiting.push_back(victim);
            }
        }
        true
    }

    /// The trip of a lifted car: one that ousts nobody if it arrives or if enough have ousted others;
    /// else one that ousts cars; and if all fails it stays where it is.
    fn next_trip(&mut self, place: usize, bans: &Bans, settled: &[usize], manner: Manner) -> Trip {
        let trip = self.trip(place, bans);
        let stages = self.demand.wishes[place].stages.len();
        if settled.len() >= manner.depth || trip.as_ref().is_some_and(|trip| trip.stages == stages) {
            return trip.unwrap_or_default();
        }
        self.ousting(place, bans, settled).or(trip).unwrap_or_default()
    }

    /// Whom to oust of those who are too many: never one that has chosen in this change.
    fn victim(&self, crowd: &[CarIx], settled: &[usize], manner: Manner) -> Option<usize> {
        let movable = crowd.iter().filter_map(|car| self.wish_of[*car]);
        let mut movable: Vec<usize> =
            movable.filter(|place| !settled.contains(place) && !self.lifted[*place]).collect();
        movable.sort_unstable_by_key(|place| (self.worth_of(*place, &self.trips[*place]), *place));
        movable.dedup();
        movable.get(manner.victim.min(movable.len().checked_sub(1)?)).copied()
    }

    fn trip(&mut self, place: usize, bans: &Bans) -> Option<Trip> {
        self.tried += 1;
        self.search.trip(Among { room: &self.room, bans }, place)
    }

    fn ousting(&mut self, place: usize, bans: &Bans, settled: &[usize]) -> Option<Trip> {
        self.tried += 1;
        let (wish_of, lifted) = (&self.wish_of, &self.lifted);
        let movable =
            |car: CarIx| wish_of[car].is_some_and(|other| !lifted[other] && !settled.contains(&other));
        self.search.ousting(Among { room: &self.room, bans }, place, &movable)
    }

    fn worth_of(&self, place: usize, trip: &Trip) -> Worth {
        Worth::of(&self.demand.wishes[place], place, trip, self.demand.standing.session + 1)
    }

    fn lift(&mut self, place: usize) -> Trip {
        let trip = std::mem::take(&mut self.trips[place]);
        self.room.lift(self.network, self.demand.wishes[place].car, &trip.legs);
        self.worth -= self.worth_of(place, &trip);
        self.lifted[place] = true;
        trip
    }

    fn put(&mut self, place: usize, trip: Trip) {
        self.room.put(self.network, self.demand.wishes[place].car, &trip.legs);
        self.worth += self.worth_of(place, &trip);
        self.trips[place] = trip;
        self.lifted[place] = false;
    }

    /// Cars whose trips meet a car's: those at the places it is bound for and comes from, and in the
    /// trains that call there.
    pub(super) fn neighbours(&self, place: usize) -> Vec<usize> {
        let layout = self.network.layout();
        let start = self.demand.standing.car(self.demand.wishes[place].car).track();
        let start = start.map(|track| layout.tracks()[track].place);
        let goals = self.search.last_goals(place);
        let places = goals.into_iter().flat_map(|goals| goals.places().take(4)).chain(start);
        let mut near: Vec<usize> = Vec::new();
        for at in places {
            let standing = layout.places()[at].tracks.iter().flat_map(|track| self.room.on(*track, 0));
            let calls = self.room.calls_at(at).iter();
            let riding = calls.flat_map(|call| {
                let before = self.network.calls()[*call].previous;
                std::iter::once(*call).chain(before).flat_map(|call| self.room.riders(call))
            });
            near.extend(standing.chain(riding.copied()).filter_map(|car| self.wish_of[car]));
        }
        near.sort_unstable();
        near.dedup();
        near.retain(|other| *other != place);
        near
    }
}
