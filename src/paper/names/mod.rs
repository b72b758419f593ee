//! Finds the names that belong to the ids of a plan.
//!
//! A plan may be printed again after the layout has changed: whatever the layout no longer knows
//! is called by its id, and nothing here fails.

mod orders;
mod spots;
mod told;

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::ids::{Id, IndustryIx, Ix, IxVec, TypeIx};
use crate::layout::{Car, Commodity, Gateway, Job, LaneEnd, Layout, Place, Railroad, Track, TrackWords};
use crate::session::plan::{
    CrewJob, JobMinutes, MeetLine, OrderLine, OrderState, Plan, RowCar, TripLine, WorldCar, WorldTrack,
};

use super::drawing::{self, Lies};
use super::engines::{self, Light};
use super::minutes;
use super::phrase::{Measure, Phrase, joined};
use super::walk;
use super::words::{Words, in_short};

/// The layout and the plan, with everything found by its id.
#[derive(Debug)]
pub(super) struct Names<'a> {
    pub(super) layout: &'a Layout,
    pub(super) plan: &'a Plan,
    pub(super) words: &'a Words,
    railroads: BTreeMap<&'a Id, &'a Railroad>,
    places: BTreeMap<&'a Id, &'a Place>,
    tracks: BTreeMap<&'a Id, &'a Track>,
    /// What every track is called.
    called: BTreeMap<&'a Id, String>,
    spots: BTreeMap<&'a Id, &'a str>,
    gateways: BTreeMap<&'a Id, &'a Gateway>,
    commodities: BTreeMap<&'a Id, &'a Commodity>,
    jobs: BTreeMap<&'a Id, &'a Job>,
    cars: BTreeMap<&'a Id, &'a Car>,
    /// What every kind of car is in short.
    kinds: IxVec<TypeIx, &'a str>,
    world_cars: BTreeMap<&'a Id, &'a WorldCar>,
    before: BTreeMap<&'a Id, &'a RowCar>,
    world_tracks: BTreeMap<&'a Id, &'a WorldTrack>,
    orders: BTreeMap<&'a Id, &'a OrderLine>,
    /// By car, the order that it serves.
    filled: BTreeMap<&'a Id, &'a OrderLine>,
    /// By car, the order that ended with it.
    ended: BTreeMap<&'a Id, &'a OrderLine>,
    light: Vec<Light<'a>>,
    trips: BTreeMap<&'a Id, &'a TripLine>,
    lane_ends: BTreeMap<&'a Id, Vec<IndustryIx>>,
    /// Where every place comes as one walks along the layout.
    walk: BTreeMap<&'a Id, usize>,
    /// The customers at every spot, and on every track that has none.
    customers: BTreeMap<&'a Id, BTreeSet<IndustryIx>>,
}

impl<'a> Names<'a> {
    pub(super) fn new(plan: &'a Plan, layout: &'a Layout, words: &'a Words) -> Self {
        let ends = |end: LaneEnd| match end {
            LaneEnd::Industry(industry) => Some(industry),
            LaneEnd::Beyond(..) => None,
        };
        Names {
            layout,
            plan,
            words,
            railroads: by_id(layout.railroads(), |railroad| &railroad.id),
            places: by_id(layout.places(), |place| &place.id),
            tracks: by_id(layout.tracks(), |track| &track.id),
            called: layout
                .tracks()
                .values()
                .map(|track| (&track.id, track_name(words, &track.name, &track.id)))
                .collect(),
            spots: layout.spots().values().map(|spot| (&spot.id, &*spot.name)).collect(),
            gateways: by_id(layout.gateways(), |gateway| &gateway.id),
            commodities: by_id(layout.commodities(), |commodity| &commodity.id),
            jobs: by_id(layout.jobs(), |job| &job.id),
            cars: by_id(layout.cars(), |car| &car.id),
            kinds: layout
                .types()
                .values()
                .map(|kind| in_short(words.kinds.said(kind.code.as_str(), &kind.meaning)))
                .collect(),
            world_cars: plan.world.cars.iter().map(|car| (&car.id, car)).collect(),
            before: plan.before.tracks.values().flatten().map(|standing| (&standing.car, standing)).collect(),
            world_tracks: plan.world.tracks.iter().map(|track| (&track.id, track)).collect(),
            orders: plan.orders.iter().map(|order| (&order.id, order)).collect(),
            filled: orders::by_car(plan, |state| state == OrderState::Filled),
            ended: orders::by_car(plan, |state| state != OrderState::Filled),
            light: engines::light(plan),
            trips: plan.trips.iter().map(|trip| (&trip.car, trip)).collect(),
            lane_ends: layout
                .lanes()
                .values()
                .map(|lane| (&lane.id, [lane.from, lane.to].into_iter().filter_map(ends).collect()))
                .collect(),
            walk: walk::places(&plan.world).into_iter().zip(0..).collect(),
            customers: customers(layout),
        }
    }

    pub(super) fn measure(&self) -> Measure {
        self.words.measure(self.layout.settings().metric)
    }

    pub(super) fn railroad(&self, id: &Id) -> Option<&'a Railroad> {
        self.railroads.get(id).copied()
    }

    /// A railroad's name.
    pub(super) fn railroad_name(&self, id: &Id) -> String {
        self.railroad(id).map_or(id.as_str(), |railroad| &*railroad.name).to_owned()
    }

    pub(super) fn job(&self, id: &Id) -> Option<&'a Job> {
        self.jobs.get(id).copied()
    }

    /// A job's name, kept together.
    pub(super) fn job_name(&self, id: &Id) -> String {
        joined(self.job_title(id))
    }

    /// Names of jobs in a row; as a name may have a comma in it, there is more between them.
    pub(super) fn job_names<'i>(&self, ids: impl IntoIterator<Item = &'i Id>) -> String {
        ids.into_iter().map(|job| self.job_name(job)).collect::<Vec<_>>().join("; ")
    }

    /// A job's name, that may run on over a line.
    pub(super) fn job_title<'s>(&self, id: &'s Id) -> &'s str
    where
        'a: 's,
    {
        let world = || self.plan.world.jobs.iter().find(|job| job.id == *id).map(|job| &*job.name);
        self.job(id).map(|job| &*job.name).or_else(world).unwrap_or(id.as_str())
    }

    /// How long a job takes.
    pub(super) fn minutes(&self, job: &Id) -> Option<&'a JobMinutes> {
        self.plan.minutes.iter().find(|told| told.job == *job)
    }

    /// About how many minutes something takes; nothing if it takes no time.
    pub(super) fn about(&self, minutes: u32) -> Phrase {
        if minutes == 0 { Phrase::default() } else { self.words.shared.about(self.whole(minutes)) }
    }

    /// So many minutes.
    pub(super) fn whole(&self, minutes: u32) -> Phrase {
        self.words.shared.minutes(usize::try_from(minutes).unwrap_or(usize::MAX))
    }

    /// Who takes a job, and when, where jobs were handed out.
    pub(super) fn in_hand(&self, job: &Id) -> Option<&'a CrewJob> {
        self.plan.crews.as_ref()?.jobs.iter().find(|known| known.job == *job)
    }

    /// The engine that a job takes over from another one that ends elsewhere.
    pub(super) fn engine_before(&self, job: &Id) -> Option<&Light<'a>> {
        self.light.iter().find(|light| light.then == job)
    }

    /// How much of the time of the job that fetches an engine the light run takes.
    pub(super) fn light_time(&self, light: &Light<'_>) -> Phrase {
        let running = self.minutes(light.then).map_or(0, |told| minutes::shown(told).running);
        match light.run.run.rounded_up().min(running) {
            0 => Phrase::default(),
            run => self.words.shared.of_its_time(self.whole(run)),
        }
    }

    /// The engine of a job that another one takes over elsewhere.
    pub(super) fn engine_after(&self, job: &Id) -> Option<&Light<'a>> {
        self.light.iter().find(|light| light.run.after == *job)
    }

    pub(super) fn place(&self, id: &Id) -> Option<&'a Place> {
        self.places.get(id).copied()
    }

    /// A customer's name.
    pub(super) fn customer_name(&self, id: &Id) -> String {
        let known = self.layout.industries().values().find(|industry| industry.id == *id);
        known.map_or(id.as_str(), |industry| &*industry.name).to_owned()
    }

    /// A place's name, with its railroad where two share one.
    pub(super) fn place_title(&self, id: &Id) -> String {
        let world = || self.plan.world.places.iter().find(|place| place.id == *id).map(|place| &*place.title);
        self.place(id).map(|place| &*place.title).or_else(world).unwrap_or(id.as_str()).to_owned()
    }

    pub(super) fn track(&self, id: &Id) -> Option<&'a Track> {
        self.tracks.get(id).copied()
    }

    pub(super) fn world_track(&self, id: &Id) -> Option<&'a WorldTrack> {
        self.world_tracks.get(id).copied()
    }

    /// Whether it is a main track.
    pub(super) fn is_main(&self, track: &Id) -> bool {
        self.world_track(track).is_some_and(|track| &*track.usage == "main")
    }

    /// Where a job meets others on single track.
    pub(super) fn meets<'s>(&self, job: &'s Id) -> impl Iterator<Item = &'a MeetLine> + use<'a, 's> {
        self.plan.meets.iter().filter(move |meet| meet.jobs.contains(job))
    }

    /// A track's name with the word for it: `track 2`.
    pub(super) fn track_name(&self, id: &Id) -> Cow<'_, str> {
        let last = || track_name(self.words, id.as_str().rsplit('/').next().unwrap_or_default(), id);
        self.called.get(id).map_or_else(|| Cow::Owned(last()), Cow::from)
    }

    /// The place a track belongs to.
    pub(super) fn place_of(&self, track: &Id) -> String {
        if let Some(known) = self.track(track) {
            return self.layout.places()[known.place].title.to_string();
        }
        let first = || Id::from(track.as_str().split('/').next().unwrap_or_default());
        self.place_title(&self.world_track(track).map_or_else(first, |track| track.place.clone()))
    }

    /// Where a place comes as one walks along the layout.
    pub(super) fn walk_to(&self, place: &Id) -> usize {
        self.walk.get(place).copied().unwrap_or(usize::MAX)
    }

    /// Where a track comes: at its place, in the order of the drawings.
    pub(super) fn walk_to_track(&self, track: &Id) -> (usize, Lies) {
        let place = self.world_track(track).map_or(usize::MAX, |known| self.walk_to(&known.place));
        (place, drawing::lies(self, track))
    }

    /// A spot's name.
    pub(super) fn spot_name(&self, id: &Id) -> String {
        let last = || id.as_str().rsplit('/').next().unwrap_or(id.as_str());
        joined(self.spots.get(id).copied().unwrap_or_else(last))
    }

    pub(super) fn car(&self, id: &Id) -> Option<&'a Car> {
        self.cars.get(id).copied()
    }

    /// Whether a car is a tank car.
    pub(super) fn is_tank(&self, id: &Id) -> bool {
        self.car(id).is_some_and(|car| self.layout.types()[car.kind].is_tank())
    }

    pub(super) fn world_car(&self, id: &Id) -> Option<&'a WorldCar> {
        self.world_cars.get(id).copied()
    }

    /// How a car stands on its track before the session, if it stands on one.
    pub(super) fn before(&self, id: &Id) -> Option<&'a RowCar> {
        self.before.get(id).copied()
    }

    /// What kind of car it is in full, how long, and in what colour.
    pub(super) fn looks(&self, id: &Id) -> Phrase {
        self.looks_as(id, |car| {
            let kind = &self.layout.types()[car.kind];
            self.words.kinds.said(kind.code.as_str(), &kind.meaning)
        })
    }

    /// What kind of car it is in short, how long, and in what colour.
    pub(super) fn looks_in_short(&self, id: &Id) -> Phrase {
        self.looks_as(id, |car| self.kinds[car.kind])
    }

    fn looks_as(&self, id: &Id, kind: impl Fn(&'a Car) -> &'a str) -> Phrase {
        let (car, world) = (self.car(id), self.world_car(id));
        let kind = car.map(kind).or_else(|| world.map(|car| car.kind.as_str()));
        let length = world.map(|car| car.length).or_else(|| car.map(|car| car.length));
        let color = car.and_then(|car| car.color.as_deref());
        Phrase::row(
            [
                kind.map_or_else(Phrase::default, Phrase::words),
                length.map_or_else(Phrase::default, Phrase::of),
                color.map_or_else(Phrase::default, Phrase::words),
            ],
            ", ",
        )
    }

    pub(super) fn commodity(&self, id: &Id) -> Option<&'a Commodity> {
        self.commodities.get(id).copied()
    }

    /// What is in a car: `L newsprint`, or `E`.
    pub(super) fn load(&self, lading: Option<&Id>) -> Phrase {
        match lading {
            None => self.words.shared.empty(),
            Some(lading) => self.words.shared.loaded(self.lading_name(lading)),
        }
    }

    /// A lading's name.
    pub(super) fn lading_name(&self, id: &Id) -> String {
        self.commodity(id).map_or(id.as_str(), |commodity| &*commodity.name).to_owned()
    }

    /// The placard group of what is in a car.
    pub(super) fn placard(&self, lading: Option<&Id>) -> Option<u32> {
        lading.and_then(|lading| self.commodity(lading)).and_then(|commodity| commodity.placard)
    }

    pub(super) fn gateway(&self, id: &Id) -> Option<&'a Gateway> {
        self.gateways.get(id).copied()
    }

    /// A gateway's name.
    pub(super) fn gateway_name(&self, id: &Id) -> String {
        self.gateway(id).map_or(id.as_str(), |gateway| &*gateway.name).to_owned()
    }

    /// Where something is bound, which the plan says: `Millport by GLN interchange`.
    pub(super) fn bound(&self, said: &str) -> String {
        match self.bound_by(said) {
            Some((HOME, gateway)) => self.words.shared.home_by(gateway).text(),
            Some((city, gateway)) => self.words.shared.city_by(city, gateway).text(),
            None => said.to_owned(),
        }
    }

    /// By which gateway a car goes home, if that is where it is bound.
    pub(super) fn home_by(&self, said: &str) -> Option<&'a str> {
        self.bound_by(said).and_then(|(to, gateway)| (to == HOME).then_some(gateway))
    }

    /// Where something is bound, and by which gateway.
    fn bound_by<'s>(&self, said: &'s str) -> Option<(&'s str, &'a str)> {
        self.layout.gateways().values().find_map(|gateway| {
            let before = said.strip_suffix(&*gateway.name)?.strip_suffix(" by ")?;
            Some((before, &*gateway.name))
        })
    }

    pub(super) fn trip(&self, car: &Id) -> Option<&'a TripLine> {
        self.trips.get(car).copied()
    }
}

/// Where the plan says that a car is bound which goes home.
const HOME: &str = "home";

fn by_id<'a, I: Ix, T>(table: &'a IxVec<I, T>, id: impl Fn(&'a T) -> &'a Id) -> BTreeMap<&'a Id, &'a T> {
    table.values().map(|item| (id(item), item)).collect()
}

/// A track's name with the word for it, kept together.
fn track_name(words: &Words, name: &str, id: &Id) -> String {
    joined(&words.track(TrackWords::new(name, id)))
}

fn customers(layout: &Layout) -> BTreeMap<&Id, BTreeSet<IndustryIx>> {
    let mut customers: BTreeMap<&Id, BTreeSet<IndustryIx>> = BTreeMap::new();
    for (ix, industry) in layout.industries().iter() {
        for (_, targets) in industry.ships.iter().chain(&industry.receives) {
            for target in targets {
                customers.entry(layout.id_of(*target)).or_default().insert(ix);
            }
        }
    }
    customers
}
