//! Which ends to work in which order, and whether the cut stays on the engine.
//!
//! A few plain plans are tried for each call and the one with the fewest handlings is kept: working
//! the ends of the place one after the other in every order up to three, each once with the cut on
//! the engine and once with the whole train left on an empty double-ended track from which its cars
//! are fetched as they are wanted.

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::layout::{End, Opens, TrackUse};
use crate::network::Network;
use crate::trips::Task;
use crate::units::Tons;

use super::cost::{cost, so_far};
use super::fewest;
use super::goals::{Goal, Goals};
use super::make_up::{Blocks, Law, put_right};
use super::parts::in_parts;
use super::rebuild::rebuild;
use super::site::{Handling, OnTrack, Row, Site, Trouble};
use super::tidy::tidied;
use super::{Cut, Refusal};

/// A call as the crew finds it.
pub(super) struct Scene<'a> {
    pub(super) network: &'a Network<'a>,
    pub(super) weights: &'a IxVec<CarIx, Tons>,
    pub(super) call: CallIx,
    pub(super) rows: &'a IxVec<TrackIx, Vec<OnTrack>>,
    pub(super) train: &'a Cut,
    /// How the train should leave for its next work; nothing if that is all the same, and then the
    /// engine leads.
    pub(super) then: Option<Then>,
    /// Where placarded cars may ride, if any are loaded.
    pub(super) law: Option<&'a Law>,
    /// Where the cars of the train that leaves are left further on.
    pub(super) blocks: &'a Blocks,
    /// How many states a search for fewer handlings may open; none, and the plain ways are good enough.
    pub(super) states: usize,
    /// The movements so far, where this is only a part of the call's work.
    pub(super) begun: Option<&'a Site<'a>>,
}

/// The end that a train should be able to work when it comes to its next work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Then {
    pub(super) end: End,
    /// Whether the engine cannot get round its cars there.
    pub(super) must: bool,
}

/// A call's work, done.
#[derive(Clone, Debug)]
pub(super) struct CallWorked {
    pub(super) handlings: Vec<Handling>,
    pub(super) cut: Cut,
    /// Whether no fewer handlings will do.
    pub(super) proved: bool,
    /// The rows of the tracks that were touched.
    pub(super) rows: Vec<Row>,
}

/// How many states a search may open where the plain ways do not do the work at all.
const LOOKS: usize = 300;
/// How many states all such searches of one call may open: a way is mostly found soon, and cars are left out by
/// many searches that find none.
const ALL_LOOKS: usize = 6 * LOOKS;

/// How many handlings a plan has at most that is good enough: with more, longer plans are tried as well.
const FEW: usize = 10;

/// The ends to work, one after the other; later ones are tried only if none of the shorter will do with few handlings.
const PLANS: [&[&[End]]; 3] = [
    &[&[End::West], &[End::East]],
    &[&[End::West, End::East], &[End::East, End::West]],
    &[&[End::West, End::East, End::West], &[End::East, End::West, End::East]],
];

/// Does the work of one call.
pub(super) fn work_call(scene: &Scene<'_>, task: &Task) -> Result<CallWorked, Refusal> {
    let mut looks = ALL_LOOKS;
    match solve(scene, task, &mut looks) {
        Ok(site) => {
            let found = fewest::fewer(scene, task, &Goals::new(scene, task), &site);
            let (handlings, cut, rows) = found.site.unwrap_or(site).into_parts();
            let touched = |track: TrackIx| handlings.iter().any(|handling| handling.track == track);
            let rows = rows.into_iter().filter(|(track, _)| touched(*track)).collect();
            Ok(CallWorked { handlings, cut, proved: found.proved, rows })
        }
        Err(trouble @ Trouble::Placarded(car)) => Err(Refusal { call: scene.call, cars: vec![car], trouble }),
        Err(trouble) => Err(Refusal { call: scene.call, cars: left_out(scene, task, &mut looks), trouble }),
    }
}

/// The cars to leave out: the most important are taken on one by one as long as their work can be
/// done together.
fn left_out(scene: &Scene<'_>, task: &Task, looks: &mut usize) -> Vec<CarIx> {
    let mut kept: Vec<CarIx> = Vec::new();
    let mut out: Vec<CarIx> = Vec::new();
    for car in &task.cars {
        kept.push(*car);
        let has = |on: &CarIx| kept.contains(on);
        let smaller = task.only(kept.clone());
        let mut train = scene.train.clone();
        train.cars.retain(|on| has(on) || !task.cars.contains(on));
        train.end = train.end.filter(|_| !train.cars.is_empty());
        if solve(&Scene { train: &train, ..*scene }, &smaller, looks).is_err() {
            kept.pop();
            out.push(*car);
        }
    }
    out
}

/// The best plan for a call; where no plain one will do, its work in parts, or whatever a search finds in the
/// states that are left to it.
fn solve<'a>(scene: &Scene<'a>, task: &Task, looks: &mut usize) -> Result<Site<'a>, Trouble> {
    let goals = Goals::new(scene, task);
    plain(scene, &goals).or_else(|trouble| {
        // Without the placarded car the rest can be done.
        if matches!(trouble, Trouble::Placarded(_)) {
            return Err(trouble);
        }
        let search = || {
            // A search with fewer states may find what one with more did not: all have the same.
            if scene.states == 0 || *looks < LOOKS {
                return None;
            }
            let (site, opened) = fewest::any(scene, task, &goals, LOOKS);
            *looks = looks.saturating_sub(opened);
            site
        };
        in_parts(scene, task).or_else(search).ok_or(trouble)
    })
}

/// The work of a part of a call, its train waiting where it was left.
pub(super) fn part<'a>(scene: &Scene<'a>, task: &Task) -> Option<Site<'a>> {
    plain(scene, &Goals::new(scene, task)).ok()
}

/// The best of the plain plans.
fn plain<'a>(scene: &Scene<'a>, goals: &Goals) -> Result<Site<'a>, Trouble> {
    let mut first_trouble = None;
    let mut best: Option<(Site<'a>, Plan)> = None;
    for plans in PLANS {
        for ends in plans {
            for (order, way) in
                goals.orders.iter().flat_map(|order| ways_of(ends).map(move |way| (order, way)))
            {
                match attempt(scene, goals, order, way) {
                    Ok(site)
                        if best.as_ref().is_none_or(|best| cost(scene, &site) < cost(scene, &best.0)) =>
                    {
                        best = Some((site, Plan { order: order.clone(), way }));
                    }
                    Ok(_) => {}
                    Err(trouble @ Trouble::Placarded(_)) => first_trouble = Some(trouble),
                    Err(trouble) => {
                        first_trouble.get_or_insert(trouble);
                    }
                }
            }
        }
        if best.as_ref().is_some_and(|(best, _)| best.log().len() <= FEW) {
            break;
        }
    }
    let (best, plan) = best.ok_or_else(|| first_trouble.unwrap_or(Trouble::NoParking))?;
    // A session that nobody will see does as well without.
    let worth_it = scene.states > 0 && best.log().len() > FEW;
    Ok(if worth_it { reordered(scene, goals, best, plan) } else { best })
}

/// A plain plan.
struct Plan {
    /// The tracks, in the order in which they are worked.
    order: Vec<usize>,
    way: Way,
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

/// The same with its tracks worked in another order, where that is better: one after the other is taken first, or last.
fn reordered<'a>(scene: &Scene<'a>, goals: &Goals, site: Site<'a>, mut plan: Plan) -> Site<'a> {
    let mut best = site;
    for track in plan.order.clone() {
        let others: Vec<usize> = plan.order.iter().copied().filter(|other| *other != track).collect();
        for order in [[&[track], &others[..]].concat(), [&others[..], &[track]].concat()] {
            let other = attempt(scene, goals, &order, plan.way);
            if let Some(other) = other.ok().filter(|other| cost(scene, other) < cost(scene, &best)) {
                (best, plan.order) = (other, order);
                break;
            }
        }
    }
    best
}

/// Works a call by one plan.
fn attempt<'a>(
    scene: &Scene<'a>,
    goals: &Goals,
    order: &[usize],
    Way { ends, drop, waits }: Way,
) -> Result<Site<'a>, Trouble> {
    let mut site = fresh(scene);
    let home = if drop { Some(drop_train(&mut site, goals)?) } else { None };
    let mut trouble = None;
    for (number, end) in (1..).zip(ends) {
        if site.cut().end.is_some_and(|works| works != *end) && !goals.done(&site, home) {
            run_around(&mut site)?;
        }
        let turns = waits && number < ends.len();
        trouble = pass(&mut site, goals, order, (*end, turns), home).or(trouble);
    }
    if !goals.done(&site, home) {
        return Err(trouble.unwrap_or(Trouble::NoParking));
    }
    if scene.begun.is_some() {
        if let (Some(home), Some(end)) = (home, scene.train.end) {
            let waiting = site.row(home).len();
            site.couple(home, end, waiting)?;
        }
        return Ok(tidied(scene, site));
    }
    depart(&mut site, home, scene.then)?;
    lawful(&mut site, scene)?;
    Ok(tidied(scene, site))
}

/// A place before the first movement, or after those that were made.
pub(super) fn fresh<'a>(scene: &Scene<'a>) -> Site<'a> {
    let new = || Site::new(scene.network, scene.weights, scene.call, scene.rows, scene.train.clone());
    scene.begun.cloned().unwrap_or_else(new)
}

/// Makes a train that is ready fit to go: placarded cars where they may ride, and no cut too long for its lead.
pub(super) fn lawful(site: &mut Site<'_>, scene: &Scene<'_>) -> Result<(), Trouble> {
    let call = &scene.network.calls()[scene.call];
    let leaves = call.ride.as_ref().is_some_and(|ride| ride.way.places.len() > 1);
    if let Some(law) = scene.law.filter(|_| leaves) {
        put_right(site, law, scene.network.layout().jobs()[call.job].power.caboose)?;
    }
    site.may_go()
}

/// Leaves the whole train on an empty double-ended track.
fn drop_train(site: &mut Site<'_>, goals: &Goals) -> Result<TrackIx, Trouble> {
    let Some(end) = site.cut().end else { return Err(Trouble::NoParking) };
    let track = clear_track(site, |track| !goals.changes(track)).ok_or(Trouble::NoParking)?;
    site.leave(track, end, site.cut().cars.len(), |_| None)?;
    Ok(track)
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

/// Puts right, from one end, every track that can be put right from there, or if the engine turns later only those
/// that are not better worked from the other end; tells what stopped the last that could not.
fn pass(
    site: &mut Site<'_>,
    goals: &Goals,
    order: &[usize],
    (end, turns): (End, bool),
    home: Option<TrackIx>,
) -> Option<Trouble> {
    let tracks = site.network().layout().tracks();
    let mut trouble = None;
    // Every round puts a track right at least, or is the last.
    for _ in 0..=goals.tracks.len() {
        let mut changed = false;
        trouble = None;
        for goal in order.iter().map(|number| &goals.tracks[*number]) {
            let waits =
                || turns && tracks[goal.track].opens.at(end.other()) && goal.is_nearer(site, end.other());
            if !tracks[goal.track].opens.at(end) || goal.done(site) || waits() {
                continue;
            }
            let mut best: Option<Site<'_>> = None;
            for (wanted, aside_first) in ways(site, goal, end) {
                let mut trial = site.clone();
                let rebuilt = rebuild(&mut trial, goal.track, end, &wanted, goals, aside_first)
                    .and_then(|()| home.map_or(Ok(()), |home| put_back(&mut trial, home, end)));
                match rebuilt {
                    Ok(()) if best.as_ref().is_none_or(|best| so_far(&trial) < so_far(best)) => {
                        best = Some(trial);
                    }
                    Ok(()) => {}
                    Err(stopped) => trouble = Some(stopped),
                }
            }
            if let Some(best) = best {
                *site = best;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    trouble
}

/// The rows that a track may be put into from an end, each as it comes and, where cars stand on the track and
/// some for it hang outermost on the cut, with these set aside first.
fn ways(site: &Site<'_>, goal: &Goal, end: End) -> Vec<(Vec<OnTrack>, bool)> {
    let comes = |wanted: &[OnTrack]| {
        let outermost = site.cut().cars.last();
        !site.row(goal.track).is_empty()
            && outermost.is_some_and(|car| wanted.iter().any(|on| on.car == *car))
    };
    let mut ways: Vec<(Vec<OnTrack>, bool)> = Vec::new();
    for wanted in goal.wanted(site, end) {
        if comes(&wanted) {
            ways.push((wanted.clone(), true));
        }
        ways.push((wanted, false));
    }
    ways.sort_by_key(|(_, aside_first)| *aside_first);
    ways
}

/// Leaves the cut with the rest of the train.
fn put_back(site: &mut Site<'_>, home: TrackIx, end: End) -> Result<(), Trouble> {
    match site.cut().cars.len() {
        0 => Ok(()),
        count => site.leave(home, end, count, |_| None),
    }
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
        let mut trial = site.clone();
        let turned = run_around(&mut trial).and_then(|()| trial.may_go());
        if turned.is_ok() {
            *site = trial;
        } else if then.is_some_and(|then| then.must) {
            return turned;
        }
    }
    Ok(())
}
