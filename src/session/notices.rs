//! What the host should know before anybody starts.

use crate::ids::{JobIx, SpotIx, TrackIx};
use crate::traffic;
use crate::units::Length;

use super::assemble::id_of;
use super::meets::Met;
use super::plan::{Notice, OrderLine, OrderState, TripLine};
use super::yards::Yards;
use super::{Made, names, reasons};

/// The notices, what weighs most first.
pub(super) fn notices(
    made: &Made<'_>,
    yards: &Yards,
    met: &[Met],
    orders: &[OrderLine],
    trips: &[TripLine],
) -> Vec<Notice> {
    let mut notices = Vec::new();
    let mut say = |about: &str, text: String| notices.push(Notice { about: about.into(), text: text.into() });
    for job in made.network.jobs() {
        let mut calls = made.network.calls().iter().filter(|(_, call)| call.job == job);
        if calls.all(|(ix, _)| made.worked.calls[ix].handlings.is_empty()) {
            say("light job", light(made, job));
        }
    }
    for met in met.iter().filter(|met| !met.sound) {
        say("meet", met.line.why.to_string());
    }
    for remark in &made.demand.remarks {
        say(remark.about, remark.text.to_string());
    }
    for text in overfull(made).into_iter().chain(yards.physical()) {
        say("no room", text);
    }
    for text in yards.working(made) {
        say("working limit", text);
    }
    for text in stranded(made) {
        say("stranded", text);
    }
    for order in orders.iter().filter(|order| order.state == OrderState::Waiting && order.due < made.session)
    {
        say("shortage", format!("order {} waits since session {}: {}", order.id, order.due, order.why));
    }
    if let Some(text) = placarded(made, trips) {
        say("placards", text);
    }
    for text in traffic::outlook(made.network, &made.after) {
        say("pool of cars", text.to_string());
    }
    let stay = made.trips.trips.iter().zip(trips);
    let stay = stay.filter(|(trip, line)| !line.arrives && line.expected.is_none() && !trip.off_spot);
    let stay: Vec<&TripLine> = stay.map(|(_, line)| line).collect();
    if made.reduced && !stay.is_empty() {
        // Every one of them by itself would hide what else there is to know.
        let cars: Vec<&str> = stay.iter().map(|line| line.car.as_str()).collect();
        say("waiting for a job", format!("until all jobs run again: {}", cars.join(", ")));
    } else {
        for line in stay {
            say("stranded", format!("{}: {}", line.car, line.why));
        }
    }
    notices
}

/// Cars that stay because no train has a place where they may ride, and what would help.
fn placarded(made: &Made<'_>, trips: &[TripLine]) -> Option<String> {
    let stay = made.trips.trips.iter().zip(trips);
    let stay = stay.filter(|(trip, line)| line.legs.is_empty() && reasons::has_no_place_to_ride(trip));
    let cars: Vec<&str> = stay.map(|(_, line)| line.car.as_str()).collect();
    let (stay, they, are) = match cars.len() {
        0 => return None,
        1 => ("stays", "its train is", "it"),
        _ => ("stay", "their trains are", "them"),
    };
    Some(format!(
        "{} {stay}: {they} too short for cars with placards; other cars that ride between {are} and the engine \
         would help, or `nearest_short = 1` under `[placards]`",
        cars.join(", ")
    ))
}

/// A job without work, and when the cars come for which it runs.
fn light(made: &Made<'_>, job: JobIx) -> String {
    let layout = made.network.layout();
    let onward = made.trips.trips.iter().filter_map(|trip| trip.onward);
    let for_it: Vec<u32> = onward
        .filter(|onward| made.network.calls()[onward.call].job == job)
        .map(|onward| onward.sessions)
        .collect();
    let name = &layout.jobs()[job].name;
    let Some(next) = for_it.iter().min() else {
        return format!(
            "{name}: runs with no cars, nothing is there for it, and nothing comes for it tonight"
        );
    };
    let count = for_it.iter().filter(|sessions| *sessions == next).count();
    let cars = names::cars(i64::try_from(count).unwrap_or(i64::MAX));
    let session = i64::from(made.session) + i64::from(*next);
    format!("{name}: runs with no cars tonight; {cars} for it will be there in session {session}")
}

/// Tracks and spots where more stands than they hold: the host has made them shorter.
fn overfull(made: &Made<'_>) -> Vec<String> {
    let layout = made.network.layout();
    let long = |track: TrackIx| -> Length {
        made.demand.standing.on(track).iter().map(|car| layout.cars()[*car].length).sum()
    };
    let at = |spot: SpotIx| {
        let on = made.demand.standing.on(layout.spots()[spot].track).iter().copied();
        on.filter(move |car| made.demand.standing.car(*car).spot() == Some(spot))
    };
    let spots = layout.spots().iter().filter(|(spot, described)| {
        let count = u32::try_from(at(*spot).count()).unwrap_or(u32::MAX);
        let long: Length = at(*spot).map(|car| layout.cars()[car].length).sum();
        described.cars.is_some_and(|most| count > most.count())
            || described.length.is_some_and(|room| long > room)
    });
    let spots = spots.map(|(_, described)| {
        let name = names::track_at(layout, described.track);
        format!("more stands at {} of {name} than it takes: nothing is added", described.name)
    });
    let full = layout.tracks().iter().filter(|(track, described)| long(*track) > described.length);
    full.map(|(track, described)| {
        let (name, long) = (names::track_at(layout, track), long(track));
        format!("{name} holds {long} of cars, more than its {}: nothing is added", described.length)
    })
    .chain(spots)
    .collect()
}

/// Cars on tracks that are not there any more.
fn stranded(made: &Made<'_>) -> Vec<String> {
    let layout = made.network.layout();
    let mut texts = Vec::new();
    for track in layout.tracks().indices().filter(|track| !made.network.has_track(*track)) {
        for car in made.demand.standing.on(track) {
            let name = names::track_at(layout, track);
            texts.push(format!("{} stands on {name}, which is not in service", id_of(made, *car)));
        }
    }
    texts
}
