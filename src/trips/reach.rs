//! What can be reached at all: for every kind of goal, from every call, the fewest further legs.
//!
//! Room, sizes and bans are not asked, so a way that does not exist here exists for no car; walks are
//! kept from all calls that lead nowhere. Goals that are the same for many cars are looked at once.
//!
//! Complexity: O(calls) for each different list of goals.

use std::collections::BTreeMap;

use crate::ids::{CallIx, Ix, IxVec, PlaceIx};
use crate::layout::SpotTarget;
use crate::network::Network;

/// How many sessions are looked ahead, tonight's included.
pub(super) const SESSIONS: usize = 3;

/// No way at all.
const NEVER: u8 = u8::MAX;

/// A list of goals, and how far every call is from them.
#[derive(Clone, Debug)]
pub(super) struct Goals {
    /// By place, the goals there, in order of preference.
    at: BTreeMap<PlaceIx, Vec<SpotTarget>>,
    /// By step of the walk, for a car that is in the train: further legs to a goal within all sessions
    /// that are looked ahead.
    ever: Vec<u8>,
    /// Steps before the last of these sessions.
    before_last: usize,
}

impl Goals {
    /// Looks at a list of goals.
    pub(super) fn new(network: &Network<'_>, goals: &[SpotTarget]) -> Self {
        let mut at: BTreeMap<PlaceIx, Vec<SpotTarget>> = BTreeMap::new();
        for goal in goals {
            at.entry(network.layout().place_of(*goal)).or_default().push(*goal);
        }
        let before_last = network.calls().len() * (SESSIONS - 1);
        Goals { ever: legs(network, &at), at, before_last }
    }

    /// Whether there is no goal.
    pub(super) fn is_empty(&self) -> bool {
        self.at.is_empty()
    }

    /// The goals at a place.
    pub(super) fn at(&self, place: PlaceIx) -> &[SpotTarget] {
        self.at.get(&place).map_or(&[], Vec::as_slice)
    }

    /// The places with goals.
    pub(super) fn places(&self) -> impl Iterator<Item = PlaceIx> + '_ {
        self.at.keys().copied()
    }

    /// How many further legs, at least, a car needs that is in the train at a step; nothing if it
    /// never gets there within so many sessions, which are one or all.
    pub(super) fn further(&self, step: usize, sessions: usize) -> Option<u32> {
        // Where no session follows, tonight is as the last of several.
        let step = if sessions == 1 { step + self.before_last } else { step };
        self.ever.get(step).copied().filter(|legs| *legs != NEVER).map(u32::from)
    }
}

/// From the last call back to the first: the train goes on, or the car waits for another train.
fn legs(network: &Network<'_>, at: &BTreeMap<PlaceIx, Vec<SpotTarget>>) -> Vec<u8> {
    let calls: Vec<(PlaceIx, Option<CallIx>)> =
        network.calls().values().map(|call| (call.place, call.next)).collect();
    let mut table = vec![NEVER; calls.len() * SESSIONS];
    // With one leg more than from the best call there still is; none at all where the goals are.
    let mut waits: IxVec<PlaceIx, u8> = IxVec::filled(NEVER, network.layout().places().len());
    for place in at.keys() {
        waits[*place] = 0;
    }
    for number in (0..SESSIONS).rev() {
        let session = &mut table[number * calls.len()..(number + 1) * calls.len()];
        let mut better = false;
        for (number, (place, next)) in calls.iter().enumerate().rev() {
            let rides = next.map_or(NEVER, |next| session[next.place()]);
            let waiting = &mut waits[*place];
            let legs = rides.min(*waiting);
            session[number] = legs;
            better |= legs.saturating_add(1) < *waiting;
            *waiting = (*waiting).min(legs.saturating_add(1));
        }
        if !better {
            // Nothing is nearer than a session later, and will not be: the sessions before are the same.
            let same = session.to_vec();
            let earlier = table[..number * calls.len()].chunks_exact_mut(calls.len().max(1));
            earlier.for_each(|session| session.copy_from_slice(&same));
            break;
        }
    }
    table
}
