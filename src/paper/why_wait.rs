//! Why a crew waits for another one at a place, in one clause: for cars that the other leaves there, because it takes
//! cars from where this one leaves some, or because it works the same tracks first.

use std::collections::BTreeSet;

use crate::ids::Id;
use crate::session::plan::{CallWork, CarWork};

use super::course::Courses;
use super::names::Names;
use super::phrase::Phrase;
use super::waits::Wait;

/// So many cars are named, more are counted.
const NAMED: usize = 3;

/// The jobs whose earlier work a call waits for, each with the reason.
pub(super) fn reasons(names: &Names<'_>, courses: &Courses<'_>, wait: &Wait<'_>, own: &CallWork) -> Phrase {
    let words = &names.words.switch_list;
    let jobs = wait.clear.iter().map(|before| {
        let job = names.job_name(before.job);
        let why = why(names, courses, (before.job, before.call), own);
        match (before.again, why) {
            (true, Some(why)) => words.job_at_call_why(job, before.call, why),
            (true, None) => words.job_at_call(job, before.call),
            (false, Some(why)) => words.job_why(job, why),
            (false, None) => Phrase::of(job),
        }
    });
    Phrase::row(jobs, "; ")
}

/// What the calls of a job up to one do for a call of another job at the same place.
fn why(names: &Names<'_>, courses: &Courses<'_>, (job, last): (&Id, u32), own: &CallWork) -> Option<Phrase> {
    let words = &names.words.switch_list;
    let before = names.plan.work.iter();
    let before = before.filter(|work| work.job == *job && work.place == own.place && work.call <= last);
    let before: Vec<&CallWork> = before.collect();
    let theirs = || before.iter().flat_map(|work| &work.cars).filter(|car| moves(car));
    let ours = || own.cars.iter().filter(|car| moves(car));

    let left = |car: &&CarWork| theirs().any(|other| other.car == car.car && other.to == car.from);
    let left = ours().filter(|car| car.from.is_some()).filter(left);
    let left: Vec<&Id> = left.map(|car| &car.car).collect();
    match left.len() {
        0 => {}
        1..=NAMED => return Some(words.leaves_for_you(Phrase::cars(left))),
        count => return Some(words.leaves_so_many_for_you(count)),
    }

    let cleared: BTreeSet<&Id> = theirs().filter_map(|car| car.from.as_ref()).collect();
    let filled: BTreeSet<&Id> = ours().filter_map(|car| car.to.as_ref()).collect();
    if let Some(tracks) = named(names, cleared.intersection(&filled)) {
        return Some(words.clears_for_you(tracks));
    }

    let worked: BTreeSet<&Id> = before.iter().flat_map(|work| touched(courses, work)).collect();
    let both: BTreeSet<&Id> = touched(courses, own).intersection(&worked).copied().collect();
    named(names, both.iter()).map(|tracks| words.works_first(tracks))
}

/// The tracks on which a call couples cars or leaves some.
fn touched<'a>(courses: &'a Courses<'_>, work: &CallWork) -> BTreeSet<&'a Id> {
    let course = courses.get(&(&work.job, work.call));
    course.into_iter().flat_map(|course| course.rows.keys()).copied().collect()
}

/// Whether a car comes to stand elsewhere, or goes along.
fn moves(car: &CarWork) -> bool {
    car.from != car.to
}

/// The names of tracks, if there are any.
fn named<'t, 'i: 't>(names: &Names<'_>, tracks: impl Iterator<Item = &'t &'i Id>) -> Option<String> {
    let tracks: Vec<String> = tracks.map(|track| names.track_name(track).into_owned()).collect();
    (!tracks.is_empty()).then(|| names.words.list(&tracks))
}
