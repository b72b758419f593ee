//! Fewer handlings for a call, found by search on the real geometry.
//!
//! What the plain ways of working give is an upper bound: the [search](super::search) looks only for
//! less. What it knows is a [`place::Place`]: the tracks that the call works, those that stand before
//! them, and a few on which cars can wait; cars on other tracks are not disturbed, and cars that hold
//! side by side are moved together. A handling is a couple or a leave; among ways with as many handlings the one
//! is looked for whose orders make the least work for those who take the cars on
//! ([`more_work`](super::make_up::more_work)), or else the plain one stays. Every way that is found is worked
//! once more on the [`Site`], which checks what the search took for granted.
//!
//! Proved means: no fewer handlings will do, by the bound alone, or because all states with less were
//! opened and nothing was left out that a crew could use.

mod bound;
mod build;
mod goal;
mod place;
mod stand;

use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::End;
use crate::trips::Task;

use super::cost::{cost, more_work};
use super::goals::Goals;
use super::search::{Answer, Budget, Cost, Problem, search};
use super::site::{Movement, OnTrack, Site, Trouble};
use super::strategy::{Scene, Then, fresh, lawful};
use place::{HANDLING, Place, Step, rest};
use stand::State;

/// What came of the search.
pub(super) struct Found<'a> {
    /// The work with fewer handlings, if there is one.
    pub(super) site: Option<Site<'a>>,
    /// Whether no work has fewer.
    pub(super) proved: bool,
}

/// Up to so many handlings a proof is looked for first: what a search meets on the way there shortens the rest.
const FEW: Cost = 8 * HANDLING;

/// So much above the bound, what was found is hardly ever the fewest, or too many states lie below it for a proof.
const FAR: Cost = 3 * HANDLING;

/// Looks for work with fewer handlings than this.
pub(super) fn fewer<'a>(scene: &Scene<'a>, task: &Task, goals: &Goals, plain: &Site<'a>) -> Found<'a> {
    // What is left elsewhere than a search would leave it has fewer ways to compare itself with.
    let none = |proved| Found { site: None, proved: proved && goals.are_variants(plain) };
    let handlings = Cost::try_from(plain.log().len()).unwrap_or(Cost::MAX);
    if scene.states == 0 || handlings == 0 {
        return none(handlings == 0);
    }
    let Some((place, start)) = build::place(scene, task, goals, (plain.cut().end, scene.states)) else {
        return none(false);
    };
    let below = HANDLING * handlings
        + if place.has_blocks() { rest(more_work(scene, plain).iter().sum()) } else { 0 };
    let bound = place.bound(start).unwrap_or(0);
    if bound >= below {
        return none(true);
    }
    let answer = fewest(&place, start, scene.states, below);
    let proved = |handlings| {
        let least = HANDLING * handlings;
        bound >= least || place.all && answer.least >= least
    };
    let Some(way) = answer.way else { return none(proved(handlings)) };
    match work(scene, task, goals, &place, &way.moves) {
        // A train that is made up worse may cost its crew further on what is saved here.
        Ok(site) if cost(scene, &site) < cost(scene, plain) => {
            Found { site: Some(site), proved: proved(way.cost / HANDLING) }
        }
        // Nor is a proof lost where only the order is another one.
        Ok(_) | Err(_) => none(way.cost / HANDLING == handlings && proved(handlings)),
    }
}

/// A cheap way, and whether none is cheaper: a half of the states looks for a proof, and twice as many for a way.
fn fewest(place: &Place, start: State, states: usize, below: Cost) -> Answer<Step> {
    let (prove, follow) = (states / 2, states * 2);
    if below <= FEW {
        return search(place, start, Budget { prove, follow, below });
    }
    let found = search(place, start, Budget { prove: 0, follow, below });
    let below = found.way.as_ref().map_or(below, |way| way.cost);
    if place.bound(start).is_none_or(|least| least + FAR < below) {
        return found;
    }
    let fewer = search(place, start, Budget { prove, follow: 0, below });
    Answer { way: fewer.way.or(found.way), opened: found.opened + fewer.opened, ..fewer }
}

/// Looks for any work at all where the plain ways find none, with so many states: with the engine leading
/// as the train goes on, or else with as many pushing. Tells how many states were opened, too.
pub(super) fn any<'a>(
    scene: &Scene<'a>,
    task: &Task,
    goals: &Goals,
    states: usize,
) -> (Option<Site<'a>>, usize) {
    let call = &scene.network.calls()[scene.call];
    let ends: Vec<Option<End>> = match (scene.then, &call.ride) {
        (Some(Then { end, must: true }), _) => vec![Some(end)],
        (Some(Then { end, must: false }), _) => vec![Some(end), Some(end.other())],
        (None, Some(ride)) => vec![Some(ride.leaves), Some(ride.leaves.other())],
        (None, None) => vec![None],
    };
    let mut opened = 0;
    let site = ends.into_iter().find_map(|end| {
        let (place, start) = build::place(scene, task, goals, (end, states))?;
        // Any train that can be put right afterwards will do.
        let place = Place { rule: None, ..place };
        place.bound(start)?;
        let answer = search(&place, start, Budget::states(states));
        opened += answer.opened;
        let mut site = work(scene, task, goals, &place, &answer.way?.moves).ok()?;
        lawful(&mut site, scene).ok()?;
        Some(site)
    });
    (site, opened)
}

/// Works the way on the real tracks: once to see which cars are left for good, once more to put them
/// at their spots.
fn work<'a>(
    scene: &Scene<'a>,
    task: &Task,
    goals: &Goals,
    place: &Place,
    way: &[Step],
) -> Result<Site<'a>, Trouble> {
    let mut first = fresh(scene);
    for step in way {
        place.make(&mut first, *step, |_| None)?;
    }
    let lasts: Vec<Vec<CarIx>> = first
        .log()
        .iter()
        .enumerate()
        .map(|(number, handling)| {
            let later = &first.log()[number + 1..];
            let stays =
                |on: &&OnTrack| !later.iter().any(|after| after.cars.iter().any(|car| car.car == on.car));
            handling.cars.iter().filter(stays).map(|on| on.car).collect()
        })
        .collect();
    let exchanged = exchanged(task, &first);
    let mut site = fresh(scene);
    for (step, stay) in way.iter().zip(&lasts) {
        let track = place.track(*step);
        let spot = |car: CarIx| {
            let changed = exchanged.iter().find(|(other, _)| *other == car).map(|(_, spot)| *spot);
            let own = || changed.unwrap_or_else(|| spot_of(scene, task, track, car));
            if stay.contains(&car) { own() } else { None }
        };
        place.make(&mut site, *step, spot)?;
        crowded(&site, goals, track)?;
    }
    site.may_go()?;
    if !goals.met(&site) {
        return Err(Trouble::NoParking);
    }
    Ok(site)
}

/// The spots of the cars that may stand at each other's: in the order in which they stand in the end.
fn exchanged(task: &Task, site: &Site<'_>) -> Vec<(CarIx, Option<SpotIx>)> {
    let mut all = Vec::new();
    for group in &task.exchange {
        let sets = || task.sets.iter().filter(|set| group.contains(&set.car));
        let mut spots: Vec<Option<SpotIx>> = sets().map(|set| set.spot).collect();
        spots.sort_unstable();
        let on = sets().next().map_or(&[][..], |set| site.row(set.track)).iter().map(|on| on.car);
        all.extend(on.filter(|car| group.contains(car)).zip(spots));
    }
    all
}

/// Where on a track a car stands when it is left there for good.
fn spot_of(scene: &Scene<'_>, task: &Task, track: TrackIx, car: CarIx) -> Option<SpotIx> {
    match task.sets.iter().find(|set| set.car == car) {
        Some(set) => set.spot.filter(|_| set.track == track),
        None => scene.rows[track].iter().find(|on| on.car == car).and_then(|on| on.spot),
    }
}

/// No spot may hold a car that is still to go and one that has come, and cars at spots stand in their order.
fn crowded(site: &Site<'_>, goals: &Goals, track: TrackIx) -> Result<(), Trouble> {
    let Some(last) = site.log().last().filter(|last| last.movement == Movement::Leave) else { return Ok(()) };
    if !site.row(track).iter().filter_map(|on| on.spot).is_sorted() {
        return Err(Trouble::NoRoom(track));
    }
    let wanted = goals.variants(track);
    let Some(wanted) = wanted.first() else { return Ok(()) };
    let stays = |car: CarIx| wanted.iter().any(|on| on.car == car);
    let shares = |on: &OnTrack| on.spot.is_some() && last.cars.iter().any(|new| new.spot == on.spot);
    match site.row(track).iter().find(|on| shares(on) && !stays(on.car)) {
        Some(_) => Err(Trouble::NoRoom(track)),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests;
