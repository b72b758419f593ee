//! Trips: which legs are run tonight, in the order of events, so that everything fits.
//!
//! Takes the network with its row of calls and the demand; gives for every wish the legs that carry
//! the car as far as it gets, and for every call which cars are pulled and where cars are left. It
//! upholds rules 2 and 3 between calls (tracks, spots and trains hold what comes), 5 (links, tracks
//! and roads that may handle the car, no place twice in one delivery) and 12 (every connection holds
//! in the order of events). What happens in the middle of a call is switching's matter: what it
//! refuses comes back as a ban, and trips are planned again.
//!
//! The most urgent car chooses first and takes the best way there is for it; then cars that were left
//! behind are tried earlier in the order, and an order that is worth more is kept ([`improve`]).
//! Cost: wishes × calls × tracks at a place, for each order that is tried.

mod aside;
mod improve;
mod question;
mod room;
mod search;
mod stands;

use std::collections::BTreeMap;

use crate::ids::{CallIx, CarIx, IxVec, JobIx, PlaceIx, SpotIx, TrackIx};
use crate::network::Network;
use crate::traffic::Demand;

/// The trips of a session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trips {
    /// One for each wish, in the same order.
    pub trips: Vec<Trip>,
    /// What each call is asked to do.
    pub tasks: IxVec<CallIx, Task>,
}

/// How far a car gets tonight.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trip {
    /// Its legs, in order.
    pub legs: Vec<Leg>,
    /// How many stages of its wish are done.
    pub stages: usize,
    /// Whether it ends near its spot, which is full.
    pub off_spot: bool,
    /// Whether it only leaves a spot that another car waits for, and gets no nearer to its own.
    pub aside: bool,
    /// In how many sessions from now it will be where it is bound, as things stand: 0 is tonight.
    pub sessions: Option<u32>,
    /// What kept it from getting there tonight: the first thing met, on whatever way was tried.
    pub hindrance: Option<Hindrance>,
    /// What a host is told kept it: the same, but only what lies on the way that it will go.
    pub told: Option<Hindrance>,
    /// Who takes it on in a later session, if it does not get there tonight.
    pub onward: Option<Onward>,
}

/// How a car goes on in a later session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Onward {
    /// The call at which it is pulled.
    pub call: CallIx,
    /// In how many sessions from now.
    pub sessions: u32,
}

impl Trip {
    /// Whether nothing but its customer keeps the car from its spot.
    pub const fn kept_off(&self) -> bool {
        matches!(self.hindrance, Some(Hindrance::Full(_) | Hindrance::KeptOff(_)))
    }
}

/// The part of a trip made by one job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leg {
    /// The job.
    pub job: JobIx,
    /// The call at which the car is pulled.
    pub from: CallIx,
    /// The track it is pulled from.
    pub from_track: TrackIx,
    /// The call at which it is left; the same call for a move within a place.
    pub to: CallIx,
    /// The track it is left on.
    pub track: TrackIx,
    /// The spot, if it is one.
    pub spot: Option<SpotIx>,
    /// Which stage of its wish this ends, if it ends one.
    pub ends_stage: Option<usize>,
}

/// What one call is asked to do, the most important first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Task {
    /// All cars it is about, each once.
    pub cars: Vec<CarIx>,
    /// Cars to take from their tracks.
    pub pulls: Vec<CarIx>,
    /// Cars to leave: from the train, or pulled at this very call.
    pub sets: Vec<SetOut>,
}

/// A car to be left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SetOut {
    /// The car.
    pub car: CarIx,
    /// The track.
    pub track: TrackIx,
    /// The spot, if it is one.
    pub spot: Option<SpotIx>,
}

/// What keeps a car from getting where it is bound tonight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// No place on the layout does what it goes for.
    NoGoal,
    /// What it is bound for is full.
    Full(TrackIx),
    /// Its customer does not take it tonight, for this reason.
    KeptOff(Box<str>),
    /// A job's train is full.
    TrainFull(JobIx),
    /// No yard on its way has room: the first track tried, and the call at which it would have been left there.
    YardFull(TrackIx, CallIx),
    /// It is too long, too high or too heavy to go there.
    TooLarge(PlaceIx),
    /// A crew cannot switch it.
    Banned(CallIx, Box<str>),
    /// No job goes there from where it stands, in the order of tonight's events.
    NoConnection,
}

impl Hindrance {
    /// How near it is to the cause that a host would name: the least is told.
    const fn rank(&self) -> u32 {
        match self {
            Hindrance::NoGoal | Hindrance::Full(_) | Hindrance::KeptOff(_) => 0,
            Hindrance::Banned(..) => 1,
            Hindrance::TrainFull(_) => 2,
            Hindrance::YardFull(..) => 3,
            Hindrance::TooLarge(_) => 4,
            Hindrance::NoConnection => 5,
        }
    }
}

/// Cars that must not be touched at a call, with the reason: what switching refused.
pub type Bans = BTreeMap<(CarIx, CallIx), Box<str>>;

/// Plans trips again and again as bans come in.
#[derive(Debug)]
pub struct Planner<'a> {
    network: &'a Network<'a>,
    demand: &'a Demand,
    /// The order in which wishes choose; found once, before there are bans.
    order: Option<Vec<usize>>,
}

impl<'a> Planner<'a> {
    /// A planner for a session.
    pub const fn new(network: &'a Network<'a>, demand: &'a Demand) -> Self {
        Planner { network, demand, order: None }
    }

    /// The same, but the most urgent always chooses first: for sessions that nobody will see.
    #[must_use]
    pub fn in_order_of_urgency(mut self) -> Self {
        self.order = Some((0..self.demand.wishes.len()).collect());
        self
    }

    /// The trips of the session, as good as the order of choice makes them.
    pub fn plan(&mut self, bans: &Bans) -> Trips {
        let order = self.order.get_or_insert_with(|| improve::order(self.network, self.demand));
        let trips = build(self.network, self.demand, bans, order);
        let mut tasks: IxVec<CallIx, Task> = self.network.calls().values().map(|_| Task::default()).collect();
        for (wish, trip) in self.demand.wishes.iter().zip(&trips) {
            for leg in &trip.legs {
                for call in [leg.from, leg.to] {
                    if tasks[call].cars.last() != Some(&wish.car) {
                        tasks[call].cars.push(wish.car);
                    }
                }
                tasks[leg.from].pulls.push(wish.car);
                tasks[leg.to].sets.push(SetOut { car: wish.car, track: leg.track, spot: leg.spot });
            }
        }
        Trips { trips, tasks }
    }
}

/// Lets the wishes choose in an order; the trips come in the order of the wishes.
fn build(network: &Network<'_>, demand: &Demand, bans: &Bans, order: &[usize]) -> Vec<Trip> {
    let mut room = room::Room::new(network, demand);
    let mut search = search::Search::new(network, demand, bans);
    let mut trips = vec![Trip::default(); demand.wishes.len()];
    for place in order {
        let wish = &demand.wishes[*place];
        let trip = search.trip(&room, wish);
        room.take(network, demand.standing.weight(network.layout(), wish.car), wish.car, &trip.legs);
        trips[*place] = trip;
    }
    trips
}

#[cfg(test)]
mod tests;
