//! Two sessions side by side: what each job, each person, each customer and each gateway has to do.
//!
//! Everything is counted from the plans; the layout only names customers. `cars` are those that are moved
//! and not put back as they were, each once; `loads` those of them with something in them; `cuts` the times
//! cars are coupled; `tons` and `length` those of the heaviest and of the longest train. A move is
//! `shared` by a pair of jobs if the one carries the car on after the other, and `repeated` if one job carries
//! it twice.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::balance::Balance;
use crate::ids::Id;
use crate::layout::Layout;
use crate::session::plan::{Deed, Event, Plan};
use crate::units::{Length, Tons};

/// What a job or a person has to do.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Load {
    /// Cars moved.
    pub cars: usize,
    /// Those of them that are loaded.
    pub loads: usize,
    /// Cars pulled.
    pub pulls: usize,
    /// Cars spotted.
    pub spots: usize,
    /// Movements with a cut.
    pub handlings: usize,
    /// Cuts coupled.
    pub cuts: usize,
    /// Minutes, waiting not counted.
    pub minutes: u32,
    /// The heaviest train.
    pub tons: Tons,
    /// The longest train, with its power.
    pub length: Length,
}

/// What a session asks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Figures {
    /// The session.
    pub session: i32,
    /// Its seed.
    pub seed: u64,
    /// Each job by its name, in the order in which they begin.
    pub jobs: Vec<(Box<str>, Load)>,
    /// Each person by number, where people were counted: the sums of their jobs, and the largest train.
    pub people: Vec<(u32, Load)>,
    /// Cars that come to each customer.
    pub customers: BTreeMap<Box<str>, usize>,
    /// Cars that each gateway gives and takes.
    pub gateways: BTreeMap<Id, usize>,
    /// How many cars two jobs or more carry.
    pub shared_cars: usize,
    /// The pairs of jobs that share moves: by names, that which has the car first before the other.
    pub shared: Vec<Shared>,
    /// How many cars one job carries twice.
    pub repeated_cars: usize,
    /// The jobs that carry a car twice.
    pub repeated: Vec<Repeated>,
    /// How evenly the minutes lie on the people, or on the jobs where people were not counted.
    pub balance: Option<Balance>,
}

/// Cars that one job hands on to another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Shared {
    /// The jobs, by their names: the one that has the cars first, and the one that carries them on.
    pub jobs: (Box<str>, Box<str>),
    /// The cars.
    pub cars: Vec<Id>,
}

/// Cars that a job carries twice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Repeated {
    /// The job, by its name.
    pub job: Box<str>,
    /// The cars.
    pub cars: Vec<Id>,
}

/// What a plan asks.
pub fn figures(plan: &Plan, layout: &Layout) -> Figures {
    let jobs: Vec<(Id, Load)> =
        plan.world.jobs.iter().map(|job| (job.id.clone(), load(plan, &job.id))).collect();
    let minutes = || jobs.iter().map(|(_, load)| load.minutes).collect();
    let (shared, repeated) = (shared(plan), repeated(plan));
    let cars = |cars: &mut dyn Iterator<Item = &Id>| cars.collect::<BTreeSet<&Id>>().len();
    Figures {
        session: plan.session,
        seed: plan.seed,
        people: people(plan, &jobs),
        customers: customers(plan, layout),
        gateways: gateways(plan),
        shared_cars: cars(&mut shared.iter().flat_map(|pair| &pair.cars)),
        shared,
        repeated_cars: cars(&mut repeated.iter().flat_map(|job| &job.cars)),
        repeated,
        balance: match &plan.crews {
            Some(_) => Balance::of_people(plan),
            None => Balance::of(minutes()),
        },
        jobs: plan.world.jobs.iter().zip(jobs).map(|(job, (_, load))| (job.name.clone(), load)).collect(),
    }
}

/// The pairs of jobs of which one carries a car on after the other, in the order of the plan's jobs.
fn shared(plan: &Plan) -> Vec<Shared> {
    let mut pairs: BTreeMap<(usize, usize), Vec<Id>> = BTreeMap::new();
    for trip in &plan.trips {
        for legs in trip.legs.windows(2).filter(|legs| legs[0].job != legs[1].job) {
            let pair = (place_of(plan, &legs[0].job), place_of(plan, &legs[1].job));
            pairs.entry(pair).or_default().push(trip.car.clone());
        }
    }
    let name = |place: usize| plan.world.jobs[place].name.clone();
    pairs.into_iter().map(|((one, other), cars)| Shared { jobs: (name(one), name(other)), cars }).collect()
}

/// The jobs that carry a car twice, in the order of the plan's jobs.
fn repeated(plan: &Plan) -> Vec<Repeated> {
    let mut jobs: BTreeMap<usize, Vec<Id>> = BTreeMap::new();
    for trip in &plan.trips {
        let mut seen: BTreeMap<&Id, usize> = BTreeMap::new();
        for leg in &trip.legs {
            *seen.entry(&leg.job).or_default() += 1;
        }
        for (job, _) in seen.into_iter().filter(|(_, legs)| *legs > 1) {
            jobs.entry(place_of(plan, job)).or_default().push(trip.car.clone());
        }
    }
    let name = |place: usize| plan.world.jobs[place].name.clone();
    jobs.into_iter().map(|(job, cars)| Repeated { job: name(job), cars }).collect()
}

fn place_of(plan: &Plan, job: &Id) -> usize {
    plan.world.jobs.iter().position(|known| known.id == *job).expect("a leg is made by a job of the plan")
}

fn load(plan: &Plan, job: &Id) -> Load {
    let lines = || plan.work.iter().filter(|call| call.job == *job).flat_map(|call| &call.cars);
    let moved: BTreeMap<&Id, bool> = lines()
        .filter(|line| !matches!(line.deed, Deed::Leave | Deed::Hold))
        .map(|line| (&line.car, line.lading.is_some()))
        .collect();
    let with = |deed: Deed| lines().filter(|line| line.deed == deed).count();
    let mut load = Load {
        cars: moved.len(),
        loads: moved.values().filter(|loaded| **loaded).count(),
        pulls: with(Deed::Pull),
        spots: with(Deed::Spot),
        minutes: plan
            .minutes
            .iter()
            .find(|told| told.job == *job)
            .map_or(0, |told| told.seconds.rounded_up()),
        ..Load::default()
    };
    for event in &plan.events {
        match event {
            Event::Couple { job: whose, .. } if whose == job => {
                load.handlings += 1;
                load.cuts += 1;
            }
            Event::Leave { job: whose, .. } if whose == job => load.handlings += 1,
            Event::Goes { job: whose, train, .. } if whose == job => {
                load.tons = load.tons.max(train.tons);
                load.length = load.length.max(train.length);
            }
            _ => {}
        }
    }
    load
}

fn people(plan: &Plan, jobs: &[(Id, Load)]) -> Vec<(u32, Load)> {
    let Some(crews) = &plan.crews else { return Vec::new() };
    let of = |person: u32| {
        let own = crews.jobs.iter().filter(|job| job.people.contains(&person));
        let loads = own.filter_map(|job| jobs.iter().find(|(id, _)| *id == job.job));
        loads.fold(Load::default(), |sum, (_, load)| Load {
            cars: sum.cars + load.cars,
            loads: sum.loads + load.loads,
            pulls: sum.pulls + load.pulls,
            spots: sum.spots + load.spots,
            handlings: sum.handlings + load.handlings,
            cuts: sum.cuts + load.cuts,
            minutes: sum.minutes + load.minutes,
            tons: sum.tons.max(load.tons),
            length: sum.length.max(load.length),
        })
    };
    (1..=crews.people).map(|person| (person, of(person))).collect()
}

/// The cars that come tonight to where a customer takes or ships them.
fn customers(plan: &Plan, layout: &Layout) -> BTreeMap<Box<str>, usize> {
    let mut at: BTreeMap<&Id, &str> = BTreeMap::new();
    for industry in layout.industries().values() {
        for (_, targets) in industry.ships.iter().chain(&industry.receives) {
            at.extend(targets.iter().map(|target| (layout.id_of(*target), &*industry.name)));
        }
    }
    let mut cars: BTreeMap<Box<str>, usize> = BTreeMap::new();
    for trip in plan.trips.iter().filter(|trip| trip.arrives) {
        let last = trip.legs.last().map(|leg| leg.spot.as_ref().unwrap_or(&leg.to));
        if let Some(name) = last.and_then(|target| at.get(target)) {
            *cars.entry((*name).into()).or_default() += 1;
        }
    }
    cars
}

fn gateways(plan: &Plan) -> BTreeMap<Id, usize> {
    let mut cars: BTreeMap<Id, usize> = BTreeMap::new();
    for event in &plan.events {
        if let Event::Placed { gateway, .. } | Event::Lifted { gateway, .. } = event {
            *cars.entry(gateway.clone()).or_default() += 1;
        }
    }
    cars
}
