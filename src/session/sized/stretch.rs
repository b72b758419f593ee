//! Making a session larger.

use std::collections::BTreeSet;

use crate::crews::board::{Board, critical};
use crate::ids::{CarIx, JobIx, LaneIx};
use crate::layout::{LaneEnd, Layout, SpotTarget};
use crate::traffic::Lean;

use super::super::asked::Shape;
use super::Given;

/// The share of their time, in hundredths, that people are taken to be busy enough with (common
/// practice, no source).
const BUSY: u32 = 80;

/// The shape in which nothing is held back from jobs that are done by people with time left and do not hold the
/// session up; nothing if nothing is.
pub(super) fn given_back(layout: &Layout, shape: &Shape, given: &Given) -> Option<Shape> {
    let idle = idle(given);
    let mut next = shape.clone();
    next.leans.retain(|lane, lean| *lean != Lean::Late || !served(layout, &idle, *lane));
    next.held.retain(|(_, job)| !idle.contains(job));
    (next.leans.len() + next.held.len() < shape.leans.len() + shape.held.len()).then_some(next)
}

/// The shape in which the lanes of those jobs lean early that are done by people with time left and do not hold
/// the session up; nothing if there is no such lane.
pub(super) fn drawn_forward(layout: &Layout, shape: &Shape, given: &Given) -> Option<Shape> {
    let idle = idle(given);
    let mut next = shape.clone();
    for lane in layout.lanes().indices().filter(|lane| served(layout, &idle, *lane)) {
        next.leans.entry(lane).or_insert(Lean::Early);
    }
    (next.leans.len() > shape.leans.len()).then_some(next)
}

/// The jobs that do not hold the session up and are done by people with time left.
fn idle(given: &Given) -> Vec<JobIx> {
    let board = &given.board.board;
    let loads = loads(board, given);
    let enough = board.hours * BUSY / 100;
    let has_time = |place: usize| {
        let (one, other) = given.hands[place];
        loads[one] < enough && other.is_none_or(|other| loads[other] < enough)
    };
    // Where all are done long before the end, nothing holds anything up.
    let long_before = given.times.latest() * 100 < board.hours * BUSY;
    let holds_up = if long_before { Vec::new() } else { critical(board, &given.hands, &given.times) };
    let idle = (0..given.hands.len()).filter(|place| has_time(*place) && !holds_up.contains(place));
    idle.map(|place| given.board.jobs[place]).collect()
}

/// Whether one of these jobs calls at an end of a lane.
fn served(layout: &Layout, jobs: &[JobIx], lane: LaneIx) -> bool {
    let lane = &layout.lanes()[lane];
    [lane.from, lane.to].into_iter().any(|end| jobs.iter().any(|job| serves(layout, *job, end)))
}

/// The shape with the best job that was left out and for which there is time now; nothing if there is
/// none but those that were tried.
pub(super) fn with_one_more(shape: &Shape, given: &Given, tried: &[JobIx]) -> Option<(JobIx, Shape)> {
    let board = &given.board.board;
    let time = board.hours * u32::try_from(board.people).unwrap_or(u32::MAX);
    let left = time.saturating_sub(loads(board, given).iter().sum());
    let mut fits = shape.left_out.iter().filter(|(job, minutes)| *minutes <= left && !tried.contains(job));
    let (job, _) = *fits.next()?;
    let mut next = shape.clone();
    next.take_in(job);
    Some((job, next))
}

/// The shape with a job that was left out though there is not the time for all its work.
pub(super) fn with_part_of(shape: &Shape, job: JobIx) -> Shape {
    let mut next = shape.clone();
    next.take_in(job);
    next
}

/// A shape on the way from one that fits to one that is too large: with such a share, a part of a whole, of what
/// tells them apart, but always with something of it and never with all; nothing where that cannot be.
pub(super) fn towards(
    fits: &Shape,
    large: &Shape,
    (part, whole): (u32, u32),
    spread: Spread,
) -> Option<Shape> {
    let all = apart(fits, large);
    let count = u32::try_from(all.len()).ok()?;
    if count < 2 {
        return None;
    }
    let taken = (count * part / whole.max(1)).clamp(1, count - 1);
    let mut next = fits.clone();
    // Evenly spread over all of them: whenever the sum passes another whole.
    let mut sum = match spread {
        Spread::Late => 0,
        Spread::Early => count - 1,
    };
    for apart in all {
        sum += taken;
        if sum < count {
            continue;
        }
        sum -= count;
        apart.take(&mut next, large);
    }
    Some(next)
}

/// A shape that fits, with one of the things that tell a larger one apart from it, by their number.
pub(super) fn with_one_of(fits: &Shape, large: &Shape, number: usize) -> Option<Shape> {
    let mut next = fits.clone();
    apart(fits, large).get(number)?.take(&mut next, large);
    Some(next)
}

/// The things that tell a larger shape apart from one that fits.
fn apart(fits: &Shape, large: &Shape) -> Vec<Apart> {
    let lanes = fits.leans.keys().chain(large.leans.keys()).copied().collect::<BTreeSet<LaneIx>>();
    let lanes = lanes.into_iter().filter(|lane| fits.leans.get(lane) != large.leans.get(lane));
    let cars = fits.held.difference(&large.held).copied();
    lanes.map(Apart::Lean).chain(cars.map(Apart::Held)).collect()
}

/// Which of the things that tell two shapes apart are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spread {
    /// The last of every few.
    Late,
    /// The first of every few.
    Early,
}

/// Something that tells two shapes apart.
enum Apart {
    /// How a lane leans.
    Lean(LaneIx),
    /// A car that is held back in one of them alone.
    Held((CarIx, JobIx)),
}

impl Apart {
    /// Makes a shape like the larger one in this.
    fn take(&self, next: &mut Shape, large: &Shape) {
        match self {
            Apart::Lean(lane) => match large.leans.get(lane) {
                Some(lean) => drop(next.leans.insert(*lane, *lean)),
                None => drop(next.leans.remove(lane)),
            },
            Apart::Held(held) => drop(next.held.remove(held)),
        }
    }
}

/// The minutes that each person works.
pub(super) fn loads(board: &Board, given: &Given) -> Vec<u32> {
    let mut loads = vec![0; board.people];
    for (job, hands) in board.jobs.iter().zip(&given.hands) {
        for person in [Some(hands.0), hands.1].into_iter().flatten() {
            loads[person] += job.minutes();
        }
    }
    loads
}

/// Whether a job calls where a customer has a spot.
fn serves(layout: &Layout, job: JobIx, end: LaneEnd) -> bool {
    let LaneEnd::Industry(industry) = end else { return false };
    let industry = &layout.industries()[industry];
    let mut spots = industry.ships.iter().chain(&industry.receives).flat_map(|(_, spots)| spots);
    spots.any(|spot| {
        let track = match spot {
            SpotTarget::Spot(spot) => layout.spots()[*spot].track,
            SpotTarget::Track(track) => *track,
        };
        layout.jobs()[job].calls.iter().any(|call| {
            call.place == layout.tracks()[track].place
                && (call.tracks.is_empty() || call.tracks.contains(&track))
        })
    })
}
