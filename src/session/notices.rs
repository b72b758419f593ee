//! What the host should know before anybody starts.

use crate::ids::{JobIx, SpotIx, TrackIx};
use crate::said::{self, Given, Worded};
use crate::traffic;
use crate::units::Length;

use super::assemble::id_of;
use super::meets::Met;
use super::plan::{Notice, OrderLine, OrderState, TripLine};
use super::yards::Yards;
use super::{Made, reasons};

/// The notices, what weighs most first.
pub(super) fn notices(
    made: &Made<'_>,
    yards: &Yards,
    met: &[Met],
    orders: &[OrderLine],
    trips: &[TripLine],
) -> Vec<Notice> {
    let mut notices = Vec::new();
    for job in made.network.jobs() {
        let mut calls = made.network.calls().iter().filter(|(_, call)| call.job == job);
        if calls.all(|(ix, _)| made.worked.calls[ix].handlings.is_empty()) {
            notices.push(Notice::said("light job", light(made, job)));
        }
    }
    for Met { line, .. } in met.iter().filter(|met| !met.sound) {
        notices.push(Notice { about: "meet".into(), text: line.why.clone(), told: line.told.clone() });
    }
    let remarks = made.demand.remarks.iter();
    notices.extend(remarks.map(|remark| Notice::said(remark.about, remark.words.clone())));
    notices.extend(overfull(made).into_iter().map(|words| Notice::said("no room", words)));
    notices.extend(yards.physical().into_iter().map(|words| Notice::said("no room", words)));
    notices.extend(yards.working(made).into_iter().map(|words| Notice::said("working limit", words)));
    notices.extend(stranded(made).into_iter().map(|words| Notice::said("stranded", words)));
    for order in orders.iter().filter(|order| order.state == OrderState::Waiting && order.due < made.session)
    {
        let words = said::order_waits(
            Given::order(&order.id),
            order.due,
            Given::told(order.told.as_slice(), &order.why),
        );
        notices.push(Notice::said("shortage", words));
    }
    notices.extend(placarded(made, trips).map(|words| Notice::said("placards", words)));
    let pools = traffic::outlook(made.network, &made.after).into_iter();
    notices.extend(pools.map(|words| Notice::said("pool of cars", words)));
    let stay = made.trips.trips.iter().zip(trips);
    let stay = stay.filter(|(trip, line)| !line.arrives && line.expected.is_none() && !trip.off_spot);
    let stay: Vec<&TripLine> = stay.map(|(_, line)| line).collect();
    if made.reduced && !stay.is_empty() {
        // Every one of them by itself would hide what else there is to know.
        let cars: Vec<&str> = stay.iter().map(|line| line.car.as_str()).collect();
        notices.push(Notice::said("waiting for a job", said::wait_for_jobs(cars.join(", "))));
    } else {
        let of_car = |line: &TripLine| said::of_car(&line.car, Given::told(&line.told, &line.why));
        notices.extend(stay.into_iter().map(|line| Notice::said("stranded", of_car(line))));
    }
    notices
}

/// Cars that stay because no train has a place where they may ride, and what would help.
fn placarded(made: &Made<'_>, trips: &[TripLine]) -> Option<Worded> {
    let stay = made.trips.trips.iter().zip(trips);
    let stay = stay.filter(|(trip, line)| line.legs.is_empty() && reasons::has_no_place_to_ride(trip));
    let cars: Vec<&str> = stay.map(|(_, line)| line.car.as_str()).collect();
    match cars.as_slice() {
        [] => None,
        [car] => Some(said::short_train(*car)),
        several => Some(said::short_trains(several.join(", "))),
    }
}

/// A job without work, and when the cars come for which it runs.
fn light(made: &Made<'_>, job: JobIx) -> Worded {
    let layout = made.network.layout();
    let onward = made.trips.trips.iter().filter_map(|trip| trip.onward);
    let for_it: Vec<u32> = onward
        .filter(|onward| made.network.calls()[onward.call].job == job)
        .map(|onward| onward.sessions)
        .collect();
    let name = &*layout.jobs()[job].name;
    let Some(next) = for_it.iter().min() else { return said::light_for_good(name) };
    let session = made.session.saturating_add(i32::try_from(*next).unwrap_or(i32::MAX));
    match for_it.iter().filter(|sessions| *sessions == next).count() {
        1 => said::light_till_one(name, session),
        count => said::light_till_some(name, count, session),
    }
}

/// Tracks and spots where more stands than they hold: the host has made them shorter.
fn overfull(made: &Made<'_>) -> Vec<Worded> {
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
        said::overfull_spot(&*described.name, reasons::track_at(layout, described.track))
    });
    let full = layout.tracks().iter().filter(|(track, described)| long(*track) > described.length);
    full.map(|(track, described)| {
        said::overfull_track(reasons::track_at(layout, track), long(track), described.length)
    })
    .chain(spots)
    .collect()
}

/// Cars on tracks that are not there any more.
fn stranded(made: &Made<'_>) -> Vec<Worded> {
    let layout = made.network.layout();
    let mut words = Vec::new();
    for track in layout.tracks().indices().filter(|track| !made.network.has_track(*track)) {
        for car in made.demand.standing.on(track) {
            words.push(said::not_in_service(&id_of(made, *car), reasons::track_at(layout, track)));
        }
    }
    words
}
