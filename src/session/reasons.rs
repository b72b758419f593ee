//! Reasons, in words for the host.

use crate::ids::{CallIx, CarIx, Id, TrackIx};
use crate::layout::{End, Layout, Service, SpotTarget};
use crate::said::{self, Given, Said, Worded};
use crate::standing::Condition;
use crate::switching::Trouble;
use crate::traffic::{KeptOff, Purpose, Why, Wish};
use crate::trips::{Ban, Hindrance, Onward, Trip};
use crate::units::Length;

use super::asked::Dropped;
use super::yards::Yards;
use super::{Made, names};

/// A track, as it is filled into a saying.
pub(super) fn track(layout: &Layout, track: TrackIx) -> Given {
    Given::track(&layout.tracks()[track].id, names::track(layout, track))
}

/// A track with its place.
pub(super) fn track_at(layout: &Layout, ix: TrackIx) -> Worded {
    let place = &layout.places()[layout.tracks()[ix].place];
    said::track_at(track(layout, ix), &*place.title)
}

/// What stops a movement.
pub(super) fn trouble(layout: &Layout, trouble: Trouble) -> Worded {
    let name = |ix| track(layout, ix);
    match trouble {
        Trouble::WrongEnd(track) => said::wrong_end(name(track)),
        Trouble::NotIts(track) => said::not_its(name(track)),
        Trouble::Behind(track) => said::behind(name(track)),
        Trouble::NoRoom(track) => said::no_room(name(track)),
        Trouble::Lead(End::West) => said::lead_west(),
        Trouble::Lead(End::East) => said::lead_east(),
        Trouble::NoParking => said::no_parking(),
        Trouble::NoRunAround => said::no_run_around(),
        Trouble::Placarded(car) => said::no_place_to_ride(&layout.cars()[car].id),
        Trouble::NotReached(car) => said::not_reached(&layout.cars()[car].id),
    }
}

/// Whether a placarded car goes no further because the train has no place for it.
pub(super) fn has_no_place_to_ride(trip: &Trip) -> bool {
    let refused = match told(trip) {
        Some(Hindrance::Banned(_, Ban::Refused(why))) => Some(&*why.said.say),
        _ => None,
    };
    refused == Some("no_place_to_ride")
}

/// What keeps a car from getting where it is bound tonight.
fn hindrance(made: &Made<'_>, yards: &Yards, wish: &Wish, trip: &Trip, hindrance: &Hindrance) -> Given {
    let layout = made.network.layout();
    let job = |ix| &*layout.jobs()[ix].name;
    let place = |ix| &*layout.places()[ix].title;
    let words = match hindrance {
        Hindrance::NoGoal => said::no_goal(),
        Hindrance::Full(track) if goes_elsewhere(made, wish, trip, *track) => no_connection(made, wish, trip),
        Hindrance::Full(track) => taken(made, wish, trip, *track),
        Hindrance::KeptOff(why) => kept_off(layout, *why),
        Hindrance::TrainFull(by) => said::train_full(job(*by)),
        Hindrance::YardFull(_, call) => yards.words(*call),
        Hindrance::TooLarge(at) => said::too_large(place(*at)),
        Hindrance::Banned(call, why) => {
            let call = &made.network.calls()[*call];
            let why = match why {
                Ban::Held => return said::no_time(job(call.job)).into(),
                Ban::NoWayRound => said::no_way_round(),
                Ban::Refused(why) => why.clone(),
            };
            said::not_switched(place(call.place), job(call.job), why)
        }
        Hindrance::NoConnection => no_connection(made, wish, trip),
    };
    words.into()
}

/// Why a customer does not take a car tonight.
fn kept_off(layout: &Layout, why: KeptOff) -> Worded {
    let name = |customer| &*layout.industries()[customer].name;
    match why {
        KeptOff::Shut(customer) => said::shut(name(customer)),
        KeptOff::Limit(customer, most) if most.count() == 1 => said::one_car(name(customer)),
        KeptOff::Limit(customer, most) => {
            said::several_cars(name(customer), usize::try_from(most.count()).unwrap_or(usize::MAX))
        }
        KeptOff::InTurn(customer, first, since) => {
            said::in_turn(name(customer), &layout.cars()[first].id, since)
        }
    }
}

/// Whether a later job takes a car on, to another track than the full one, which has room for it: then that one
/// keeps it from nothing.
fn goes_elsewhere(made: &Made<'_>, wish: &Wish, trip: &Trip, full: TrackIx) -> bool {
    let layout = made.network.layout();
    let goals = wish.stages.get(trip.stages).map_or(&[][..], |stage| &stage.goals);
    let has_room = |goal: &SpotTarget| {
        let track = layout.track_of(*goal);
        let row = made.after.on(track);
        let taken: Length = row.iter().chain([&wish.car]).map(|car| layout.cars()[*car].length).sum();
        let free = |spot| row.iter().all(|car| made.after.car(*car).spot() != Some(spot));
        track != full && taken <= layout.tracks()[track].length && goal.spot().is_none_or(free)
    };
    !trip.off_spot && trip.onward.is_some() && goals.iter().any(has_room)
}

/// Who stands where a car is bound for.
fn taken(made: &Made<'_>, wish: &Wish, trip: &Trip, full: TrackIx) -> Worded {
    let layout = made.network.layout();
    let goals = wish.stages.get(trip.stages).map_or(&[][..], |stage| &stage.goals);
    let here: Vec<SpotTarget> = goals.iter().copied().filter(|goal| layout.track_of(*goal) == full).collect();
    let at = |target: &SpotTarget, car: CarIx| match target {
        SpotTarget::Spot(spot) => made.after.car(car).spot() == Some(*spot),
        SpotTarget::Track(_) => true,
    };
    let holders = made
        .after
        .on(full)
        .iter()
        .copied()
        .filter(|car| *car != wish.car && here.iter().any(|goal| at(goal, *car)));
    let holders: Vec<CarIx> = holders.collect();
    let (spot, one): (Given, bool) = match here.as_slice() {
        [SpotTarget::Spot(spot)] => {
            let spot = &layout.spots()[*spot];
            (spot.name.as_ref().into(), spot.cars.is_some())
        }
        _ => (track(layout, full), false),
    };
    let spots = here.len() > 1 && here.iter().all(|goal| goal.spot().is_some());
    match holders.as_slice() {
        [] => said::no_room_for(spot),
        [car] if spots => said::no_room_at_spots(spot, holder(made, *car)),
        [car, rest @ ..] if spots => said::spots_full(spot, holder(made, *car), rest.len()),
        [car] if one => said::taken(spot, holder(made, *car)),
        [car] => said::no_room_beside(spot, holder(made, *car)),
        [car, rest @ ..] => said::full(spot, holder(made, *car), rest.len()),
    }
}

/// A car with what keeps it where it stands.
fn holder(made: &Made<'_>, car: CarIx) -> Given {
    let id = &made.network.layout().cars()[car].id;
    match made.after.car(car).condition {
        Condition::Loading { order: _, ready } => said::loading(id, ready).into(),
        Condition::Unloading { order: _, lading: _, ready } => said::unloading(id, ready).into(),
        Condition::Empty | Condition::Ordered { .. } | Condition::Loaded { .. } => id.into(),
    }
}

/// Why nobody takes a car on tonight: the job that does so later has gone by when the car could go.
fn no_connection(made: &Made<'_>, wish: &Wish, trip: &Trip) -> Worded {
    let Some(onward) = trip.onward else { return said::no_job() };
    let layout = made.network.layout();
    let calls = made.network.calls();
    let call = &calls[onward.call];
    let (job, place) = (&*layout.jobs()[call.job].name, &*layout.places()[call.place].title);
    let session = made.session + offset(onward);
    let Some(missed) = last_missed(made, wish, trip, onward.call) else {
        return said::goes_on(place, session, job);
    };
    let last = &*layout.jobs()[calls[missed].job].name;
    match stands_before(made, trip, missed) {
        None if calls[missed].job == call.job => said::too_late(place, job, session),
        None => said::too_late_for_last(place, last, session, job),
        Some(track) if made.network.may_switch(missed, track) => said::goes_on(place, session, job),
        Some(_) => said::not_sorted(place, last, session, job),
    }
}

/// The last call tonight, no later than the car's last move, of a job that takes it on from where it then stands:
/// the one that does so in a later session, or another that goes from there to where it is bound.
fn last_missed(made: &Made<'_>, wish: &Wish, trip: &Trip, onward: CallIx) -> Option<CallIx> {
    let last = trip.legs.last()?.to;
    let (network, layout) = (made.network, made.network.layout());
    let calls = network.calls();
    let goals = wish.stages.get(trip.stages).map_or(&[][..], |stage| &stage.goals);
    let reaches = |from: CallIx| {
        let mut later = std::iter::successors(calls[from].next, |call| calls[*call].next);
        later.any(|call| goals.iter().any(|goal| network.may_switch(call, layout.track_of(*goal))))
    };
    let as_good = |call: CallIx| calls[call].place == calls[onward].place && reaches(onward) && reaches(call);
    let mut tonight = calls.indices().filter(|call| *call <= last);
    tonight.rfind(|call| *call == onward || as_good(*call))
}

/// The track on which a car stands when a job calls at its place, if it stands there then.
fn stands_before(made: &Made<'_>, trip: &Trip, call: CallIx) -> Option<TrackIx> {
    let next = trip.legs.iter().position(|leg| leg.to >= call)?;
    let leg = &trip.legs[next];
    let there = made.network.layout().tracks()[leg.from_track].place == made.network.calls()[call].place;
    (there && leg.from >= call).then_some(leg.from_track)
}

fn offset(onward: Onward) -> i32 {
    i32::try_from(onward.sessions).unwrap_or(i32::MAX)
}

/// What a host is told keeps a car from getting where it is bound.
pub(super) fn told(trip: &Trip) -> Option<&Hindrance> {
    trip.told.as_ref().or(trip.hindrance.as_ref())
}

/// Why a car goes.
pub(super) fn why(made: &Made<'_>, wish: &Wish) -> Vec<Worded> {
    let standing = &made.demand.standing;
    let condition = &standing.car(wish.car).condition;
    let order = condition.order();
    let mut why = Vec::new();
    match (wish.why, order) {
        (Why::Repair, Some(order)) if condition.lading().is_some() => {
            why.push(said::bad_order_loaded(Given::order(order)));
        }
        (Why::Repair, _) => why.push(said::bad_order()),
        (Why::NoOrder { bad_order, way_home }, _) => {
            why.extend(bad_order.then(said::bad_order));
            why.push(if way_home { said::no_order() } else { said::no_way_home() });
        }
        (Why::Order, order) => {
            why.extend(order.map(|order| for_order(made, order, condition.lading().is_some())));
        }
    }
    let on_the_way = wish.stages.iter().filter_map(|stage| match stage.purpose {
        Purpose::Serve(service) => Some(said::on_the_way(service.word())),
        Purpose::Mend(Service::Clean) => Some(said::cleaned_first()),
        _ => None,
    });
    why.extend(on_the_way);
    why
}

/// That a car serves an order.
fn for_order(made: &Made<'_>, order: &Id, loaded: bool) -> Worded {
    let layout = made.network.layout();
    let lane = made.demand.standing.order(order).map(|order| order.lane);
    let lading = lane.map_or("", |lane| &*layout.commodities()[layout.lanes()[lane].commodity].name);
    if loaded {
        said::carries(lading, Given::order(order))
    } else {
        said::to_load(lading, Given::order(order))
    }
}

/// Why a car goes no further.
pub(super) fn kept(made: &Made<'_>, yards: &Yards, wish: &Wish, trip: &Trip) -> Option<Worded> {
    let reason = hindrance(made, yards, wish, trip, told(trip)?);
    if trip.aside {
        return Some(said::put_aside(reason));
    }
    Some(match (trip.off_spot, trip.legs.is_empty(), trip.sessions) {
        (true, _, _) => said::put_near(reason),
        (false, true, Some(_)) => said::stays(reason),
        (false, false, Some(_)) => said::no_further(reason),
        (false, _, None) if made.reduced => said::all_jobs(reason),
        (false, _, None) => said::never(reason),
    })
}

/// Why a job does not run.
pub(super) fn dropped(why: Dropped) -> Worded {
    match why {
        Dropped::ByTheHost => said::left_out(),
        Dropped::TooFewPeople => said::too_few_people(),
        Dropped::TooShort => said::too_short(),
        Dropped::NoCars => said::no_car_waits(),
    }
}

/// Where a car is bound, in words; of one that has nowhere to go, what it is there for.
pub(super) fn bound(made: &Made<'_>, car: CarIx) -> (Box<str>, Option<Said>) {
    if let Some((wish, _)) = made.trip_of(car) {
        return (wish.bound.clone(), None);
    }
    let state = made.demand.standing.car(car);
    let hold = |words| if state.unfinished > 0 { said::not_finished(words) } else { words };
    let Worded { text, said } = match &state.condition {
        Condition::Loading { order: _, ready } => hold(said::in_loading(*ready)),
        Condition::Unloading { order: _, lading: _, ready } => hold(said::in_unloading(*ready)),
        _ if state.bad_order => match state.repaired {
            Some(done) => said::in_repair(done),
            None => said::bad_order_waits(),
        },
        Condition::Empty => said::waits(),
        Condition::Ordered { .. } | Condition::Loaded { .. } => said::there(),
    };
    (text.into(), Some(said))
}
