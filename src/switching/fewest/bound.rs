//! The least number of handlings that are still to come: never more than there will be.
//!
//! Every track with cars that must go needs a couple, every track that must take cars a leave for
//! good. A car that goes along but stands behind one that comes back must be put aside meanwhile, and
//! a cut on the wrong side of the engine must be left to go round it: one more leave, which is none of
//! those for good unless some track is worked from both ends, and one more couple, unless another
//! couple can fetch it along. A train that is complete, but in an order that the law does not allow, takes as many.
//!
//! Beside the bound there is a guess: every run of cars for one track, on the cut or among those that must come
//! out of a track, is left by itself; most of the way is made for one that can be left for good at once.

use std::cell::RefCell;

use crate::layout::End;
use crate::switching::search::{Cost, Guess, PARTS};

use super::goal::Goal;
use super::place::{ALONG, HANDLING, Place};
use super::stand::{BASE, Row, Stand, TRACKS, UNITS, side};

/// How much less of a handling, in parts, is likely to come of a run that can be left for good at once: others have to
/// wait for something, or to be put aside. Found best by trial on drawn sessions.
const READY: Cost = 3 * PARTS / 4;

/// What one track still needs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Needs {
    couples: Cost,
    leaves: Cost,
    /// Whether a car must be put aside for another.
    aside: bool,
    /// The runs of cars for one track among those that must come out.
    runs: Cost,
}

impl Needs {
    const fn sum(self) -> Cost {
        self.couples + self.leaves
    }
}

/// What all tracks of a place still need.
pub(super) struct AllNeeds {
    each: [Needs; TRACKS],
    sum: Sum,
}

/// What some tracks need together.
#[derive(Clone, Copy, Default)]
struct Sum {
    couples: Cost,
    leaves: Cost,
    runs: Cost,
    /// How many tracks put cars aside, and how many that open at both ends take some.
    asides: Cost,
    through: Cost,
    /// The tracks out of which nothing must come, a bit each.
    clear: u16,
}

impl AllNeeds {
    /// What the tracks need in a state.
    pub(super) fn new(place: &Place, stand: &Stand) -> Self {
        let mut all = AllNeeds { each: [Needs::default(); TRACKS], sum: Sum::default() };
        for at in 0..place.lanes.len() {
            all.each[at] = on_track(place, stand, at);
            all.sum.put(place, at, all.each[at]);
        }
        all
    }

    /// What is to come in this state.
    pub(super) fn guess(&self, place: &Place, stand: &Stand) -> Guess {
        guess(place, stand, self.sum)
    }

    /// What is to come in a state that differs from this one on one track.
    pub(super) fn guess_beside(&self, place: &Place, stand: &Stand, changed: usize) -> Guess {
        let mut sum = self.sum;
        sum.take(place, changed, self.each[changed]);
        sum.put(place, changed, on_track(place, stand, changed));
        guess(place, stand, sum)
    }

    /// Whether nothing must come out of a track.
    pub(super) const fn is_clear(&self, at: usize) -> bool {
        self.sum.clear & (1 << at) != 0
    }
}

impl Sum {
    fn put(&mut self, place: &Place, at: usize, needs: Needs) {
        self.couples += needs.couples;
        self.leaves += needs.leaves;
        self.runs += needs.runs;
        self.asides += Cost::from(needs.aside);
        self.through += Cost::from(goes_through(place, at, needs));
        self.clear |= u16::from(needs.couples == 0) << at;
    }

    fn take(&mut self, place: &Place, at: usize, needs: Needs) {
        self.couples -= needs.couples;
        self.leaves -= needs.leaves;
        self.runs -= needs.runs;
        self.asides -= Cost::from(needs.aside);
        self.through -= Cost::from(goes_through(place, at, needs));
        self.clear &= !(1 << at);
    }
}

fn goes_through(place: &Place, at: usize, needs: Needs) -> bool {
    needs.leaves > 0 && place.lanes[at].opens == [true; 2]
}

/// What tracks need with rows that were met: most moves of a search leave a track as others left it.
#[derive(Debug)]
pub(super) struct Known(RefCell<Vec<Option<(Row, Needs)>>>);

/// How many rows of each track are kept.
const KNOWN: usize = 64;

impl Known {
    pub(super) fn new(lanes: usize) -> Self {
        Known(RefCell::new(vec![None; lanes * KNOWN]))
    }
}

fn on_track(place: &Place, stand: &Stand, at: usize) -> Needs {
    let row = &stand.rows[at];
    let mut known = place.known.0.borrow_mut();
    // The high bits are spread best.
    let slot = &mut known[at * KNOWN + (row.hash() >> 48) as usize % KNOWN];
    match slot {
        Some((before, needs)) if before == row => *needs,
        _ => {
            let needs = needs_of(place, at, row.units());
            *slot = Some((*row, needs));
            needs
        }
    }
}

fn needs_of(place: &Place, at: usize, row: &[u8]) -> Needs {
    let mut kinds = [0; UNITS];
    let kinds = &mut kinds[..row.len()];
    for (kind, unit) in kinds.iter_mut().zip(row) {
        *kind = place.kind(*unit);
    }
    let needs = place.lanes[at].goals.iter().map(|goal| of(place, at, (row, kinds), goal));
    needs.min_by_key(|needs| (needs.sum(), needs.aside, needs.runs)).unwrap_or_default()
}

/// What is to come where all tracks need so much.
fn guess(place: &Place, stand: &Stand, mut sum: Sum) -> Guess {
    let cut = stand.cut.units();
    let each = sum.couples + sum.runs + runs(place, cut);
    let ready = cut.last().is_some_and(|unit| is_ready(place, stand, sum.clear, *unit));
    // What hangs on the engine must be carried to wherever it works next.
    let carried = Cost::try_from(cut.len()).unwrap_or(Cost::MAX);
    let likely = PARTS * each + carried - if ready { READY } else { 0 };
    if sum.through == 0 && (sum.asides > 0 || turns(place, stand)) {
        sum.leaves += 1;
        sum.couples += Cost::from(sum.couples == 0);
    } else if sum.couples + sum.leaves == 0 && !place.is_lawful(stand) {
        // To put the train in order takes two handlings at least.
        (sum.couples, sum.leaves) = (1, 1);
    }
    Guess { least: HANDLING * (sum.couples + sum.leaves), likely: HANDLING * likely }
}

/// Whether a car on the cut can be left for good: on a track out of which nothing must come.
fn is_ready(place: &Place, stand: &Stand, clear: u16, unit: u8) -> bool {
    let opens = |home: u8| stand.end.is_some_and(|end| place.lanes[usize::from(home)].opens[side(end)]);
    place.home(unit).is_some_and(|home| clear & (1 << home) != 0 && opens(home))
}

/// How often cars for another track follow each other, and end on one: those that go along need not be left.
fn runs(place: &Place, units: &[u8]) -> Cost {
    let (mut runs, mut last) = (0, None);
    for unit in units {
        let home = place.home(*unit);
        runs += Cost::from(home.is_some() && home != last);
        last = home;
    }
    runs
}

fn of(place: &Place, at: usize, (row, kinds): (&[u8], &[u8]), goal: &Goal) -> Needs {
    let lane = &place.lanes[at];
    // Counted from the end that is not worked: what is right there stays.
    let from_west = || goal.right(kinds.iter().copied(), End::West);
    let from_east = || goal.right(kinds.iter().rev().copied(), End::East);
    let all = goal.units;
    let (right, out) = match lane.opens {
        [true, false] => {
            let right = from_east();
            (right, 0..row.len() - right)
        }
        [false, true] => {
            let right = from_west();
            (right, right..row.len())
        }
        _ => {
            let (west, east) = (from_west(), from_east());
            (west.max(east), if west >= east { west..row.len() } else { 0..row.len() - east })
        }
    };
    if right == row.len() && right == all {
        return Needs::default();
    }
    let runs = runs(place, &row[out.clone()]);
    if lane.opens == [true; 2] {
        return Needs { runs, ..at_both(place, at, row, all) };
    }
    let mut inward = out.clone();
    let mut back = out.rev();
    // From the deepest to the switch.
    let deepest_first = std::iter::from_fn(|| if lane.opens[0] { back.next() } else { inward.next() });
    // A car that goes along, and nearer to the switch one that comes back.
    let mut beyond = deepest_first.skip_while(|place| kinds[*place] != ALONG);
    let aside = beyond.any(|place| goal.has(kinds[place]));
    Needs { couples: Cost::from(right < row.len()), leaves: Cost::from(all > right), aside, runs }
}

/// Where either end can be worked only what stands there is compared.
fn at_both(place: &Place, at: usize, row: &[u8], all: usize) -> Needs {
    let stays = |unit: &&u8| **unit == BASE || place.home(**unit).is_some_and(|home| usize::from(home) == at);
    let right = row.iter().filter(stays).count();
    let (goes, comes) = (right < row.len(), right < all);
    // The same cars in another order: some are taken and put back.
    let order = !goes && !comes;
    Needs { couples: Cost::from(goes || order), leaves: Cost::from(comes || order), ..Needs::default() }
}

/// Whether cars on the cut can only be left for good, or go along, on the other side of the engine.
fn turns(place: &Place, stand: &Stand) -> bool {
    let Some(end) = stand.end else { return false };
    stand.cut.units().iter().any(|unit| match place.home(*unit) {
        None => place.end.is_some_and(|wanted| wanted != end),
        Some(home) => !place.lanes[usize::from(home)].opens[side(end)],
    })
}
