//! What a crew does with each car it meets at a call.

use crate::crews::touched;
use crate::ids::{CallIx, CarIx, Id, IxVec, TrackIx};
use crate::layout::Layout;
use crate::switching::OnTrack;
use crate::trips::{Leg, SetOut};

use super::plan::{CallWork, CarWork, Deed};
use super::{Made, reasons};

/// The work of all calls at which anything is done, in the order of the row.
pub(super) fn work(made: &Made<'_>) -> Vec<CallWork> {
    let calls = made.worked.calls.iter().filter(|(_, done)| !done.handlings.is_empty());
    let touched: IxVec<CallIx, Vec<TrackIx>> =
        made.worked.calls.indices().map(|call| touched(made.network, &made.worked, call)).collect();
    calls.map(|(call, _)| call_work(made, &touched, call)).collect()
}

fn call_work(made: &Made<'_>, touched: &IxVec<CallIx, Vec<TrackIx>>, ix: CallIx) -> CallWork {
    let layout = made.network.layout();
    let call = &made.network.calls()[ix];
    let job = &layout.jobs()[call.job];
    let time = job.calls[call.stop].time.or(job.on_duty.filter(|_| call.stop == 0));
    CallWork {
        job: job.id.clone(),
        call: ordinal(call.stop),
        place: layout.places()[call.place].id.clone(),
        time,
        follows: follows(made, touched, ix),
        movements: u32::try_from(made.worked.calls[ix].handlings.len()).expect("a call has few"),
        proved: made.worked.calls[ix].proved,
        cars: cars(made, ix),
    }
}

/// The number of a stop as people count.
pub(super) fn ordinal(stop: usize) -> u32 {
    u32::try_from(stop + 1).expect("a job has few calls")
}

/// The jobs that this call waits for: those that worked before on a track that it works, unless an
/// earlier call of its own job here has waited for them already.
fn follows(made: &Made<'_>, touched: &IxVec<CallIx, Vec<TrackIx>>, ix: CallIx) -> Vec<Id> {
    let layout = made.network.layout();
    let calls = made.network.calls();
    let here = &calls[ix];
    let earlier = |before: CallIx| {
        calls
            .iter()
            .take_while(move |(other, _)| *other < before)
            .filter(|(_, call)| call.place == here.place)
    };
    let shares = |one: CallIx, other: CallIx| touched[one].iter().any(|track| touched[other].contains(track));
    let own: Vec<CallIx> =
        earlier(ix).filter(|(_, call)| call.job == here.job).map(|(other, _)| other).collect();
    let waited = |other: CallIx| own.iter().any(|own| other < *own && shares(*own, other));
    let mut jobs: Vec<Id> = Vec::new();
    for (other, call) in earlier(ix) {
        if call.job != here.job && shares(ix, other) && !waited(other) {
            let id = &layout.jobs()[call.job].id;
            jobs.retain(|known| known != id);
            jobs.push(id.clone());
        }
    }
    jobs
}

fn cars(made: &Made<'_>, ix: CallIx) -> Vec<CarWork> {
    let task = &made.trips.tasks[ix];
    let done = &made.worked.calls[ix];
    let mut cars = Vec::new();
    let touched = done.found.iter().map(|(track, row)| (track, row.as_slice()));
    let full = full_tracks(made, ix);
    for (track, row) in touched.chain(full.iter().map(|track| (track, row_at(made, ix, *track)))) {
        for on in row {
            let set = task.sets.iter().find(|set| set.car == on.car);
            let moved =
                || done.handlings.iter().any(|handling| handling.cars.iter().any(|cut| cut.car == on.car));
            let deed = match set {
                Some(set) => deed(made, ix, set),
                None if task.pulls.contains(&on.car) => Deed::Pull,
                None if moved() => Deed::Hold,
                None => Deed::Leave,
            };
            let to = match (set, deed) {
                (Some(set), _) => Some((set.track, set.spot)),
                (None, Deed::Pull) => None,
                (None, _) => Some((*track, on.spot)),
            };
            cars.push(car_work(made, on.car, deed, Some((*track, on.spot)), to));
        }
    }
    let in_train = task.sets.iter().filter(|set| !task.pulls.contains(&set.car));
    cars.extend(
        in_train.map(|set| car_work(made, set.car, deed(made, ix, set), None, Some((set.track, set.spot)))),
    );
    cars
}

/// The tracks of the place, not touched at the call, whose cars keep others off their spots: the crew
/// is told to leave them.
fn full_tracks(made: &Made<'_>, ix: CallIx) -> Vec<TrackIx> {
    let layout = made.network.layout();
    let place = made.network.calls()[ix].place;
    let found = &made.worked.calls[ix].found;
    let mut tracks: Vec<TrackIx> = Vec::new();
    for (wish, trip) in made.arriving(ix) {
        let near = trip.off_spot && trip.legs.last().is_some_and(|leg| leg.to == ix);
        for goal in wish.stages.last().filter(|_| near).map_or(&[][..], |stage| &stage.goals) {
            let track = layout.track_of(*goal);
            let untouched = found.iter().all(|(touched, _)| *touched != track);
            if layout.tracks()[track].place == place && untouched && !tracks.contains(&track) {
                tracks.push(track);
            }
        }
    }
    tracks.sort_unstable();
    tracks
}

/// What stands on a track when a call that does not touch it begins: what the next call that does
/// touch it finds, or what is there in the end.
fn row_at<'m>(made: &'m Made<'_>, ix: CallIx, track: TrackIx) -> &'m [OnTrack] {
    let later = made.worked.calls.iter().filter(|(call, _)| *call > ix);
    let mut found = later.flat_map(|(_, done)| &done.found);
    let next = found.find(|(touched, _)| *touched == track);
    next.map_or(&made.worked.rows[track], |(_, row)| row)
}

/// What is done with a car that is left: at its goal, near it, or for another job.
fn deed(made: &Made<'_>, call: CallIx, set: &SetOut) -> Deed {
    let Some((_, trip)) = made.trip_of(set.car) else { return Deed::Set };
    let ends = |leg: &Leg| leg.to == call && leg.ends_stage.is_some();
    let last = trip.legs.last().is_some_and(|leg| leg.to == call);
    if trip.legs.iter().any(ends) {
        Deed::Spot
    } else if trip.off_spot && last {
        Deed::OffSpot
    } else {
        Deed::Set
    }
}

type Position = (TrackIx, Option<crate::ids::SpotIx>);

fn car_work(
    made: &Made<'_>,
    car: CarIx,
    deed: Deed,
    from: Option<Position>,
    to: Option<Position>,
) -> CarWork {
    let layout: &Layout = made.network.layout();
    let track = |position: Option<Position>| position.map(|(track, _)| layout.tracks()[track].id.clone());
    let spot = |position: Option<Position>| {
        position.and_then(|(_, spot)| spot).map(|spot| layout.spots()[spot].id.clone())
    };
    let (bound, told) = reasons::bound(made, car);
    CarWork {
        car: layout.cars()[car].id.clone(),
        deed,
        from: track(from),
        from_spot: spot(from),
        to: track(to),
        to_spot: spot(to),
        lading: made
            .demand
            .standing
            .car(car)
            .condition
            .lading()
            .map(|lading| layout.commodities()[lading].id.clone()),
        bound,
        told,
    }
}
