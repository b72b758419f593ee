//! Staging: in which order the cars that come by a gateway are put onto its tracks.
//!
//! Hands put them there, or another road brings them, so their order costs nobody a movement: they stand in
//! the order in which the train that takes them is wanted. Seen from the end at which its engine couples,
//! cars for its last call come first, those for one track together, or for any of the same tracks, among these cars
//! that go on alike, and what no job takes today stands behind them all.
//!
//! Cost: linear in the cars of the session's tasks, n log n in the cars that come.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::layout::{End, Opens};
use crate::network::Network;
use crate::standing::Standing;
use crate::traffic::Hand;
use crate::trips::{Elsewhere, SetOut, Trips};

/// The cars that come onto a track by hand, from west to east.
pub type Staged = (TrackIx, Vec<CarIx>);

/// Who takes a car first, and where it is left then.
#[derive(Clone, Debug)]
struct Taken {
    by: CallIx,
    left: Option<Left>,
}

/// Where a car is left: at a call, on any of these tracks, and if nothing speaks for another on this one.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Left {
    at: CallIx,
    any: Vec<TrackIx>,
    /// At which calls it is left after that, and where.
    then: Vec<(CallIx, TrackIx)>,
    own: TrackIx,
}

/// The tracks on which cars are put in another order than the hands have them, each with that order.
pub(in crate::switching) fn staged(
    network: &Network<'_>,
    standing: &Standing,
    hands: &[Hand],
    trips: &Trips,
) -> Vec<Staged> {
    let placed = placed(hands);
    if placed.is_empty() {
        return Vec::new();
    }
    let taken = taken(standing, trips);
    let mut staged = Vec::new();
    for (track, now) in placed {
        let end = works(network, track, now.iter().find_map(|car| taken[*car].as_ref()));
        let mut inward = now.clone();
        inward.sort_by_cached_key(|car| {
            let first = taken[*car].as_ref().map(|taken| (taken.by, Reverse(&taken.left)));
            (first.is_none(), first)
        });
        if end == End::East {
            inward.reverse();
        }
        if inward != now {
            staged.push((track, inward));
        }
    }
    staged
}

/// The end at which a track's cars are coupled: the one at which it opens, or the one to which the train goes.
fn works(network: &Network<'_>, track: TrackIx, taken: Option<&Taken>) -> End {
    let ride = taken.and_then(|taken| network.calls()[taken.by].ride.as_ref());
    match (network.layout().tracks()[track].opens, ride) {
        (Opens::West, _) => End::West,
        (Opens::Both, Some(ride)) => ride.leaves,
        (Opens::East, _) | (Opens::Both, None) => End::East,
    }
}

fn taken(standing: &Standing, trips: &Trips) -> IxVec<CarIx, Option<Taken>> {
    let mut taken: IxVec<CarIx, Option<Taken>> = standing.cars().map(|_| None).collect();
    for (call, task) in trips.tasks.iter() {
        for car in &task.pulls {
            taken[*car].get_or_insert(Taken { by: call, left: None });
        }
        for set in &task.sets {
            if let Some(taken) = &mut taken[set.car] {
                match &mut taken.left {
                    None => taken.left = Some(left(trips.elsewhere(call), call, set)),
                    Some(left) => left.then.push((call, set.track)),
                }
            }
        }
    }
    taken
}

fn left(elsewhere: &[Elsewhere], at: CallIx, set: &SetOut) -> Left {
    let others = elsewhere.iter().find(|other| other.car == set.car).map(|other| &other.tracks);
    let mut any: Vec<TrackIx> = others.into_iter().flatten().copied().chain([set.track]).collect();
    any.sort_unstable();
    Left { at, any, then: Vec::new(), own: set.track }
}

/// The cars that hands put onto each track, in their order.
pub(in crate::switching) fn placed(hands: &[Hand]) -> BTreeMap<TrackIx, Vec<CarIx>> {
    let mut placed: BTreeMap<TrackIx, Vec<CarIx>> = BTreeMap::new();
    for hand in hands {
        if let Hand::Placed(car, track, ..) = *hand {
            placed.entry(track).or_default().push(car);
        }
    }
    placed
}

/// Other orders of cars on a track: one of those that must not ride just anywhere stands anywhere else.
pub(in crate::switching) fn other_orders(cars: &[CarIx], minded: impl Fn(CarIx) -> bool) -> Vec<Vec<CarIx>> {
    let mut orders: Vec<Vec<CarIx>> = Vec::new();
    for (at, car) in cars.iter().enumerate().filter(|(_, car)| minded(**car)) {
        let others: Vec<CarIx> = [&cars[..at], &cars[at + 1..]].concat();
        for to in (0..=others.len()).filter(|to| *to != at) {
            let mut order = others.clone();
            order.insert(to, *car);
            if !orders.contains(&order) {
                orders.push(order);
            }
        }
    }
    orders
}

/// Puts the hands into the staged order.
pub fn in_order(hands: &mut Vec<Hand>, (track, cars): &Staged) {
    let here = |hand: &Hand| matches!(hand, Hand::Placed(_, at, ..) if at == track);
    let Some(first) = hands.iter().position(here) else { return };
    let (placed, mut others): (Vec<Hand>, Vec<Hand>) = hands.drain(..).partition(here);
    let of =
        |car: &CarIx| placed.iter().find(|hand| matches!(hand, Hand::Placed(on, ..) if on == car)).cloned();
    others.splice(first..first, cars.iter().filter_map(of));
    *hands = others;
}
