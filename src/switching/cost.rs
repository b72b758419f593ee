//! What a way of working a call costs, compared part by part.

use std::rc::Rc;

use super::site::{Handling, OnTrack, Site};
use super::strategy::Scene;
use crate::layout::End;

/// More cars than this are not shoved over the road where going round them takes as few handlings as [`ROUND`].
const LONG: usize = 3;

/// How many handlings it is worth that a long train need not be shoved: those of going round it.
const ROUND: usize = 2;

/// Handlings first, those counted that the order of the train makes further on; then whether the train is shoved
/// to another place, though nothing there asks for it; then the handlings that the order of what is left makes for
/// those who fetch it; then cars moved.
pub(super) fn cost(scene: &Scene<'_>, site: &Site<'_>) -> (usize, bool, usize, usize) {
    let (handlings, moved) = so_far(site.log());
    let ride = scene.network.calls()[scene.call].ride.as_ref().filter(|ride| ride.way.places.len() > 1);
    let shoved = |end: End| ride.is_some_and(|ride| scene.then.is_none() && ride.leaves != end);
    let shoved = site.cut().end.is_some_and(shoved);
    let round = if shoved && site.cut().cars.len() > LONG { ROUND } else { 0 };
    let [further_on, fetched] = more_work(scene, site);
    (handlings + further_on + round, shoved, fetched, moved)
}

/// How many handlings the order of the train makes further on, and those of what is left for whoever fetches it.
pub(super) fn more_work(scene: &Scene<'_>, site: &Site<'_>) -> [usize; 2] {
    let work = |row: &[OnTrack]| scene.blocks.work(row.iter().map(|on| on.car));
    let left = site.rows().iter().map(|(_, row)| work(row)).sum();
    [scene.blocks.work(site.cut().cars.iter().copied()), left]
}

/// The same of movements in the middle of the work.
pub(super) fn so_far(log: &[Rc<Handling>]) -> (usize, usize) {
    (log.len(), log.iter().map(|handling| handling.cars.len()).sum())
}
