//! A better order of choice.
//!
//! Trips are built car by car, and an early car may take room that others need more. So every car
//! that was left behind for want of room is tried at the head of the order, and at its end, where others
//! have made room by then; an order whose trips are worth more is kept, and all are tried on it again.
//! What trips are worth is [`Worth`], a tuple of whole numbers compared in order. The number of trials
//! is fixed by the number of wishes, never by time.

use std::cmp::Reverse;

use super::{Bans, Hindrance, Trip, build};
use crate::network::Network;
use crate::traffic::{Demand, Wish};

/// How many trips may be built in all trials together.
const TRIPS_TRIED: usize = 1600;

/// What a session's trips are worth; more is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    /// Promised and perishable cars that arrive.
    promised: usize,
    /// Sessions waited, tonight's counted, by all cars that arrive.
    waited: i64,
    /// Cars that get nearer, or stand near a spot that is full.
    nearer: usize,
    /// Legs run: fewer is better.
    legs: Reverse<usize>,
}

/// The order in which the wishes shall choose.
pub(super) fn order(network: &Network<'_>, demand: &Demand) -> Vec<usize> {
    let bans = Bans::new();
    let mut order: Vec<usize> = (0..demand.wishes.len()).collect();
    let mut trips = build(network, demand, &bans, &order);
    let mut best = worth(demand, &trips);
    let mut trials = TRIPS_TRIED / 2 / demand.wishes.len().max(1); // each builds twice
    let mut tried = vec![false; demand.wishes.len()];
    while let Some(left_behind) = (0..trips.len()).find(|place| !tried[*place] && wants_room(&trips[*place]))
    {
        if trials == 0 {
            break;
        }
        trials -= 1;
        tried[left_behind] = true;
        for first in [true, false] {
            let mut other = order.clone();
            other.retain(|place| *place != left_behind);
            let place = if first {
                behind_those_who_leave(demand, &other, &trips, &trips[left_behind])
            } else {
                other.len()
            };
            other.insert(place, left_behind);
            let other_trips = build(network, demand, &bans, &other);
            let other_worth = worth(demand, &other_trips);
            if other_worth > best {
                (order, trips, best) = (other, other_trips, other_worth);
                tried.fill(false);
                tried[left_behind] = true;
            }
        }
    }
    order
}

/// Where in the order a car is tried: at the head, but behind the cars that leave the track it is
/// bound for, whose room it needs.
fn behind_those_who_leave(demand: &Demand, order: &[usize], trips: &[Trip], left_behind: &Trip) -> usize {
    let Some(Hindrance::Full(track)) = left_behind.hindrance else { return 0 };
    let leaves = |place: &usize| {
        let stands = demand.standing.car(demand.wishes[*place].car).track() == Some(track);
        stands && !trips[*place].legs.is_empty()
    };
    order.iter().rposition(leaves).map_or(0, |last| last + 1)
}

fn wants_room(trip: &Trip) -> bool {
    matches!(trip.hindrance, Some(Hindrance::Full(_) | Hindrance::TrainFull(_) | Hindrance::YardFull(..)))
}

fn worth(demand: &Demand, trips: &[Trip]) -> Worth {
    let all = demand.wishes.iter().zip(trips);
    let there: Vec<&Wish> =
        all.filter(|(wish, trip)| trip.stages == wish.stages.len()).map(|(wish, _)| wish).collect();
    let session = demand.standing.session + 1;
    Worth {
        promised: there.iter().filter(|wish| wish.urgency.promised == 0).count(),
        waited: there.iter().map(|wish| i64::from(session.saturating_sub(wish.urgency.since)) + 1).sum(),
        nearer: trips.iter().filter(|trip| trip.stages == 0 && !trip.legs.is_empty() && !trip.aside).count(),
        legs: Reverse(trips.iter().map(|trip| trip.legs.len()).sum()),
    }
}
