//! Making a session smaller.

use std::cmp::Reverse;

use crate::crews::board::critical;
use crate::ids::{CarIx, JobIx};
use crate::traffic::Lean;
use crate::trips::Trip;

use super::super::Made;
use super::super::asked::{Dropped, Shape};
use super::Given;

/// How far, in hundredths, the work of all jobs may go beyond the time of all people and is still
/// brought down by holding cars back; beyond it jobs do not run (common practice, no source).
const FAR_TOO_MUCH: u32 = 115;

/// The next smaller shape; nothing if there is nothing left to leave out.
pub(super) fn smaller(made: &Made<'_>, shape: &Shape, given: &Given) -> Option<Shape> {
    let board = &given.board.board;
    if board.people == 0 {
        return None;
    }
    let work: u32 = board.jobs.iter().map(crate::crews::board::Job::minutes).sum();
    let time = board.hours * u32::try_from(board.people).unwrap_or(u32::MAX);
    let mut next = shape.clone();
    if work * 100 > time * FAR_TOO_MUCH && board.jobs.len() > 1 {
        match next_to_drop(made, given) {
            Some(job) => next.drop(job, Dropped::TooFewPeople),
            None => slice(made, given, &mut next, time),
        }
        return Some(next);
    }
    held_back(made, shape, given)
}

/// The shape in which some of what holds everybody up is held back; nothing if there is nothing.
pub(super) fn held_back(made: &Made<'_>, shape: &Shape, given: &Given) -> Option<Shape> {
    let mut next = shape.clone();
    hold_back(made, given, &mut next).then_some(next)
}

/// The job that the host drops first.
fn next_to_drop(made: &Made<'_>, given: &Given) -> Option<JobIx> {
    let jobs = made.network.layout().jobs();
    let may = given.board.jobs.iter().filter_map(|job| Some((jobs[*job].drop?, *job)));
    may.min().map(|(_, job)| job)
}

/// Keeps the jobs that do most for their minutes, as many as there is time for, and at least one.
///
/// What a job does is counted in the sessions that cars have waited, tonight's included, of the cars
/// that it alone brings where they are bound: they stand where it finds them, whatever else runs.
fn slice(made: &Made<'_>, given: &Given, next: &mut Shape, time: u32) {
    let board = &given.board.board;
    let mut jobs: Vec<(u64, u32, JobIx)> = Vec::new();
    for (described, job) in board.jobs.iter().zip(&given.board.jobs) {
        let alone = |trip: &Trip| !trip.legs.is_empty() && trip.legs.iter().all(|leg| leg.job == *job);
        let worth = made.demand.wishes.iter().zip(&made.trips.trips).filter(|(_, trip)| alone(trip));
        let waited = worth.map(|(wish, _)| made.session.saturating_sub(wish.urgency.since).max(0) + 1);
        let worth: u64 = waited.map(|sessions| u64::from(sessions.unsigned_abs())).sum();
        jobs.push((worth, described.minutes().max(1), *job));
    }
    // What can be done whole goes first, then more worth a minute: a/b > c/d where a·d > c·b.
    let whole = |minutes: u32| minutes <= board.hours;
    jobs.sort_by(|one, other| {
        let (left, right) = (one.0 * u64::from(other.1), other.0 * u64::from(one.1));
        whole(other.1).cmp(&whole(one.1)).then(right.cmp(&left)).then(one.2.cmp(&other.2))
    });
    let mut left = time;
    for (place, (_, minutes, job)) in jobs.iter().enumerate() {
        if place == 0 || *minutes <= left {
            left = left.saturating_sub(*minutes);
        } else {
            next.leave_out(*job, *minutes);
        }
    }
}

/// The shape without the jobs that a slice of a session leaves without a car; nothing if there is none. A slice
/// is what people have time for who stay less than usual, or what is left where jobs are left out.
pub(super) fn without_light_jobs(made: &Made<'_>, shape: &Shape, given: &Given) -> Option<Shape> {
    let usual = made.network.layout().settings().hours;
    if shape.left_out.is_empty() && given.people.hours >= usual {
        return None;
    }
    let calls = made.network.calls();
    let handles = |job: JobIx| {
        calls.iter().any(|(call, row)| row.job == job && !made.worked.calls[call].handlings.is_empty())
    };
    let light: Vec<JobIx> = given.board.jobs.iter().copied().filter(|job| !handles(*job)).collect();
    let mut next = shape.clone();
    for job in &light {
        next.drop(*job, Dropped::NoCars);
    }
    (!light.is_empty() && light.len() < given.board.jobs.len()).then_some(next)
}

/// The share of the hours, in hundredths, beyond which work is taken off all jobs that hold the session up
/// at once, and not off one after the other (common practice, no source).
const MUCH_TOO_LATE: u32 = 10;

/// Takes work off the jobs that hold everybody up: first their lanes lean late, then their least urgent
/// cars stay. Whether there was anything to hold back.
fn hold_back(made: &Made<'_>, given: &Given, next: &mut Shape) -> bool {
    let board = &given.board.board;
    let mut jobs = critical(board, &given.hands, &given.times);
    jobs.sort_by_key(|job| (Reverse(board.jobs[*job].minutes()), *job));
    let late = given.score.late;
    let much = late * 100 > board.hours * MUCH_TOO_LATE;
    let all: u32 = jobs.iter().map(|job| board.jobs[*job].minutes()).sum();
    let mut any = false;
    for place in jobs {
        let cars = cars_of(made, given.board.jobs[place]);
        let minutes = if much { all } else { board.jobs[place].minutes() };
        let share = cars.len() * usize::try_from(late).unwrap_or(usize::MAX);
        let wanted = share.div_ceil(usize::try_from(minutes.max(1)).unwrap_or(1));
        any |= keep_from(
            made,
            given.board.jobs[place],
            &cars,
            wanted.clamp(1, cars.len().div_ceil(2).max(1)),
            next,
        );
        if any && !much {
            break;
        }
    }
    any
}

/// Keeps so many of its cars from a job, or their orders from coming due. Whether there were any.
fn keep_from(made: &Made<'_>, job: JobIx, cars: &[CarIx], wanted: usize, next: &mut Shape) -> bool {
    if lean_late(made, cars, wanted, next) {
        return true;
    }
    let before = next.held.len();
    next.held.extend(cars.iter().rev().take(wanted).map(|car| (*car, job)));
    next.held.len() > before
}

/// Holds so many orders back that came due tonight and whose cars are among these, the least urgent
/// first, by letting their lanes lean late. Whether there was one.
fn lean_late(made: &Made<'_>, cars: &[CarIx], wanted: usize, next: &mut Shape) -> bool {
    let due = |car: &CarIx| {
        let mut news = made.demand.news.iter().filter(|news| news.order.due == made.session);
        news.find(|news| news.order.car == Some(*car)).map(|news| news.order.lane)
    };
    let mut found = 0;
    for lane in cars.iter().rev().filter_map(due) {
        if next.leans.get(&lane) != Some(&Lean::Late) {
            next.leans.insert(lane, Lean::Late);
            found += 1;
        }
        if found == wanted {
            break;
        }
    }
    found > 0
}

/// The cars that a job carries, the most urgent first: those in another's way, what is promised, and
/// what has waited longest are the last to stay.
fn cars_of(made: &Made<'_>, job: JobIx) -> Vec<CarIx> {
    let all = made.demand.wishes.iter().zip(&made.trips.trips);
    let own = all.filter(|(_, trip)| trip.legs.iter().any(|leg| leg.job == job));
    own.map(|(wish, _)| wish.car).collect()
}
