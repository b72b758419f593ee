//! Putting what the stages made into the words of the plan.

use crate::ids::{CallIx, CarIx, Id};
use crate::layout::{End, Layout, Pace, Service, SpotTarget};
use crate::said::Worded;
use crate::switching::{Cut, Handling, Movement};
use crate::traffic::{Hand, Kept, Outcome, Purpose, end_words};
use crate::units::{Length, Tons};

use super::asked::Shape;
use super::deeds::{ordinal, work};
use super::legs::{Runs, made_up_for};
use super::make_up::make_up;
use super::meets::meets;
use super::minutes::minutes;
use super::notices::notices;
use super::plan::{
    Event, FORMAT, LeftCar, LegLine, OnHandLine, OrderLine, OrderState, Plan, Train, TripLine,
};
use super::sized::Given;
use super::world::{rows, world};
use super::yards::Yards;
use super::{Made, Request, handed, reasons, tallies};

/// The plan of a session.
pub(super) fn assemble(
    made: &Made<'_>,
    request: &Request,
    pace: &Pace,
    shape: &Shape,
    given: Option<&Given>,
) -> Plan {
    let layout = made.network.layout();
    let yards = Yards::new(made);
    let met = meets(made);
    let trips = trips(made, &yards);
    let orders = orders(made);
    let suggestion = if given.is_none() { handed::suggestion(made, pace) } else { None };
    Plan {
        format: FORMAT,
        layout: layout.settings().name.clone(),
        session: made.session,
        revision: request.revision,
        seed: request.seed,
        date: made.network.date(),
        world: world(made.network),
        before: rows(layout, made.before),
        events: events(made),
        after: rows(layout, &made.after),
        work: work(made),
        make_up: make_up(made),
        on_hand: on_hand(made),
        pace: *pace,
        minutes: minutes(made, pace),
        crews: given.map(|given| handed::crews(made, given)),
        suggestion,
        dropped: handed::dropped(made, shape),
        notices: [
            handed::notices(made, shape, given, suggestion),
            notices(made, &yards, &met, &orders, &trips),
        ]
        .concat(),
        meets: met.into_iter().map(|met| met.line).collect(),
        orders,
        kinds: tallies::kinds(made),
        gateways: tallies::gateways(made),
        loads: tallies::loads(made),
        trips,
    }
}

pub(super) fn id_of(made: &Made<'_>, car: CarIx) -> Id {
    made.network.layout().cars()[car].id.clone()
}

fn events(made: &Made<'_>) -> Vec<Event> {
    let mut events: Vec<Event> = made.demand.hands.iter().map(|hand| hand_event(made, hand)).collect();
    for (ix, call) in made.network.calls().iter() {
        let layout = made.network.layout();
        let job = &layout.jobs()[call.job].id;
        let place = &layout.places()[call.place].id;
        if call.previous.is_none() {
            events.push(Event::Starts { job: job.clone(), place: place.clone() });
        }
        let done = &made.worked.calls[ix];
        let number = ordinal(call.stop);
        events.extend(done.handlings.iter().map(|handling| handling_event(made, job, number, handling)));
        events.extend(services(made, ix));
        events.push(match (&call.ride, call.next) {
            (Some(ride), Some(next)) => Event::Goes {
                job: job.clone(),
                call: number,
                from: place.clone(),
                to: layout.places()[made.network.calls()[next].place].id.clone(),
                way: ride.way.places.iter().map(|place| layout.places()[*place].id.clone()).collect(),
                direction: ride.leaves,
                train: train(made, layout.jobs()[call.job].power.length, &done.train),
            },
            _ => Event::Ends { job: job.clone(), place: place.clone() },
        });
    }
    events
}

fn hand_event(made: &Made<'_>, hand: &Hand) -> Event {
    let layout = made.network.layout();
    let lading = |lading| layout.commodities()[lading].id.clone();
    match *hand {
        Hand::Released(car, now) => Event::Released { car: id_of(made, car), lading: now.map(lading) },
        Hand::Lifted(car, track, gateway) => Event::Lifted {
            car: id_of(made, car),
            track: layout.tracks()[track].id.clone(),
            gateway: layout.gateways()[gateway].id.clone(),
        },
        Hand::Placed(car, track, gateway, now) => Event::Placed {
            car: id_of(made, car),
            track: layout.tracks()[track].id.clone(),
            gateway: layout.gateways()[gateway].id.clone(),
            lading: now.map(lading),
        },
        Hand::Served(car, track, service) => {
            Event::Served { car: id_of(made, car), track: layout.tracks()[track].id.clone(), service }
        }
        Hand::BadOrder(car) => Event::BadOrder { car: id_of(made, car) },
    }
}

fn handling_event(made: &Made<'_>, job: &Id, call: u32, handling: &Handling) -> Event {
    let layout = made.network.layout();
    let (job, end, track) = (job.clone(), handling.end, layout.tracks()[handling.track].id.clone());
    match handling.movement {
        Movement::Couple => {
            let cars = handling.cars.iter().map(|on| id_of(made, on.car)).collect();
            Event::Couple { job, call, track, end, cars }
        }
        Movement::Leave => {
            let spot = |spot| layout.spots()[spot].id.clone();
            let cars =
                handling.cars.iter().map(|on| LeftCar { car: id_of(made, on.car), spot: on.spot.map(spot) });
            Event::Leave { job, call, track, end, cars: cars.collect() }
        }
    }
}

/// What is done to cars that came at this call to where it is offered.
fn services(made: &Made<'_>, call: CallIx) -> Vec<Event> {
    let layout = made.network.layout();
    let mut events = Vec::new();
    for (wish, trip) in made.arriving(call) {
        for leg in trip.legs.iter().filter(|leg| leg.to == call) {
            let stage = leg.ends_stage.and_then(|stage| wish.stages.get(stage));
            let purpose = stage.map(|stage| stage.purpose);
            // What is repaired takes its time: that is told when it is done.
            let Some(Purpose::Serve(service) | Purpose::Mend(service @ Service::Clean)) = purpose else {
                continue;
            };
            let track = layout.tracks()[leg.track].id.clone();
            events.push(Event::Served { car: id_of(made, wish.car), track, service });
        }
    }
    events
}

fn train(made: &Made<'_>, power: Length, cut: &Cut) -> Train {
    let layout = made.network.layout();
    let outward = cut.cars.iter().map(|car| id_of(made, *car));
    // A cut that works eastern ends stands west of its engine.
    let (west, east) = match cut.end {
        Some(End::East) => (outward.rev().collect(), Vec::new()),
        _ => (Vec::new(), outward.collect()),
    };
    let length: Length = cut.cars.iter().map(|car| layout.cars()[*car].length).sum();
    let tons: Tons = cut.cars.iter().map(|car| made.demand.standing.weight(layout, *car)).sum();
    Train { west, east, length: power + length, tons }
}

fn orders(made: &Made<'_>) -> Vec<OrderLine> {
    let layout = made.network.layout();
    let mut lines: Vec<OrderLine> = made
        .demand
        .news
        .iter()
        .map(|news| {
            let lane = &layout.lanes()[news.order.lane];
            OrderLine {
                id: news.order.id.clone(),
                lane: lane.id.clone(),
                commodity: layout.commodities()[lane.commodity].id.clone(),
                from: end_words(layout, lane.from).into(),
                to: end_words(layout, lane.to).into(),
                due: news.order.due,
                state: match news.outcome {
                    Outcome::Waiting | Outcome::Held => OrderState::Waiting,
                    Outcome::Filled => OrderState::Filled,
                    Outcome::Done => OrderState::Done,
                    Outcome::Cancelled => OrderState::Cancelled,
                },
                car: news.order.car.map(|car| id_of(made, car)),
                cars: lane.cars.iter().map(|kind| layout.types()[*kind].code.clone()).collect(),
                why: news.why.clone(),
                told: news.told.clone(),
            }
        })
        .collect();
    lines.sort_by(|one, other| (one.state, one.due, &one.id).cmp(&(other.state, other.due, &other.id)));
    lines
}

fn trips(made: &Made<'_>, yards: &Yards) -> Vec<TripLine> {
    let layout = made.network.layout();
    let calls = made.network.calls();
    let runs = Runs::new(made);
    let lines = made.demand.wishes.iter().zip(&made.trips.trips).map(|(wish, trip)| {
        let state = made.demand.standing.car(wish.car);
        let from = state.track().expect("a car with a wish stands on a track");
        let services = wish.stages.iter().filter_map(|stage| match stage.purpose {
            // A car that is only mended is where it is bound; one that is cleaned goes on from there.
            Purpose::Serve(service) | Purpose::Mend(service @ Service::Clean) => Some(service),
            _ => None,
        });
        let legs = trip.legs.iter().enumerate().map(|(number, leg)| LegLine {
            job: layout.jobs()[leg.job].id.clone(),
            from_call: ordinal(calls[leg.from].stop),
            from: layout.tracks()[leg.from_track].id.clone(),
            to_call: ordinal(calls[leg.to].stop),
            to: layout.tracks()[leg.track].id.clone(),
            spot: leg.spot.map(|spot| layout.spots()[spot].id.clone()),
            made_up_for: made_up_for(trip, number).map(|call| layout.jobs()[calls[call].job].id.clone()),
            why: runs.why(made, wish, trip, number).into(),
        });
        let later =
            trip.sessions.and_then(|sessions| i32::try_from(sessions).ok()).filter(|sessions| *sessions > 0);
        let kept = reasons::kept(made, yards, wish, trip);
        let told = reasons::why(made, wish).into_iter().chain(kept.clone()).collect::<Vec<Worded>>();
        TripLine {
            car: id_of(made, wish.car),
            order: state.condition.order().cloned(),
            lading: state.condition.lading().map(|lading| layout.commodities()[lading].id.clone()),
            from: layout.tracks()[from].id.clone(),
            bound: wish.bound.clone(),
            goals: wish.stages.iter().map(|stage| goals(layout, &stage.goals)).collect(),
            since: wish.urgency.since,
            promised: wish.urgency.promised == 0,
            waits: state.waiting_since,
            for_repair: wish.stages.iter().any(|stage| stage.purpose == Purpose::Mend(Service::Repair)),
            services: services.collect(),
            legs: legs.collect(),
            arrives: trip.stages == wish.stages.len(),
            expected: later.map(|sessions| made.session + sessions),
            why: told.iter().map(|told| told.text.as_str()).collect::<Vec<_>>().join("; ").into(),
            kept: kept.map(|kept| kept.text.into()),
            told: told.into_iter().map(|told| told.said).collect(),
        }
    });
    lines.collect()
}

fn on_hand(made: &Made<'_>) -> Vec<OnHandLine> {
    let layout = made.network.layout();
    let line = |kept: &Kept| OnHandLine {
        car: id_of(made, kept.car),
        customer: layout.industries()[kept.customer].id.clone(),
        placed: kept.since,
        days: kept.days,
        over: kept.over,
    };
    made.demand.kept.iter().map(line).collect()
}

fn goals(layout: &Layout, goals: &[SpotTarget]) -> Vec<Id> {
    goals.iter().map(|goal| layout.id_of(*goal).clone()).collect()
}
