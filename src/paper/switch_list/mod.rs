//! The switch list: what one crew does, call by call, with every car it meets.

mod call;
mod foot;
mod head;
mod standing;

use crate::ids::Id;
use crate::session::plan::{CarWork, WorldJob};
use crate::units::ClockTime;

use super::course::{Course, Courses};
use super::names::Names;
use super::notes::Notes;
use super::phrase::Phrase;
use super::sheet::Sheet;
use super::waits::Waits;
use super::why_wait;
use super::words;

/// A job as its crew sees it.
#[derive(Debug)]
pub(super) struct Crew<'a> {
    names: &'a Names<'a>,
    courses: &'a Courses<'a>,
    notes: &'a Notes<'a>,
    waits: &'a Waits<'a>,
    job: &'a WorldJob,
    /// Its calls, in order, also those at which there is nothing to do.
    calls: Vec<Stop<'a>>,
}

/// One call of the job.
#[derive(Clone, Copy, Debug)]
struct Stop<'a> {
    number: u32,
    place: &'a Id,
    time: Option<ClockTime>,
    cars: &'a [CarWork],
}

impl Stop<'_> {
    /// Whether any car is met or handled there.
    fn works(&self, crew: &Crew<'_>) -> bool {
        !self.cars.is_empty() || crew.course(self).is_some_and(|course| !course.handlings.is_empty())
    }
}

/// The switch list of a job.
pub(super) fn sheet(
    names: &Names<'_>,
    courses: &Courses<'_>,
    notes: &Notes<'_>,
    waits: &Waits<'_>,
    job: &WorldJob,
) -> Sheet {
    let crew = Crew { names, courses, notes, waits, job, calls: stops(names, job) };
    let mut sheet = super::job_sheet("switch-list", &names.words.forms.switch_list(), names, job);
    sheet.blocks.extend(head::blocks(&crew));
    // A job that runs light has its way and its calls at the head.
    if crew.works() {
        for call in &crew.calls {
            sheet.blocks.extend(call::blocks(&crew, call));
        }
    }
    sheet.blocks.extend(foot::blocks(&crew));
    sheet
}

/// The calls of a job: those of the plan's work, and those at which there is none.
fn stops<'a>(names: &Names<'a>, job: &'a WorldJob) -> Vec<Stop<'a>> {
    let mut stops: Vec<Stop<'_>> =
        (1..).zip(&job.calls).map(|(number, place)| Stop { number, place, time: None, cars: &[] }).collect();
    for work in names.plan.work.iter().filter(|work| work.job == job.id) {
        let told = Stop { number: work.call, place: &work.place, time: work.time, cars: &work.cars };
        match stops.iter_mut().find(|stop| stop.number == work.call) {
            Some(stop) => *stop = told,
            None => stops.push(told),
        }
    }
    stops
}

impl<'a> Crew<'a> {
    /// The words of its list.
    fn words(&self) -> &'a words::SwitchList {
        &self.names.words.switch_list
    }

    /// Whether its times of the layout's clock hold: not where people take jobs one after the other, by no clock.
    fn by_the_clock(&self) -> bool {
        self.names.plan.crews.as_ref().is_none_or(|crews| crews.clock.is_some())
    }

    /// Whose work must be finished where one of its calls is, and why.
    fn once_clear(&self, call: u32) -> Phrase {
        let own = self.names.plan.work.iter().find(|work| work.job == self.job.id && work.call == call);
        let wait = self.waits.of(&self.job.id, call);
        own.zip(wait).map_or_else(Phrase::default, |(own, wait)| {
            why_wait::reasons(self.names, self.courses, wait, own)
        })
    }

    /// The events of a call.
    fn course(&self, call: &Stop<'_>) -> Option<&'a Course<'a>> {
        self.courses.get(&(&self.job.id, call.number))
    }

    /// Whether it handles a car at any of its calls.
    fn works(&self) -> bool {
        self.calls.iter().filter_map(|call| self.course(call)).any(|course| !course.handlings.is_empty())
    }

    /// The work on all cars, call by call.
    fn work(&self) -> impl Iterator<Item = &'a CarWork> {
        self.calls.iter().flat_map(|call| call.cars)
    }

    /// The call at which a car of the train is left, after the call before it.
    fn left_at(&self, car: &Id, after: u32) -> Option<Stop<'a>> {
        let leaves = |call: &Stop<'_>| call.cars.iter().any(|work| work.car == *car && work.to.is_some());
        self.calls.iter().copied().find(|call| call.number > after && leaves(call))
    }

    /// What is in a car, as the list has it.
    fn lading(&self, car: &Id) -> Option<&'a Id> {
        self.work().find(|work| work.car == *car)?.lading.as_ref()
    }
}
