//! The session: the finished plan.
//!
//! Takes a layout, a standing and a seed, runs the stages before it, and gives the [`plan::Plan`]
//! and the standing that the session leaves if all goes as planned. Where switching refuses a call,
//! the cars it names are banned from that call and trips are planned again; every round bans more
//! cars from more calls, so the rounds end. It also makes the first standing, by running the
//! railroad in.
//!
//! Cost: trips and switching once, and once more for every refusal.

pub mod plan;

mod asked;
mod assemble;
mod course;
mod deeds;
mod handed;
mod legs;
mod made_up;
mod make_up;
mod meets;
mod minutes;
mod names;
mod notices;
mod reasons;
mod reorder;
mod shifted;
mod sized;
mod tallies;
mod world;
mod yards;

pub use asked::Asked;

pub use crate::traffic::{found, found_bad_order, gives_up};

use crate::chance::Chance;
use crate::ids::{CallIx, CarIx, IxVec};
use crate::layout::Layout;
use crate::network::Network;
use crate::standing::{Away, Passed, Standing};
use crate::switching::{self, Crews, Memory, Staged, Worked};
use crate::traffic::{self, Declined, Demand, Ended, Wish};
use crate::trips::{Ban, Bans, Planner, Trip, Trips};
use crate::units::Tons;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// The seed of the session's chance.
    pub seed: u64,
    /// The revision of its plan, from 1.
    pub revision: u32,
}

/// A session, planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The plan.
    pub plan: plan::Plan,
    /// The standing it leaves if all goes as planned.
    pub after: Standing,
}

/// Everything the stages made, before it is put into words.
pub(crate) struct Made<'a> {
    network: &'a Network<'a>,
    session: i32,
    before: &'a Standing,
    demand: Demand,
    trips: Trips,
    worked: Worked,
    after: Standing,
    /// Whether jobs that could run do not.
    reduced: bool,
    /// By car, the place of its wish and trip.
    wish_of: IxVec<CarIx, Option<usize>>,
    /// By call, the places of the trips that have a leg to it.
    arriving: IxVec<CallIx, Vec<usize>>,
}

impl Made<'_> {
    /// What a car wants and how it gets there.
    fn trip_of(&self, car: CarIx) -> Option<(&Wish, &Trip)> {
        self.wish_of[car].map(|place| (&self.demand.wishes[place], &self.trips.trips[place]))
    }

    /// The trips that have a leg to a call, in the order of the wishes.
    fn arriving(&self, call: CallIx) -> impl Iterator<Item = (&Wish, &Trip)> {
        self.arriving[call].iter().map(|place| (&self.demand.wishes[*place], &self.trips.trips[*place]))
    }
}

/// How much care a session gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Care {
    /// It will be run, and the host waits for it.
    Thorough,
    /// It will be run.
    Full,
    /// It is for nobody: the railroad is run in.
    Quick,
}

impl Care {
    /// How many states are opened for each of so many calls, to find fewer handlings, while trips are not settled.
    fn states(self, calls: usize) -> usize {
        match self {
            Care::Thorough | Care::Full => SEARCHED.max(SHARED / calls.max(1)),
            Care::Quick => 0,
        }
    }
}

/// How trips and calls are made to fit each other.
#[derive(Clone, Copy, Debug)]
struct How {
    chance: Chance,
    care: Care,
    /// Whether yard jobs make up trains of others.
    made_up: bool,
}

/// How many states are opened at least for each call of a session that will be run, to find fewer handlings.
const SEARCHED: usize = 50;

/// How many for all its calls together, where they are few.
const SHARED: usize = 2500;

/// How many for each call once trips are settled.
const SETTLED: usize = 10 * SEARCHED;

/// The same where the host waits for it.
const THOROUGH: usize = 100 * SETTLED;

/// How many sessions the railroad is run in before the first.
const RUN_IN: i32 = 4;

/// How many sessions a car has been idle of which nothing is known: longer than any gateway keeps one.
const LONG_IDLE: i32 = 1000;

/// Plans the session after the one that left this standing.
pub fn plan(layout: &Layout, standing: &Standing, request: &Request) -> Planned {
    plan_asked(layout, standing, request, &Asked::default())
}

/// The same, as a host asks for it: with these people, without those jobs.
pub fn plan_asked(layout: &Layout, standing: &Standing, request: &Request, asked: &Asked) -> Planned {
    let session = sized::Session {
        layout,
        standing,
        number: standing.session + 1,
        chance: Chance::new(request.seed),
        pace: asked.pace.unwrap_or(*layout.pace()),
        care: if asked.thorough { Care::Thorough } else { Care::Full },
        known: sized::Known::new(),
    };
    let mut shape = asked::Shape { made_up: asked.people.is_none(), ..asked::Shape::default() };
    for job in &asked.without {
        shape.drop(*job, asked::Dropped::ByTheHost);
    }
    let (made, shape, given) = match &asked.people {
        Some(people) => {
            let sized::Step { made, shape, given, in_row: _ } = sized::sized(&session, shape, people);
            (made, shape, Some(given))
        }
        None => (session.made(&shape), shape, None),
    };
    let plan = assemble::assemble(&made, request, &session.pace, &shape, given.as_ref());
    Planned { plan, after: made.after }
}

/// The standing before the first session: what yesterday would have left.
///
/// The cars begin beyond their home gateways, those that say where they stand begin there, and some
/// sessions are run for nobody.
pub fn first_standing(layout: &Layout, seed: u64) -> Standing {
    let mut standing = Standing::shelved(layout);
    let date = layout.settings().days.of_session(-RUN_IN);
    let network = Network::new(layout, date);
    for (car, described) in layout.cars().iter() {
        if !described.existence.on(date) {
            continue;
        }
        match described.stands.filter(|track| network.has_track(*track)) {
            Some(track) => standing.put(car, track, None),
            None => {
                if let Some(gateway) = traffic::home_of(layout, car) {
                    standing.take_away(car, Away::Beyond(gateway));
                }
            }
        }
        standing.car_mut(car).since = -LONG_IDLE;
    }
    for session in 1 - RUN_IN..=0 {
        let mut memory = Memory::default();
        let shape = asked::Shape::default();
        let network = Network::new(layout, layout.settings().days.of_session(session));
        let chance = Chance::new(seed);
        let demand = traffic::due(&network, &standing, session, chance);
        let start = Start { before: &standing, session, chance, demand };
        standing = make(&network, start, Care::Quick, &shape, &mut memory).after;
    }
    // What gateways brought and took is counted from the first session that is run.
    standing.passed = IxVec::filled(Passed::default(), layout.gateways().len());
    standing
}

/// What a session begins with.
struct Start<'a> {
    before: &'a Standing,
    session: i32,
    chance: Chance,
    demand: Demand,
}

/// Runs the stages after traffic.
fn make<'a>(
    network: &'a Network<'a>,
    start: Start<'a>,
    care: Care,
    shape: &asked::Shape,
    memory: &mut Memory,
) -> Made<'a> {
    let Start { before, session, chance, mut demand } = start;
    let how = How { chance, care, made_up: shape.made_up };
    let (trips, worked) = fit(network, &mut demand, how, shape.bans(network), memory);
    stage(&mut demand, &worked.staged);
    let mut after = demand.standing.clone();
    let moved = worked.rows.iter().filter(|(track, row)| {
        let before = demand.standing.on(*track);
        row.len() != before.len()
            || row
                .iter()
                .zip(before)
                .any(|(on, car)| on.car != *car || demand.standing.car(*car).spot() != on.spot)
    });
    for (track, row) in moved {
        after.arrange(track, row.iter().map(|on| (on.car, on.spot)));
    }
    let ended = trips.trips.iter().map(|trip| Ended {
        stages: trip.stages,
        off_spot: trip.off_spot,
        kept_off: trip.kept_off(),
    });
    traffic::settle(network, &demand, &mut after, session, &ended.collect::<Vec<Ended>>());
    let mut wish_of = IxVec::filled(None, network.layout().cars().len());
    let mut arriving = IxVec::filled(Vec::new(), network.calls().len());
    for (place, (wish, trip)) in demand.wishes.iter().zip(&trips.trips).enumerate() {
        wish_of[wish.car] = Some(place);
        for (at, leg) in trip.legs.iter().enumerate() {
            if trip.legs[..at].iter().all(|before| before.to != leg.to) {
                arriving[leg.to].push(place);
            }
        }
    }
    let reduced = !shape.dropped.is_empty();
    Made { network, session, before, demand, trips, worked, after, reduced, wish_of, arriving }
}

/// Puts the cars that come by hand onto their tracks in the order in which the trains are wanted.
fn stage(demand: &mut Demand, staged: &[Staged]) {
    for on_track in staged {
        let (track, cars) = on_track;
        let stayed = demand.standing.on(*track).iter().filter(|car| !cars.contains(car)).copied();
        let row: Vec<_> = stayed.chain(cars.iter().copied()).collect();
        let row: Vec<_> = row.into_iter().map(|car| (car, demand.standing.car(car).spot())).collect();
        demand.standing.arrange(*track, row);
        switching::in_order(&mut demand.hands, on_track);
    }
}

/// Plans trips until every call's work can be done and customers take what comes.
fn fit(
    network: &Network<'_>,
    demand: &mut Demand,
    how: How,
    held: Bans,
    memory: &mut Memory,
) -> (Trips, Worked) {
    let mut bans = held;
    loop {
        match fit_or_refused(network, demand, how, &mut bans, memory) {
            Ok(done) => return done,
            Err(refused) => {
                for (place, why) in refused {
                    demand.wishes[place].kept_off = Some(why);
                }
            }
        }
    }
}

/// Plans trips until every call's work can be done, or until a customer refuses cars: which, and why.
fn fit_or_refused(
    network: &Network<'_>,
    demand: &Demand,
    How { chance, care, made_up }: How,
    bans: &mut Bans,
    memory: &mut Memory,
) -> Result<(Trips, Worked), Declined> {
    let layout = network.layout();
    let weights: IxVec<CarIx, Tons> =
        layout.cars().indices().map(|car| demand.standing.weight(layout, car)).collect();
    let (standing, hands) = (&demand.standing, &demand.hands[..]);
    let crews =
        Crews { network, standing, hands, weights: &weights, states: care.states(network.calls().len()) };
    let planner = Planner::new(network, demand, chance);
    let mut planner = if care == Care::Quick { planner.in_order_of_urgency() } else { planner };
    loop {
        let trips = planner.plan(bans);
        let refused = traffic::refused(network, demand, &arrivals(demand, &trips));
        if !refused.is_empty() {
            return Err(refused);
        }
        match crews.work(&trips, memory) {
            Ok(worked) => {
                let done = (trips, worked);
                let (mut trips, worked) =
                    if made_up { bettered(&crews, &mut planner, (bans, care), done, memory) } else { done };
                trips.follow(demand, &worked.chosen, |track, car| {
                    worked.rows[track].iter().find(|on| on.car == car).and_then(|on| on.spot)
                });
                return Ok((trips, worked));
            }
            Err(refusal) => {
                let why = Ban::Refused(reasons::trouble(layout, refusal.trouble));
                let before = bans.count();
                bans.refuse(&refusal.cars, refusal.call, &trips.tasks[refusal.call], &why);
                assert!(bans.count() > before, "a refusal names cars that were to be touched at the call");
            }
        }
    }
}

/// Trips that fit, with what spares handlings without bringing a car further: trains made up in yards, and cars left on
/// other tracks. The calls are worked once more with many states at the end.
fn bettered(
    crews: &Crews<'_>,
    planner: &mut Planner<'_>,
    (bans, care): (&Bans, Care),
    fits: (Trips, Worked),
    memory: &mut Memory,
) -> (Trips, Worked) {
    let work = |trips: &Trips| crews.work(trips, memory);
    let made_up = made_up::made_up(crews.network, planner, bans, fits, work);
    let work = |trips: &Trips, before: (&Worked, CallIx)| crews.work_anew(trips, memory, before);
    let (trips, worked) = shifted::shifted(crews.network, planner, (bans, care), made_up, work);
    let states = match care {
        Care::Thorough => THOROUGH,
        Care::Full => SETTLED,
        Care::Quick => return (trips, worked),
    };
    let longer = Crews { states, ..*crews }.work(&trips, memory);
    let cost = |worked: &Worked| made_up::cost(crews.network, worked);
    match longer {
        Ok(longer) if cost(&longer) < cost(&worked) => (trips, longer),
        _ => (trips, worked),
    }
}

/// For each wish, the call at which its car gets to where it is bound, if it does.
fn arrivals(demand: &Demand, trips: &Trips) -> Vec<Option<CallIx>> {
    let both = demand.wishes.iter().zip(&trips.trips);
    let arrives = both.map(|(wish, trip)| (trip.stages == wish.stages.len()).then_some(trip));
    arrives.map(|trip| trip?.legs.last().map(|leg| leg.to)).collect()
}
