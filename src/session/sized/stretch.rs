//! Making a session larger.

use crate::crews::board::Board;
use crate::ids::JobIx;
use crate::layout::{LaneEnd, Layout, SpotTarget};
use crate::traffic::Lean;

use super::super::asked::Shape;
use super::Given;

/// The share of their time, in hundredths, that people are taken to be busy enough with (common
/// practice, no source).
const BUSY: u32 = 80;

/// The shape in which the lanes of those jobs lean early that are done by people with time left;
/// nothing if there is no such lane.
pub(super) fn larger(layout: &Layout, shape: &Shape, given: &Given) -> Option<Shape> {
    let board = &given.board.board;
    let loads = loads(board, given);
    let enough = board.hours * BUSY / 100;
    let has_time = |place: usize| {
        let (one, other) = given.hands[place];
        loads[one] < enough && other.is_none_or(|other| loads[other] < enough)
    };
    let idle: Vec<JobIx> = (0..given.hands.len())
        .filter(|place| has_time(*place))
        .map(|place| given.board.jobs[place])
        .collect();
    let mut next = shape.clone();
    for (ix, lane) in layout.lanes().iter() {
        let served =
            [lane.from, lane.to].into_iter().any(|end| idle.iter().any(|job| serves(layout, *job, end)));
        if served {
            next.leans.entry(ix).or_insert(Lean::Early);
        }
    }
    (next.leans.len() > shape.leans.len()).then_some(next)
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

/// How often something that was held back is tried again.
pub(super) const GIVEN_BACK: usize = 2 * PARTS;

/// Into how many parts what was held back is divided, to be given back part by part.
const PARTS: usize = 6;

/// The shape in which a part of what was held back is not, if there is much time left after all: the
/// times before count which part it is.
pub(super) fn given_back(shape: &Shape, given: &Given, times: usize) -> Option<Shape> {
    let board = &given.board.board;
    let time = board.hours * u32::try_from(board.people).unwrap_or(u32::MAX);
    if loads(board, given).iter().sum::<u32>() * 100 > time * BUSY {
        return None;
    }
    let mut next = shape.clone();
    let mut number = 0;
    let mut stays = || {
        number += 1;
        number % PARTS != times % PARTS
    };
    if times < PARTS {
        next.leans.retain(|_, lean| *lean != Lean::Late || stays());
    } else {
        next.held.retain(|_| stays());
    }
    (next.leans.len() + next.held.len() < shape.leans.len() + shape.held.len()).then_some(next)
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
