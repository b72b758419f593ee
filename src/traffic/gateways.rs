//! Cars that leave the layout, those that come back, and the room for them.
//!
//! A car that is beyond a gateway comes back by it after its time, when an order wants it; if that
//! gateway cannot bring it, or the load comes from beyond another, it goes round by the rest of the
//! world and stays away as long as both ask. So that what a gateway brings and takes balances over
//! time (rule 10), one that has taken more than it brought brings cars back empty, those that have a
//! home elsewhere, the longest away first.

use super::release::{finish, take_off};
use super::{Demand, Hand};
use crate::ids::{CarIx, CommodityIx, GatewayIx, TrackIx};
use crate::layout::{Lane, LaneEnd, Layout, LoadLook};
use crate::network::Network;
use crate::standing::{Away, Condition, Standing, Whereabouts};
use crate::units::Length;

/// The gateway a car goes home through: its own, else its railroad's.
pub fn home_of(layout: &Layout, car: CarIx) -> Option<GatewayIx> {
    let car = &layout.cars()[car];
    car.home.or_else(|| car.railroad.and_then(|railroad| layout.railroads()[railroad].beyond))
}

/// The sessions that a car stays away beyond a gateway.
pub(super) fn stay(layout: &Layout, gateway: GatewayIx) -> i32 {
    i32::try_from(layout.gateways()[gateway].back.count()).unwrap_or(i32::MAX)
}

/// The gateways by which a car off the layout may come for a lane, the likeliest first, each with the
/// sessions that it stays away if it does. Those that nothing speaks for are left out unless they are asked for.
pub(super) fn ways_in(
    network: &Network<'_>,
    lane: &Lane,
    car: CarIx,
    (at, any): (Whereabouts, bool),
) -> impl Iterator<Item = (GatewayIx, i32)> {
    let layout = network.layout();
    let rest = move |gateway: GatewayIx| match at {
        Whereabouts::Beyond(out) if out != gateway => stay(layout, out).saturating_add(stay(layout, gateway)),
        _ => stay(layout, gateway),
    };
    let (likely, others) = match lane.from {
        LaneEnd::Beyond(gateway, _) => ([Some(gateway), None, None], false),
        LaneEnd::Industry(_) => {
            let here = if let Whereabouts::Beyond(out) = at { Some(out) } else { None };
            let to = if let LaneEnd::Beyond(to, _) = lane.to { Some(to) } else { None };
            ([here, home_of(layout, car), to], any)
        }
    };
    let first = (0..likely.len()).filter(move |at| !likely[..*at].contains(&likely[*at]));
    // Asked for every car that is away: where no other gateway counts, none is looked at.
    let looked_at = if others { layout.gateways().len() } else { 0 };
    let others = layout.gateways().indices().take(looked_at);
    let others = others.filter(move |gateway| !likely.contains(&Some(*gateway)));
    first.filter_map(move |at| likely[at]).chain(others).map(move |gateway| (gateway, rest(gateway)))
}

/// Brings cars back empty by gateways that have taken more than they brought.
pub(super) fn bring_back(network: &Network<'_>, demand: &mut Demand, session: i32) {
    let layout = network.layout();
    for (gateway, described) in layout.gateways().iter() {
        let passed = demand.standing.passed[gateway];
        let tonight =
            demand.hands.iter().filter(|hand| matches!(hand, Hand::Placed(_, _, by, _) if *by == gateway));
        let limit =
            described.limit.map_or(usize::MAX, |limit| usize::try_from(limit.count()).unwrap_or(usize::MAX));
        let owed = usize::try_from(passed.delivered.saturating_sub(passed.received)).unwrap_or(usize::MAX);
        let most = owed.min(limit.saturating_sub(tonight.count()));
        if most == 0 {
            continue;
        }
        for car in to_return(network, &demand.standing, gateway, session).into_iter().take(most) {
            let Some(track) = room_at(network, &demand.standing, gateway, car) else { break };
            place(demand, session, (car, track, gateway), None);
        }
    }
}

/// The cars beyond a gateway that have their home by another one that is there, and have been away for twice
/// its time, so that the road there could have loaded them; the longest away first.
fn to_return(network: &Network<'_>, standing: &Standing, gateway: GatewayIx, session: i32) -> Vec<CarIx> {
    let layout = network.layout();
    let back = i32::try_from(layout.gateways()[gateway].back.count()).unwrap_or(i32::MAX);
    let home = |car| home_of(layout, car).filter(|home| *home != gateway);
    let is_there = |home: GatewayIx| layout.gateways()[home].existence.on(network.date());
    let mut cars: Vec<(i32, CarIx)> = standing
        .cars()
        .filter(|(_, state)| state.whereabouts() == Whereabouts::Beyond(gateway))
        .filter(|(_, state)| state.since.saturating_add(back.saturating_mul(2)) <= session)
        .filter(|(car, _)| home(*car).is_some_and(is_there) && may_run(network, *car))
        .map(|(car, state)| (state.since, car))
        .collect();
    cars.sort_unstable();
    cars.into_iter().map(|(_, car)| car).collect()
}

/// Whether a car may come onto the layout empty: it exists, is in its years, comes whenever it is wanted, and its
/// load is not glued in.
fn may_run(network: &Network<'_>, car: CarIx) -> bool {
    let described = &network.layout().cars()[car];
    let year = network.date().year();
    let (first, last) = described.years;
    described.existence.on(network.date())
        && described.visits.one_in == 1
        && !matches!(described.look, LoadLook::Fixed(_))
        && first.is_none_or(|first| first <= year)
        && last.is_none_or(|last| year <= last)
}

/// Lifts what stands on a gateway's tracks and is bound out through it.
pub(super) fn lift(network: &Network<'_>, demand: &mut Demand, session: i32) {
    let layout = network.layout();
    let told = demand.news.len();
    for (gateway, described) in layout.gateways().iter() {
        if !described.existence.on(network.date()) {
            continue;
        }
        for track in &described.takes {
            for car in demand.standing.on(*track).to_vec() {
                if goes_out(layout, &demand.standing, car, gateway) {
                    lift_car(layout, demand, session, (car, *track, gateway));
                }
            }
        }
    }
    take_off(demand, told);
}

fn lift_car(
    layout: &Layout,
    demand: &mut Demand,
    session: i32,
    (car, track, gateway): (CarIx, TrackIx, GatewayIx),
) {
    demand.standing.take_away(car, Away::Beyond(gateway));
    demand.standing.passed[gateway].delivered += 1;
    let state = demand.standing.car_mut(car);
    let before = std::mem::replace(&mut state.condition, Condition::Empty);
    state.since = session;
    state.services_done = 0;
    state.bad_order = false; // its owner's shop sees to it before it comes back
    (state.repaired, state.placed) = (None, None);
    state.dirty = false;
    demand.hands.push(Hand::Lifted(car, track, gateway));
    if let Condition::Loaded { order, lading: _ } = before {
        let name = &layout.gateways()[gateway].name;
        finish(demand, &order, format!("went out by {name} in {}", layout.cars()[car].id));
    }
}

/// Whether a car on one of a gateway's tracks is bound out through it.
fn goes_out(layout: &Layout, standing: &Standing, car: CarIx, gateway: GatewayIx) -> bool {
    let state = standing.car(car);
    match &state.condition {
        Condition::Empty => home_of(layout, car).or(state.came_by).is_none_or(|home| home == gateway),
        Condition::Loaded { order, lading: _ } => {
            let lane = standing.order(order).map(|open| &layout.lanes()[open.lane]);
            lane.is_some_and(|lane| {
                matches!(lane.to, LaneEnd::Beyond(to, _) if to == gateway)
                    && usize::try_from(state.services_done).is_ok_and(|done| done >= lane.on_the_way.len())
            })
        }
        Condition::Ordered { .. } | Condition::Loading { .. } | Condition::Unloading { .. } => false,
    }
}

/// Puts a car onto one of a gateway's tracks.
pub(super) fn place(
    demand: &mut Demand,
    session: i32,
    (car, track, gateway): (CarIx, TrackIx, GatewayIx),
    lading: Option<CommodityIx>,
) {
    demand.standing.put(car, track, None);
    demand.standing.passed[gateway].received += 1;
    let state = demand.standing.car_mut(car);
    state.came_by = Some(gateway);
    state.since = session;
    demand.hands.push(Hand::Placed(car, track, gateway, lading));
}

/// The first of a gateway's tracks with room for a car that it takes.
pub(super) fn room_at(
    network: &Network<'_>,
    standing: &Standing,
    gateway: GatewayIx,
    car: CarIx,
) -> Option<TrackIx> {
    let layout = network.layout();
    let described = &layout.gateways()[gateway];
    let length = layout.cars()[car].length;
    described.existence.on(network.date()).then_some(())?;
    described.gives.iter().copied().find(|track| {
        let on: Length = standing.on(*track).iter().map(|on| layout.cars()[*on].length).sum();
        // A loaded car is the heavier case: a track that takes it loaded takes it empty.
        let heaviest = layout.cars()[car].light + layout.cars()[car].capacity;
        network.takes(*track, car, heaviest) && on + length <= layout.tracks()[*track].length
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;
    use crate::ids::Ix;
    use crate::standing::Passed;
    use crate::testing::{branch_text, car, layout};
    use crate::traffic::due;
    use crate::units::Date;

    /// A quay beyond the town besides the gateway at the yard, where all cars have their home.
    const QUAY: &str = r#"
[place.port]
name = "Port"
railroad = "CHT"
track.x1 = { use = "interchange", length = "100 scale ft", opens = "west" }
track.x2 = { use = "interchange", length = "100 scale ft", opens = "west" }
[[link]]
between = ["town", "port"]
minutes = 3
[gateway.quay]
name = "Quay"
kind = "interchange"
gives = "port/x1"
takes = "port/x2"
back = "3 days"
"#;

    fn quay(standing: &Standing) -> usize {
        standing.cars().filter(|(_, state)| state.came_by == Some(Ix::new(1))).count()
    }

    /// Five cars out beyond the quay since session 1, of which it has brought some; how many it brings
    /// in each of the sessions 2 to 12 while nothing else happens.
    fn brought(received: u32) -> Vec<usize> {
        let layout = layout(&branch_text(5, QUAY));
        let mut standing = Standing::shelved(&layout);
        let quay_ix = GatewayIx::new(1);
        for number in 1..=5 {
            standing.take_away(car(number), Away::Beyond(quay_ix));
            standing.car_mut(car(number)).since = 1;
        }
        standing.passed[quay_ix] = Passed { received, delivered: 5 };
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let sessions = (2..=12).map(|session| {
            let before = quay(&standing);
            standing = due(&network, &standing, session, Chance::new(1)).standing;
            quay(&standing) - before
        });
        sessions.collect()
    }

    #[test]
    fn a_gateway_that_took_more_than_it_brought_brings_empties_back_after_twice_its_time() {
        // From session 7 on, 1 + 2 x 3; two cars of 44 ft fit on its track of 100 ft, and nothing takes them on.
        assert_eq!(brought(0), [0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0]);
        assert_eq!(brought(4), [0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0]);
        assert_eq!(brought(5), [0; 11]);
    }

    #[test]
    fn a_car_that_goes_round_by_another_gateway_stays_away_as_long_as_both_ask() {
        let more = "[commodity.flour]\ncars = [\"XM\"]\n[industry.mill]\nname = \"Mill\"\nplace = \"town\"\n\
                    ships.flour = [\"mill/door 1\"]\n[[lane]]\ncommodity = \"flour\"\nfrom = \"mill\"\n\
                    to = \"away\"\ncarloads = \"1 a week\"\n";
        let layout = layout(&branch_text(1, &format!("{QUAY}{more}")));
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let lane = &layout.lanes()[Ix::new(0)];
        let (away, quay) = (GatewayIx::new(0), GatewayIx::new(1));
        let ways = |at| ways_in(&network, lane, car(1), (at, true)).collect::<Vec<_>>();
        assert_eq!(ways(Whereabouts::Beyond(quay)), [(quay, 3), (away, 5)]);
        assert_eq!(ways(Whereabouts::Beyond(away)), [(away, 2), (quay, 5)]);
    }
}
