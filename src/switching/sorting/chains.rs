//! Chains: how often a string must be read from its first car to meet its blocks in order.

/// A string's chains.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chains {
    /// How many there are: one more than there are breaks.
    pub count: usize,
    /// The chain of each car of the string.
    pub of: Vec<usize>,
}

/// The fewest chains into which a string falls: in a chain the cars stand in the string as they
/// shall stand in the train.
///
/// Cars of one block may stand in any order. So a reading takes those of the block that it still
/// meets, and leaves the others for the next reading, which goes on from the last of them: to take
/// a car earlier never makes the rest of the string shorter.
///
/// A worked example: blocks `1 0 2 1`. The first reading takes 0 and, of block 1, the last car; the second the
/// other car of block 1 and then 2: two chains. With all of block 1 in one reading it were three.
///
/// # Complexity
/// O(n log n) for n cars.
pub fn chains(blocks: &[usize]) -> Chains {
    let mut order: Vec<usize> = (0..blocks.len()).collect();
    order.sort_by_key(|car| (blocks[*car], *car));
    let mut chains = Chains { count: usize::from(!blocks.is_empty()), of: vec![0; blocks.len()] };
    // The place in the string that this reading has reached.
    let mut reached = 0;
    for block in order.chunk_by(|one, other| blocks[*one] == blocks[*other]) {
        let (missed, met) = block.split_at(block.partition_point(|car| *car < reached));
        for car in met {
            chains.of[*car] = chains.count - 1;
        }
        chains.count += usize::from(!missed.is_empty());
        for car in missed {
            chains.of[*car] = chains.count - 1;
        }
        reached = missed.last().or(met.last()).map_or(reached, |last| last + 1);
    }
    chains
}
