//! Cars that stand where other cars are to be loaded or unloaded, and where they can be put instead.

use crate::ids::{CarIx, IxVec};
use crate::layout::{Layout, SpotTarget, TrackUse};
use crate::traffic::{Demand, Purpose};

/// Which cars stand at a spot that another car waits for.
#[derive(Clone, Debug)]
pub(super) struct Wanted(IxVec<CarIx, bool>);

impl Wanted {
    pub(super) fn new(layout: &Layout, demand: &Demand) -> Self {
        let mut spots = IxVec::filled(false, layout.spots().len());
        let mut whole_tracks = IxVec::filled(false, layout.tracks().len());
        // A track on which some spot is wanted: there a car at no spot stands in the way.
        let mut tracks = IxVec::filled(false, layout.tracks().len());
        for wish in &demand.wishes {
            let Some(stage) = wish.stages.last() else { continue };
            if !matches!(stage.purpose, Purpose::Load | Purpose::Unload) {
                continue;
            }
            for goal in &stage.goals {
                match *goal {
                    SpotTarget::Spot(spot) => {
                        spots[spot] = true;
                        tracks[layout.spots()[spot].track] = true;
                    }
                    SpotTarget::Track(track) => whole_tracks[track] = true,
                }
            }
        }
        let in_the_way = demand.standing.cars().map(|(_, state)| match (state.track(), state.spot()) {
            (_, Some(spot)) => spots[spot],
            (Some(track), None) => {
                whole_tracks[track] || tracks[track] && layout.tracks()[track].usage == TrackUse::Spur
            }
            (None, None) => false,
        });
        Wanted(in_the_way.collect())
    }

    /// Whether a car stands at a spot that another car waits for.
    pub(super) fn stands_in_the_way(&self, car: CarIx) -> bool {
        self.0[car]
    }
}

/// Where a car may be put aside, the likeliest first: beside the spots, in a yard, in store; never
/// before spots that are reached from there alone.
pub(super) fn tracks(layout: &Layout) -> Vec<SpotTarget> {
    let rank = |usage: TrackUse, off_spot: bool| match usage {
        _ if off_spot => Some(0),
        TrackUse::Yard => Some(1),
        TrackUse::Storage => Some(2),
        TrackUse::Interchange => Some(3),
        _ => None,
    };
    let tracks = layout.tracks().iter().filter(|(_, track)| !track.bars_its_spots());
    let mut ranked: Vec<_> =
        tracks.filter_map(|(ix, track)| Some((rank(track.usage, track.off_spot)?, ix))).collect();
    ranked.sort_unstable();
    ranked.into_iter().map(|(_, track)| SpotTarget::Track(track)).collect()
}
