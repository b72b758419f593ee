//! How long every job takes, in the words of the plan.

use crate::crews::{self, CallTime};
use crate::layout::Pace;
use crate::units::Minutes;

use super::Made;
use super::plan::{CallMinutes, JobMinutes};

/// The minutes of every job that runs, in the order of the plan's jobs.
pub(super) fn minutes(made: &Made<'_>, pace: &Pace) -> Vec<JobMinutes> {
    let layout = made.network.layout();
    let times = crews::times(made.network, &made.worked, &made.trips.tasks, pace);
    let of_job = made.network.jobs().map(|job| {
        let own = made.network.calls().iter().filter(|(_, call)| call.job == job);
        let calls: Vec<CallMinutes> = own.map(|(ix, _)| line(&times[ix])).collect();
        let seconds: Minutes = calls.iter().map(|call| call.work + call.run).sum();
        JobMinutes { job: layout.jobs()[job].id.clone(), seconds, calls }
    });
    of_job.collect()
}

const fn line(time: &CallTime) -> CallMinutes {
    CallMinutes { work: time.work, run: time.run, effort: time.effort }
}
