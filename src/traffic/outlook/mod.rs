//! A look ahead: which pool of cars will drain, and where cars will pile up (rule 10).
//!
//! Four weeks are run ahead with cars and orders alone: no trains, every car is where it is bound on
//! the day it is sent, lanes come due at their rate. What even that easy railroad cannot do, the real
//! one cannot either, so an alarm is never false for want of a train; what trains alone stand in
//! the way of is seen in the sessions themselves. A pool is the cars that will do for the same
//! lanes. It drains when orders go without a car and ever more do to the end.
//!
//! Cost: sessions × (lanes + cars + orders × (gateways + the free cars that come first and will not do)).

mod idle;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use idle::{Free, Idle};

use super::calendar::{FIRST_COUNTED, days_run, ready, runs};
use super::fits::room_for;
use super::gateways::home_of;
use super::orders::{Steady, works};
use super::wishes::{load_spots, unload_spots};
use crate::ids::{CarIx, GatewayIx, IxVec, LaneIx, TypeIx};
use crate::layout::{LaneEnd, Layout, TrackUse};
use crate::network::Network;
use crate::said::{self, Worded};
use crate::standing::{CarState, Condition, Standing, Whereabouts};
use crate::units::Length;

/// How many sessions are looked ahead: four weeks of days.
const AHEAD: i32 = 28;

/// How many orders of a pool must be without a car in the end for it to be called drained: fewer are
/// the unevenness of days.
const MANY: usize = 3;

/// The orders of one pool without a car, session by session.
#[derive(Clone, Debug, Default)]
struct Pool {
    kinds: Vec<TypeIx>,
    /// Whether its loads begin on the layout.
    here: bool,
    lanes: Vec<LaneIx>,
    unfilled: Vec<usize>,
    filled: Vec<usize>,
}

/// What the host should know of the weeks to come, in words.
pub fn outlook(network: &Network<'_>, after: &Standing) -> Vec<Worded> {
    let mut ahead = Ahead::new(network, after);
    for session in after.session + 1..=after.session + AHEAD {
        ahead.session(session);
    }
    ahead.words()
}

struct Ahead<'a> {
    network: &'a Network<'a>,
    layout: &'a Layout,
    begin: i32,
    free: IxVec<CarIx, Free>,
    /// The free cars of each kind.
    idle: BTreeMap<TypeIx, Idle>,
    /// Lanes with an order that waits, and the session in which it came due.
    waiting: Vec<(i32, LaneIx)>,
    /// Each lane at its rate.
    steady: IxVec<LaneIx, Steady>,
    /// How many days each lane has run.
    days: IxVec<LaneIx, u32>,
    /// For each lane, the sessions until which cars are at its spots or under way to them.
    bound: IxVec<LaneIx, Vec<i32>>,
    pools: Vec<Pool>,
    /// The pool that a lane draws on.
    pool: IxVec<LaneIx, usize>,
    /// The gateway by which each car came last.
    came_by: IxVec<CarIx, Option<GatewayIx>>,
    /// The length of cars without a way home, by session.
    piled: Vec<Length>,
    room: Length,
}

impl<'a> Ahead<'a> {
    fn new(network: &'a Network<'a>, after: &Standing) -> Self {
        let layout = network.layout();
        let (pools, pool) = pools(layout);
        let mut ahead = Ahead {
            network,
            layout,
            begin: after.session,
            free: IxVec::filled(Free::Never, layout.cars().len()),
            idle: BTreeMap::new(),
            waiting: Vec::new(),
            steady: layout.lanes().values().map(|lane| Steady::of(layout, lane)).collect(),
            days: days_so_far(layout, after.session),
            bound: IxVec::filled(Vec::new(), layout.lanes().len()),
            pools,
            pool,
            came_by: after.cars().map(|(_, state)| state.came_by).collect(),
            piled: Vec::new(),
            room: room_to_wait(network, after),
        };
        for order in &after.orders {
            if order.car.is_none() {
                ahead.waiting.push((order.due, order.lane));
            }
        }
        for (car, state) in after.cars() {
            let free = ahead.begins(after, car, state);
            ahead.set(car, free);
        }
        ahead
    }

    /// Where a car is free as the last session leaves it.
    fn begins(&mut self, after: &Standing, car: CarIx, state: &CarState) -> Free {
        let next = after.session + 1;
        let lane = state.condition.order().and_then(|order| after.order(order)).map(|order| order.lane);
        match (&state.condition, lane) {
            (Condition::Empty, _) => match state.whereabouts() {
                Whereabouts::Beyond(gateway) => Free::Out(gateway, state.since),
                Whereabouts::Shelf => Free::Shelf,
                Whereabouts::Track(track, _) => match self.way_home(car) {
                    Some(home) if self.layout.gateways()[home].takes.contains(&track) => {
                        Free::Out(home, next)
                    }
                    _ => Free::Here(next),
                },
            },
            (Condition::Ordered { .. }, Some(lane)) => self.loads(car, lane, next),
            (Condition::Loading { ready, .. }, Some(lane)) => self.goes_on(car, lane, *ready),
            (Condition::Loaded { .. }, Some(lane)) => {
                let out = matches!(self.layout.lanes()[lane].to, LaneEnd::Beyond(gateway, _)
                    if state.track().is_some_and(|track| self.layout.gateways()[gateway].takes.contains(&track)));
                self.goes_on(car, lane, if out { after.session } else { next })
            }
            (Condition::Unloading { ready, .. }, Some(lane)) => {
                self.bound[lane].push(*ready);
                Free::Here(*ready)
            }
            (_, None) => Free::Never,
        }
    }

    /// The gateway that a car goes home by, if it is there.
    fn way_home(&self, car: CarIx) -> Option<GatewayIx> {
        let is_there = |home: &GatewayIx| self.layout.gateways()[*home].existence.on(self.network.date());
        home_of(self.layout, car).or(self.came_by[car]).filter(is_there)
    }

    /// A car comes to a lane's customer to be loaded.
    fn loads(&mut self, car: CarIx, lane: LaneIx, session: i32) -> Free {
        let described = &self.layout.lanes()[lane];
        let LaneEnd::Industry(industry) = described.from else { return self.goes_on(car, lane, session) };
        let works = self.layout.industries()[industry].works;
        let until = ready(self.layout.settings().days, works, session, described.load);
        self.goes_on(car, lane, until)
    }

    /// A loaded car goes on to its lane's end, from a session on.
    fn goes_on(&mut self, car: CarIx, lane: LaneIx, session: i32) -> Free {
        let described = &self.layout.lanes()[lane];
        let (free, until) = match described.to {
            LaneEnd::Beyond(gateway, _) => (Free::Out(gateway, session + 1), session),
            LaneEnd::Industry(industry) => {
                let works = self.layout.industries()[industry].works;
                let until = ready(self.layout.settings().days, works, session, described.unload);
                (Free::Here(until), until)
            }
        };
        if let LaneEnd::Beyond(gateway, _) = described.from {
            self.came_by[car] = Some(gateway);
        }
        self.bound[lane].push(until);
        free
    }

    /// One session: empties that nobody wanted go home, orders come due, and get cars.
    fn session(&mut self, session: i32) {
        self.go_home(session);
        self.come_due(session);
        let mut waiting = std::mem::take(&mut self.waiting);
        waiting
            .sort_by_key(|(due, lane)| (!self.layout.goes_first(&self.layout.lanes()[*lane]), *due, *lane));
        let mut left = Vec::new();
        let mut counts = vec![(0, 0); self.pools.len()];
        let mut none: BTreeSet<LaneIx> = BTreeSet::new();
        for (due, lane) in waiting {
            let held = self.held(lane, session);
            let car = if held || none.contains(&lane) { None } else { self.take(lane, session) };
            match car {
                Some(car) => {
                    counts[self.pool[lane]].0 += 1;
                    let free = self.loads(car, lane, session);
                    self.set(car, free);
                    continue;
                }
                None if !held => {
                    counts[self.pool[lane]].1 += 1;
                    none.insert(lane);
                }
                None => {}
            }
            let age = session - due;
            let over =
                self.layout.lanes()[lane].cancel_after.is_some_and(|span| age > span.count().cast_signed());
            if !over {
                left.push((due, lane));
            }
        }
        self.waiting = left;
        for (pool, (filled, unfilled)) in self.pools.iter_mut().zip(counts) {
            pool.filled.push(filled);
            pool.unfilled.push(unfilled);
        }
        self.pile_up(session);
    }

    fn go_home(&mut self, session: i32) {
        for car in self.layout.cars().indices() {
            let Free::Here(since) = self.free[car] else { continue };
            if let Some(home) = self.way_home(car).filter(|_| since < session) {
                self.set(car, Free::Out(home, session));
            }
        }
    }

    /// Notes how much stands on the layout that nobody wants and that has no way home.
    fn pile_up(&mut self, session: i32) {
        let free = self.free.iter();
        let idle = free.filter(|(_, free)| matches!(free, Free::Here(since) if *since <= session));
        let piled = idle.filter(|(car, _)| self.way_home(*car).is_none());
        let length = piled.map(|(car, _)| self.layout.cars()[car].length).sum();
        self.piled.push(length);
    }

    fn come_due(&mut self, session: i32) {
        let date = self.layout.settings().days.of_session(session);
        for (ix, lane) in self.layout.lanes().iter() {
            if !works(self.layout, lane).has(date.weekday()) || !runs(self.layout, ix, date) {
                continue;
            }
            let day = self.days[ix];
            self.days[ix] += 1;
            for _ in self.steady[ix].due(day)..self.steady[ix].due(day + 1) {
                self.waiting.push((session, ix));
            }
        }
    }

    /// Whether a lane's spots have cars enough, as they do in a session.
    fn held(&mut self, lane: LaneIx, session: i32) -> bool {
        self.bound[lane].retain(|until| *until > session);
        let described = &self.layout.lanes()[lane];
        let cars = self.bound[lane].len();
        [load_spots(self.layout, described), unload_spots(self.layout, described)].iter().any(|spots| {
            let room = usize::try_from(room_for(self.layout, spots).count()).unwrap_or(usize::MAX);
            !spots.is_empty() && cars >= room.saturating_mul(2)
        })
    }

    /// The car that a lane's order gets, first choice of kind first, nearest first, longest there first.
    fn take(&self, lane: LaneIx, session: i32) -> Option<CarIx> {
        let described = &self.layout.lanes()[lane];
        let kinds = self.pools[self.pool[lane]].kinds.iter();
        kinds
            .filter_map(|kind| self.idle.get(kind))
            .find_map(|idle| idle.nearest(self.network, described, session))
    }

    /// Says where a car is free from now on.
    fn set(&mut self, car: CarIx, free: Free) {
        let idle = self.idle.entry(self.layout.cars()[car].kind).or_default();
        idle.take_out(car, self.free[car]);
        idle.put_in(car, free);
        self.free[car] = free;
    }

    fn words(&self) -> Vec<Worded> {
        let drained = self.pools.iter().filter_map(|pool| self.drained(pool));
        drained.chain(self.piled_up()).collect()
    }

    /// What is said of a pool that drains.
    fn drained(&self, pool: &Pool) -> Option<Worded> {
        let (first, last) = (pool.unfilled.iter().position(|orders| *orders > 0)?, *pool.unfilled.last()?);
        let half = pool.unfilled[pool.unfilled.len() / 2];
        (last >= MANY && (half < last || half == 0)).then_some(())?;
        let kinds: Vec<&str> =
            pool.kinds.iter().map(|kind| self.layout.types()[*kind].code.as_str()).collect();
        let rate: u32 = pool.lanes.iter().map(|lane| self.layout.lanes()[*lane].rate.in_twelve_weeks()).sum();
        let returns: usize = pool.filled.iter().rev().take(14).sum();
        let session = self.begin + 1 + i32::try_from(first).ok()?;
        let shelf = self.layout.settings().shelf;
        let cure = if shelf { said::add_cars() } else { said::add_cars_or_use_shelf() };
        let (kinds, needed, back) = (kinds.join(" or "), rate.div_ceil(12), returns / 2);
        Some(if pool.here {
            said::pool_here(kinds, session, needed, back, cure)
        } else {
            said::pool_beyond(kinds, session, needed, back, cure)
        })
    }

    /// What is said where cars that nobody wants fill the yards.
    fn piled_up(&self) -> Option<Worded> {
        let first = self.piled.iter().position(|piled| *piled > self.room)?;
        let session = self.begin + 1 + i32::try_from(first).ok()?;
        let gain =
            self.piled.last()?.whole_scale_inches().saturating_sub(self.piled.first()?.whole_scale_inches());
        let usual = self.layout.settings().car.whole_scale_inches().max(1);
        let (more, room) = ((gain / usual).div_ceil(4), self.room.whole_scale_inches() / usual);
        Some(said::yards_fill(session, more, room))
    }
}

/// The pools, and the one that each lane draws on.
fn pools(layout: &Layout) -> (Vec<Pool>, IxVec<LaneIx, usize>) {
    let mut pools: Vec<Pool> = Vec::new();
    let mut known: BTreeMap<(&[TypeIx], bool), usize> = BTreeMap::new();
    let lanes = layout.lanes().iter().map(|(ix, lane)| {
        let kinds = lane.kinds(layout.commodities());
        let here = matches!(lane.from, LaneEnd::Industry(_));
        let number = *known.entry((kinds, here)).or_insert_with(|| {
            pools.push(Pool { kinds: kinds.to_vec(), here, ..Pool::default() });
            pools.len() - 1
        });
        pools[number].lanes.push(ix);
        number
    });
    let of = lanes.collect();
    (pools, of)
}

/// How many days each lane has run by the end of a session.
fn days_so_far(layout: &Layout, session: i32) -> IxVec<LaneIx, u32> {
    let lanes = layout.lanes().iter();
    lanes.map(|(ix, lane)| days_run(layout, ix, works(layout, lane), FIRST_COUNTED, session)).collect()
}

/// The room that is left in yards and storage, up to their working limits.
fn room_to_wait(network: &Network<'_>, after: &Standing) -> Length {
    let layout = network.layout();
    let waits = layout.tracks().iter().filter(|(ix, track)| {
        network.has_track(*ix) && matches!(track.usage, TrackUse::Yard | TrackUse::Storage)
    });
    let (mut room, mut taken) = (Length::ZERO, Length::ZERO);
    for (ix, track) in waits {
        room = room + track.working;
        // Idle cars without a way home are counted where they pile up.
        let busy = after.on(ix).iter().filter(|car| after.car(**car).condition != Condition::Empty);
        taken = taken + busy.map(|car| layout.cars()[*car].length).sum();
    }
    room.less(taken)
}
