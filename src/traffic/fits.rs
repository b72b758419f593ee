//! What a car may carry, and what a customer's spots hold.

use super::wishes::{load_spots, offering, unload_spots};
use crate::ids::{CarIx, PlaceIx};
use crate::layout::{Lane, LaneEnd, Layout, LoadLook, Service, SpotTarget};
use crate::network::{Network, Passing};
use crate::standing::{Condition, Order, Standing};
use crate::units::{Cars, Length};

/// How many cars a list of spots holds.
pub(super) fn room_for(layout: &Layout, spots: &[SpotTarget]) -> Cars {
    let by_length = |length: Length| {
        let usual = layout.settings().car.whole_scale_inches().max(1);
        Cars::new((length.whole_scale_inches() / usual).max(1))
    };
    let room = |target: &SpotTarget| match target {
        SpotTarget::Spot(spot) => {
            let spot = &layout.spots()[*spot];
            spot.cars.unwrap_or_else(|| by_length(spot.length.unwrap_or(layout.tracks()[spot.track].length)))
        }
        SpotTarget::Track(track) => by_length(layout.tracks()[*track].length),
    };
    spots.iter().map(room).sum()
}

/// For each car that is at a customer's spots or under way to them, those spots.
pub(super) fn bound_for<'l>(
    layout: &'l Layout,
    standing: &Standing,
    orders: &[Order],
) -> Vec<&'l [SpotTarget]> {
    let spots = orders.iter().filter_map(|order| {
        let lane = &layout.lanes()[order.lane];
        match standing.car(order.car?).condition {
            Condition::Ordered { .. } | Condition::Loading { .. } => Some(load_spots(layout, lane)),
            Condition::Loaded { .. } | Condition::Unloading { .. } => Some(unload_spots(layout, lane)),
            Condition::Empty => None,
        }
    });
    spots.filter(|spots| !spots.is_empty()).collect()
}

/// Whether a car may carry a lane's lading at all.
pub(super) fn fits(network: &Network<'_>, lane: &Lane, car: CarIx, dirty: bool) -> bool {
    let layout = network.layout();
    let described = &layout.cars()[car];
    let lading = &layout.commodities()[lane.commodity];
    let serves =
        |end: LaneEnd| matches!((end, described.assigned), (LaneEnd::Industry(one), Some(own)) if one == own);
    let year = network.date().year();
    let (first, last) = described.years;
    let fixed_fits = match described.look {
        LoadLook::Hidden | LoadLook::LiftsOut => true,
        // Its load cannot be taken out: it only passes through, loaded.
        LoadLook::Fixed(fixed) => {
            fixed.commodity == Some(lane.commodity)
                && matches!((lane.from, lane.to), (LaneEnd::Beyond(..), LaneEnd::Beyond(..)))
        }
    };
    let heaviest = described.light + lading.tons.unwrap_or(described.capacity);
    let passing = network.passing(car, heaviest);
    described.existence.on(network.date())
        && described.visits.one_in > 0
        && (described.assigned.is_none() || serves(lane.from) || serves(lane.to))
        && described.grade >= lading.grade
        && (!lading.clean || !dirty || can_be_cleaned(network, lane))
        && first.is_none_or(|first| first <= year)
        && last.is_none_or(|last| year <= last)
        && fixed_fits
        && stands(network, lane, car, &passing)
}

/// Whether a dirty car can be cleaned before it is loaded for a lane: here, and not beyond.
fn can_be_cleaned(network: &Network<'_>, lane: &Lane) -> bool {
    matches!(lane.from, LaneEnd::Industry(_)) && !offering(network, Service::Clean).is_empty()
}

/// Whether some spot of each end that is on the layout takes the car, loaded.
fn stands(network: &Network<'_>, lane: &Lane, car: CarIx, passing: &Passing) -> bool {
    let layout = network.layout();
    [load_spots(layout, lane), unload_spots(layout, lane)].into_iter().all(|spots| {
        spots.is_empty()
            || spots.iter().any(|target| {
                let track = layout.track_of(*target);
                let room = target.spot().and_then(|spot| layout.spots()[spot].length);
                network.takes(track, car, passing.weight)
                    && passing.length <= layout.tracks()[track].length
                    && room.is_none_or(|room| passing.length <= room)
            })
    })
}

/// Whether jobs take a car of this size all the way: empty from a place to where it is loaded, and
/// loaded on to the lane's other end.
pub(super) fn gets_there(network: &Network<'_>, lane: &Lane, car: CarIx, from: PlaceIx) -> bool {
    let layout = network.layout();
    let described = &layout.cars()[car];
    let lading = &layout.commodities()[lane.commodity];
    let empty = network.passing(car, described.light);
    let loaded = network.passing(car, described.light + lading.tons.unwrap_or(described.capacity));
    if network.passes_everywhere(&loaded) {
        return true; // most cars do
    }
    let place = |target: &SpotTarget| layout.place_of(*target);
    let begins: Vec<PlaceIx> = match lane.from {
        LaneEnd::Industry(_) => load_spots(layout, lane).iter().map(place).collect(),
        LaneEnd::Beyond(..) => vec![from],
    };
    let ends: Vec<PlaceIx> = match lane.to {
        LaneEnd::Industry(_) => unload_spots(layout, lane).iter().map(place).collect(),
        LaneEnd::Beyond(gateway, _) => {
            layout.gateways()[gateway].takes.iter().map(|track| layout.tracks()[*track].place).collect()
        }
    };
    begins.iter().any(|begin| {
        network.jobs_take(&empty, from, *begin)
            && ends.iter().any(|end| network.jobs_take(&loaded, *begin, *end))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;
    use crate::testing::{branch, car, track};
    use crate::units::Date;

    /// Flour from beyond the yard to a spur at the end of the line, with the keys of that spur and
    /// of the link that leads there.
    fn end_of_the_line(spur: &str, link: &str) -> Layout {
        branch(
            1,
            &format!(
                r#"
[place.end]
name = "End"
railroad = "CHT"
track.mill = {{ use = "spur", opens = "west", {spur} }}
[[link]]
between = ["town", "end"]
minutes = 2
{link}
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "end"
receives.flour = ["mill"]
[[lane]]
commodity = "flour"
from = "away"
to = "mill"
carloads = "1 a week"
"#
            ),
        )
    }

    fn answers(layout: &Layout) -> (bool, bool) {
        let network = Network::new(layout, Date::new(1978, 10, 2).unwrap());
        let lane = &layout.lanes()[Ix::new(0)];
        let yard = layout.tracks()[track(layout, "yard/in")].place;
        (fits(&network, lane, car(1), false), gets_there(&network, lane, car(1), yard))
    }

    #[test]
    fn a_car_longer_than_the_only_track_of_its_customer_does_not_fit() {
        // The car has 44 ft.
        assert_eq!(answers(&end_of_the_line("length = \"44 scale ft\"", "")), (true, true));
        assert_eq!(answers(&end_of_the_line("length = \"43 scale ft\"", "")), (false, true));
    }

    #[test]
    fn a_car_too_long_for_a_link_on_the_only_way_does_not_get_there() {
        let spur = "length = \"60 scale ft\"";
        assert_eq!(answers(&end_of_the_line(spur, "max_car = \"44 ft\"")), (true, true));
        assert_eq!(answers(&end_of_the_line(spur, "max_car = \"43 ft\"")), (true, false));
    }
}
