//! Cars that come to one track at one call, and may stand at each other's spots.
//!
//! Trips give every car its spot one by one. Which of them stands at which of these spots is all the same to
//! the customer if each is among the goals of the other's order, so the crew may choose: `switching` puts
//! them where that takes the fewest handlings, and the trips follow what was done ([`Trips::follow`]).
//!
//! Two cars may change if both have their last stage done there and stay, if the spots of each are goals of
//! the other, taken together no less welcome, and if either fits: cars of one length always do, others
//! where each spot takes one car at a time and is long enough for both.
//!
//! Complexity: cars² for each track of a call that spots several.
//!
//! [`Trips::follow`]: super::Trips::follow

use super::{Leg, Trip};
use crate::ids::{CarIx, SpotIx};
use crate::layout::{Layout, SpotTarget};
use crate::network::Network;
use crate::traffic::{Demand, Wish};

/// A car that is left at a spot for good.
#[derive(Clone, Copy)]
struct Spotted<'w> {
    wish: &'w Wish,
    leg: &'w Leg,
    spot: SpotIx,
}

/// The cars that may stand at each other's spots: all of a group, whichever stands where.
pub(super) fn groups(network: &Network<'_>, demand: &Demand, trips: &[Trip]) -> Vec<(Leg, Vec<CarIx>)> {
    let mut spotted: Vec<Spotted<'_>> = demand.wishes.iter().zip(trips).filter_map(spotted).collect();
    spotted.sort_by_key(|one| (one.leg.to, one.leg.track));
    let mut groups: Vec<(Leg, Vec<CarIx>)> = Vec::new();
    for there in spotted.chunk_by(|one, other| (one.leg.to, one.leg.track) == (other.leg.to, other.leg.track))
    {
        let mut found: Vec<Vec<Spotted<'_>>> = Vec::new();
        for one in there {
            let fits =
                |group: &&mut Vec<Spotted<'_>>| group.iter().all(|other| may(network.layout(), one, other));
            match found.iter_mut().find(fits) {
                Some(group) => group.push(*one),
                None => found.push(vec![*one]),
            }
        }
        let several = found.iter().filter(|group| group.len() > 1);
        groups.extend(several.map(|group| (*group[0].leg, group.iter().map(|one| one.wish.car).collect())));
    }
    groups
}

/// A car whose last leg ends its last stage at a spot.
fn spotted<'w>((wish, trip): (&'w Wish, &'w Trip)) -> Option<Spotted<'w>> {
    let leg = trip.legs.last().filter(|leg| leg.ends_stage.is_some() && trip.stages == wish.stages.len())?;
    let once = trip.legs.iter().filter(|other| other.to == leg.to).count() == 1;
    Some(Spotted { wish, leg, spot: leg.spot.filter(|_| once)? })
}

/// Whether two cars may stand at each other's spots.
fn may(layout: &Layout, one: &Spotted<'_>, other: &Spotted<'_>) -> bool {
    let ranks = (rank(one, one.spot), rank(other, other.spot), rank(one, other.spot), rank(other, one.spot));
    let (Some(own), Some(others), Some(changed), Some(others_changed)) = ranks else { return false };
    let [length, other_length] = [one, other].map(|at| layout.cars()[at.wish.car].length);
    let takes_either = |spot: SpotIx| {
        let spot = &layout.spots()[spot];
        spot.cars.is_some_and(|most| most.count() == 1)
            && spot.length.is_none_or(|room| length.max(other_length) <= room)
    };
    changed + others_changed <= own + others
        && (length == other_length || takes_either(one.spot) && takes_either(other.spot))
}

/// How far back a spot stands among the goals of a car.
fn rank(one: &Spotted<'_>, spot: SpotIx) -> Option<usize> {
    one.wish.stages.last()?.goals.iter().position(|goal| *goal == SpotTarget::Spot(spot))
}
