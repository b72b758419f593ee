//! Why each leg: this job rather than another, and this track rather than another.

use std::collections::BTreeMap;

use crate::ids::{CallIx, PlaceIx, SpotIx, TrackIx};
use crate::layout::{Layout, SpotTarget};
use crate::traffic::{Purpose, Wish};
use crate::trips::{Leg, Trip};

use super::{Made, names};

/// The runs of all jobs from place to place.
#[derive(Debug)]
pub(super) struct Runs(BTreeMap<(PlaceIx, PlaceIx), Vec<(CallIx, CallIx)>>);

impl Runs {
    pub(super) fn new(made: &Made<'_>) -> Self {
        let calls = made.network.calls();
        let mut runs: BTreeMap<(PlaceIx, PlaceIx), Vec<(CallIx, CallIx)>> = BTreeMap::new();
        for (from, call) in calls.iter() {
            let later = std::iter::successors(call.next, |later| calls[*later].next);
            for to in later {
                runs.entry((call.place, calls[to].place)).or_default().push((from, to));
            }
        }
        Runs(runs)
    }

    /// Why a leg of a trip is run as it is, in words.
    pub(super) fn why(&self, made: &Made<'_>, wish: &Wish, trip: &Trip, number: usize) -> String {
        let leg = &trip.legs[number];
        let end = end(made, wish, trip, number);
        if leg.from == leg.to {
            return end;
        }
        let since = number.checked_sub(1).map(|before| trip.legs[before].to);
        // Who takes it on: an earlier job that only waits for the same one gains nothing.
        let next = trip.legs.get(number + 1).map(|next| next.from).or(trip.onward.map(|onward| onward.call));
        format!("{}; {end}", self.job(made, leg, since, next))
    }

    /// Why this job takes it.
    fn job(&self, made: &Made<'_>, leg: &Leg, since: Option<CallIx>, next: Option<CallIx>) -> String {
        let layout = made.network.layout();
        let calls = made.network.calls();
        let ends = (calls[leg.from].place, calls[leg.to].place);
        let may = |(from, to): &&(CallIx, CallIx)| {
            calls[*from].job != leg.job
                && since.is_none_or(|since| since < *from)
                && made.network.may_switch(*from, leg.from_track)
                && made.network.may_switch(*to, leg.track)
        };
        let others: Vec<&(CallIx, CallIx)> =
            self.0.get(&ends).map_or(&[][..], Vec::as_slice).iter().filter(may).collect();
        let name = |call: CallIx| &layout.jobs()[calls[call].job].name;
        let to = &layout.places()[ends.1].title;
        if let Some((from, _)) = others.iter().find(|(_, to)| *to < leg.to) {
            let full = made.worked.calls[*from].train.cars.len();
            let full =
                layout.jobs()[calls[*from].job].max.cars.is_some_and(|most| count(full) >= most.count());
            let earlier = format!("an earlier train to {to}, of {},", name(*from));
            return match next {
                _ if full => format!("{earlier} is full"),
                Some(next) => format!("{earlier} gains nothing: it goes on with {}", name(next)),
                None => format!("{earlier} could not take it along"),
            };
        }
        match others.first() {
            None => format!("no other job goes to {to} with it tonight"),
            Some((from, _)) => format!("the first that goes to {to}, before {}", name(*from)),
        }
    }
}

/// The call at which the train is coupled that a leg helps to make up.
pub(super) fn made_up_for(trip: &Trip, number: usize) -> Option<CallIx> {
    trip.made_up.filter(|yard| trip.legs[number].to == *yard)?;
    trip.legs.get(number + 1).map(|next| next.from)
}

/// Why it is left where it is.
fn end(made: &Made<'_>, wish: &Wish, trip: &Trip, number: usize) -> String {
    let layout = made.network.layout();
    let leg = &trip.legs[number];
    let stage = leg.ends_stage.and_then(|stage| wish.stages.get(stage));
    let at = names::track(layout, leg.track);
    let job = |call: CallIx| &layout.jobs()[made.network.calls()[call].job].name;
    let next = trip.legs.get(number + 1);
    match stage.map(|stage| stage.purpose) {
        Some(Purpose::Serve(service) | Purpose::Mend(service)) => {
            format!("left on {at} to {} it", service.word())
        }
        Some(Purpose::Load | Purpose::Unload) => {
            spot(layout, leg.track, leg.spot, stage.map_or(&[], |stage| &stage.goals))
        }
        Some(Purpose::GoBeyond(gateway)) => {
            format!("left on {at}, from where {} takes it", layout.gateways()[gateway].name)
        }
        Some(Purpose::Wait) => format!("left on {at} to wait, out of the way"),
        None => match (next, trip.onward) {
            (Some(next), _) if made_up_for(trip, number).is_some() => {
                format!("made up on {at} for {}", job(next.from))
            }

            (Some(next), _) => format!("left on {at} for {}", job(next.from)),
            (None, _) if trip.off_spot => format!("left on {at}, near its spot"),
            (None, _) if trip.aside => format!("left on {at}, out of the way of those who wait for its spot"),
            (None, Some(onward)) => {
                let session = i64::from(made.session) + i64::from(onward.sessions);
                format!("left on {at} for {} in session {session}", job(onward.call))
            }
            (None, None) => format!("left on {at}, as near as it gets"),
        },
    }
}

/// Why this spot among those that would do.
fn spot(layout: &Layout, track: TrackIx, at: Option<SpotIx>, goals: &[SpotTarget]) -> String {
    let chosen = at.map_or(SpotTarget::Track(track), SpotTarget::Spot);
    let better: Vec<String> =
        goals.iter().take_while(|goal| **goal != chosen).map(|goal| names::target(layout, *goal)).collect();
    let at = names::target(layout, chosen);
    match better.len() {
        0 if goals.len() < 2 => format!("put at {at}, its only spot"),
        0 => format!("put at {at}, first choice of {}", goals.len()),
        1..=3 => format!("put at {at}, as {} had no room", names::list(better)),
        many => format!("put at {at}, as {many} spots before it had no room"),
    }
}

fn count(cars: usize) -> u32 {
    u32::try_from(cars).unwrap_or(u32::MAX)
}
