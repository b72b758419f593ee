//! Bad orders: how cars are found to be some, and how they are mended.
//!
//! Cars are looked over when a customer is done with them, and when they come onto the layout with a
//! load. Whether one is found bad is drawn for each car and session by itself. A bad order serves no
//! new order; it goes to a repair track, loaded or empty, and is kept there for its time.

use super::calendar::ready;
use super::gateways::home_of;
use super::wishes::offering;
use super::{Demand, Hand, Remark};
use crate::chance::Chance;
use crate::ids::CarIx;
use crate::layout::{Grade, Service, SpotTarget};
use crate::network::Network;
use crate::said::{self, Worded};
use crate::standing::{Condition, Standing};
use crate::units::Weekdays;

/// Whether a car is found a bad order tonight: as often as the layout says, half as often if it is in
/// good shape, twice as often if it is rough.
pub(super) fn found_bad(
    network: &Network<'_>,
    standing: &Standing,
    car: CarIx,
    session: i32,
    chance: Chance,
) -> bool {
    let layout = network.layout();
    let described = &layout.cars()[car];
    let one_in = u64::from(layout.settings().bad_orders.one_in);
    let shares = match described.grade {
        Grade::Clean => 1,
        Grade::Fair => 2,
        Grade::Rough => 4,
    };
    one_in > 0
        && chance.stream("bad order", &format!("{}|{session}", described.id)).below(one_in * 2) < shares
        && can_be_mended(network, standing, car)
}

/// Whether there is a way to mend a car: otherwise nobody looks, for it would never run again.
fn can_be_mended(network: &Network<'_>, standing: &Standing, car: CarIx) -> bool {
    let layout = network.layout();
    let state = standing.car(car);
    let goes_home = || home_of(layout, car).or(state.came_by).is_some();
    !repair_tracks(network, standing, car).is_empty()
        || !matches!(state.condition, Condition::Loaded { .. }) && goes_home()
}

/// The tracks that repair a car as it is now.
pub(super) fn repair_tracks(network: &Network<'_>, standing: &Standing, car: CarIx) -> Vec<SpotTarget> {
    let layout = network.layout();
    let weight = standing.weight(layout, car);
    let mut tracks = offering(network, Service::Repair);
    tracks.retain(|target| network.takes(layout.track_of(*target), car, weight));
    tracks
}

/// Makes a car a bad order, and says so.
pub(super) fn bad_order(network: &Network<'_>, demand: &mut Demand, car: CarIx, how: Worded) {
    let repairs = !repair_tracks(network, &demand.standing, car).is_empty();
    let state = demand.standing.car_mut(car);
    (state.bad_order, state.repaired) = (true, None);
    demand.hands.push(Hand::BadOrder(car));
    let words = if repairs { said::repaired_here(how) } else { said::goes_to_its_shop(how) };
    demand.remarks.push(Remark { about: "bad order", words });
}

/// Looks over the cars that come onto the layout with a load tonight.
pub(super) fn inspect_arrivals(network: &Network<'_>, demand: &mut Demand, session: i32, chance: Chance) {
    if network.layout().settings().bad_orders.one_in == 0 {
        return;
    }
    let placed = demand.hands.iter().filter_map(|hand| match hand {
        Hand::Placed(car, _, _, Some(_)) => Some(*car),
        _ => None,
    });
    for car in placed.collect::<Vec<CarIx>>() {
        if found_bad(network, &demand.standing, car, session, chance) {
            let how = said::came_bad(&network.layout().cars()[car].id);
            bad_order(network, demand, car, how);
        }
    }
}

/// Mends the cars that stood on a repair track for their time, and begins with those that have come
/// there otherwise than by a job.
pub(super) fn mend(network: &Network<'_>, demand: &mut Demand, session: i32) {
    let layout = network.layout();
    let cars: Vec<CarIx> =
        demand.standing.cars().filter(|(_, state)| state.bad_order).map(|(car, _)| car).collect();
    for car in cars {
        let state = demand.standing.car_mut(car);
        let offers = |track| layout.tracks()[track].offers.contains(&Service::Repair);
        let Some(track) = state.track().filter(|track| network.has_track(*track) && offers(*track)) else {
            state.repaired = None;
            continue;
        };
        match state.repaired {
            Some(done) if done <= session => {
                (state.bad_order, state.repaired, state.since) = (false, None, session);
                demand.hands.push(Hand::Served(car, track, Service::Repair));
            }
            Some(_) => {}
            None => state.repaired = Some(until(network, session - 1)),
        }
    }
}

/// The first session in which a car is repaired that came to the repair track in a session.
pub(super) fn until(network: &Network<'_>, session: i32) -> i32 {
    let settings = network.layout().settings();
    ready(settings.days, Weekdays::EVERY, session, settings.repair)
}

/// Whether a car waits to be repaired with a load in it.
pub(super) fn held_under_load(standing: &Standing, car: CarIx) -> bool {
    let state = standing.car(car);
    state.bad_order && matches!(state.condition, Condition::Loaded { .. })
}
