//! How long every job takes, in the words of the plan.

use crate::crews::{self, CallTime};
use crate::ids::{Id, JobIx, PlaceIx};
use crate::layout::Pace;
use crate::network::Passing;
use crate::units::Minutes;

use super::Made;
use super::plan::{CallMinutes, JobMinutes, LightRun};

/// The minutes of every job that runs, in the order of the plan's jobs.
pub(super) fn minutes(made: &Made<'_>, pace: &Pace) -> Vec<JobMinutes> {
    let layout = made.network.layout();
    let times = crews::times(made.network, &made.worked, &made.trips.tasks, pace);
    let of_job = made.network.jobs().map(|job| {
        let own = made.network.calls().iter().filter(|(_, call)| call.job == job);
        let own: Vec<&CallTime> = own.map(|(ix, _)| &times[ix]).collect();
        let calls: Vec<CallMinutes> = own.iter().map(|time| line(time)).collect();
        let seconds: Minutes = own.iter().map(|time| time.light + time.work + time.run).sum();
        let light = own.first().and_then(|first| light(made, job, first.light));
        JobMinutes { job: layout.jobs()[job].id.clone(), seconds, light, calls }
    });
    of_job.collect()
}

/// How a job's engine is fetched, where another job leaves it elsewhere.
fn light(made: &Made<'_>, job: JobIx, run: Minutes) -> Option<LightRun> {
    let layout = made.network.layout();
    let light = made.network.light(job)?;
    let place = |place: PlaceIx| layout.places()[place].id.clone();
    let way = made.network.way(&Passing::default(), light.from, light.to);
    let way: Vec<Id> = way.map_or_else(|_| Vec::new(), |way| way.places.into_iter().map(place).collect());
    let after = layout.jobs()[light.after].id.clone();
    Some(LightRun { after, from: place(light.from), to: place(light.to), way, links: light.links, run })
}

const fn line(time: &CallTime) -> CallMinutes {
    CallMinutes { work: time.work, run: time.run, effort: time.effort }
}
