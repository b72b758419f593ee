//! The long run: hundreds of sessions in a row, each closed as planned.
//!
//! No plan fails the audit; the railroad does not come to a standstill; what comes due is the lane's
//! rate give or take its spread, and is delivered, or waits with a reason; no lane and no kind of car
//! dries up. A few sessions on a few layouts are tried always; `SETOUT_SESSIONS=300 SETOUT_LAWS=50
//! cargo test --release --test it the_long_run` tries more, on two threads.

use std::collections::{BTreeMap, BTreeSet};
use std::thread;

use setout::audit::audit;
use setout::ids::Id;
use setout::layout::{Duration, Lane, LaneEnd, Layout};
use setout::session::Planned;
use setout::session::plan::{OrderState, Plan};
use setout::standing::Standing;
use setout::units::Weekdays;

use super::{OURS, made, ours, run};

/// How many sessions and layouts are tried when nothing is said.
const USUAL: (u64, u64) = (45, 3);

/// Deliveries in a third of the run from which a lane's can be compared from third to third.
const ENOUGH: usize = 8;

/// In how many sessions in a row a car of our own layouts may have no way to where it is bound. Layouts made up have
/// places that a car is too long for, and spurs that no engine gets round to.
const STRANDED: usize = 3;

/// How many sessions, and on how many layouts made up.
#[expect(clippy::disallowed_methods, reason = "how long a test runs is no result")]
fn size() -> (u64, u64) {
    let said = |name: &str| std::env::var(name).ok().map(|said| said.parse().expect("a number"));
    said("SETOUT_SESSIONS").map_or(USUAL, |sessions| (sessions, said("SETOUT_LAWS").unwrap_or(USUAL.1)))
}

/// What is kept of a run.
#[derive(Default)]
struct Run {
    faults: Vec<String>,
    /// Cars moved, a number a session.
    moved: Vec<usize>,
    /// By lane, the sessions in which carloads came due, were delivered, and were cancelled.
    due: BTreeMap<Id, Vec<usize>>,
    done: BTreeMap<Id, Vec<usize>>,
    cancelled: BTreeMap<Id, usize>,
    /// Lanes of which a car stood still in the last session because no place in a train is allowed for its placards.
    placarded: BTreeSet<Id>,
    /// By car, for how many sessions until now nothing could take it where it is bound.
    stranded: BTreeMap<Id, usize>,
}

impl Run {
    fn look(&mut self, layout: &Layout, planned: &Planned) {
        let plan = &planned.plan;
        let at = self.moved.len();
        self.moved.push(plan.trips.iter().filter(|trip| !trip.legs.is_empty()).count());
        for breach in audit(plan, layout) {
            self.faults.push(format!("session {}: {breach}", plan.session));
        }
        for order in &plan.orders {
            if order.due == plan.session {
                self.due.entry(order.lane.clone()).or_default().push(at);
            }
            match order.state {
                OrderState::Done => self.done.entry(order.lane.clone()).or_default().push(at),
                OrderState::Cancelled => *self.cancelled.entry(order.lane.clone()).or_default() += 1,
                OrderState::Waiting | OrderState::Filled => {}
            }
            if order.why.is_empty() {
                self.faults.push(format!("session {}: nothing is said of {}", plan.session, order.id));
            }
        }
        for trip in plan.trips.iter().filter(|trip| !trip.arrives && trip.why.is_empty()) {
            self.faults.push(format!("session {}: {} stays without a word", plan.session, trip.car));
        }
        let stuck =
            plan.trips.iter().filter(|trip| trip.legs.is_empty() && trip.why.contains("has placards"));
        let orders = stuck.filter_map(|trip| trip.order.as_ref());
        let lane =
            |order: &Id| plan.orders.iter().find(|line| line.id == *order).map(|line| line.lane.clone());
        self.placarded = orders.filter_map(lane).collect();
    }

    fn look_for_the_stranded(&mut self, plan: &Plan) {
        let stranded = plan.trips.iter().filter(|trip| !trip.arrives && trip.expected.is_none());
        let before = std::mem::take(&mut self.stranded);
        for trip in stranded {
            let sessions = before.get(&trip.car).map_or(1, |sessions| sessions + 1);
            self.stranded.insert(trip.car.clone(), sessions);
            if sessions == STRANDED + 1 {
                self.faults.push(format!("session {}: {} is stranded: {}", plan.session, trip.car, trip.why));
            }
        }
    }

    /// Cars must go on moving: in the last third at least two for every three in the middle third.
    fn does_not_decay(&mut self, after: &Standing) {
        let third = self.moved.len() / 3;
        let sum = |from: usize| self.moved[from..from + third].iter().sum::<usize>();
        let (middle, last) = (sum(third), sum(self.moved.len() - third));
        if last * 3 < middle * 2 {
            let open = after.orders.len();
            self.faults.push(format!(
                "{middle} cars moved in the middle third, {last} in the last; {open} orders are open"
            ));
        }
    }

    /// What came due is the rate, and has been delivered, cancelled, or is open still.
    fn keeps_rates(&mut self, layout: &Layout, before: &Standing, after: &Standing) {
        let sessions = i32::try_from(self.moved.len()).unwrap();
        for (ix, lane) in layout.lanes().iter() {
            let open = |standing: &Standing| standing.orders.iter().filter(|order| order.lane == ix).count();
            let count = |kept: &BTreeMap<Id, Vec<usize>>| kept.get(&lane.id).map_or(0, Vec::len);
            let (due, done) = (count(&self.due), count(&self.done));
            let cancelled = self.cancelled.get(&lane.id).copied().unwrap_or(0);
            if open(before) + due != done + cancelled + open(after) {
                self.faults.push(format!(
                    "{}: {due} due, {done} done, {cancelled} cancelled, and the rest is lost",
                    lane.id
                ));
            }
            if let Some(expected) = expected(layout, lane, sessions) {
                // Twice the spread: the total may lie as far above the rate at one end as below it at the other.
                let slack = f64::from(lane.spread * 2 + lane.together);
                let strays = (f64::from(u32::try_from(due).unwrap()) - expected).abs();
                if strays > slack {
                    self.faults.push(format!(
                        "{}: {due} due, {expected:.1} expected, give or take {slack}",
                        lane.id
                    ));
                }
            }
        }
    }

    /// A lane that delivered in the middle third delivers in the last, too: no pool of cars has drained. The law of
    /// placards goes before: a train of one or two cars has no place for them, and the plan says so.
    fn goes_on(&mut self) {
        let third = self.moved.len() / 3;
        for (lane, done) in &self.done {
            let middle = done.iter().filter(|at| (third..2 * third).contains(*at)).count();
            let last = done.iter().filter(|at| **at >= self.moved.len() - third).count();
            if middle >= ENOUGH && last * 2 < middle && !self.placarded.contains(lane) {
                self.faults
                    .push(format!("{lane}: {middle} delivered in the middle third, {last} in the last"));
            }
        }
    }
}

/// Carloads that a lane asks for in so many sessions from session 1; nothing where it is not always there,
/// or counts by days that are not all alike.
fn expected(layout: &Layout, lane: &Lane, sessions: i32) -> Option<f64> {
    let industry = |end: LaneEnd| match end {
        LaneEnd::Industry(industry) => Some(&layout.industries()[industry]),
        LaneEnd::Beyond(..) => None,
    };
    let ends = [industry(lane.from), industry(lane.to)];
    let works = match (lane.rate.per, ends) {
        (Duration::Session, _) | (_, [None, None]) => Weekdays::EVERY,
        (_, [Some(counted), _] | [None, Some(counted)]) => counted.works,
    };
    if lane.season.is_some() || lane.gap.count() > 1 {
        return None;
    }
    let days = layout.settings().days;
    let dates = (1..=sessions).map(|session| days.of_session(session));
    let there = |date| lane.existence.on(date) && ends.iter().flatten().all(|end| end.existence.on(date));
    if !dates.clone().all(there) {
        return None;
    }
    let worked = dates.filter(|date| works.has(date.weekday())).count();
    let a_day = match lane.rate.per {
        Duration::Day | Duration::Session => f64::from(lane.rate.carloads),
        Duration::Week => f64::from(lane.rate.carloads) / f64::from(works.count()),
        Duration::Month => f64::from(lane.rate.carloads) / f64::from(works.count() * 4),
    };
    Some(a_day * f64::from(u32::try_from(worked).unwrap()))
}

/// What is wrong with so many sessions on a layout.
fn long(name: &str, layout: &Layout, seed: u64, sessions: u64) -> Vec<String> {
    let own = OURS.contains(&name);
    let mut kept = Run::default();
    let mut first: Option<Standing> = None;
    let after = run(layout, seed, sessions, |before, planned| {
        first.get_or_insert_with(|| before.clone());
        kept.look(layout, planned);
        if own {
            kept.look_for_the_stranded(&planned.plan);
        }
    });
    kept.keeps_rates(layout, &first.unwrap(), &after);
    kept.does_not_decay(&after);
    kept.goes_on();
    kept.faults.into_iter().map(|fault| format!("{name}: {fault}")).collect()
}

#[test]
fn the_long_run() {
    let (sessions, layouts) = size();
    let half = |first: u64| {
        let mut faults = Vec::new();
        for seed in (0..layouts).filter(|seed| seed % 2 == first) {
            faults.extend(long(&format!("made {seed}"), &made::folder(seed).layout(), seed, sessions));
        }
        let own = ["demo-layout", "examples/europe"][usize::try_from(first).unwrap()];
        faults.extend(long(own, &ours(own), 1, sessions));
        faults
    };
    let faults: Vec<String> = thread::scope(|scope| {
        let halves = [0, 1].map(|first| scope.spawn(move || half(first)));
        halves.into_iter().flat_map(|half| half.join().expect("no panic")).collect()
    });
    assert!(faults.is_empty(), "{sessions} sessions on {layouts} layouts:\n{}", faults.join("\n"));
}
