//! Where a car could stand in the course of the walk, and how it would have come there.

use std::ops::Index;

use super::{Leg, Onward};
use crate::ids::{CallIx, Ix, PlaceIx, SpotIx, TrackIx};
use crate::network::Network;

/// All stands of one walk: each points to the one before it.
#[derive(Debug, Default)]
pub(super) struct Stands(Vec<Stand>);

/// A car standing on a track, and how it came there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    pub(super) track: TrackIx,
    pub(super) spot: Option<SpotIx>,
    /// Steps of the walk: calls counted on through the sessions.
    pub(super) since: Option<usize>,
    pub(super) pulled: usize,
    pub(super) before: Option<usize>,
    pub(super) cost: Cost,
}

/// Legs, then rides, then what the track is to a car that waits there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cost {
    pub(super) legs: u32,
    pub(super) rides: u32,
    pub(super) discomfort: (u32, u32),
}

/// A car riding in a job's train.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aboard {
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

    /// Tonight's legs on the way to a stand; the last ends the stage if it is on it.
    pub(super) fn legs(&self, network: &Network<'_>, stand: usize, stage: usize) -> Vec<Leg> {
        let calls = network.calls();
        let mut legs = Vec::new();
        let mut at = stand;
        while let Some(before) = self.0[at].before {
            let here = &self.0[at];
            let step = here.since.expect("a stand with one before it was reached by a call");
            if step < calls.len() {
                let (from, to) = (CallIx::new(here.pulled), CallIx::new(step));
                legs.push(Leg {
                    job: calls[to].job,
                    from,
                    from_track: self.0[before].track,
                    to,
                    track: here.track,
                    spot: here.spot,
                    ends_stage: (at == stand).then_some(stage),
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

    /// The place of a stand.
    pub(super) fn place(&self, network: &Network<'_>, stand: usize) -> PlaceIx {
        network.layout().tracks()[self.0[stand].track].place
    }

    /// Whether the car was set down at a place in this delivery, or passed it in this train. A place
    /// that another train only passed does not count.
    pub(super) fn was_at(
        &self,
        network: &Network<'_>,
        aboard: &Aboard,
        call: CallIx,
        place: PlaceIx,
    ) -> bool {
        let calls = network.calls();
        let passed = std::iter::successors(Some(call), |call| calls[*call].previous);
        let pulled = aboard.pulled % calls.len();
        let mut stood = std::iter::successors(Some(aboard.from), |stand| self.0[*stand].before);
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
