//! The least number of handlings that are still to come: never more than there will be.
//!
//! Every track with cars that must go needs a couple, every track that must take cars a leave for
//! good. A car that goes along but stands behind one that comes back must be put aside meanwhile, and
//! a cut on the wrong side of the engine must be left to go round it: one more leave, which is none of
//! those for good unless some track is worked from both ends, and one more couple, unless another
//! couple can fetch it along.

use crate::layout::End;
use crate::switching::search::Cost;

use super::place::{ALONG, BASE, Lane, Place, Stand, TRACKS, UNITS, side};

/// What one track still needs.
#[derive(Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Needs {
    couples: Cost,
    leaves: Cost,
    /// Whether a car must be put aside for another.
    aside: bool,
}

impl Needs {
    const fn sum(self) -> Cost {
        self.couples + self.leaves
    }
}

/// What every track of a place still needs.
pub(super) type AllNeeds = [Needs; TRACKS];

/// What every track needs in a state.
pub(super) fn needs(place: &Place, stand: &Stand) -> AllNeeds {
    let mut needs = AllNeeds::default();
    for (at, needs) in needs.iter_mut().enumerate().take(place.lanes.len()) {
        *needs = on_track(place, stand, at);
    }
    needs
}

/// The least number of handlings from a state that differs on one track from one of which the needs are known.
pub(super) fn least_beside(place: &Place, stand: &Stand, before: &AllNeeds, changed: usize) -> Cost {
    let mut needs = *before;
    needs[changed] = on_track(place, stand, changed);
    least(place, stand, &needs)
}

fn on_track(place: &Place, stand: &Stand, at: usize) -> Needs {
    let (lane, row) = (&place.lanes[at], stand.rows[at].units());
    let mut kinds = [0; UNITS];
    let kinds = &mut kinds[..row.len()];
    for (kind, unit) in kinds.iter_mut().zip(row) {
        *kind = place.kind(*unit);
    }
    let needs = lane.goals.iter().map(|goal| of(lane, kinds, goal));
    needs.min_by_key(|needs| (needs.sum(), needs.aside)).unwrap_or_default()
}

/// The least number of handlings from a state in which the tracks have such needs.
pub(super) fn least(place: &Place, stand: &Stand, needs: &AllNeeds) -> Cost {
    let mut all = Needs::default();
    let mut through = false;
    for (lane, needs) in place.lanes.iter().zip(needs) {
        all.couples += needs.couples;
        all.leaves += needs.leaves;
        all.aside |= needs.aside;
        through |= needs.leaves > 0 && lane.opens == [true; 2];
    }
    if !through && (all.aside || turns(place, stand)) {
        all.leaves += 1;
        all.couples += Cost::from(all.couples == 0);
    }
    all.sum()
}

fn of(lane: &Lane, row: &[u8], goal: &[u8]) -> Needs {
    if row == goal {
        return Needs::default();
    }
    let single = match lane.opens {
        [true, false] => End::West,
        [false, true] => End::East,
        _ => return at_both(row, goal),
    };
    // Counted from the closed end: what is right there stays.
    let inward =
        |row: &[u8], place: usize| row[if single == End::West { row.len() - 1 - place } else { place }];
    let most = row.len().min(goal.len());
    let right = (0..most).take_while(|place| inward(row, *place) == inward(goal, *place)).count();
    let moves = row.len() - right;
    // A car that goes along, and nearer to the switch one that comes back.
    let first = (right..row.len()).find(|place| inward(row, *place) == ALONG);
    let comes_back = |place: usize| goal.contains(&inward(row, place));
    let aside = first.is_some_and(|first| (first + 1..row.len()).any(comes_back));
    Needs { couples: Cost::from(moves > 0), leaves: Cost::from(goal.len() > right), aside }
}

/// Where either end can be worked only what stands there is compared.
fn at_both(row: &[u8], goal: &[u8]) -> Needs {
    let count = |row: &[u8], kind: u8| row.iter().map(|other| usize::from(*other == kind)).sum::<usize>();
    let more = |one: &[u8], other: &[u8]| {
        one.iter().any(|kind| *kind != BASE && count(one, *kind) > count(other, *kind))
    };
    let (goes, comes) = (more(row, goal), more(goal, row));
    // The same cars in another order: some are taken and put back.
    let order = !goes && !comes;
    Needs { couples: Cost::from(goes || order), leaves: Cost::from(comes || order), aside: false }
}

/// Whether cars on the cut can only be left for good, or go along, on the other side of the engine.
fn turns(place: &Place, stand: &Stand) -> bool {
    let Some(end) = stand.end else { return false };
    stand.cut.units().iter().any(|unit| {
        let kind = place.kind(*unit);
        if kind == ALONG {
            return place.end.is_some_and(|wanted| wanted != end);
        }
        let takes = place.lanes.iter().find(|lane| lane.goals.iter().any(|goal| goal.contains(&kind)));
        takes.is_some_and(|lane| !lane.opens[side(end)])
    })
}
