//! Trains made up by yard jobs: which offers of trips are taken up.
//!
//! An offer is tried by working the calls again with it. It is taken up where the road crews are spared more
//! than the yard crews are given: three handlings for two saved would be too many. Nobody waits who
//! did not before: only trains whose crews wait for the yard job in any case are made up by it.
//!
//! Cost: the calls that change worked again for each offer that is tried, [`TRIED`] at most.

use std::cmp::Reverse;

use crate::crews::touched;
use crate::ids::{CallIx, JobIx};
use crate::layout::{JobKind, Layout};
use crate::network::Network;
use crate::switching::{CallDone, Refusal, Worked};
use crate::trips::{Bans, Offer, Planner, Trips};

/// How many offers are tried.
const TRIED: usize = 4;

/// What a handling of a road crew, and one of a yard crew, counts: trains are made up in the yard so that those
/// on the road get away (common practice, no source; the share is ours).
const WEIGHTS: (usize, usize) = (3, 2);

/// Takes up what pays.
pub(super) fn made_up(
    network: &Network<'_>,
    planner: &mut Planner<'_>,
    bans: &Bans,
    (mut trips, mut worked): (Trips, Worked),
    mut work: impl FnMut(&Trips) -> Result<Worked, Refusal>,
) -> (Trips, Worked) {
    let mut offers: Vec<(usize, Offer)> = planner
        .offers()
        .into_iter()
        .map(|offer| (in_hand(&worked, &offer), offer))
        .filter(|(in_hand, offer)| *in_hand > 1 && meet(network, &worked, offer))
        .collect();
    offers.sort_by_key(|(in_hand, _)| Reverse(*in_hand));
    for (_, offer) in offers.into_iter().take(TRIED) {
        planner.take_up(&offer, bans, |other| {
            let Ok(done) = work(other) else { return false };
            let pays = cost(network, &done) < cost(network, &worked);
            if pays {
                (trips, worked) = (other.clone(), done);
            }
            pays
        });
    }
    (trips, worked)
}

/// How often the train's crew has the cars of an offer in hand.
fn in_hand(worked: &Worked, offer: &Offer) -> usize {
    let handlings = worked.calls[offer.train].handlings.iter();
    handlings.filter(|handling| handling.cars.iter().any(|on| offer.cars.contains(&on.car))).count()
}

/// Whether the train's crew waits for the yard job as it is: by the host's word, or because both work a track.
fn meet(network: &Network<'_>, worked: &Worked, offer: &Offer) -> bool {
    let [yard, train] = [offer.yard, offer.train].map(|call| network.calls()[call].job);
    if waits_for(network.layout(), train, yard) {
        return true;
    }
    let by_yard = touched(network, worked, offer.yard);
    touched(network, worked, offer.train).iter().any(|track| by_yard.contains(track))
}

/// Whether a job begins when another is done, or one that begins when that is done.
fn waits_for(layout: &Layout, job: JobIx, other: JobIx) -> bool {
    let after = &layout.jobs()[job].after;
    after.contains(&other) || after.iter().any(|before| waits_for(layout, *before, other))
}

/// What all handlings count.
pub(super) fn cost(network: &Network<'_>, worked: &Worked) -> usize {
    let of = |(call, done): (CallIx, &CallDone)| {
        let kind = network.layout().jobs()[network.calls()[call].job].kind;
        done.handlings.len() * if kind == JobKind::Yard { WEIGHTS.1 } else { WEIGHTS.0 }
    };
    worked.calls.iter().map(of).sum()
}
