//! The session as a row of calls.
//!
//! On-duty times, `after` and the order of each job's calls give a partial order; the row is one
//! total order that respects it, and everything later is planned on that row. Clock times only
//! label it: where they are missing, a job begins at the layout's usual first hour or when the jobs
//! before it are done, and a call is taken to last [`USUAL_CALL`].

use super::Network;
use super::ways::{Passing, Way, tightest};
use crate::ids::{CallIx, IxVec, JobIx, PlaceIx};
use crate::layout::{Call, End, Job, Limits};
use crate::units::Minutes;

/// One call in the row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowCall {
    /// The job.
    pub job: JobIx,
    /// Which of its stops, from 0.
    pub stop: usize,
    /// The place.
    pub place: PlaceIx,
    /// The same job's call before.
    pub previous: Option<CallIx>,
    /// The same job's next call.
    pub next: Option<CallIx>,
    /// The run to the next call.
    pub ride: Option<Ride>,
    /// Minutes after midnight at which it begins, as a label: it orders the row.
    pub begins: Minutes,
}

/// A run from one call to the next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ride {
    /// The way.
    pub way: Way,
    /// The direction in which it leaves.
    pub leaves: End,
    /// The end of the next place at which it comes in.
    pub comes_in: End,
    /// The limits of all its links, and of the places it passes between its two calls.
    pub limits: Limits,
}

/// Which jobs run, and in which order their calls come.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Runs {
    /// Jobs that do not run.
    pub without: Vec<JobIx>,
    /// All calls of all jobs that run, in order: a job and which of its stops. If it is empty, the clock
    /// and `after` decide.
    pub row: Vec<(JobIx, usize)>,
}

/// How long a call is taken to last when the row is put in order (common practice, no source).
pub const USUAL_CALL: Minutes = Minutes::new(15);

/// When a job begins of which nothing is said (common practice, no source).
const USUAL_START: Minutes = Minutes::new(7 * 60);

/// The row of calls of all jobs that run.
///
/// A job whose places are not all joined that day does not run: `layout` has said so for the
/// layout as built, and what opens later may join them.
pub(super) fn row(network: &Network<'_>, runs: &Runs) -> IxVec<CallIx, RowCall> {
    let layout = network.layout;
    let rides: IxVec<JobIx, Option<Vec<Ride>>> = layout
        .jobs()
        .iter()
        .map(|(ix, job)| {
            let there = job.existence.on(network.date) && !runs.without.contains(&ix);
            there.then(|| rides(network, job))?
        })
        .collect();
    let mut ends: IxVec<JobIx, Option<Minutes>> = IxVec::filled(None, layout.jobs().len());
    let mut calls: Vec<(Minutes, JobIx, usize)> = Vec::new();
    for job in in_order(network) {
        let Some(rides) = &rides[job] else { continue };
        let mut time = start(&layout.jobs()[job], &ends);
        for (stop, call) in layout.jobs()[job].calls.iter().enumerate() {
            time = call.time.map_or(time, |due| time.max(Minutes::new(due.after_midnight())));
            calls.push((time, job, stop));
            time = time + USUAL_CALL + rides.get(stop).map_or(Minutes::default(), |ride| ride.way.minutes);
        }
        ends[job] = Some(time);
    }
    calls.sort_unstable();
    if !runs.row.is_empty() {
        let place = |job, stop| runs.row.iter().position(|call| *call == (job, stop));
        calls.sort_by_key(|(_, job, stop)| place(*job, *stop));
    }
    link_up(network, &calls, rides)
}

/// Turns the sorted calls into a row in which each knows its neighbours of the same job.
fn link_up(
    network: &Network<'_>,
    calls: &[(Minutes, JobIx, usize)],
    mut rides: IxVec<JobIx, Option<Vec<Ride>>>,
) -> IxVec<CallIx, RowCall> {
    let jobs = network.layout.jobs();
    let mut row: IxVec<CallIx, RowCall> = IxVec::new();
    let mut last: IxVec<JobIx, Option<CallIx>> = IxVec::filled(None, jobs.len());
    for (begins, job, stop) in calls.iter().copied() {
        let previous = last[job];
        let place = jobs[job].calls[stop].place;
        let here = row.push(RowCall { job, stop, place, previous, next: None, ride: None, begins });
        if let Some(previous) = previous {
            row[previous].next = Some(here);
            let ride = rides[job].as_mut().filter(|rides| !rides.is_empty()).map(|rides| rides.remove(0));
            row[previous].ride = ride;
        }
        last[job] = Some(here);
    }
    row
}

/// The runs between a job's calls, or nothing if two of them are not joined.
fn rides(network: &Network<'_>, job: &Job) -> Option<Vec<Ride>> {
    if !job.calls.iter().all(|call| network.has_place(call.place)) {
        return None;
    }
    let pairs = job.calls.windows(2);
    pairs.map(|pair| ride(network, &pair[0], &pair[1])).collect()
}

fn ride(network: &Network<'_>, from: &Call, to: &Call) -> Option<Ride> {
    let way = network.way(&Passing::default(), from.place, to.place).ok()?;
    let links = network.layout.links();
    let (first, last) = (way.links.first().copied(), way.links.last().copied());
    let leaves = first.map_or(End::East, |link| network.direction(link, from.place));
    let comes_in = last.map_or(End::West, |link| network.direction(link, to.place));
    let passed = way.places.get(1..way.places.len() - 1).unwrap_or_default();
    let passed = passed.iter().map(|place| &network.layout.places()[*place].limits);
    let limits = tightest(way.links.iter().map(|link| &links[*link].limits).chain(passed));
    Some(Ride { way, leaves, comes_in, limits })
}

/// The jobs in an order in which each comes behind those it waits for; among several that may be
/// next, the one that begins first, then the lowest index.
fn in_order(network: &Network<'_>) -> Vec<JobIx> {
    let jobs = network.layout.jobs();
    let mut left: Vec<JobIx> = jobs.indices().collect();
    let mut order: Vec<JobIx> = Vec::new();
    while !left.is_empty() {
        let free =
            left.iter().copied().filter(|job| jobs[*job].after.iter().all(|before| order.contains(before)));
        let next = free.min_by_key(|job| (jobs[*job].on_duty, *job)).expect("checked: `after` has no cycle");
        left.retain(|job| *job != next);
        order.push(next);
    }
    order
}

fn start(job: &Job, ends: &IxVec<JobIx, Option<Minutes>>) -> Minutes {
    let own = job.on_duty.map_or(USUAL_START, |time| Minutes::new(time.after_midnight()));
    job.after.iter().filter_map(|before| ends[*before]).fold(own, Minutes::max)
}

#[cfg(test)]
mod tests {
    use crate::ids::Ix;
    use crate::network::Network;
    use crate::testing::branch;
    use crate::units::Date;

    #[test]
    fn a_job_waits_for_those_it_comes_after_whatever_their_clock_says() {
        let layout = branch(
            1,
            r#"
[job.early]
railroad = "CHT"
calls = ["yard"]
on_duty = "5:00"
after = ["turn"]
[job.first]
railroad = "CHT"
calls = ["town"]
on_duty = "6:00"
"#,
        );
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let row: Vec<(&str, usize)> =
            network.calls().values().map(|call| (layout.jobs()[call.job].id.as_str(), call.stop)).collect();
        // `turn` has no time and begins at the usual 7:00; `early` waits for its last call.
        assert_eq!(row, [("first", 0), ("turn", 0), ("turn", 1), ("turn", 2), ("early", 0)]);
    }

    #[test]
    fn calls_of_one_job_know_each_other_and_the_run_between() {
        let layout = branch(1, "");
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let calls = network.calls();
        let out = calls[Ix::new(0)].ride.as_ref().unwrap();
        let back = calls[Ix::new(1)].ride.as_ref().unwrap();
        assert_eq!((out.leaves.word(), out.comes_in.word()), ("east", "west"));
        assert_eq!((back.leaves.word(), back.comes_in.word()), ("west", "east"));
        assert_eq!(out.way.minutes.rounded_up(), 4);
        assert!(calls[Ix::new(2)].ride.is_none());
    }

    #[test]
    fn a_train_keeps_the_limits_of_the_places_it_only_passes() {
        let layout = branch(
            1,
            r#"
[place.end]
name = "End"
railroad = "CHT"
[place.street]
name = "Street"
railroad = "CHT"
max_cars = 6
[[link]]
between = ["town", "street"]
minutes = 1
max_car = "60 ft"
[[link]]
between = ["street", "end"]
minutes = 1
[job.through]
railroad = "CHT"
calls = ["yard", "end"]
"#,
        );
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let limits = |job: &str| {
            let call = network.calls().values().find(|call| layout.jobs()[call.job].id.as_str() == job);
            call.unwrap().ride.as_ref().unwrap().limits
        };
        assert_eq!(limits("through").at_once, Some(crate::units::Cars::new(6)));
        assert_eq!(limits("through").car, Some(crate::units::Length::scale_feet(60)));
        assert_eq!(limits("turn").at_once, None, "it does not go that far");
    }
}
