//! Whether the world that a plan states is the layout on that day.
//!
//! The replay goes by the stated world, so that a program without the layout can do the same; this
//! room sees to it that nothing in there is better than it is.

use std::collections::BTreeMap;
use std::fmt::Debug;

use super::Found;
use super::facts::Facts;
use crate::ids::{CarIx, Id, Ix, IxVec, JobIx, LinkIx, PlaceIx, RailroadIx, TrackIx};
use crate::layout::{Existence, FixedLoad, Layout, Limits, LoadLook};
use crate::session::plan::{
    WorldApart, WorldCar, WorldCommodity, WorldGateway, WorldJob, WorldLimits, WorldLink, WorldPlacards,
    WorldPlace, WorldRailroad, WorldSpot, WorldTrack,
};

/// Compares the stated world with the layout.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let (plan, layout) = (facts.plan, facts.layout);
    let settings = layout.settings();
    if plan.layout != settings.name {
        found.say(0, format!("the plan is for the layout {}", plan.layout));
    }
    if plan.date != settings.days.of_session(plan.session) {
        found.say(0, format!("{} is not the day of session {}", plan.date, plan.session));
    }
    let there = |existence: Existence| existence.on(plan.date);
    let world = &plan.world;
    let places = layout.places().values().filter(|place| there(place.existence)).map(|place| WorldPlace {
        id: place.id.clone(),
        title: place.title.clone(),
        lead_west: place.lead.west,
        lead_east: place.lead.east,
        limits: limits(place.limits),
    });
    compare("place", (&world.places, |place| place.id.clone()), places, found);
    let tracks = layout.tracks().indices().filter(|ix| {
        let track = &layout.tracks()[*ix];
        there(track.existence) && there(layout.places()[track.place].existence)
    });
    let stated: Vec<WorldTrack> = world.tracks.iter().cloned().map(sorted).collect();
    let expected = tracks.map(|ix| sorted(track(facts, ix)));
    compare("track", (&stated, |track| track.id.clone()), expected, found);
    links(facts, found);
    jobs(facts, found);
    cars(facts, found);
    placards(facts, found);
    trade(facts, found);
}

/// Compares a table of the world with what the layout has: nothing missing, nothing more, nothing
/// otherwise, nothing twice.
fn compare<T: PartialEq + Debug>(
    noun: &str,
    (stated, id): (&[T], impl Fn(&T) -> Id),
    expected: impl IntoIterator<Item = T>,
    found: &mut Found,
) {
    let mut open: BTreeMap<Id, &T> = BTreeMap::new();
    for item in stated {
        if open.insert(id(item), item).is_some() {
            found.say(0, format!("the plan describes the {noun} `{}` twice", id(item)));
        }
    }
    for item in expected {
        match open.remove(&id(&item)) {
            None => found.say(0, format!("the plan does not describe the {noun} `{}`", id(&item))),
            Some(said) if *said != item => {
                let text = format!(
                    "the {noun} `{}` is not as the plan says: expected {item:?}, found {said:?}",
                    id(&item)
                );
                found.say(0, text);
            }
            Some(_) => {}
        }
    }
    for id in open.keys() {
        found.say(0, format!("the plan describes the {noun} `{id}`, which is not there on that day"));
    }
}

fn limits(limits: Limits) -> WorldLimits {
    let Limits { car, height, weight, at_once } = limits;
    WorldLimits { car, height, weight, at_once }
}

fn ids<I: Ix, T>(table: &IxVec<I, T>, chosen: &[I], id: impl Fn(&T) -> &Id) -> Vec<Id> {
    chosen.iter().map(|ix| id(&table[*ix]).clone()).collect()
}

fn track(facts: &Facts<'_>, ix: TrackIx) -> WorldTrack {
    let layout = facts.layout;
    let track = &layout.tracks()[ix];
    let spots = track.spots.iter().map(|spot| {
        let spot = &layout.spots()[*spot];
        WorldSpot { id: spot.id.clone(), length: spot.length, cars: spot.cars }
    });
    WorldTrack {
        id: track.id.clone(),
        place: layout.places()[track.place].id.clone(),
        usage: track.usage.word().into(),
        length: track.length,
        working: track.working,
        opens: track.opens,
        behind: track.behind.map(|front| layout.tracks()[front].id.clone()),
        offers: track.offers.clone(),
        worked_by: roads(layout, &track.worked_by),
        holds: ids(layout.types(), &track.holds, |kind| &kind.code),
        off_spot: track.off_spot,
        spots: spots.collect(),
        limits: limits(track.limits),
    }
}

fn roads(layout: &Layout, roads: &[RailroadIx]) -> Vec<Id> {
    ids(layout.railroads(), roads, |road| &road.id)
}

/// The order of these lists means nothing.
fn sorted(mut track: WorldTrack) -> WorldTrack {
    track.offers.sort();
    track.worked_by.sort();
    track.holds.sort();
    track
}

fn links(facts: &Facts<'_>, found: &mut Found) {
    let layout = facts.layout;
    let id = |place: PlaceIx| layout.places()[place].id.clone();
    let there = |ix: &LinkIx| {
        let link = &layout.links()[*ix];
        let ends = [link.west, link.east].map(|place| layout.places()[place].existence);
        ends.into_iter().chain([link.existence]).all(|existence| existence.on(facts.plan.date))
    };
    let expected = layout.links().indices().filter(there).map(|ix| {
        let link = &layout.links()[ix];
        WorldLink {
            west: id(link.west),
            east: id(link.east),
            seconds: link.minutes,
            limits: limits(link.limits),
        }
    });
    let mut open: Vec<&WorldLink> = facts.plan.world.links.iter().collect();
    for link in expected {
        match open.iter().position(|said| **said == link) {
            Some(place) => {
                open.swap_remove(place);
            }
            None => found.say(
                0,
                format!("the plan does not describe the link {} - {} as it is", link.west, link.east),
            ),
        }
    }
    for link in open {
        found.say(
            0,
            format!("the plan describes a link {} - {} that is not there as it says", link.west, link.east),
        );
    }
}

/// Jobs may be left out, when too few people come; what runs is as described.
fn jobs(facts: &Facts<'_>, found: &mut Found) {
    let stated: Vec<WorldJob> = facts.plan.world.jobs.iter().map(|job| running(facts, job.clone())).collect();
    let known = |ix: &JobIx| {
        let job = &facts.layout.jobs()[*ix];
        job.existence.on(facts.plan.date) && facts.jobs.contains_key(&job.id)
    };
    let expected = facts.layout.jobs().indices().filter(known).map(|ix| running(facts, job(facts, ix)));
    compare("job", (&stated, |job| job.id.clone()), expected, found);
}

fn job(facts: &Facts<'_>, ix: JobIx) -> WorldJob {
    let layout = facts.layout;
    let job = &layout.jobs()[ix];
    let places = job.calls.iter().map(|call| &layout.places()[call.place]);
    let there = places.filter(|place| place.existence.on(facts.plan.date));
    WorldJob {
        id: job.id.clone(),
        name: job.name.clone(),
        railroad: layout.railroads()[job.railroad].id.clone(),
        on_duty: job.on_duty,
        after: ids(layout.jobs(), &job.after, |job| &job.id),
        calls: there.map(|place| place.id.clone()).collect(),
        power: job.power.length,
        caboose: job.power.caboose,
        engine: job.power.engine.clone(),
        crew: job.crew,
        max_cars: job.max.cars,
        max_length: job.max.length,
        max_tons: job.max.tons,
    }
}

/// The table of placards is the layout's own, and is not forgotten where some load has a placard.
fn placards(facts: &Facts<'_>, found: &mut Found) {
    let (layout, table) = (facts.layout, facts.layout.placards());
    let mut expected = WorldPlacards {
        nearest: table.nearest,
        nearest_short: table.nearest_short,
        ..WorldPlacards::default()
    };
    for row in &table.apart {
        let from = row.from.iter().map(|neighbour| neighbour.words().into()).collect();
        expected.apart.push(WorldApart { group: row.group, tank: row.tank, from });
    }
    for lading in layout.commodities().values() {
        if let Some(group) = lading.placard {
            expected.groups.insert(lading.id.clone(), group);
        }
        if lading.shifts {
            expected.shifts.push(lading.id.clone());
        }
    }
    expected.open = layout.types().values().filter(|kind| kind.open).map(|kind| kind.code.clone()).collect();
    let expected = Some(expected).filter(|said| table.apply && !said.groups.is_empty());
    if facts.plan.world.placards != expected {
        found.say(0, "the table of placards is not as the plan says");
    }
}

/// A job that does not run today has nobody waiting for it.
fn running(facts: &Facts<'_>, mut job: WorldJob) -> WorldJob {
    job.after.retain(|earlier| facts.jobs.contains_key(earlier));
    job.after.sort();
    job
}

/// Every car that is there; one that is not may be listed as well, for it stands somewhere.
fn cars(facts: &Facts<'_>, found: &mut Found) {
    let layout = facts.layout;
    let listed = |ix: &CarIx| {
        let car = &layout.cars()[*ix];
        car.existence.on(facts.plan.date) || facts.cars.contains_key(&car.id)
    };
    let expected = layout.cars().indices().filter(listed).map(|ix| {
        let car = &layout.cars()[ix];
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
            load: load(layout, &car.look),
        }
    });
    compare("car", (&facts.plan.world.cars, |car| car.id.clone()), expected, found);
}

fn load(layout: &Layout, look: &LoadLook) -> Option<Box<str>> {
    match look {
        LoadLook::Hidden => None,
        LoadLook::LiftsOut => Some("lifts out".into()),
        LoadLook::Fixed(FixedLoad { commodity: None }) => Some("fixed".into()),
        LoadLook::Fixed(FixedLoad { commodity: Some(lading) }) => {
            Some(format!("fixed {}", layout.commodities()[*lading].id).into())
        }
    }
}

/// Railroads, gateways and what is carried.
fn trade(facts: &Facts<'_>, found: &mut Found) {
    let (layout, world) = (facts.layout, &facts.plan.world);
    let roads =
        layout.railroads().values().map(|road| WorldRailroad { id: road.id.clone(), home: road.home });
    compare("railroad", (&world.railroads, |road| road.id.clone()), roads, found);
    let track_ids = |tracks: &[TrackIx]| ids(layout.tracks(), tracks, |track| &track.id);
    let there = layout.gateways().values().filter(|gateway| gateway.existence.on(facts.plan.date));
    let gateways = there.map(|gateway| WorldGateway {
        id: gateway.id.clone(),
        name: gateway.name.clone(),
        railroad: gateway.railroad.map(|road| layout.railroads()[road].id.clone()),
        takes: track_ids(&gateway.takes),
        gives: track_ids(&gateway.gives),
        limit: gateway.limit,
    });
    compare("gateway", (&world.gateways, |gateway| gateway.id.clone()), gateways, found);
    let ladings = layout.commodities().values().map(|kind| WorldCommodity {
        id: kind.id.clone(),
        cars: ids(layout.types(), &kind.cars, |kind| &kind.code),
        grade: kind.grade,
        clean: kind.clean,
        soils: kind.soils,
        placard: kind.placard,
        tons: kind.tons,
    });
    compare("lading", (&world.commodities, |kind| kind.id.clone()), ladings, found);
}
