//! Reasons, in words for the host.

use crate::ids::{CarIx, TrackIx};
use crate::layout::{Layout, SpotTarget};
use crate::standing::Condition;
use crate::switching::Trouble;
use crate::traffic::Wish;
use crate::trips::{Hindrance, Onward, Trip};
use crate::units::Length;

use super::asked::HELD;
use super::yards::Yards;
use super::{Made, names};

/// What is said of a placarded car for which the train has no place; [`super::notices`] looks for it.
pub(super) const NO_PLACE_TO_RIDE: &str = "has placards and no place in the train where it may ride";

/// What stops a movement.
pub(super) fn trouble(layout: &Layout, trouble: Trouble) -> String {
    let name = |track| names::track(layout, track);
    match trouble {
        Trouble::WrongEnd(track) => format!("the crew cannot get at the open end of {}", name(track)),
        Trouble::NotIts(track) => format!("the job may not switch {}", name(track)),
        Trouble::Behind(track) => format!("cars on {} stand in the way", name(track)),
        Trouble::NoRoom(track) => format!("{} has no room for it", name(track)),
        Trouble::Lead(end) => format!("the cut does not fit the {} lead", end.word()),
        Trouble::NoParking => "no track there takes the cars that stand in the way for a moment".to_owned(),
        Trouble::NoRunAround => "the engine cannot get round its cars there".to_owned(),
        Trouble::Placarded(car) => format!("{} {NO_PLACE_TO_RIDE}", layout.cars()[car].id),
        Trouble::NotReached(car) => format!("the crew cannot get at {}", layout.cars()[car].id),
    }
}

/// What keeps a car from getting where it is bound tonight.
fn hindrance(made: &Made<'_>, yards: &Yards, wish: &Wish, trip: &Trip, hindrance: &Hindrance) -> String {
    let layout = made.network.layout();
    match hindrance {
        Hindrance::NoGoal => "nothing on the layout does what it goes for".to_owned(),
        Hindrance::Full(track) if goes_elsewhere(made, wish, trip, *track) => no_connection(made, trip),
        Hindrance::Full(track) => taken(made, wish, trip, *track),
        Hindrance::KeptOff(why) => why.to_string(),
        Hindrance::TrainFull(job) => format!("no room in the train of {}", layout.jobs()[*job].name),
        Hindrance::YardFull(_, call) => yards.words(*call).to_owned(),
        Hindrance::TooLarge(place) => {
            format!("it is too long, high or heavy to go to {}", layout.places()[*place].title)
        }
        Hindrance::Banned(call, why) => {
            let call = &made.network.calls()[*call];
            let (job, place) = (&layout.jobs()[call.job].name, &layout.places()[call.place].title);
            if **why == *HELD {
                return format!("no time for it in this session with {job}");
            }
            format!("at {place} it cannot be switched by {job}: {why}")
        }
        Hindrance::NoConnection => no_connection(made, trip),
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
fn taken(made: &Made<'_>, wish: &Wish, trip: &Trip, full: TrackIx) -> String {
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
    let (where_, one) = match here.as_slice() {
        [one] => {
            (names::target(layout, *one), one.spot().is_some_and(|spot| layout.spots()[spot].cars.is_some()))
        }
        _ => (names::track(layout, full), false),
    };
    match holders.as_slice() {
        [] => format!("{where_} has no room for it when its train comes"),
        [car] if one => format!("{where_} is taken by {}", holder(made, *car)),
        [car] => format!("{where_} has no room beside {}", holder(made, *car)),
        [car, rest @ ..] => {
            format!("{where_} is full: {} and {} more", holder(made, *car), rest.len())
        }
    }
}

/// A car with what keeps it where it stands.
fn holder(made: &Made<'_>, car: CarIx) -> String {
    let id = &made.network.layout().cars()[car].id;
    match made.after.car(car).condition {
        Condition::Loading { order: _, ready } => format!("{id}, being loaded until session {ready}"),
        Condition::Unloading { order: _, lading: _, ready } => {
            format!("{id}, being unloaded until session {ready}")
        }
        Condition::Empty | Condition::Ordered { .. } | Condition::Loaded { .. } => id.to_string(),
    }
}

/// Why nobody takes a car on tonight: the job that does so later has gone by when the car could go.
fn no_connection(made: &Made<'_>, trip: &Trip) -> String {
    let Some(onward) = trip.onward else { return "no job goes on with it".to_owned() };
    let layout = made.network.layout();
    let call = &made.network.calls()[onward.call];
    let (job, place) = (&layout.jobs()[call.job].name, &layout.places()[call.place].title);
    match trip.legs.last() {
        Some(leg) if leg.to >= onward.call => {
            format!(
                "it comes to {place} too late for {job}, and goes on with it in session {}",
                made.session + offset(onward)
            )
        }
        _ => format!("it goes on from {place} in session {} with {job}", made.session + offset(onward)),
    }
}

fn offset(onward: Onward) -> i32 {
    i32::try_from(onward.sessions).unwrap_or(i32::MAX)
}

/// What a host is told keeps a car from getting where it is bound.
pub(super) fn told(trip: &Trip) -> Option<&Hindrance> {
    trip.told.as_ref().or(trip.hindrance.as_ref())
}

/// Why a car goes, and why it goes no further.
pub(super) fn trip(made: &Made<'_>, yards: &Yards, wish: &Wish, trip: &Trip) -> String {
    match kept(made, yards, wish, trip) {
        Some(kept) => format!("{}; {kept}", wish.why),
        None => wish.why.to_string(),
    }
}

/// Why a car goes no further.
pub(super) fn kept(made: &Made<'_>, yards: &Yards, wish: &Wish, trip: &Trip) -> Option<String> {
    let reason = hindrance(made, yards, wish, trip, told(trip)?);
    if trip.aside {
        return Some(format!("put aside, others wait for its spot: {reason}"));
    }
    Some(match (trip.off_spot, trip.legs.is_empty(), trip.sessions) {
        (true, _, _) => format!("put near its spot: {reason}"),
        (false, true, Some(_)) => format!("stays tonight: {reason}"),
        (false, false, Some(_)) => format!("gets no further tonight: {reason}"),
        (false, _, None) if made.reduced => format!("waits for a session in which all jobs run: {reason}"),
        (false, _, None) => format!("nothing takes it there within three sessions: {reason}"),
    })
}

/// Where a car is bound, in words.
pub(super) fn bound(made: &Made<'_>, car: CarIx) -> Box<str> {
    if let Some((wish, _)) = made.trip_of(car) {
        return wish.bound.clone();
    }
    let state = made.demand.standing.car(car);
    let hold = if state.unfinished > 0 { "not finished, " } else { "" };
    let words = match &state.condition {
        Condition::Loading { order: _, ready } => format!("{hold}being loaded until session {ready}"),
        Condition::Unloading { order: _, lading: _, ready } => {
            format!("{hold}being unloaded until session {ready}")
        }
        _ if state.bad_order => match state.repaired {
            Some(done) => format!("in repair until session {done}"),
            None => "bad order, waits here".to_owned(),
        },
        Condition::Empty => "waits here".to_owned(),
        Condition::Ordered { .. } | Condition::Loaded { .. } => "is where it is bound".to_owned(),
    };
    words.into()
}
