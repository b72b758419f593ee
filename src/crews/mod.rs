//! Crews: how long the work takes, and who does it.
//!
//! Takes what switching does at every call; gives the minutes of every call and job at the host's
//! pace ([`times`]), and the session as a [`board`] on which jobs are given to people. Upholds the part
//! of rule 12 that speaks of minutes and of who waits for whom.
//!
//! Cost: linear in the cars that are moved; what [`board`] says for dealing jobs out.

pub mod board;

mod call_board;
mod effort;

pub use call_board::{CallBoard, People, call_board, touched};

use crate::ids::{CallIx, IxVec};
use crate::layout::Pace;
use crate::network::Network;
use crate::switching::Worked;
use crate::trips::Task;
use crate::units::{Effort, Minutes};

/// How long a call takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CallTime {
    /// Before the first call of a job, the run of its engine from where another job left it.
    pub light: Minutes,
    /// What it asks of the crew.
    pub effort: Effort,
    /// The minutes of that.
    pub work: Minutes,
    /// The run to the next call; none after the last.
    pub run: Minutes,
}

/// How long every call takes.
pub fn times(
    network: &Network<'_>,
    worked: &Worked,
    tasks: &IxVec<CallIx, Task>,
    pace: &Pace,
) -> IxVec<CallIx, CallTime> {
    let calls = network.calls().iter();
    let time = calls.map(|(ix, call)| {
        let links = call.ride.as_ref().map_or(Minutes::default(), |ride| ride.way.minutes);
        let effort = Effort::of(&worked.calls[ix], &tasks[ix], links);
        let light = network.light(call.job).filter(|_| call.previous.is_none());
        let light = light.map_or(Minutes::default(), |light| run(light.links, pace));
        CallTime { light, effort, work: effort.work(pace), run: effort.run(pace) }
    });
    time.collect()
}

/// A run over links of so many minutes, at a pace.
fn run(links: Minutes, pace: &Pace) -> Minutes {
    Effort { links, ..Effort::default() }.run(pace)
}
