//! The board of a planned session: its jobs with their minutes, and what must come before what.

use std::collections::BTreeMap;

use super::CallTime;
use super::board::{Board, Call, CallOf, Job, Link};
use crate::ids::{CallIx, IxVec, JobIx, TrackIx};
use crate::network::Network;
use crate::switching::Worked;
use crate::units::{ClockTime, Minutes};

/// The people who came, and the time they have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct People {
    /// How many came.
    pub count: u32,
    /// How long they stay.
    pub hours: Minutes,
    /// How many times faster than the real one the layout's clock runs, where jobs begin by it; nothing
    /// where only the order counts.
    pub clock: Option<u32>,
}

/// A board, and which job of the layout each of its jobs is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CallBoard {
    /// The board.
    pub board: Board,
    /// The jobs, in the order of their first calls.
    pub jobs: Vec<JobIx>,
}

/// The board of a session as it is worked.
///
/// A call waits for the last one before it in the row that touched one of its tracks, or the track
/// through which alone one of them is reached: cars handed from job to job are among these.
pub fn call_board(
    network: &Network<'_>,
    worked: &Worked,
    times: &IxVec<CallIx, CallTime>,
    people: &People,
) -> CallBoard {
    let jobs: Vec<JobIx> = network.jobs().collect();
    let layout = network.layout();
    let place_of: BTreeMap<JobIx, usize> =
        jobs.iter().enumerate().map(|(place, job)| (*job, place)).collect();
    let mut engines: Vec<&str> = Vec::new();
    let begins = begins(network, &jobs, people.clock);
    let mut board = Board {
        people: usize::try_from(people.count).unwrap_or(usize::MAX),
        hours: people.hours.whole_seconds() / 60,
        jobs: Vec::with_capacity(jobs.len()),
        links: links(network, worked, &place_of),
        row: network
            .calls()
            .values()
            .map(|call| CallOf { job: place_of[&call.job], call: call.stop })
            .collect(),
    };
    for (job, begins) in jobs.iter().zip(begins) {
        let described = &layout.jobs()[*job];
        let engine = described.power.engine.as_deref().map(|engine| {
            engines.iter().position(|known| *known == engine).unwrap_or_else(|| {
                engines.push(engine);
                engines.len() - 1
            })
        });
        let own = network.calls().iter().filter(|(_, call)| call.job == *job);
        let (light, calls) = in_minutes(own.map(|(call, _)| &times[call]));
        let after = described.after.iter().filter_map(|before| place_of.get(before).copied()).collect();
        board.jobs.push(Job { light, calls, after, crew: described.crew, engine, begins });
    }
    CallBoard { board, jobs }
}

/// Whole minutes: the job's seconds so far, rounded up at the end of each call and of each run; those before its
/// first call, and its calls.
fn in_minutes<'t>(times: impl Iterator<Item = &'t CallTime>) -> (u32, Vec<Call>) {
    let mut times = times.peekable();
    let mut seconds = times.peek().map_or(Minutes::default(), |first| first.light);
    let light = seconds.rounded_up();
    let calls = times.map(|time| {
        let begins = seconds.rounded_up();
        let done = (seconds + time.work).rounded_up();
        seconds = seconds + time.work + time.run;
        Call { work: done - begins, run: seconds.rounded_up() - done }
    });
    (light, calls.collect())
}

/// The minute before which each job may not begin: by the clock, counted from the first on duty.
fn begins(network: &Network<'_>, jobs: &[JobIx], clock: Option<u32>) -> Vec<u32> {
    let on_duty = |job: &JobIx| network.layout().jobs()[*job].on_duty.map(ClockTime::after_midnight);
    let first = jobs.iter().filter_map(on_duty).min().unwrap_or(0);
    let at = |job: &JobIx| match (clock, on_duty(job)) {
        (Some(clock), Some(time)) => (time - first) / clock.max(1),
        _ => 0,
    };
    jobs.iter().map(at).collect()
}

fn links(network: &Network<'_>, worked: &Worked, place_of: &BTreeMap<JobIx, usize>) -> Vec<Link> {
    let mut last: BTreeMap<TrackIx, CallOf> = BTreeMap::new();
    let mut links = Vec::new();
    for (ix, call) in network.calls().iter() {
        let here = CallOf { job: place_of[&call.job], call: call.stop };
        for track in touched(network, worked, ix) {
            let before = last.insert(track, here).filter(|before| before.job != here.job);
            links.extend(before.map(|first| Link { first, then: here }));
        }
    }
    links.sort_unstable();
    links.dedup();
    links
}

/// The tracks of a call on which cars are moved, and those through which alone they are reached.
pub fn touched(network: &Network<'_>, worked: &Worked, call: CallIx) -> Vec<TrackIx> {
    let tracks = network.layout().tracks();
    let worked = worked.calls[call].handlings.iter().map(|handling| handling.track);
    let mut touched: Vec<TrackIx> =
        worked.flat_map(|track| [Some(track), tracks[track].behind]).flatten().collect();
    touched.sort_unstable();
    touched.dedup();
    touched
}
