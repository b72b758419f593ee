//! Where else the cars may be left that a call leaves on no spot.
//!
//! Each car has chosen by itself where it waits, or on which track of its gateway it is left, so the cars of
//! one train may fall onto several tracks by turns; every turn is a cut. Which of them stands where is all the
//! same to cars that are bound for any of these tracks, and to those that wait for one train: it takes them on
//! wherever they stand. What a yard job sorts tonight may stand on any track where other such cars are left. In
//! which order they ride only `switching` knows; it leaves them in as few cuts as it can, and the trips follow what
//! was done ([`Trips::follow`]).
//!
//! How much more a track may take is counted up to its working limit, for as long as the car stands there
//! ([`super::room::Room::spare`]); what is chosen at one call is taken off for all others.
//!
//! Complexity: for each call the tracks of its parties, for every car.
//!
//! [`Trips::follow`]: super::Trips::follow

use std::ops::Range;

use super::leaving::Leaving;
use super::room::Room;
use super::{Bans, Leg, Trip};
use crate::ids::{CallIx, CarIx, TrackIx};
use crate::layout::{JobKind, SpotTarget};
use crate::network::Network;
use crate::traffic::{Demand, Wish};

/// What those have in common that may stand on each other's tracks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Party<'d> {
    /// They are taken on at this call, so many sessions from now.
    Waits(CallIx, u32),
    /// They are where they were bound: on one of these.
    There(&'d [SpotTarget]),
}

/// A car that is left at a call, on no spot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Left<'d> {
    pub(super) wish: &'d Wish,
    pub(super) leg: Leg,
    pub(super) next: Option<Leg>,
    party: Party<'d>,
}

/// A car that may be left on other tracks than its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// The car.
    pub car: CarIx,
    /// Those tracks.
    pub tracks: Vec<TrackIx>,
    /// As long as it stands there: the first of the calls at the place after which it does, counted from 1, and the
    /// first after which it does not any more.
    pub slots: Range<usize>,
}

/// For the calls, the cars that may be left on other tracks than their own.
pub(super) fn choices(
    network: &Network<'_>,
    demand: &Demand,
    (room, trips): (&Room, &[Trip]),
    bans: &Bans,
) -> Vec<(CallIx, Elsewhere)> {
    let both = demand.wishes.iter().zip(trips);
    let mut left: Vec<Left<'_>> = both.flat_map(|(wish, trip)| left_on_tracks(wish, trip)).collect();
    left.sort_by_key(|left| (left.leg.to, left.party));
    let sorted: Vec<(CallIx, TrackIx)> = left
        .iter()
        .filter(|left| is_sorted_later(network, left))
        .map(|left| (left.leg.to, left.leg.track))
        .collect();
    let mut choices = Vec::new();
    for party in left.chunk_by(|one, other| (one.leg.to, one.party) == (other.leg.to, other.party)) {
        let mut tracks: Vec<TrackIx> = match party[0].party {
            Party::Waits(..) if is_sorted_later(network, &party[0]) => {
                let here = sorted.iter().filter(|(call, _)| *call == party[0].leg.to);
                here.map(|(_, track)| *track).collect()
            }
            Party::Waits(..) => party.iter().map(|left| left.leg.track).collect(),
            Party::There(goals) => goals.iter().copied().filter_map(track_of).collect(),
        };
        tracks.sort_unstable();
        tracks.dedup();
        for left in party {
            let may =
                |track: &TrackIx| *track != left.leg.track && may_be_left(network, room, bans, left, *track);
            let others: Vec<TrackIx> = tracks.iter().copied().filter(may).collect();
            if !others.is_empty() {
                let call = left.leg.to;
                let calls = room.calls_at(network.calls()[call].place);
                let last = left.next.map_or(calls.len(), |next| room.rank(next.from));
                let slots = room.rank(call) + 1..last + 1;
                choices.push((call, Elsewhere { car: left.wish.car, tracks: others, slots }));
            }
        }
    }
    choices
}

/// Whether a road crew leaves a car for a yard job that takes it on tonight: for that it is all the same on which of
/// these tracks it stands.
fn is_sorted_later(network: &Network<'_>, left: &Left<'_>) -> bool {
    let yard = |call: CallIx| network.layout().jobs()[network.calls()[call].job].kind == JobKind::Yard;
    matches!(left.party, Party::Waits(call, 0) if yard(call)) && !yard(left.leg.to)
}

/// Where a trip leaves its car on no spot; not where it only makes room for another.
pub(super) fn left_on_tracks<'d>(wish: &'d Wish, trip: &'d Trip) -> impl Iterator<Item = Left<'d>> {
    let there = wish.stages.last().filter(|_| trip.stages == wish.stages.len());
    let last = match (there, trip.onward) {
        (Some(stage), _) => Some(Party::There(&stage.goals)),
        (None, Some(onward)) if !trip.aside => Some(Party::Waits(onward.call, onward.sessions)),
        _ => None,
    };
    let once = |leg: &Leg| trip.legs.iter().filter(|other| other.to == leg.to).count() == 1;
    let on_no_spot = move |(_, leg): &(usize, &Leg)| leg.spot.is_none() && once(leg);
    trip.legs.iter().enumerate().filter(on_no_spot).filter_map(move |(at, leg)| {
        let next = trip.legs.get(at + 1).copied();
        let party = next.map_or(last, |next| Some(Party::Waits(next.from, 0)))?;
        Some(Left { wish, leg: *leg, next, party })
    })
}

fn track_of(goal: SpotTarget) -> Option<TrackIx> {
    match goal {
        SpotTarget::Track(track) => Some(track),
        SpotTarget::Spot(_) => None,
    }
}

/// Whether a car may be left on another track, and go on from there, as the tracks lie and the roads may use them.
pub(super) fn may_be_left(
    network: &Network<'_>,
    room: &Room,
    bans: &Bans,
    left: &Left<'_>,
    track: TrackIx,
) -> bool {
    let Left { wish, leg, next, .. } = left;
    let leaving = |leg: &Leg, from: TrackIx, track: TrackIx| Leaving {
        car: wish.car,
        weight: room.weight(wish.car),
        call: leg.to,
        pulled_from: (leg.from == leg.to).then_some(from),
        track,
    };
    // A move within the place brings it to its goal, or to where other jobs take it on.
    let gains = |leg: &Leg, from: TrackIx, to: TrackIx| {
        leg.from != leg.to || from != to && (leg.ends_stage.is_some() || network.opens_calls(to, from))
    };
    let stands = match leg.ends_stage {
        Some(stage) => wish.stages[stage].goals.contains(&SpotTarget::Track(track)),
        None => network.layout().tracks()[track].usage.keeps_cars(),
    };
    let goes_on = |next: &Leg| {
        network.may_switch(next.from, track)
            && network.may_serve(next.from, track, None)
            && gains(next, track, next.track)
            && leaving(next, track, next.track).may_be(network, bans)
    };
    stands
        && network.may_serve(leg.to, track, None)
        && gains(leg, leg.from_track, track)
        && leaving(leg, leg.from_track, track).may_be(network, bans)
        && next.as_ref().is_none_or(goes_on)
}
