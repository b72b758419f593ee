//! Blocks: cars that go on together, so that their crew leaves them in one cut.

use std::collections::BTreeMap;

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::network::Network;
use crate::trips::Task;

/// Where a car goes on from a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::switching) struct Block {
    /// The call that takes it on: this one, or a later one that fetches it.
    pub(in crate::switching) taken: CallIx,
    /// The call of the same job that leaves it.
    pub(in crate::switching) left: CallIx,
    /// On which track.
    pub(in crate::switching) track: TrackIx,
}

/// The blocks of the train that leaves a call, and of the cars that it leaves for others.
#[derive(Clone, Debug, Default)]
pub(in crate::switching) struct Blocks(BTreeMap<CarIx, Block>);

impl Blocks {
    /// What a call's crew has to leave further on, and what becomes of the cars that it leaves here.
    pub(in crate::switching) fn ahead(
        network: &Network<'_>,
        tasks: &IxVec<CallIx, Task>,
        call: CallIx,
    ) -> Self {
        let mut blocks = BTreeMap::new();
        let ahead =
            |call| std::iter::successors(network.calls()[call].next, |call| network.calls()[*call].next);
        let mut fetched = Vec::new();
        for left in ahead(call) {
            fetched.extend(&tasks[left].pulls);
            for set in tasks[left].sets.iter().filter(|set| !fetched.contains(&set.car)) {
                blocks.entry(set.car).or_insert(Block { taken: call, left, track: set.track });
            }
        }
        // Cars at spots stand in the order of those.
        for set in tasks[call].sets.iter().filter(|set| set.spot.is_none()) {
            let mut later = network.calls().indices().filter(|later| *later > call);
            let block = later.find(|later| tasks[*later].pulls.contains(&set.car)).and_then(|taken| {
                let left = |left: CallIx| Some((left, tasks[left].sets.iter().find(|on| on.car == set.car)?));
                let (left, on) = std::iter::once(taken).chain(ahead(taken)).find_map(left)?;
                Some(Block { taken, left, track: on.track })
            });
            if let Some(block) = block {
                blocks.insert(set.car, block);
            }
        }
        Blocks(blocks)
    }

    /// The block of a car; nothing for one that does not go on.
    pub(in crate::switching) fn of(&self, car: CarIx) -> Option<Block> {
        self.0.get(&car).copied()
    }

    /// The [work](more_work) that an order of cars makes for those who take them on.
    pub(in crate::switching) fn work(&self, cars: impl Iterator<Item = CarIx> + Clone) -> usize {
        more_work(cars.filter_map(|car| self.of(car)))
    }
}

/// How much more work an order of blocks makes than the best one: the cuts into which they fall beyond one for each, and
/// two handlings more wherever cars for an earlier call must be got out from behind those for a later one. A train
/// may be made up from either end: its crew can run round it.
pub(in crate::switching) fn more_work(blocks: impl Iterator<Item = Block> + Clone) -> usize {
    let all = blocks.clone();
    let (mut cuts, mut outward, mut inward) = (0, 0, 0);
    let mut last: Option<Block> = None;
    for (place, block) in blocks.enumerate() {
        if last == Some(block) {
            continue;
        }
        cuts += usize::from(all.clone().take(place).any(|before| before == block));
        if let Some(last) = last {
            let calls = |block: Block| (block.taken, block.left);
            outward += usize::from(calls(last) < calls(block));
            inward += usize::from(calls(last) > calls(block));
        }
        last = Some(block);
    }
    cuts + 2 * usize::min(outward, inward)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;

    #[test]
    fn blocks_that_are_torn_or_lie_both_ways_make_more_work() {
        // By its letter the call that leaves it, by its number the track.
        let block = |name: &str| Block {
            taken: CallIx::new(0),
            left: CallIx::new(usize::from(name.as_bytes()[0])),
            track: TrackIx::new(usize::from(name.as_bytes()[1])),
        };
        let work = |order: &str| more_work(order.split(' ').map(block));
        assert_eq!(["a1", "a1 a1 a2", "a1 b1 c1", "c1 c1 b1 a2 a1"].map(work), [0; 4]);
        // Torn once, and twice.
        assert_eq!([work("a1 a2 a1"), work("a1 a2 a1 a2")], [1, 2]);
        // From neither end are the calls in order: b is got out from behind a or c.
        assert_eq!([work("a1 c1 b1"), work("b1 a1 b1"), work("a1 b1 a2")], [2, 3, 2]);
    }
}
