//! Plain plans: which ends to work in which order, and whether the cut stays on the engine.
//!
//! A few plain plans are tried for each call and the one with the fewest handlings is kept: working
//! the ends of the place one after the other in every order up to three, each once with the cut on
//! the engine and once with the whole train left on an empty double-ended track from which its cars
//! are fetched as they are wanted.

use std::rc::Rc;

use crate::ids::{CarIx, TrackIx};
use crate::layout::{End, Opens, TrackUse};

use super::cost::{cost, so_far};
use super::goals::{Goal, Goals};
use super::rebuild::rebuild;
use super::site::{Handling, OnTrack, Site, Trouble};
use super::steps::{Step, Steps, Tried};
use super::strategy::{Scene, Then, fresh, lawful};
use super::tidy::tidied;

/// How many handlings a plan has at most that is good enough: with more, longer plans are tried as well.
const FEW: usize = 10;

/// The ends to work, one after the other; later ones are tried only if none of the shorter will do with few handlings.
const PLANS: [&[&[End]]; 3] = [
    &[&[End::West], &[End::East]],
    &[&[End::West, End::East], &[End::East, End::West]],
    &[&[End::West, End::East, End::West], &[End::East, End::West, End::East]],
];

/// The best of the plain plans.
pub(super) fn plain<'a>(scene: &Scene<'a>, goals: &Goals) -> Result<Site<'a>, Trouble> {
    let mut plans = Plans { scene, goals, start: fresh(scene), steps: Steps::default() };
    // In a session that nobody will see the first that does it will do.
    let seen = scene.states > 0;
    let (orders, few) = if seen { (&goals.orders[..], FEW) } else { (&goals.orders[..1], usize::MAX) };
    let mut first_trouble = None;
    let mut best: Option<(Site<'a>, Plan)> = None;
    for ends in PLANS {
        for (ends, order) in ends.iter().flat_map(|ends| orders.iter().map(move |order| (ends, order))) {
            // Whether waiting makes a difference, with the train on the engine and with the train left first.
            let mut waits_for_one = [false; 2];
            for way in ways_of(ends) {
                let waits_for_one = &mut waits_for_one[usize::from(way.drop)];
                if way.waits && !*waits_for_one {
                    continue;
                }
                let plan = Plan { order: order.clone(), way, turned: Vec::new() };
                match plans.attempt(&plan, waits_for_one) {
                    Ok(None) => {}
                    Ok(Some(site)) => {
                        if is_least(scene, &plans.start, &site) {
                            return Ok(site);
                        }
                        if is_better(scene, &site, best.as_ref().map(|best| &best.0)) {
                            best = Some((site, plan));
                        }
                    }
                    Err(trouble @ Trouble::Placarded(_)) => first_trouble = Some(trouble),
                    Err(trouble) => {
                        first_trouble.get_or_insert(trouble);
                    }
                }
            }
        }
        if best.as_ref().is_some_and(|(best, _)| best.log().len() <= few) {
            break;
        }
    }
    let (best, plan) = best.ok_or_else(|| first_trouble.unwrap_or(Trouble::NoParking))?;
    Ok(if seen && best.log().len() > FEW { plans.reordered(best, plan) } else { best })
}

fn is_better(scene: &Scene<'_>, site: &Site<'_>, best: Option<&Site<'_>>) -> bool {
    best.is_none_or(|best| cost(scene, site) < cost(scene, best))
}

/// Whether no plan can be better: cars are coupled once at most on each track, and left once at most, and none comes back
/// to where it was, so that every plan makes each of these movements.
fn is_least(scene: &Scene<'_>, start: &Site<'_>, site: &Site<'_>) -> bool {
    let own = &site.log()[start.log().len()..];
    let meet = |one: &Handling, other: &Handling| {
        let has = |car: CarIx| other.cars.iter().any(|on| on.car == car);
        one.track == other.track && (one.movement == other.movement || one.cars.iter().any(|on| has(on.car)))
    };
    let twice = own.iter().enumerate().any(|(made, one)| own[..made].iter().any(|other| meet(one, other)));
    let (handlings, moved) = so_far(site.log());
    !twice && cost(scene, site) == (handlings, false, 0, moved)
}

/// A plain plan.
#[derive(Clone)]
struct Plan {
    /// The tracks, in the order in which they are worked.
    order: Vec<usize>,
    way: Way,
    /// The tracks that do not wait for another end where others would, and the other way about.
    turned: Vec<usize>,
}

/// How a plain plan goes about it.
#[derive(Clone, Copy)]
struct Way {
    ends: &'static [End],
    /// Whether the train is left first.
    drop: bool,
    /// Whether a track waits for the end from which fewer of its cars come out.
    waits: bool,
}

/// The ways to work ends one after the other.
fn ways_of(ends: &'static [End]) -> impl Iterator<Item = Way> {
    let waits: &[bool] = if ends.len() > 1 { &[false, true] } else { &[false] };
    waits.iter().flat_map(move |waits| [false, true].map(|drop| Way { ends, drop, waits: *waits }))
}

/// A plan with one track worked otherwise.
fn changed(plan: &Plan, track: usize) -> [Plan; 3] {
    let others: Vec<usize> = plan.order.iter().copied().filter(|other| *other != track).collect();
    let in_order = |order: Vec<usize>| Plan { order, ..plan.clone() };
    let mut turned = plan.clone();
    match turned.turned.iter().position(|other| *other == track) {
        Some(at) => drop(turned.turned.remove(at)),
        None => turned.turned.push(track),
    }
    if let [end] = plan.way.ends {
        turned.way.ends = if *end == End::West { PLANS[1][0] } else { PLANS[1][1] };
    }
    [in_order([&[track], &others[..]].concat()), in_order([&others[..], &[track]].concat()), turned]
}

/// Plain plans for a call.
struct Plans<'p, 'a> {
    scene: &'p Scene<'a>,
    goals: &'p Goals,
    start: Site<'a>,
    steps: Steps,
}

impl<'a> Plans<'_, 'a> {
    /// The same with its tracks worked in another order or from another end, where that is better: one after the other
    /// is taken first, or last, or waits for the other end.
    fn reordered(&mut self, mut best: Site<'a>, mut plan: Plan) -> Site<'a> {
        for track in plan.order.clone() {
            for other in changed(&plan, track) {
                let site = self.attempt(&other, &mut false).ok().flatten();
                if let Some(site) = site.filter(|site| is_better(self.scene, site, Some(&best))) {
                    (best, plan) = (site, other);
                    break;
                }
            }
        }
        best
    }

    /// Works the call by one plan, and tells whether some track is better worked from an end that comes later; nothing
    /// where another plan came to the same.
    fn attempt(&mut self, plan: &Plan, waits_for_one: &mut bool) -> Result<Option<Site<'a>>, Trouble> {
        let (scene, goals) = (self.scene, self.goals);
        let mut site = self.start.clone();
        let Way { ends, drop, waits } = plan.way;
        if drop {
            self.step(&mut site, Step::Drop, |site| drop_train(site, goals))?;
        }
        let home = site.log().last().filter(|_| drop).map(|left| left.track);
        let mut trouble = None;
        for (number, end) in (1..).zip(ends) {
            if site.cut().end.is_some_and(|works| works != *end) && !goals.done(&site, home) {
                self.step(&mut site, Step::RunAround, run_around)?;
            }
            let later = (number < ends.len()).then_some((waits, &mut *waits_for_one));
            trouble = self.pass(&mut site, plan, (*end, later), home).or(trouble);
        }
        if !goals.done(&site, home) {
            return Err(trouble.unwrap_or(Trouble::NoParking));
        }
        self.step(&mut site, Step::GetReady, |site| get_ready(site, scene, home))?;
        Ok(self.steps.is_new(&site).then(|| tidied(&self.start, site)))
    }

    fn step(
        &mut self,
        site: &mut Site<'a>,
        step: Step,
        work: impl FnOnce(&mut Site<'_>) -> Result<(), Trouble>,
    ) -> Result<(), Trouble> {
        match self.steps.make(site, step, |site| Tried::new(site, work)) {
            (true, _) => Ok(()),
            (false, trouble) => Err(trouble.unwrap_or(Trouble::NoParking)),
        }
    }

    /// Puts right, from one end, every track that can be put right from there; tells what stopped the last that could
    /// not. If the engine turns later, it is told whether some track is better worked from the other end, and those may
    /// wait for it.
    fn pass(
        &mut self,
        site: &mut Site<'a>,
        plan: &Plan,
        (end, mut later): (End, Option<(bool, &mut bool)>),
        home: Option<TrackIx>,
    ) -> Option<Trouble> {
        let goals = self.goals;
        let tracks = site.network().layout().tracks();
        let mut trouble = None;
        // Every round puts a track right at least, or is the last.
        for _ in 0..=goals.tracks.len() {
            let mut changed = false;
            trouble = None;
            for number in &plan.order {
                let goal = &goals.tracks[*number];
                if !tracks[goal.track].opens.at(end) || goal.done(site) {
                    continue;
                }
                if let Some((waits, one)) =
                    later.as_mut().filter(|_| tracks[goal.track].opens.at(end.other()))
                {
                    let nearer = (*waits || !**one) && goal.is_nearer(site, end.other());
                    **one |= nearer;
                    if (*waits && nearer) != plan.turned.contains(number) {
                        continue;
                    }
                }
                let step = Step::PutRight(*number, end);
                let (made, stopped) =
                    self.steps.make(site, step, |site| put_right(site, goals, goal, end, home));
                changed |= made;
                trouble = stopped.or(trouble);
            }
            if !changed {
                break;
            }
        }
        trouble
    }
}

/// Leaves the whole train on an empty double-ended track.
fn drop_train(site: &mut Site<'_>, goals: &Goals) -> Result<(), Trouble> {
    let Some(end) = site.cut().end else { return Err(Trouble::NoParking) };
    let track = clear_track(site, |track| !goals.changes(track)).ok_or(Trouble::NoParking)?;
    site.leave(track, end, site.cut().cars.len(), |_| None)
}

/// An empty double-ended track with room for the cut; a run-around before a yard track.
fn clear_track(site: &Site<'_>, free: impl Fn(TrackIx) -> bool) -> Option<TrackIx> {
    let tracks = site.network().layout().tracks();
    let cars = &site.cut().cars;
    let length = site.length_of(cars);
    site.rows()
        .iter()
        .filter(|(track, row)| {
            row.is_empty()
                && free(*track)
                && tracks[*track].opens == Opens::Both
                && site.network().may_switch(site.call(), *track)
                && site.room(*track) >= length
                && cars.iter().all(|car| site.takes(*track, *car))
                && site.can_pass(*track)
        })
        .map(|(track, _)| *track)
        .min_by_key(|track| (!matches!(tracks[*track].usage, TrackUse::RunAround | TrackUse::Main), *track))
}

/// Takes the engine to the other end of its cut.
fn run_around(site: &mut Site<'_>) -> Result<(), Trouble> {
    let Some(end) = site.cut().end else { return Ok(()) };
    let track = clear_track(site, |_| true).ok_or(Trouble::NoRunAround)?;
    let count = site.cut().cars.len();
    site.leave(track, end, count, |_| None)?;
    site.couple(track, end.other(), count)
}

/// The best way to put a track right from an end.
fn put_right(site: &mut Site<'_>, goals: &Goals, goal: &Goal, end: End, home: Option<TrackIx>) -> Tried {
    let rows = goal.wanted(site, end);
    let (mut best, mut trouble): (Option<Vec<Rc<Handling>>>, Option<Trouble>) = (None, None);
    for (wanted, aside_first) in tries(site, goal.track, &rows) {
        let tried = Tried::new(site, |site| {
            rebuild(site, goal.track, end, wanted, goals, aside_first)?;
            home.map_or(Ok(()), |home| put_back(site, home, end))
        });
        let better = |made: &Vec<_>| best.as_ref().is_none_or(|best| so_far(made) < so_far(best));
        best = tried.made.filter(better).or(best);
        trouble = tried.trouble.or(trouble);
    }
    Tried { made: best, trouble }
}

/// The rows that a track may be put into, each as it comes and, where cars stand on the track and some for it hang
/// outermost on the cut, with these set aside first.
fn tries<'r>(site: &Site<'_>, track: TrackIx, rows: &'r [Vec<OnTrack>]) -> Vec<(&'r [OnTrack], bool)> {
    let outermost = site.cut().cars.last().filter(|_| !site.row(track).is_empty());
    let comes = |wanted: &[OnTrack]| outermost.is_some_and(|car| wanted.iter().any(|on| on.car == *car));
    let rows = || rows.iter().map(Vec::as_slice);
    rows().map(|row| (row, false)).chain(rows().filter(|row| comes(row)).map(|row| (row, true))).collect()
}

/// Leaves the cut with the rest of the train.
fn put_back(site: &mut Site<'_>, home: TrackIx, end: End) -> Result<(), Trouble> {
    match site.cut().cars.len() {
        0 => Ok(()),
        count => site.leave(home, end, count, |_| None),
    }
}

/// Makes the train ready to go, all work of the call being done, or of a part of it.
fn get_ready(site: &mut Site<'_>, scene: &Scene<'_>, home: Option<TrackIx>) -> Result<(), Trouble> {
    if scene.begun.is_some() {
        return match (home, scene.train.end) {
            (Some(home), Some(end)) => site.couple(home, end, site.row(home).len()),
            _ => Ok(()),
        };
    }
    depart(site, home, scene.then)?;
    lawful(site, scene)
}

/// Couples the train as it is to go: on the side where the next work wants it, else with the engine
/// leading, where the engine can get to that end.
pub(super) fn depart(site: &mut Site<'_>, home: Option<TrackIx>, then: Option<Then>) -> Result<(), Trouble> {
    let leaves = site.network().calls()[site.call()].ride.as_ref().map(|ride| ride.leaves);
    let waiting = home.map_or(0, |home| site.row(home).len());
    let Some(leaves) = leaves else {
        // The last call: every car was set out, or the plan is no good.
        let left = home.and_then(|home| site.row(home).first().map(|on| on.car));
        return match left.or(site.cut().cars.last().copied()) {
            Some(car) => Err(Trouble::NotReached(car)),
            None => Ok(()),
        };
    };
    let end = then.map_or(leaves, |then| then.end);
    if let Some(home) = home.filter(|_| waiting > 0) {
        return site.couple(home, end, waiting);
    }
    if site.cut().end.is_some_and(|works| works != end) {
        let before = site.log().len();
        let turned = run_around(site).and_then(|()| site.may_go());
        if turned.is_err() {
            site.take_back(before);
            if then.is_some_and(|then| then.must) {
                return turned;
            }
        }
    }
    Ok(())
}
