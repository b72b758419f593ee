//! What the plan and the layout say, to be looked up by id.
//!
//! The replay goes by the plan's own `world`; `truth` has compared it with the layout. What the
//! plan does not repeat (weights of ladings, gateways, customers, lanes) comes from the layout.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::layout::{Car, Commodity, Gateway, Industry, Job, Lane, Layout, SpotTarget, Track};
use crate::session::plan::{CallWork, OrderLine, Plan, TripLine, WorldCar, WorldJob, WorldPlace, WorldTrack};
use crate::units::{Length, Tons};

/// The plan and the layout by id. What stands twice keeps its last line here; `truth`, `trips`,
/// `orders` and `work` report it.
pub(super) struct Facts<'p> {
    pub(super) plan: &'p Plan,
    pub(super) layout: &'p Layout,
    pub(super) places: BTreeMap<&'p Id, &'p WorldPlace>,
    pub(super) tracks: BTreeMap<&'p Id, &'p WorldTrack>,
    pub(super) spots: BTreeMap<&'p Id, SpotFact<'p>>,
    /// The tracks of each place.
    pub(super) tracks_at: BTreeMap<&'p Id, Vec<&'p WorldTrack>>,
    pub(super) jobs: BTreeMap<&'p Id, &'p WorldJob>,
    pub(super) described_jobs: BTreeMap<&'p Id, &'p Job>,
    pub(super) cars: BTreeMap<&'p Id, &'p WorldCar>,
    pub(super) roster: BTreeMap<&'p Id, &'p Car>,
    pub(super) commodities: BTreeMap<&'p Id, &'p Commodity>,
    pub(super) gateways: BTreeMap<&'p Id, &'p Gateway>,
    pub(super) lanes: BTreeMap<&'p Id, &'p Lane>,
    pub(super) described: BTreeMap<&'p Id, &'p Track>,
    pub(super) orders: BTreeMap<&'p Id, &'p OrderLine>,
    pub(super) trips: BTreeMap<&'p Id, &'p TripLine>,
    pub(super) work: BTreeMap<(&'p Id, u32), &'p CallWork>,
    /// Who is served at a spot or on a track without spots.
    pub(super) served: BTreeMap<&'p Id, Vec<&'p Industry>>,
}

/// A spot and where on its track it is.
#[derive(Clone, Copy)]
pub(super) struct SpotFact<'p> {
    pub(super) track: &'p Id,
    /// Its number on the track, from the west.
    pub(super) number: usize,
}

impl<'p> Facts<'p> {
    pub(super) fn new(plan: &'p Plan, layout: &'p Layout) -> Self {
        let world = &plan.world;
        let spots = world.tracks.iter().flat_map(|track| {
            let numbered = track.spots.iter().enumerate();
            numbered.map(|(number, spot)| (&spot.id, SpotFact { track: &track.id, number }))
        });
        let mut tracks_at: BTreeMap<&Id, Vec<&WorldTrack>> = BTreeMap::new();
        for track in &world.tracks {
            tracks_at.entry(&track.place).or_default().push(track);
        }
        Facts {
            plan,
            layout,
            places: world.places.iter().map(|place| (&place.id, place)).collect(),
            tracks: world.tracks.iter().map(|track| (&track.id, track)).collect(),
            spots: spots.collect(),
            tracks_at,
            jobs: world.jobs.iter().map(|job| (&job.id, job)).collect(),
            described_jobs: layout.jobs().values().map(|job| (&job.id, job)).collect(),
            cars: world.cars.iter().map(|car| (&car.id, car)).collect(),
            roster: layout.cars().values().map(|car| (&car.id, car)).collect(),
            commodities: layout.commodities().values().map(|kind| (&kind.id, kind)).collect(),
            gateways: layout.gateways().values().map(|gateway| (&gateway.id, gateway)).collect(),
            lanes: layout.lanes().values().map(|lane| (&lane.id, lane)).collect(),
            described: layout.tracks().values().map(|track| (&track.id, track)).collect(),
            orders: plan.orders.iter().map(|order| (&order.id, order)).collect(),
            trips: plan.trips.iter().map(|trip| (&trip.car, trip)).collect(),
            work: plan.work.iter().map(|work| ((&work.job, work.call), work)).collect(),
            served: served(layout),
        }
    }

    /// A car's length over couplers; nothing for a car nobody knows, which is a breach of its own.
    pub(super) fn length(&self, car: &Id) -> Length {
        self.cars.get(car).map_or(Length::ZERO, |car| car.length)
    }

    /// A car's weight with what is in it.
    pub(super) fn weight(&self, car: &Id, lading: Option<&Id>) -> Tons {
        let Some(car) = self.cars.get(car) else { return Tons::default() };
        let load = lading.map_or(Tons::default(), |lading| {
            self.commodities.get(lading).and_then(|kind| kind.tons).unwrap_or(car.capacity)
        });
        car.light + load
    }

    /// The id of the place where a customer takes or ships cars.
    pub(super) fn target(&self, target: SpotTarget) -> &'p Id {
        target_id(self.layout, target)
    }
}

fn target_id(layout: &Layout, target: SpotTarget) -> &Id {
    match target {
        SpotTarget::Spot(spot) => &layout.spots()[spot].id,
        SpotTarget::Track(track) => &layout.tracks()[track].id,
    }
}

fn served(layout: &Layout) -> BTreeMap<&Id, Vec<&Industry>> {
    let mut served: BTreeMap<&Id, Vec<&Industry>> = BTreeMap::new();
    for industry in layout.industries().values() {
        for (_, targets) in industry.ships.iter().chain(&industry.receives) {
            for target in targets {
                let customers = served.entry(target_id(layout, *target)).or_default();
                if !customers.iter().any(|known| known.id == industry.id) {
                    customers.push(industry);
                }
            }
        }
    }
    served
}
