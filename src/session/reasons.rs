//! Reasons, in words for the host.

use crate::ids::CarIx;
use crate::layout::Layout;
use crate::network::Network;
use crate::standing::Condition;
use crate::switching::Trouble;
use crate::trips::{Hindrance, Trip};

use super::Made;

/// What stops a movement.
pub(super) fn trouble(layout: &Layout, trouble: Trouble) -> String {
    let tracks = layout.tracks();
    match trouble {
        Trouble::WrongEnd(track) => format!("the crew cannot get at the open end of {}", tracks[track].id),
        Trouble::NotIts(track) => format!("the job may not switch {}", tracks[track].id),
        Trouble::Behind(track) => format!("cars on {} stand in the way", tracks[track].id),
        Trouble::NoRoom(track) => format!("{} has no room for it", tracks[track].id),
        Trouble::Lead(end) => format!("the cut does not fit the {} lead", end.word()),
        Trouble::NoParking => "no track there takes the cars that stand in the way for a moment".to_owned(),
        Trouble::NoRunAround => "the engine cannot get round its cars there".to_owned(),
        Trouble::NotReached(car) => format!("the crew cannot get at {}", layout.cars()[car].id),
    }
}

/// What keeps a car from getting where it is bound tonight.
pub(super) fn hindrance(network: &Network<'_>, hindrance: &Hindrance) -> String {
    let layout = network.layout();
    match hindrance {
        Hindrance::NoGoal => "nothing on the layout does what it goes for".to_owned(),
        Hindrance::Full(track) => format!("{} is full", layout.tracks()[*track].id),
        Hindrance::TrainFull(job) => format!("the train of {} is full", layout.jobs()[*job].name),
        Hindrance::YardFull(track) => format!("no room to wait at {}", layout.tracks()[*track].id),
        Hindrance::TooLarge(place) => {
            format!("it is too long, high or heavy to go to {}", layout.places()[*place].title)
        }
        Hindrance::Banned(call, why) => {
            let call = &network.calls()[*call];
            let (job, place) = (&layout.jobs()[call.job].name, &layout.places()[call.place].title);
            format!("{job} cannot switch it at {place}: {why}")
        }
        Hindrance::NoConnection => "no job goes on with it tonight".to_owned(),
    }
}

/// Why a car goes, and why it goes no further.
pub(super) fn trip(made: &Made<'_>, why: &str, trip: &Trip) -> String {
    let Some(reason) = &trip.hindrance else { return why.to_owned() };
    let reason = hindrance(made.network, reason);
    if trip.aside {
        return format!("{why}; put aside, others wait for its spot: {reason}");
    }
    let end = match (trip.off_spot, trip.legs.is_empty(), trip.sessions) {
        (true, _, _) => format!("put near its spot: {reason}"),
        (false, true, Some(_)) => format!("stays tonight: {reason}"),
        (false, false, Some(_)) => format!("gets no further tonight: {reason}"),
        (false, _, None) => format!("nothing takes it there within three sessions: {reason}"),
    };
    format!("{why}; {end}")
}

/// Where a car is bound, in words.
pub(super) fn bound(made: &Made<'_>, car: CarIx) -> Box<str> {
    if let Some(wish) = made.demand.wishes.iter().find(|wish| wish.car == car) {
        return wish.bound.clone();
    }
    let state = made.demand.standing.car(car);
    let hold = if state.unfinished > 0 { "not finished, " } else { "" };
    let words = match &state.condition {
        Condition::Loading { order: _, ready } => format!("{hold}loading until session {ready}"),
        Condition::Unloading { order: _, lading: _, ready } => {
            format!("{hold}unloading until session {ready}")
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
