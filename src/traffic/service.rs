//! The car service rules: which road's empty is loaded first.
//!
//! Cars of other roads are to be loaded toward their owners before a road sends its own cars off its
//! line. The order of preference is that of the rules of the 1950s to 1980s, in our own words and
//! partly from memory; that about two loadings in three kept to them is what a survey of the
//! early 1950s found, as a historian of freight cars tells it.

use super::gateways::home_of;
use super::wishes::{load_spots, unload_spots};
use crate::chance::Chance;
use crate::ids::{CarIx, GatewayIx, PlaceIx};
use crate::layout::{CarService, Lane, LaneEnd, Layout};
use crate::network::Network;
use crate::standing::Order;

/// What the rules say of a car for a lane that is loaded on the layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Class {
    /// Assigned to one of the lane's customers, or chosen by the road beyond: outside the rules.
    Outside,
    /// A foreign car, and the load goes to its owner's road.
    ToItsOwner,
    /// A foreign car, and the load goes out by the gateway that it goes home through.
    OnItsWayHome,
    /// A foreign car, and the load goes out by another gateway, nearer its home than where it begins.
    OutNearerHome,
    /// A foreign car, and the load stays on the layout, nearer its home than where it begins.
    HereNearerHome,
    /// A car of the home road, or a private one.
    Own,
    /// A foreign car, and the load takes it no nearer home.
    Against,
}

impl Class {
    /// Its place in the rules: 1 to 4 foreign cars, 5 the road's own, 6 against them.
    pub(super) const fn number(self) -> u32 {
        self as u32
    }

    /// In words for the host, said of a car that was chosen.
    pub(super) const fn words(self, strict: bool) -> Option<&'static str> {
        match (self, strict) {
            (Class::ToItsOwner, _) => Some("a load to its owner's road"),
            (Class::OnItsWayHome, _) => Some("a load on its way home"),
            (Class::OutNearerHome | Class::HereNearerHome, _) => Some("a load that brings it nearer home"),
            (Class::Against, true) => Some("against the car service rules, for want of another"),
            (Class::Against, false) => Some("against the car service rules, as about one loading in three"),
            (Class::Outside | Class::Own, _) => None,
        }
    }
}

/// What the rules say of a car for a lane. A car without a home goes home the way it came.
pub(super) fn class(network: &Network<'_>, lane: &Lane, car: CarIx, came_by: Option<GatewayIx>) -> Class {
    let layout = network.layout();
    let described = &layout.cars()[car];
    if described.assigned.is_some() || matches!(lane.from, LaneEnd::Beyond(..)) {
        return Class::Outside;
    }
    let Some(owner) = described.railroad.filter(|owner| !layout.railroads()[*owner].home) else {
        return Class::Own;
    };
    let home = home_of(layout, car).or(came_by);
    match lane.to {
        LaneEnd::Beyond(to, _) if layout.gateways()[to].railroad == Some(owner) => Class::ToItsOwner,
        LaneEnd::Beyond(to, _) if home == Some(to) => Class::OnItsWayHome,
        LaneEnd::Beyond(..) if nearer(network, lane, home) => Class::OutNearerHome,
        LaneEnd::Industry(_) if nearer(network, lane, home) => Class::HereNearerHome,
        LaneEnd::Beyond(..) | LaneEnd::Industry(_) => Class::Against,
    }
}

/// Whether a lane ends nearer the gateway a car goes home through than it begins, over the links.
fn nearer(network: &Network<'_>, lane: &Lane, home: Option<GatewayIx>) -> bool {
    let layout = network.layout();
    let home = home.and_then(|home| layout.gateways()[home].takes.first());
    let Some(home) = home.map(|track| layout.tracks()[*track].place) else { return false };
    let begins = load_spots(layout, lane).first().map(|target| layout.place_of(*target));
    match (begins, end_of(layout, lane)) {
        (Some(begins), Some(ends)) => network.distance(ends, home) < network.distance(begins, home),
        _ => false,
    }
}

/// Where a lane ends on the layout: its customer's first spot, or the gateway's first track.
fn end_of(layout: &Layout, lane: &Lane) -> Option<PlaceIx> {
    match lane.to {
        LaneEnd::Industry(_) => unload_spots(layout, lane).first().map(|target| layout.place_of(*target)),
        LaneEnd::Beyond(gateway, _) => {
            layout.gateways()[gateway].takes.first().map(|track| layout.tracks()[*track].place)
        }
    }
}

/// Of so many orders so many are bound to keep the rules where two loadings in three should: the others happen to keep them
/// in four or five cases of ten, with what is nearest to hand (measured by `tests/outside/car_service.py`).
const BOUND: (u64, u64) = (2, 5);

/// Whether an order is bound to keep the rules.
pub(super) fn strict(layout: &Layout, order: &Order, chance: Chance) -> bool {
    match layout.settings().car_service {
        CarService::ByTheBook => true,
        CarService::TwoThirds => chance.stream("car service", order.id.as_str()).below(BOUND.1) < BOUND.0,
        CarService::Off => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;
    use crate::testing::{branch, car};
    use crate::units::Date;

    /// A line yard – town – port: the home road goes out at the yard, GLN at the yard, too, by its own
    /// gateway, CPQ at the port. Car 1 is the home road's, 2 of CPQ, 3 of GLN, 4 of ORV, which has no home gateway and came by
    /// the one named, 5 private.
    fn classes(to: &str, came_by: &str) -> Vec<u32> {
        let layout = branch(1, &format!("{PORT}to = \"{to}\"\ncarloads = \"1 a week\"\n"));
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let lane = &layout.lanes()[Ix::new(0)];
        let came_by =
            layout.gateways().iter().find(|(_, gateway)| gateway.id.as_str() == came_by).map(|(ix, _)| ix);
        (1..=5).map(|number| class(&network, lane, car(number), came_by).number()).collect()
    }

    const PORT: &str = r#"
[[car]]
mark = "GLN"
number = 3
type = "XM"
[[car]]
mark = "CPQ"
number = 2
type = "XM"
[[car]]
mark = "PRVX"
number = 5
type = "XM"
owner = "Somebody"
[[car]]
mark = "ORV"
number = 4
type = "XM"
[railroad.ORV]
name = "Orvane & Dell"
[railroad.GLN]
name = "Great Lakes Northern"
beyond = "lakes"
[railroad.CPQ]
name = "Carrow Point & Quay"
beyond = "quay"
[place.port]
name = "Port"
railroad = "CHT"
track.x = { use = "interchange", length = "200 scale ft", opens = "both" }
track.dock = { use = "spur", length = "100 scale ft", opens = "west" }
[[link]]
between = ["town", "port"]
minutes = 3
[gateway.lakes]
name = "Lakes"
kind = "interchange"
railroad = "GLN"
takes = "yard/out"
gives = "yard/in"
[gateway.quay]
name = "Quay"
kind = "interchange"
takes = "port/x"
gives = "port/x"
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
ships.flour = ["mill/door 1"]
[industry.pier]
name = "Pier"
place = "port"
receives.flour = ["dock"]
[[lane]]
commodity = "flour"
from = "mill"
"#;

    #[test]
    fn a_load_to_the_owners_road_comes_first_and_one_that_leads_away_last() {
        // Out to the road GLN: its own car first, the home road's and the private one fifth, the quay's is led away.
        assert_eq!(classes("lakes", ""), [5, 6, 1, 6, 5]);
        // Out at the port, a gateway that is no road's: the car that goes home by it second.
        assert_eq!(classes("quay", ""), [5, 2, 6, 6, 5]);
        // Out by the home road's gateway at the yard, where GLN goes home, too: nearer than the town.
        assert_eq!(classes("away", ""), [5, 6, 3, 6, 5]);
    }

    #[test]
    fn a_load_that_stays_on_the_layout_may_bring_a_foreign_car_nearer_home() {
        assert_eq!(classes("pier", ""), [5, 4, 6, 6, 5]);
    }

    #[test]
    fn a_car_without_a_home_goes_home_the_way_it_came() {
        assert_eq!(classes("quay", "quay"), [5, 2, 6, 2, 5]);
        assert_eq!(classes("away", "lakes"), [5, 6, 3, 3, 5]);
        assert_eq!(classes("pier", "quay"), [5, 4, 6, 4, 5]);
    }
}
