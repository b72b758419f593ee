//! Where two trains meet on single track: at which siding, who takes it, who holds the main.
//!
//! Trains are measured as they run tonight: cars over couplers, engines and caboose. One of the two
//! must fit the siding; that two trains are no longer than so many cars says nothing.

use crate::ids::{CallIx, JobIx, PlaceIx, TrackIx};
use crate::layout::{Meet, Opens, TrackUse};
use crate::said::{self, Worded};
use crate::units::Length;

use super::plan::MeetLine;
use super::{Made, reasons};

/// A meet, and whether both trains fit where they meet.
#[derive(Debug)]
pub(super) struct Met {
    pub(super) line: MeetLine,
    pub(super) sound: bool,
}

/// A siding with the two trains that come past it.
#[derive(Clone, Copy, Debug)]
struct Chance {
    track: TrackIx,
    room: Length,
    trains: [Length; 2],
}

impl Chance {
    fn fits(&self) -> [bool; 2] {
        self.trains.map(|train| train <= self.room)
    }
}

/// All meets that the host has named, between jobs that run.
pub(super) fn meets(made: &Made<'_>) -> Vec<Met> {
    let jobs = made.network.layout().jobs();
    let running: Vec<JobIx> = made.network.jobs().collect();
    let mut pairs: Vec<(JobIx, &Meet)> = Vec::new();
    for (job, described) in jobs.iter().filter(|(job, _)| running.contains(job)) {
        for meet in described.meets.iter().filter(|meet| running.contains(&meet.with)) {
            let known = |pair: &(JobIx, &Meet)| pair.0 == meet.with && pair.1.with == job;
            if !pairs.iter().any(known) {
                pairs.push((job, meet));
            }
        }
    }
    pairs.into_iter().map(|(job, meet)| told(made, job, meet)).collect()
}

fn told(made: &Made<'_>, job: JobIx, meet: &Meet) -> Met {
    let layout = made.network.layout();
    let both = [job, meet.with];
    let named = both.map(|job| &*layout.jobs()[job].name);
    let place = |track: TrackIx| reasons::track_at(layout, track);
    let chances: Vec<Chance> =
        sidings(made, both, meet).into_iter().filter_map(|track| chance(made, both, track)).collect();
    let fit = |least: usize| {
        chances.iter().find(move |chance| chance.fits().into_iter().filter(|fits| *fits).count() >= least)
    };
    let line = |trains, at, siding, why: Worded| MeetLine {
        jobs: both.map(|job| layout.jobs()[job].id.clone()),
        trains,
        at,
        siding,
        why: why.text.into(),
        told: Some(why.said),
    };
    let Some(chance) = fit(2).or_else(|| fit(1)) else {
        let why = match chances.iter().max_by_key(|chance| chance.room) {
            Some(Chance { track, room, trains }) => {
                said::neither_fits(named[0], named[1], place(*track), *room, trains[0], trains[1])
            }
            None => said::no_siding(named[0], named[1]),
        };
        let trains = chances.first().map_or([Length::ZERO; 2], |chance| chance.trains);
        return Met { line: line(trains, None, None, why), sound: false };
    };
    let fits = chance.fits();
    // Of two that fit, the shorter takes the siding.
    let takes = usize::from(!fits[0] || fits[1] && chance.trains[1] < chance.trains[0]);
    let holds = 1 - takes;
    let [its, other] = [takes, holds].map(|job| chance.trains[job]);
    let mut why = said::meet_at(place(chance.track), chance.room, named[takes], its, named[holds], other);
    let sound = chances.iter().any(|chance| chance.fits()[holds]);
    if !sound {
        why = said::siding_too_short(why, named[holds]);
    }
    let (at, siding) = (layout.tracks()[chance.track].id.clone(), layout.jobs()[both[takes]].id.clone());
    Met { line: line(chance.trains, Some(at), Some(siding), why), sound }
}

/// Where two jobs may meet, first choice first.
fn sidings(made: &Made<'_>, both: [JobIx; 2], meet: &Meet) -> Vec<TrackIx> {
    let built = |track: &TrackIx| made.network.has_track(*track);
    if !meet.at.is_empty() {
        return meet.at.iter().copied().filter(built).collect();
    }
    let layout = made.network.layout();
    let passing = layout.tracks().iter().filter(|(track, described)| {
        built(track)
            && described.opens == Opens::Both
            && matches!(described.usage, TrackUse::RunAround | TrackUse::Main)
            && both.iter().all(|job| runs_past(made, *job, described.place).next().is_some())
    });
    passing.map(|(track, _)| track).collect()
}

/// The calls of a job from which it runs to a place, from it or past it.
fn runs_past<'m>(made: &'m Made<'_>, job: JobIx, place: PlaceIx) -> impl Iterator<Item = CallIx> + 'm {
    let calls = made.network.calls().iter().filter(move |(_, call)| call.job == job);
    let past = calls
        .filter(move |(_, call)| call.ride.as_ref().is_some_and(|ride| ride.way.places.contains(&place)));
    past.map(|(ix, _)| ix)
}

/// The trains that come past a siding in opposite directions, nearest to each other in the order of events.
fn chance(made: &Made<'_>, both: [JobIx; 2], track: TrackIx) -> Option<Chance> {
    let layout = made.network.layout();
    let described = &layout.tracks()[track];
    let leaves = |call: CallIx| made.network.calls()[call].ride.as_ref().map(|ride| ride.leaves);
    let mut nearest: Option<(usize, [CallIx; 2])> = None;
    for one in runs_past(made, both[0], described.place) {
        for other in runs_past(made, both[1], described.place).filter(|other| leaves(*other) != leaves(one)) {
            let apart = made
                .network
                .calls()
                .indices()
                .skip_while(|call| *call < one.min(other))
                .take_while(|call| *call < one.max(other))
                .count();
            if nearest.is_none_or(|(least, _)| apart < least) {
                nearest = Some((apart, [one, other]));
            }
        }
    }
    let (_, calls) = nearest?;
    let stands = made.demand.standing.on(track).iter().copied();
    let stays = stands.filter(|car| made.worked.rows[track].iter().any(|on| on.car == *car));
    let taken: Length = stays.map(|car| layout.cars()[car].length).sum();
    Some(Chance { track, room: described.length.less(taken), trains: calls.map(|call| train(made, call)) })
}

/// The length of the train that leaves a call.
fn train(made: &Made<'_>, call: CallIx) -> Length {
    let layout = made.network.layout();
    let cars = made.worked.calls[call].train.cars.iter();
    let cars: Length = cars.map(|car| layout.cars()[*car].length).sum();
    layout.jobs()[made.network.calls()[call].job].power.length + cars
}
