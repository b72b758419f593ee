//! The rows that a track may have in the end.
//!
//! Cars that hold keep their order; what comes may stand anywhere among those at its spot, or anywhere on the
//! track if it has none.

use crate::ids::SpotIx;
use crate::layout::End;

/// What a track shall look like.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Goal {
    /// From west to east.
    groups: Vec<Group>,
    /// The kind of cars that may stand anywhere on the track.
    loose: Option<u8>,
    /// How many units shall stand there in all.
    pub(super) units: usize,
}

/// Cars at one spot, or beside the spots.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Group {
    spot: Option<SpotIx>,
    /// The kinds that stand there now, from west to east.
    keep: Vec<u8>,
    /// The kinds that come, at most as many as bits are looked at.
    come: Vec<u8>,
}

impl Goal {
    /// A track on which so many cars may stand anywhere.
    pub(super) fn new(loose: Option<u8>, comes: usize) -> Self {
        Goal { groups: Vec::new(), loose, units: comes }
    }

    /// Adds the next unit to the east, and whether it comes.
    pub(super) fn put(&mut self, kind: u8, spot: Option<SpotIx>, comes: bool) {
        if Some(kind) == self.loose {
            return;
        }
        if self.groups.last().is_none_or(|last| last.spot != spot) {
            self.groups.push(Group { spot, ..Group::default() });
        }
        if let Some(group) = self.groups.last_mut() {
            let kinds = if comes { &mut group.come } else { &mut group.keep };
            kinds.push(kind);
            if comes {
                kinds.sort_unstable();
            }
        }
        self.units += 1;
    }

    /// Whether a kind shall stand there.
    pub(super) fn has(&self, kind: u8) -> bool {
        Some(kind) == self.loose
            || self.groups.iter().any(|group| group.keep.contains(&kind) || group.come.contains(&kind))
    }

    /// How many units of a row, given from this end on, may stay where they are while the others are changed.
    pub(super) fn right(&self, row: impl Iterator<Item = u8>, from: End) -> usize {
        let mut groups = self.groups.len();
        let mut next = || {
            groups = groups.checked_sub(1)?;
            self.groups.get(if from == End::East { groups } else { self.groups.len() - 1 - groups })
        };
        let mut group = next();
        // How many of a group stand there, and which of those that come.
        let (mut kept, mut came) = (0, 0_u64);
        row.take_while(|kind| {
            if Some(*kind) == self.loose {
                return true;
            }
            while let Some(now) = group {
                let keep = if from == End::East { now.keep.len().checked_sub(kept + 1) } else { Some(kept) };
                if keep.and_then(|keep| now.keep.get(keep)) == Some(kind) {
                    kept += 1;
                    return true;
                }
                let comes = |place: &usize| came & (1 << place) == 0 && now.come[*place] == *kind;
                if let Some(place) = (0..now.come.len()).find(comes) {
                    came |= 1 << place;
                    return true;
                }
                if kept < now.keep.len() || came.count_ones() as usize != now.come.len() {
                    return false;
                }
                (group, kept, came) = (next(), 0, 0);
            }
            false
        })
        .count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;

    /// A freight house: 1 and 2 stand at its west spot, 3 at its east spot; an 8 comes to the west spot, a 9 to the
    /// east one. Cars of kind 7 may stand anywhere.
    fn house() -> Goal {
        let spot = |number| Some(SpotIx::new(number));
        let mut goal = Goal::new(Some(7), 1);
        for (kind, at, comes) in [(8, 0, true), (1, 0, false), (2, 0, false), (3, 1, false), (9, 1, true)] {
            goal.put(kind, spot(at), comes);
        }
        goal
    }

    #[test]
    fn what_comes_may_stand_anywhere_at_its_spot_and_what_holds_keeps_its_order() {
        let goal = house();
        let right = |row: &[u8]| goal.right(row.iter().copied(), End::West);
        for row in [[8, 1, 2, 3, 9, 7], [1, 8, 2, 7, 9, 3], [7, 1, 2, 8, 3, 9]] {
            assert_eq!(right(&row), 6, "{row:?}");
            let from_east = goal.right(row.iter().rev().copied(), End::East);
            assert_eq!(from_east, 6, "{row:?}");
        }
        // 2 holds behind 1; the 9 belongs to the other spot; one 8 comes, not two.
        assert_eq!([right(&[2, 1]), right(&[1, 9, 2]), right(&[8, 1, 8, 2])], [0, 1, 2]);
    }

    #[test]
    fn what_stands_right_is_counted_from_the_end_that_is_not_worked() {
        let goal = house();
        // A 5 has to go: from the west everything up to it may stay, from the east what stands beyond it.
        let row = [1, 2, 5, 3];
        assert_eq!(goal.right(row.iter().copied(), End::West), 2);
        assert_eq!(goal.right(row.iter().rev().copied(), End::East), 1);
        assert_eq!((goal.units, goal.has(9), goal.has(7), goal.has(5)), (6, true, true, false));
    }
}
