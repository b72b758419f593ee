//! Blocks: the cars of a train that its crew leaves on one track at one of its calls.

use std::collections::BTreeMap;

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::network::Network;
use crate::trips::Task;

/// Where a car of a train is left: at which of the calls ahead, then on which track.
pub(in crate::switching) type Block = (CallIx, TrackIx);

/// The blocks of the train that leaves a call.
#[derive(Clone, Debug, Default)]
pub(in crate::switching) struct Blocks(BTreeMap<CarIx, Block>);

impl Blocks {
    /// What a call's crew has to leave further on.
    pub(in crate::switching) fn ahead(
        network: &Network<'_>,
        tasks: &IxVec<CallIx, Task>,
        call: CallIx,
    ) -> Self {
        let mut blocks = BTreeMap::new();
        let ahead = std::iter::successors(network.calls()[call].next, |call| network.calls()[*call].next);
        for later in ahead {
            for set in &tasks[later].sets {
                blocks.entry(set.car).or_insert((later, set.track));
            }
        }
        Blocks(blocks)
    }

    /// The block of a car; nothing for one that this train does not carry on.
    pub(in crate::switching) fn of(&self, car: CarIx) -> Option<Block> {
        self.0.get(&car).copied()
    }

    /// How much work an order of the train makes for its crew: the cuts it falls into, and two handlings
    /// more wherever cars for an earlier call must be got out from behind those for a later one. A
    /// train may be made up from either end: its crew can run round it.
    pub(in crate::switching) fn work(&self, train: &[CarIx]) -> usize {
        let blocks: Vec<Block> = train.iter().filter_map(|car| self.of(*car)).collect();
        let cuts = blocks.chunk_by(|one, other| one == other).count();
        let pairs = || blocks.windows(2).map(|pair| (pair[0].0, pair[1].0));
        let outward = pairs().filter(|(inner, outer)| inner < outer).count();
        let inward = pairs().filter(|(inner, outer)| inner > outer).count();
        cuts + 2 * outward.min(inward)
    }
}
