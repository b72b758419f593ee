//! The switch list: what one crew does, call by call, with every car it meets.

mod call;
mod foot;
mod head;

use crate::ids::Id;
use crate::session::plan::{CallWork, WorldJob};

use super::course::Courses;
use super::names::Names;
use super::notes::Notes;
use super::sheet::Sheet;

/// A job as its crew sees it.
#[derive(Debug)]
pub(super) struct Crew<'a> {
    names: &'a Names<'a>,
    courses: &'a Courses<'a>,
    notes: &'a Notes<'a>,
    job: &'a WorldJob,
    /// Its calls, in order.
    calls: Vec<&'a CallWork>,
}

/// The switch list of a job.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>, notes: &Notes<'_>, job: &WorldJob) -> Sheet {
    let calls = names.plan.work.iter().filter(|call| call.job == job.id).collect();
    let crew = Crew { names, courses, notes, job, calls };
    let mut sheet = super::sheet("switch-list", "Switch list", names);
    sheet.name = format!("switch-list-{}", super::in_file_name(job.id.as_str()));
    sheet.job = Some(job.id.clone());
    sheet.title = names.job_name(&job.id);
    sheet.whose = names.railroad_name(&job.railroad);
    sheet.blocks.extend(head::blocks(&crew));
    for call in &crew.calls {
        sheet.blocks.extend(call::blocks(&crew, call));
    }
    sheet.blocks.extend(foot::blocks(&crew));
    sheet
}

impl<'a> Crew<'a> {
    /// The call at which a car of the train is left, after the call before it.
    fn left_at(&self, car: &Id, after: u32) -> Option<&'a CallWork> {
        let leaves = |call: &CallWork| call.cars.iter().any(|work| work.car == *car && work.to.is_some());
        self.calls.iter().copied().find(|call| call.call > after && leaves(call))
    }

    /// What is in a car, as the lists have it.
    fn lading(&self, car: &Id) -> Option<&'a Id> {
        self.calls.iter().flat_map(|call| &call.cars).find(|work| work.car == *car)?.lading.as_ref()
    }
}
