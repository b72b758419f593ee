//! Whether a car may be left on a track at a call: as the tracks lie, and by what switching refused.

use super::{Ban, Bans};
use crate::ids::{CallIx, CarIx, TrackIx};
use crate::network::Network;
use crate::units::Tons;

/// A car that is to be left on a track.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leaving {
    pub(super) car: CarIx,
    pub(super) weight: Tons,
    pub(super) call: CallIx,
    /// The track from which it is pulled at the same call; nothing if it comes in the train.
    pub(super) pulled_from: Option<TrackIx>,
    pub(super) track: TrackIx,
}

impl Leaving {
    /// Whether nothing is in the way.
    pub(super) fn may_be(&self, network: &Network<'_>, bans: &Bans) -> bool {
        self.suits(network) && self.ban(network, Some(bans)).is_none()
    }

    /// Whether the job switches the track, and the track takes the car.
    pub(super) fn suits(&self, network: &Network<'_>) -> bool {
        network.may_switch(self.call, self.track) && network.takes(self.track, self.car, self.weight)
    }

    /// Why the crew cannot leave it there all the same: switching refused it, or no crew could do it as the tracks lie.
    pub(super) fn ban(&self, network: &Network<'_>, bans: Option<&Bans>) -> Option<Ban> {
        let refused = bans.and_then(|bans| bans.on_track(self.car, self.call, self.track));
        let can = |from| network.can_bring(self.call, (from, self.track), self.car, self.weight);
        refused.cloned().or_else(|| (!self.pulled_from.is_none_or(can)).then_some(Ban::NoWayRound))
    }
}
