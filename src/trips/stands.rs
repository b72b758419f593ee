//! Where a car could stand in the course of the walk, and how it would have come there.

use std::ops::Index;

use super::room::END;
use super::{Hindrance, Leg, Onward};
use crate::ids::{CallIx, Ix, PlaceIx, SpotIx, TrackIx};
use crate::network::Network;

/// All stands of one walk: each points to the one before it.
#[derive(Debug, Default)]
pub(super) struct Stands(Vec<Stand>);

/// A car standing on a track, and how it came there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    /// How many stages of its wish are done.
    pub(super) stage: usize,
    pub(super) track: TrackIx,
    pub(super) spot: Option<SpotIx>,
    /// Steps of the walk: calls counted on through the sessions.
    pub(super) since: Option<usize>,
    /// The slot by which it must be gone, because there is no room for it any longer.
    pub(super) until: usize,
    pub(super) pulled: usize,
    pub(super) before: Option<usize>,
    pub(super) cost: Cost,
}

impl Stand {
    /// Whether a car can wait here until the call with this number at the place, if it is tonight's.
    pub(super) const fn waits_for(&self, rank: usize, tonight: bool) -> bool {
        if tonight { rank < self.until } else { self.until == END }
    }

    /// Whether this is as good as another on the same track in every way.
    fn covers(&self, other: &Stand) -> bool {
        (self.track, self.stage, self.spot) == (other.track, other.stage, other.spot)
            && self.cost <= other.cost
            && self.until >= other.until
    }
}

/// What a way costs, compared in order; the least is best.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cost {
    /// Places it takes from cars that are there already.
    pub(super) ousted: u32,
    /// Tracks that it takes beyond their working limits.
    pub(super) beyond: u32,
    /// Stages that are not done tonight.
    pub(super) undone: u32,
    /// Legs, of all sessions.
    pub(super) legs: u32,
    /// Rides from one call to the next, of all sessions.
    pub(super) rides: u32,
    /// Legs that are not run tonight.
    pub(super) later: u32,
    /// What the track is to a car that waits there.
    pub(super) discomfort: (u32, u32),
}

/// A car riding in a job's train.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aboard {
    /// The step at which it is in the train.
    pub(super) at: usize,
    /// The stand it was pulled from.
    pub(super) from: usize,
    pub(super) pulled: usize,
    pub(super) cost: Cost,
}

impl Stands {
    /// Forgets all.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }

    /// Adds a stand and tells its number.
    pub(super) fn push(&mut self, stand: Stand) -> usize {
        self.0.push(stand);
        self.0.len() - 1
    }

    /// Adds a stand to those that are alive at its place, unless one of them is as good.
    pub(super) fn add(&mut self, alive: &mut Vec<usize>, stand: Stand) {
        if alive.iter().any(|known| self.0[*known].covers(&stand)) {
            return;
        }
        alive.retain(|known| !stand.covers(&self.0[*known]));
        alive.push(self.push(stand));
    }

    /// Tonight's legs on the way to a stand, each with the stage that it ends, if it ends one.
    pub(super) fn legs(&self, network: &Network<'_>, stand: usize) -> Vec<Leg> {
        let calls = network.calls();
        let mut legs = Vec::new();
        let mut at = stand;
        while let Some(before) = self.0[at].before {
            let (here, before_it) = (&self.0[at], &self.0[before]);
            let step = here.since.expect("a stand with one before it was reached by a call");
            if step < calls.len() {
                let (from, to) = (CallIx::new(here.pulled), CallIx::new(step));
                legs.push(Leg {
                    job: calls[to].job,
                    from,
                    from_track: before_it.track,
                    to,
                    track: here.track,
                    spot: here.spot,
                    ends_stage: (here.stage > before_it.stage).then_some(before_it.stage),
                });
            }
            at = before;
        }
        legs.reverse();
        legs
    }

    /// The first pull after tonight on the way to a stand.
    pub(super) fn onward(&self, network: &Network<'_>, stand: usize) -> Option<Onward> {
        let calls = network.calls().len();
        let later = self.way(stand).filter(|here| here.since.is_some_and(|step| step >= calls)).last()?;
        let sessions = u32::try_from(later.pulled / calls).ok()?;
        Some(Onward { call: CallIx::new(later.pulled % calls), sessions })
    }

    /// The stands on the way to one, from it back to the first.
    pub(super) fn way(&self, stand: usize) -> impl Iterator<Item = &Stand> {
        std::iter::successors(Some(stand), |stand| self.0[*stand].before).map(|stand| &self.0[stand])
    }

    /// Whether a hindrance lies on the way to a stand, and not only on one that was tried.
    pub(super) fn meet(&self, network: &Network<'_>, stand: usize, met: &Hindrance) -> bool {
        let calls = network.calls();
        let tracks = network.layout().tracks();
        let comes_to = |place| self.way(stand).any(|here| tracks[here.track].place == place);
        match met {
            Hindrance::YardFull(track, _) => comes_to(tracks[*track].place),
            Hindrance::TooLarge(place) => comes_to(*place),
            Hindrance::TrainFull(job) => self
                .way(stand)
                .filter_map(|here| here.since)
                .any(|step| step >= calls.len() && calls[CallIx::new(step % calls.len())].job == *job),
            Hindrance::NoGoal
            | Hindrance::Full(_)
            | Hindrance::KeptOff(_)
            | Hindrance::Banned(..)
            | Hindrance::NoConnection => true,
        }
    }

    /// The place of a stand.
    pub(super) fn place(&self, network: &Network<'_>, stand: usize) -> PlaceIx {
        network.layout().tracks()[self.0[stand].track].place
    }

    /// Whether the car was set down at a place in this delivery, or passed it in this train. A place
    /// that another train only passed does not count.
    pub(super) fn was_at(&self, network: &Network<'_>, aboard: &Aboard, place: PlaceIx) -> bool {
        let calls = network.calls();
        let call = CallIx::new(aboard.at % calls.len());
        let passed = std::iter::successors(Some(call), |call| calls[*call].previous);
        let pulled = aboard.pulled % calls.len();
        let stage = self.0[aboard.from].stage;
        let mut stood = std::iter::successors(Some(aboard.from), |stand| self.0[*stand].before)
            .take_while(|stand| self.0[*stand].stage == stage);
        passed.take_while(|call| call.place() >= pulled).any(|call| calls[call].place == place)
            || stood.any(|stand| self.place(network, stand) == place)
    }
}

impl Index<usize> for Stands {
    type Output = Stand;

    fn index(&self, stand: usize) -> &Stand {
        &self.0[stand]
    }
}
