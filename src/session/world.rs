//! The parts of the layout that a replay needs, in the words of the plan.

use std::collections::BTreeMap;

use crate::ids::{Id, IxVec, RailroadIx, TrackIx};
use crate::layout::{Car, Commodity, Gateway, Layout, Limits, LoadLook, Railroad};
use crate::network::Network;
use crate::standing::{Standing, Whereabouts};

use super::plan::{
    OpenOrder, RowCar, Rows, World, WorldApart, WorldCar, WorldCommodity, WorldGateway, WorldJob,
    WorldLimits, WorldLink, WorldPlacards, WorldPlace, WorldRailroad, WorldSpot, WorldTrack,
};

/// The layout as it is on the network's day.
pub(super) fn world(network: &Network<'_>) -> World {
    let layout = network.layout();
    let places = layout.places().iter().filter(|(ix, _)| network.has_place(*ix));
    let links = layout.links().values().filter(|link| {
        link.existence.on(network.date()) && network.has_place(link.west) && network.has_place(link.east)
    });
    World {
        places: places
            .map(|(_, place)| WorldPlace {
                id: place.id.clone(),
                title: place.title.clone(),
                lead_west: place.lead.west,
                lead_east: place.lead.east,
                limits: limits(place.limits),
            })
            .collect(),
        tracks: tracks(network),
        links: links
            .map(|link| WorldLink {
                west: layout.places()[link.west].id.clone(),
                east: layout.places()[link.east].id.clone(),
                seconds: link.minutes,
                limits: limits(link.limits),
            })
            .collect(),
        jobs: jobs(network),
        cars: layout.cars().values().map(|car| car_line(layout, car)).collect(),
        railroads: layout
            .railroads()
            .values()
            .map(|road| WorldRailroad { id: road.id.clone(), home: road.home })
            .collect(),
        placards: placards(layout),
        gateways: layout
            .gateways()
            .values()
            .filter(|gateway| gateway.existence.on(network.date()))
            .map(|gateway| gateway_line(layout, gateway))
            .collect(),
        commodities: layout.commodities().values().map(|kind| commodity_line(layout, kind)).collect(),
    }
}

fn car_line(layout: &Layout, car: &Car) -> WorldCar {
    let load = match &car.look {
        LoadLook::Hidden => None,
        LoadLook::LiftsOut => Some("lifts out".into()),
        LoadLook::Fixed(fixed) => Some(match fixed.commodity {
            Some(lading) => format!("fixed {}", layout.commodities()[lading].id).into(),
            None => "fixed".into(),
        }),
    };
    WorldCar {
        id: car.id.clone(),
        kind: layout.types()[car.kind].code.clone(),
        length: car.length,
        height: car.height,
        light: car.light,
        capacity: car.capacity,
        railroad: car.railroad.map(|road| layout.railroads()[road].id.clone()),
        home: car.home.map(|gateway| layout.gateways()[gateway].id.clone()),
        assigned: car.assigned.map(|customer| layout.industries()[customer].id.clone()),
        grade: car.grade,
        load,
    }
}

fn gateway_line(layout: &Layout, gateway: &Gateway) -> WorldGateway {
    let ids = |tracks: &[TrackIx]| tracks.iter().map(|track| layout.tracks()[*track].id.clone()).collect();
    WorldGateway {
        id: gateway.id.clone(),
        name: gateway.name.clone(),
        railroad: gateway.railroad.map(|road| layout.railroads()[road].id.clone()),
        takes: ids(&gateway.takes),
        gives: ids(&gateway.gives),
        limit: gateway.limit,
    }
}

fn commodity_line(layout: &Layout, kind: &Commodity) -> WorldCommodity {
    WorldCommodity {
        id: kind.id.clone(),
        cars: kind.cars.iter().map(|kind| layout.types()[*kind].code.clone()).collect(),
        grade: kind.grade,
        clean: kind.clean,
        soils: kind.soils,
        placard: kind.placard,
        tons: kind.tons,
    }
}

fn tracks(network: &Network<'_>) -> Vec<WorldTrack> {
    let layout = network.layout();
    let built = layout.tracks().iter().filter(|(ix, _)| network.has_track(*ix));
    let track = built.map(|(_, track)| WorldTrack {
        id: track.id.clone(),
        place: layout.places()[track.place].id.clone(),
        usage: track.usage.word().into(),
        length: track.length,
        working: track.working,
        opens: track.opens,
        behind: track.behind.map(|behind| layout.tracks()[behind].id.clone()),
        offers: track.offers.clone(),
        worked_by: ids(layout.railroads(), &track.worked_by),
        holds: track.holds.iter().map(|kind| layout.types()[*kind].code.clone()).collect(),
        off_spot: track.off_spot,
        spots: track
            .spots
            .iter()
            .map(|spot| &layout.spots()[*spot])
            .map(|spot| WorldSpot { id: spot.id.clone(), length: spot.length, cars: spot.cars })
            .collect(),
        limits: limits(track.limits),
    });
    track.collect()
}

fn jobs(network: &Network<'_>) -> Vec<WorldJob> {
    let layout = network.layout();
    let running: Vec<_> = network.jobs().collect();
    let job = running.iter().map(|ix| &layout.jobs()[*ix]).map(|job| WorldJob {
        id: job.id.clone(),
        name: job.name.clone(),
        railroad: layout.railroads()[job.railroad].id.clone(),
        on_duty: job.on_duty,
        after: job
            .after
            .iter()
            .filter(|ix| running.contains(ix))
            .map(|ix| layout.jobs()[*ix].id.clone())
            .collect(),
        calls: job.calls.iter().map(|call| layout.places()[call.place].id.clone()).collect(),
        power: job.power.length,
        caboose: job.power.caboose,
        engine: job.power.engine.clone(),
        crew: job.crew,
        max_cars: job.max.cars,
        max_length: job.max.length,
        max_tons: job.max.tons,
    });
    job.collect()
}

fn placards(layout: &Layout) -> Option<WorldPlacards> {
    let table = layout.placards();
    let ladings = layout.commodities().values();
    let groups: BTreeMap<Id, u32> =
        ladings.clone().filter_map(|lading| Some((lading.id.clone(), lading.placard?))).collect();
    let apart = table.apart.iter().map(|row| WorldApart {
        group: row.group,
        tank: row.tank,
        from: row.from.iter().map(|neighbour| neighbour.words().into()).collect(),
    });
    (table.apply && !groups.is_empty()).then(|| WorldPlacards {
        nearest: table.nearest,
        nearest_short: table.nearest_short,
        apart: apart.collect(),
        groups,
        shifts: ladings.filter(|lading| lading.shifts).map(|lading| lading.id.clone()).collect(),
        open: layout.types().values().filter(|kind| kind.open).map(|kind| kind.code.clone()).collect(),
    })
}

fn ids(railroads: &IxVec<RailroadIx, Railroad>, some: &[RailroadIx]) -> Vec<Id> {
    some.iter().map(|ix| railroads[*ix].id.clone()).collect()
}

const fn limits(limits: Limits) -> WorldLimits {
    WorldLimits { car: limits.car, height: limits.height, weight: limits.weight, at_once: limits.at_once }
}

/// Where every car is, in the words of the plan.
pub(super) fn rows(layout: &Layout, standing: &Standing) -> Rows {
    let row_car = |car| {
        let state = standing.car(car);
        RowCar {
            car: layout.cars()[car].id.clone(),
            spot: state.spot().map(|spot| layout.spots()[spot].id.clone()),
            lading: state.condition.lading().map(|lading| layout.commodities()[lading].id.clone()),
            bad_order: state.bad_order,
            dirty: state.dirty,
        }
    };
    let mut rows = Rows::default();
    let id = |car| layout.cars()[car].id.clone();
    let open = standing.orders.iter();
    rows.orders = open.map(|order| OpenOrder { id: order.id.clone(), car: order.car.map(id) }).collect();
    for (track, described) in layout.tracks().iter() {
        if !standing.on(track).is_empty() {
            let row = standing.on(track).iter().map(|car| row_car(*car)).collect();
            rows.tracks.insert(described.id.clone(), row);
        }
    }
    let mut beyond: BTreeMap<Id, Vec<RowCar>> = BTreeMap::new();
    for (car, state) in standing.cars() {
        match state.whereabouts() {
            Whereabouts::Track(..) => {}
            Whereabouts::Beyond(gateway) => {
                beyond.entry(layout.gateways()[gateway].id.clone()).or_default().push(row_car(car));
            }
            Whereabouts::Shelf => rows.shelf.push(row_car(car)),
        }
    }
    rows.beyond = beyond;
    rows
}
