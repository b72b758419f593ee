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
//! behind oust others who find another way, and what is worth more is kept ([`improve`], [`worth`]).
//! Cost: for each wish the calls that it can reach, and a number of further tries that is fixed.

mod aside;
mod bans;
mod draft;
mod elsewhere;
mod exchange;
mod improve;
mod leaving;
mod made_up;
mod question;
mod reach;
mod room;
mod search;
mod shifts;
mod stands;
mod walk;
mod worth;

pub use bans::{Ban, Bans};
pub use elsewhere::Elsewhere;
pub use made_up::Offer;
pub use shifts::Shift;

use std::collections::BTreeMap;

use crate::chance::Chance;
use crate::ids::{CallIx, CarIx, IxVec, JobIx, PlaceIx, SpotIx, TrackIx};
use crate::network::Network;
use crate::traffic::{Demand, KeptOff};
use crate::units::Length;

/// The trips of a session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trips {
    /// One for each wish, in the same order.
    pub trips: Vec<Trip>,
    /// What each call is asked to do.
    pub tasks: IxVec<CallIx, Task>,
    /// By call, the cars that may as well be left on other tracks than their own, where there is room.
    pub elsewhere: BTreeMap<CallIx, Vec<Elsewhere>>,
    /// How much more each track may hold, up to its working limit: before the first call at its place, and after each.
    pub spare: IxVec<TrackIx, Vec<Spare>>,
}

/// Room that nobody uses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spare {
    /// Over couplers.
    pub length: Length,
    /// How many cars, whatever their length.
    pub cars: u32,
}

impl Spare {
    /// With the room of one more car.
    #[must_use]
    pub fn with(self, length: Length) -> Spare {
        Spare { length: self.length + length, cars: self.cars.saturating_add(1) }
    }

    /// Without the room of a car.
    #[must_use]
    pub fn without(self, length: Length) -> Spare {
        Spare { length: self.length.less(length), cars: self.cars.saturating_sub(1) }
    }
}

impl Trips {
    /// The cars that a call may as well leave on other tracks than their own.
    pub fn elsewhere(&self, call: CallIx) -> &[Elsewhere] {
        self.elsewhere.get(&call).map_or(&[], Vec::as_slice)
    }

    /// Takes over on which tracks cars were left that may stand on others, and at which spots those that may stand
    /// at each other's.
    pub fn follow(
        &mut self,
        demand: &Demand,
        chosen: &[(CallIx, SetOut)],
        stands: impl Fn(TrackIx, CarIx) -> Option<SpotIx>,
    ) {
        for (call, left) in chosen {
            let of = demand.wishes.iter().position(|wish| wish.car == left.car);
            let Some(trip) = of.map(|place| &mut self.trips[place]) else { continue };
            let Some(at) = trip.legs.iter().position(|leg| leg.to == *call) else { continue };
            trip.leave_on(at, left.track);
            for set in self.tasks[*call].sets.iter_mut().filter(|set| set.car == left.car) {
                set.track = left.track;
            }
        }
        for (wish, trip) in demand.wishes.iter().zip(&mut self.trips) {
            let Some(leg) = trip.legs.last_mut() else { continue };
            let task = &mut self.tasks[leg.to];
            if task.group(wish.car).is_none() {
                continue;
            }
            leg.spot = stands(leg.track, wish.car);
            for set in task.sets.iter_mut().filter(|set| set.car == wish.car) {
                set.spot = leg.spot;
            }
        }
    }
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
    /// What kept it from getting there tonight: what says most, on whatever way was tried.
    pub hindrance: Option<Hindrance>,
    /// What a host is told kept it: the same, but only what lies on the way that it will go.
    pub told: Option<Hindrance>,
    /// Who takes it on in a later session, if it does not get there tonight.
    pub onward: Option<Onward>,
    /// The call of a yard job that puts it with others of the train which takes it on.
    pub made_up: Option<CallIx>,
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
    /// Ends a leg on another track, from which the next one then begins.
    fn leave_on(&mut self, leg: usize, track: TrackIx) {
        self.legs[leg].track = track;
        if let Some(next) = self.legs.get_mut(leg + 1) {
            next.from_track = track;
        }
    }

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
    /// Cars to leave at spots of one track that may stand at each other's: in each group, whichever
    /// stands where.
    pub exchange: Vec<Vec<CarIx>>,
}

impl Task {
    /// The group of a car that may stand at the spots of others.
    pub fn group(&self, car: CarIx) -> Option<usize> {
        self.exchange.iter().position(|group| group.contains(&car))
    }

    /// Whether a car that is left may stand at a spot: its own, or one of its group's.
    pub fn may_stand_at(&self, set: &SetOut, spot: Option<SpotIx>) -> bool {
        let group = self.group(set.car);
        let others = self.sets.iter().filter(|other| group.is_some() && self.group(other.car) == group);
        set.spot == spot || others.into_iter().any(|other| other.spot == spot)
    }

    /// The same for some of its cars.
    #[must_use]
    pub fn only(&self, cars: Vec<CarIx>) -> Task {
        let has = |car: &CarIx| cars.contains(car);
        let group = |group: &Vec<CarIx>| group.iter().copied().filter(has).collect::<Vec<CarIx>>();
        Task {
            pulls: self.pulls.iter().copied().filter(has).collect(),
            sets: self.sets.iter().copied().filter(|set| has(&set.car)).collect(),
            exchange: self.exchange.iter().map(group).filter(|group| group.len() > 1).collect(),
            cars,
        }
    }
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
    KeptOff(KeptOff),
    /// A job's train is full.
    TrainFull(JobIx),
    /// No yard on its way has room: the first track tried, and the call at which it would have been left there.
    YardFull(TrackIx, CallIx),
    /// It is too long, too high or too heavy to go there.
    TooLarge(PlaceIx),
    /// A crew cannot switch it.
    Banned(CallIx, Ban),
    /// No job goes there from where it stands, in the order of tonight's events.
    NoConnection,
}

impl Hindrance {
    /// Whether what is in the way is a track or a train that a leg uses.
    fn is_at(&self, leg: &Leg) -> bool {
        match self {
            Hindrance::Full(track) | Hindrance::YardFull(track, _) => {
                *track == leg.track || *track == leg.from_track
            }
            Hindrance::TrainFull(job) => *job == leg.job,
            _ => false,
        }
    }

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

/// How many trips may be looked for to better those of cars that a ban has thrown out.
const TRIPS_AFTER_A_BAN: usize = 40;

/// Plans trips, and mends them as bans come in.
#[derive(Debug)]
pub struct Planner<'a> {
    network: &'a Network<'a>,
    demand: &'a Demand,
    chance: Chance,
    draft: Option<draft::Draft<'a>>,
    quick: bool,
}

impl<'a> Planner<'a> {
    /// A planner for a session.
    pub const fn new(network: &'a Network<'a>, demand: &'a Demand, chance: Chance) -> Self {
        Planner { network, demand, chance, draft: None, quick: false }
    }

    /// The same, but the most urgent always chooses first: for sessions that nobody will see.
    #[must_use]
    pub const fn in_order_of_urgency(mut self) -> Self {
        self.quick = true;
        self
    }

    /// The trips of the session. Bans may only be added from one time to the next.
    pub fn plan(&mut self, bans: &Bans) -> Trips {
        match &mut self.draft {
            None => {
                let mut draft = draft::Draft::new(self.network, self.demand);
                draft.begin(bans);
                if !self.quick {
                    let chance = self.chance.stream("trips", "improve");
                    improve::improve(&mut draft, bans, chance, improve::TRIPS_TRIED);
                }
                draft.finish(bans);
                self.draft = Some(draft);
            }
            Some(draft) => draft.obey(bans, if self.quick { 0 } else { TRIPS_AFTER_A_BAN }),
        }
        self.trips(bans)
    }

    /// The trips as they are planned.
    fn trips(&self, bans: &Bans) -> Trips {
        let Some(draft) = &self.draft else { return Trips::default() };
        let trips = draft.trips().to_vec();
        let tasks = self.tasks(&trips);
        let mut elsewhere: BTreeMap<CallIx, Vec<Elsewhere>> = BTreeMap::new();
        for (call, car) in elsewhere::choices(self.network, self.demand, (&draft.room, &trips), bans) {
            elsewhere.entry(call).or_default().push(car);
        }
        let tracks = self.network.layout().tracks().indices();
        let spare = tracks.map(|track| draft.room.spare(self.network, track)).collect();
        Trips { trips, tasks, elsewhere, spare }
    }

    /// What yard jobs could do for later trains.
    pub fn offers(&self) -> Vec<Offer> {
        self.draft.as_ref().map_or(Vec::new(), draft::Draft::offers)
    }

    /// Takes an offer up where `pays` is content with the trips that come of it.
    pub fn take_up(&mut self, offer: &Offer, bans: &Bans, pays: impl FnOnce(&Trips) -> bool) {
        self.try_out(bans, |draft| draft.take_up(offer, bans), pays);
    }

    /// The other tracks on which cars that wait, or have got where they go, might be left.
    pub fn shifts(&self, bans: &Bans) -> Vec<Shift> {
        self.draft.as_ref().map_or(Vec::new(), |draft| draft.shifts(bans))
    }

    /// Makes a shift where `pays` is content with the trips that come of it.
    pub fn shift(&mut self, shift: &Shift, bans: &Bans, pays: impl FnOnce(&Trips) -> bool) {
        self.try_out(bans, |draft| draft.shift(shift), pays);
    }

    /// Keeps a change, which gives the trips that were there before, if `pays` is content.
    fn try_out(
        &mut self,
        bans: &Bans,
        change: impl FnOnce(&mut draft::Draft<'a>) -> Option<Vec<Trip>>,
        pays: impl FnOnce(&Trips) -> bool,
    ) {
        let Some(before) = self.draft.as_mut().and_then(change) else { return };
        if !pays(&self.trips(bans))
            && let Some(draft) = &mut self.draft
        {
            draft.restore(&before);
        }
    }

    fn tasks(&self, trips: &[Trip]) -> IxVec<CallIx, Task> {
        let mut tasks: IxVec<CallIx, Task> = self.network.calls().values().map(|_| Task::default()).collect();
        for (wish, trip) in self.demand.wishes.iter().zip(trips) {
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
        for (leg, group) in exchange::groups(self.network, self.demand, trips) {
            tasks[leg.to].exchange.push(group);
        }
        tasks
    }
}

#[cfg(test)]
mod tests;
