//! The least number of handlings that are still to come: never more than there will be.
//!
//! Every track with cars that must go needs a couple, every track that must take cars a leave for
//! good. A car that goes along but stands behind one that comes back must be put aside meanwhile, and
//! a cut on the wrong side of the engine must be left to go round it: one more leave, which is none of
//! those for good unless some track is worked from both ends, and one more couple, unless another
//! couple can fetch it along.
//!
//! Beside the bound there is a guess: every run of cars for one track, on the cut or among those that must come
//! out of a track, is left by itself.

use crate::switching::search::{Cost, Guess, PARTS};

use super::place::{ALONG, Place};
use super::stand::{BASE, Stand, TRACKS, UNITS, side};

/// What one track still needs.
#[derive(Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
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
    sum: Needs,
    /// How many tracks put cars aside, and how many that open at both ends take some.
    asides: usize,
    through: usize,
}

impl AllNeeds {
    /// What the tracks need in a state.
    pub(super) fn new(place: &Place, stand: &Stand) -> Self {
        let mut all =
            AllNeeds { each: [Needs::default(); TRACKS], sum: Needs::default(), asides: 0, through: 0 };
        for at in 0..place.lanes.len() {
            all.each[at] = on_track(place, stand, at);
            let needs = all.each[at];
            all.sum.couples += needs.couples;
            all.sum.leaves += needs.leaves;
            all.sum.runs += needs.runs;
            all.asides += usize::from(needs.aside);
            all.through += usize::from(goes_through(place, at, needs));
        }
        all
    }

    /// What is to come in this state.
    pub(super) fn guess(&self, place: &Place, stand: &Stand) -> Guess {
        guess(place, stand, self.sum, self.through > 0, self.asides > 0)
    }

    /// What is to come in a state that differs from this one on one track.
    pub(super) fn guess_beside(&self, place: &Place, stand: &Stand, changed: usize) -> Guess {
        let (old, new) = (self.each[changed], on_track(place, stand, changed));
        let sum = Needs {
            couples: self.sum.couples + new.couples - old.couples,
            leaves: self.sum.leaves + new.leaves - old.leaves,
            runs: self.sum.runs + new.runs - old.runs,
            aside: false,
        };
        let others = |all: usize, old: bool, new: bool| all - usize::from(old) + usize::from(new) > 0;
        let through = |needs| goes_through(place, changed, needs);
        let (through, aside) =
            (others(self.through, through(old), through(new)), others(self.asides, old.aside, new.aside));
        guess(place, stand, sum, through, aside)
    }
}

fn goes_through(place: &Place, at: usize, needs: Needs) -> bool {
    needs.leaves > 0 && place.lanes[at].opens == [true; 2]
}

fn on_track(place: &Place, stand: &Stand, at: usize) -> Needs {
    let (lane, row) = (&place.lanes[at], stand.rows[at].units());
    let mut kinds = [0; UNITS];
    let kinds = &mut kinds[..row.len()];
    for (kind, unit) in kinds.iter_mut().zip(row) {
        *kind = place.kind(*unit);
    }
    let needs = lane.goals.iter().map(|goal| of(place, at, (row, kinds), goal));
    needs.min_by_key(|needs| (needs.sum(), needs.aside, needs.runs)).unwrap_or_default()
}

/// What is to come where all tracks need so much.
fn guess(place: &Place, stand: &Stand, mut sum: Needs, through: bool, aside: bool) -> Guess {
    let cut = stand.cut.units();
    let each = sum.couples + sum.runs + runs(place, cut);
    // What hangs on the engine must be carried to wherever it works next.
    let likely = PARTS * each + Cost::try_from(cut.len()).unwrap_or(Cost::MAX);
    if !through && (aside || turns(place, stand)) {
        sum.leaves += 1;
        sum.couples += Cost::from(sum.couples == 0);
    }
    Guess { least: sum.sum(), likely }
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

fn of(place: &Place, at: usize, (row, kinds): (&[u8], &[u8]), goal: &[u8]) -> Needs {
    if kinds == goal {
        return Needs::default();
    }
    let lane = &place.lanes[at];
    // Counted from the end that is not worked: what is right there stays.
    let from_west = || kinds.iter().zip(goal).take_while(|(is, shall)| is == shall).count();
    let from_east =
        || kinds.iter().rev().zip(goal.iter().rev()).take_while(|(is, shall)| is == shall).count();
    let (right, out) = match lane.opens {
        [true, false] => {
            let right = from_east();
            (right, 0..row.len() - right)
        }
        [false, true] => (from_west(), from_west()..row.len()),
        _ => {
            let (west, east) = (from_west(), from_east());
            (west.max(east), if west >= east { west..row.len() } else { 0..row.len() - east })
        }
    };
    let runs = runs(place, &row[out.clone()]);
    if lane.opens == [true; 2] {
        return Needs { runs, ..at_both(place, at, row, goal) };
    }
    let mut inward = out.clone();
    let mut back = out.rev();
    // From the deepest to the switch.
    let deepest_first = std::iter::from_fn(|| if lane.opens[0] { back.next() } else { inward.next() });
    // A car that goes along, and nearer to the switch one that comes back.
    let mut beyond = deepest_first.skip_while(|place| kinds[*place] != ALONG);
    let aside = beyond.any(|place| goal.contains(&kinds[place]));
    Needs { couples: Cost::from(right < row.len()), leaves: Cost::from(goal.len() > right), aside, runs }
}

/// Where either end can be worked only what stands there is compared.
fn at_both(place: &Place, at: usize, row: &[u8], goal: &[u8]) -> Needs {
    let stays = |unit: &&u8| **unit == BASE || place.home(**unit).is_some_and(|home| usize::from(home) == at);
    let right = row.iter().filter(stays).count();
    let (goes, comes) = (right < row.len(), right < goal.len());
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
