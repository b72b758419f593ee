//! A call's work in several trips, where it cannot be done in one.
//!
//! A cut may be too long for its lead, a run-around too short for the train, and a train may bring the cars
//! for its tracks in turn: then a crew sets out what hangs outermost, cut by cut, and does the rest a few
//! cars at a time, those of one track that go to the same track together. What cannot be done with so many
//! is tried with half of them, down to single cars.
//!
//! A worked example: the train brings, from the engine outwards, `a b a b` for two tracks `a` and `b` that
//! are all there is. Nothing can be parked, but nothing has to be: leave b, a, b and a, four handlings.
//!
//! Cost: the plain ways for each of the parts, and for those that are put off until others are done.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::goals::Goals;
use super::plain::depart;
use super::site::{OnTrack, Row, Site};
use super::strategy::{Scene, fresh, lawful, part};
use super::tidy::tidied;
use crate::ids::{CarIx, IxVec, TrackIx};
use crate::trips::{SetOut, Task};

/// Where cars stand, and where they go; nothing is the train.
type Group = (Option<TrackIx>, Option<TrackIx>);

/// In which order the groups are tried.
#[derive(Clone, Copy)]
enum Order {
    /// Those that only leave the train come first, those that only join it last.
    OutFirst,
    /// Those that join the train first.
    InFirst,
}

/// Does a call's work in parts; nothing if that does not do it either.
pub(super) fn in_parts<'a>(scene: &Scene<'a>, task: &Task) -> Option<Site<'a>> {
    let tries =
        [(true, Order::OutFirst), (true, Order::InFirst), (false, Order::OutFirst), (false, Order::InFirst)];
    tries.into_iter().find_map(|(straight_in, order)| attempt(scene, task, straight_in, order))
}

fn attempt<'a>(scene: &Scene<'a>, task: &Task, straight_in: bool, order: Order) -> Option<Site<'a>> {
    let start = fresh(scene);
    let mut site = start.clone();
    let mut rows: IxVec<TrackIx, Row> = scene.rows.clone();
    let mut left: Vec<CarIx> = task.cars.clone();
    if straight_in && !set_out(&mut site, task, &mut left) {
        return None;
    }
    while !left.is_empty() {
        for (track, row) in site.rows() {
            rows[*track] = Rc::clone(row);
        }
        let groups = groups(scene, task, &left, order);
        let mut most = groups.iter().map(Vec::len).max().unwrap_or(0);
        while most > 0
            && !groups
                .iter()
                .any(|group| step(scene, task, &mut site, &rows, &group[..group.len().min(most)]))
        {
            most /= 2;
        }
        let waits = |car: &CarIx| !done(&site, task, *car);
        let before = left.len();
        left.retain(waits);
        if left.len() == before {
            return None;
        }
    }
    depart(&mut site, None, scene.then).ok()?;
    lawful(&mut site, scene).ok()?;
    Goals::new(scene, task).met(&site).then(|| tidied(&start, site))
}

/// Whether a car is where the call's work shall bring it.
fn done(site: &Site<'_>, task: &Task, car: CarIx) -> bool {
    let in_train = site.cut().cars.contains(&car);
    match task.sets.iter().find(|set| set.car == car) {
        Some(set) => site.row(set.track).iter().any(|on| on.car == car && task.may_stand_at(set, on.spot)),
        None => in_train,
    }
}

/// Leaves what hangs outermost, cut by cut, as far as it goes to tracks on which cars stand anywhere. Whether it
/// did any of the work.
fn set_out(site: &mut Site<'_>, task: &Task, left: &mut Vec<CarIx>) -> bool {
    let goes =
        |car: CarIx| task.sets.iter().find(|set| set.car == car && set.spot.is_none()).map(|set| set.track);
    let mut any = false;
    while let Some(end) = site.cut().end {
        let Some(track) = site.cut().cars.last().and_then(|car| goes(*car)) else { break };
        let count = site.cut().cars.iter().rev().take_while(|car| goes(**car) == Some(track)).count();
        let outer = site.cut().cars[site.cut().cars.len() - count..].to_vec();
        if site.leave(track, end, count, |_| None).is_err() {
            break;
        }
        left.retain(|car| !outer.contains(car));
        any = true;
    }
    any
}

/// The cars that are left to do, by where they stand and where they go.
fn groups(scene: &Scene<'_>, task: &Task, left: &[CarIx], order: Order) -> Vec<Vec<CarIx>> {
    let place = &scene.network.layout().places()[scene.network.calls()[scene.call].place];
    let stands = |car: CarIx| {
        let on = |track: &&TrackIx| scene.rows[**track].iter().any(|on| on.car == car);
        place.tracks.iter().find(on).copied()
    };
    let mut groups: BTreeMap<Group, Vec<CarIx>> = BTreeMap::new();
    for car in left {
        let to = task.sets.iter().find(|set| set.car == *car).map(|set| set.track);
        groups.entry((stands(*car), to)).or_default().push(*car);
    }
    let mut groups: Vec<(Group, Vec<CarIx>)> = groups.into_iter().collect();
    match order {
        Order::OutFirst => groups.sort_by_key(|((from, to), _)| (from.is_some(), to.is_none())),
        Order::InFirst => groups.sort_by_key(|((_, to), _)| to.is_some()),
    }
    groups.into_iter().map(|(_, cars)| cars).collect()
}

/// Does the work of some of the cars, with the rows as they stand now; whether that could be done.
fn step(
    scene: &Scene<'_>,
    task: &Task,
    site: &mut Site<'_>,
    rows: &IxVec<TrackIx, Row>,
    cars: &[CarIx],
) -> bool {
    let smaller = task.only(cars.to_vec());
    if smaller.sets.iter().any(|set| taken(site, task, cars, set)) {
        return false;
    }
    let now = Scene { rows, train: site.cut(), begun: Some(site), ..*scene };
    let Some(worked) = part(&now, &smaller) else { return false };
    let more = worked.log()[site.log().len()..].to_vec();
    for handling in more {
        let done = site.redo(&handling, handling.cars.len());
        done.expect("the same movements were made on a copy of this site");
    }
    true
}

/// Whether a car still stands at the spot that another part of the work takes away.
fn taken(site: &Site<'_>, task: &Task, cars: &[CarIx], set: &SetOut) -> bool {
    let goes = |on: &&OnTrack| task.pulls.contains(&on.car) && !cars.contains(&on.car);
    set.spot.is_some() && site.row(set.track).iter().filter(goes).any(|on| on.spot == set.spot)
}
