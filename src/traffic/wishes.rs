//! Where every car on the layout wants to go.

use super::gateways::home_of;
use super::repair::{held_under_load, repair_tracks};
use super::{Demand, Hand, Purpose, Stage, Urgency, Why, Wish};
use crate::ids::{CarIx, CommodityIx, GatewayIx, Id, IndustryIx, LaneIx, SpotIx, TrackIx};
use crate::layout::{Lane, LaneEnd, Layout, Service, SpotTarget, TrackUse, track_words};
use crate::network::Network;
use crate::standing::{CarState, Condition, Standing};

/// Where a lane is loaded on the layout; nothing if it comes from beyond.
pub(super) fn load_spots<'l>(layout: &'l Layout, lane: &Lane) -> &'l [SpotTarget] {
    match lane.from {
        LaneEnd::Industry(industry) => layout.industries()[industry].loads_at(lane.commodity),
        LaneEnd::Beyond(..) => &[],
    }
}

/// Where a lane is unloaded on the layout; nothing if it goes beyond.
pub(super) fn unload_spots<'l>(layout: &'l Layout, lane: &Lane) -> &'l [SpotTarget] {
    match lane.to {
        LaneEnd::Industry(industry) => layout.industries()[industry].unloads_at(lane.commodity),
        LaneEnd::Beyond(..) => &[],
    }
}

/// Whether a car that stands on a track, at a spot or none, is at one of these.
pub(super) fn is_spot(targets: &[SpotTarget], track: Option<TrackIx>, spot: Option<SpotIx>) -> bool {
    targets.iter().any(|target| match target {
        SpotTarget::Spot(wanted) => spot == Some(*wanted),
        SpotTarget::Track(wanted) => track == Some(*wanted),
    })
}

/// Adds a wish for every car that has somewhere to go, the most urgent first.
pub(super) fn wishes(network: &Network<'_>, demand: &mut Demand) {
    let mut wishes: Vec<Wish> = demand
        .standing
        .cars()
        .filter(|(_, state)| state.track().is_some_and(|track| network.has_track(track)))
        .filter_map(|(car, state)| wish(network, &demand.standing, car, state))
        .collect();
    wishes.sort_by_key(|wish| wish.urgency);
    demand.wishes = wishes;
}

/// Does what is asked for to cars that stand where it is offered already.
pub(super) fn serve_in_place(network: &Network<'_>, demand: &mut Demand) {
    let layout = network.layout();
    let cars: Vec<(CarIx, TrackIx)> =
        demand.standing.cars().filter_map(|(car, state)| Some((car, state.track()?))).collect();
    for (car, track) in cars {
        let offers = &layout.tracks()[track].offers;
        if held_under_load(&demand.standing, car) {
            continue;
        }
        while let Some(service) = next_service(layout, &demand.standing, car) {
            if !offers.contains(&service) {
                break;
            }
            demand.standing.car_mut(car).services_done += 1;
            demand.hands.push(Hand::Served(car, track, service));
        }
    }
}

fn next_service(layout: &Layout, standing: &Standing, car: CarIx) -> Option<Service> {
    let state = standing.car(car);
    let Condition::Loaded { order, lading: _ } = &state.condition else { return None };
    let lane = &layout.lanes()[standing.order(order)?.lane];
    lane.on_the_way.get(usize::try_from(state.services_done).ok()?).copied()
}

/// What a car wants before anything else is asked.
struct Want {
    stages: Vec<Stage>,
    customer: Option<(IndustryIx, CommodityIx)>,
    set: Option<(LaneIx, u32)>,
    promised: bool,
    since: i32,
    bound: String,
    why: Why,
}

fn wish(network: &Network<'_>, standing: &Standing, car: CarIx, state: &CarState) -> Option<Wish> {
    let layout = network.layout();
    let want = match &state.condition {
        Condition::Empty | Condition::Loaded { .. } if state.bad_order => repair(network, standing, car)?,
        Condition::Empty => empty(network, car, state)?,
        Condition::Ordered { order } | Condition::Loaded { order, lading: _ } => {
            with_order(network, standing, order, state)?
        }
        Condition::Loading { .. } | Condition::Unloading { .. } => return None,
    };
    let first = want.stages.first()?;
    if is_spot(&first.goals, state.track(), state.spot()) {
        return None;
    }
    let on_spur = state.track().is_some_and(|track| layout.tracks()[track].usage == TrackUse::Spur);
    let urgency = Urgency {
        clears_a_spot: u32::from(
            !on_spur || state.waiting_since.is_some() || waits_near(layout, state, &want),
        ),
        promised: u32::from(!want.promised),
        since: state.waiting_since.unwrap_or(want.since),
        set: want.set,
        car,
    };
    Some(Wish {
        car,
        stages: want.stages,
        customer: want.customer,
        kept_off: None,
        urgency,
        bound: want.bound.into(),
        why: want.why,
    })
}

/// Whether a car stands on a track beside the spot it waits for.
fn waits_near(layout: &Layout, state: &CarState, want: &Want) -> bool {
    let Some(track) = state.track().filter(|track| layout.tracks()[*track].off_spot) else { return false };
    let place = layout.tracks()[track].place;
    let here = |goal: &SpotTarget| layout.place_of(*goal) == place;
    let last = want.stages.last().filter(|stage| matches!(stage.purpose, Purpose::Load | Purpose::Unload));
    state.spot().is_none() && last.is_some_and(|stage| stage.goals.iter().any(here))
}

/// A car that serves an order: to be loaded, or to be delivered.
fn with_order(network: &Network<'_>, standing: &Standing, order: &Id, state: &CarState) -> Option<Want> {
    let layout = network.layout();
    let order = standing.order(order)?;
    let lane = &layout.lanes()[order.lane];
    let lading = &layout.commodities()[lane.commodity];
    let (end, last) = match (state.condition.lading(), lane.to) {
        (None, _) => (lane.from, Stage { purpose: Purpose::Load, goals: load_spots(layout, lane).to_vec() }),
        (Some(_), LaneEnd::Industry(_)) => {
            (lane.to, Stage { purpose: Purpose::Unload, goals: unload_spots(layout, lane).to_vec() })
        }
        (Some(_), LaneEnd::Beyond(gateway, _)) => {
            (lane.to, Stage { purpose: Purpose::GoBeyond(gateway), goals: ways_out(network, gateway) })
        }
    };
    let mut stages: Vec<Stage> = Vec::new();
    if state.condition.lading().is_some() {
        let done = usize::try_from(state.services_done).unwrap_or(usize::MAX);
        for service in lane.on_the_way.get(done..).unwrap_or_default() {
            stages.push(Stage { purpose: Purpose::Serve(*service), goals: offering(network, *service) });
        }
    } else if lading.clean && state.dirty {
        stages
            .push(Stage { purpose: Purpose::Mend(Service::Clean), goals: offering(network, Service::Clean) });
    }
    stages.push(last);
    let promised = layout.goes_first(lane);
    let customer = match end {
        LaneEnd::Industry(industry) => Some((industry, lane.commodity)),
        LaneEnd::Beyond(..) => None,
    };
    let set = (lane.together > 1).then_some((order.lane, order.set));
    let bound = end_words(layout, end);
    Some(Want { stages, customer, set, promised, since: order.due, bound, why: Why::Order })
}

pub(super) fn offering(network: &Network<'_>, service: Service) -> Vec<SpotTarget> {
    let tracks = network.layout().tracks().iter();
    let offers = tracks.filter(|(ix, track)| network.has_track(*ix) && track.offers.contains(&service));
    offers.map(|(ix, _)| SpotTarget::Track(ix)).collect()
}

/// The tracks from which a gateway takes cars.
fn ways_out(network: &Network<'_>, gateway: GatewayIx) -> Vec<SpotTarget> {
    let described = &network.layout().gateways()[gateway];
    if !described.existence.on(network.date()) {
        return Vec::new();
    }
    let built = described.takes.iter().copied().filter(|track| network.has_track(*track));
    built.map(SpotTarget::Track).collect()
}

fn repair(network: &Network<'_>, standing: &Standing, car: CarIx) -> Option<Want> {
    let state = standing.car(car);
    let goals = repair_tracks(network, standing, car);
    if goals.is_empty() {
        // With a load in it, it goes nowhere.
        state.condition.lading().is_none().then_some(())?;
        return empty(network, car, state);
    }
    let layout = network.layout();
    let bound = match goals.as_slice() {
        [SpotTarget::Track(only)] => {
            let track = &layout.tracks()[*only];
            format!("{}, {}", layout.places()[track.place].title, track_words(&track.name, &track.id))
        }
        _ => "a repair track".to_owned(),
    };
    let stages = vec![Stage { purpose: Purpose::Mend(Service::Repair), goals }];
    let (since, why) = (state.since, Why::Repair);
    Some(Want { stages, customer: None, set: None, promised: false, since, bound, why })
}

/// An empty without an order goes home by its gateway; one that has no way home waits out of the
/// way of customers.
fn empty(network: &Network<'_>, car: CarIx, state: &CarState) -> Option<Want> {
    let layout = network.layout();
    if layout.cars()[car].visits.one_in == 0 {
        return None; // a work car, moved by hand alone
    }
    let home = home_of(layout, car).or(state.came_by).map(|gateway| (gateway, ways_out(network, gateway)));
    let (purpose, goals, bound, way_home) = match home {
        Some((gateway, goals)) if !goals.is_empty() => {
            let bound = format!("home by {}", layout.gateways()[gateway].name);
            (Purpose::GoBeyond(gateway), goals, bound, true)
        }
        _ => {
            let in_the_way = state.track().is_some_and(|track| !layout.tracks()[track].usage.keeps_cars());
            in_the_way.then_some(())?;
            let keeps = layout.tracks().iter().filter(|(ix, track)| {
                network.has_track(*ix) && matches!(track.usage, TrackUse::Storage | TrackUse::Yard)
            });
            let goals = keeps.map(|(ix, _)| SpotTarget::Track(ix)).collect();
            (Purpose::Wait, goals, "a yard, to wait".to_owned(), false)
        }
    };
    let stages = vec![Stage { purpose, goals }];
    Some(Want {
        stages,
        customer: None,
        set: None,
        promised: false,
        since: state.since,
        bound,
        why: Why::NoOrder { bad_order: state.bad_order, way_home },
    })
}

/// An end of a lane, in words: the customer with its place, or the gateway with its city.
pub fn end_words(layout: &Layout, end: LaneEnd) -> String {
    match end {
        LaneEnd::Industry(industry) => {
            let industry = &layout.industries()[industry];
            format!("{}, {}", industry.name, layout.places()[industry.place].title)
        }
        LaneEnd::Beyond(gateway, city) => {
            let gateway = &layout.gateways()[gateway];
            let city = city.and_then(|city| gateway.beyond.get(usize::try_from(city).ok()?));
            match city {
                Some(city) if *city != gateway.name => format!("{city} by {}", gateway.name),
                _ => gateway.name.to_string(),
            }
        }
    }
}
