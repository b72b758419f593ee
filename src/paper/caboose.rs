//! What a crew does with its caboose at a call: where it waits while the cars are worked, and how it comes to ride
//! beyond the last car from the engine when the train goes.
//!
//! A plan handles cars and knows no caboose. Where one goes follows from the train that comes in, the train that goes,
//! and the tracks that are clear meanwhile: a train that goes back the way it came, its engine first, has its caboose
//! at the wrong end. How a caboose is moved is common practice, no source.

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{WorldJob, WorldTrack};

use super::consist::{self, CabooseIn};
use super::course::{Course, Departure};
use super::engines;
use super::names::Names;
use super::phrase::Phrase;

/// A caboose at one call.
#[derive(Clone, Copy, Debug)]
pub(super) struct Caboose<'a> {
    pub(super) found: Found,
    pub(super) rides: Rides<'a>,
}

/// Where it is when the crew begins to work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// It waits by itself at the job's first call.
    Waits,
    /// It is coupled to the engine at the job's first call.
    Coupled,
    /// It has come in with the train.
    Came(CabooseIn),
    /// It is where an earlier call at the same place has left it.
    Here,
}

/// How it goes on.
#[derive(Clone, Copy, Debug)]
pub(super) enum Rides<'a> {
    /// With the engine, which has no cars.
    WithEngine,
    /// It waits at the end at which the rear of the train will be.
    AtRear(End),
    /// It waits on a track that stays clear, and cars are shoved against it there.
    Aside(&'a WorldTrack),
    /// It waits at the engine's end, and is taken round the cars at last, by this track, to the other end.
    Round(&'a WorldTrack, End),
    /// As above, but nothing leads round the cars.
    ByHand(End),
    /// It stays: the next call is at the same place.
    Stays,
}

impl<'a> Caboose<'a> {
    /// The track on which it waits, or by which it is taken round the cars.
    pub(super) const fn track(&self) -> Option<&'a WorldTrack> {
        match self.rides {
            Rides::Aside(track) | Rides::Round(track, _) => Some(track),
            Rides::WithEngine | Rides::AtRear(_) | Rides::ByHand(_) | Rides::Stays => None,
        }
    }
}

/// The caboose of a job at a call, if it has one, and works there.
pub(super) fn at<'a>(
    names: &Names<'_>,
    job: &WorldJob,
    before: Option<&Departure<'_>>,
    course: &Course<'a>,
) -> Option<Caboose<'a>> {
    if !job.caboose || course.handlings.is_empty() {
        return None;
    }
    let found = match before {
        None if engines::caboose_coupled(names.plan, job) => Found::Coupled,
        None => Found::Waits,
        Some(before) => consist::caboose_in(names, before).map_or(Found::Here, Found::Came),
    };
    let rides = match (course.departure, before, found) {
        (Some(departure), ..) if departure.way.len() < 2 => Rides::Stays,
        (None, ..) => Rides::WithEngine,
        (Some(departure), before, found) => match (consist::caboose(job, &departure), before, found) {
            (None, ..) => Rides::WithEngine,
            (Some(rear), Some(before), Found::Came(came)) if came.end() != rear => {
                fetched(names, job, before, course, came.end())
            }
            (Some(rear), ..) => Rides::AtRear(rear),
        },
    };
    Some(Caboose { found, rides })
}

/// How a caboose that comes in at the end at which the engine will be gets to the other end of the train.
fn fetched<'a>(
    names: &Names<'_>,
    job: &WorldJob,
    before: &Departure<'_>,
    course: &Course<'a>,
    came: End,
) -> Rides<'a> {
    let rank = |track: &&WorldTrack| match track.usage.as_ref() {
        "runaround" => 0,
        "yard" => 1,
        _ => 2,
    };
    let place = names.plan.world.places.iter().find(|place| place.id == *before.to);
    let lead = place.and_then(|place| match came.other() {
        End::West => place.lead_west,
        End::East => place.lead_east,
    });
    // Whoever leaves a caboose on a track while coming in draws all the rest past its other switch.
    let draws_through = lead.is_none_or(|lead| before.train.length <= lead);
    let keeps = |track: &&WorldTrack| {
        draws_through
            && rank(track) < 2
            && track.length >= job.power
            && track.worked_by.contains(&job.railroad)
    };
    if let Some(track) = course.clear.iter().copied().filter(keeps).min_by_key(rank) {
        return Rides::Aside(track);
    }
    match course.clear_at_last.iter().copied().min_by_key(rank) {
        Some(track) => Rides::Round(track, came.other()),
        None => Rides::ByHand(came.other()),
    }
}

/// The track by which an engine gets to the other end of a place past its cars: the main or a run-around if one is
/// described and clear, else none, which means the running track that every place has; never one on which its caboose waits.
pub(super) fn way_round(
    names: &Names<'_>,
    place: &Id,
    clear: &[&WorldTrack],
    caboose: Option<&Caboose<'_>>,
) -> Option<String> {
    let waits_on = |track: &WorldTrack| match caboose.map(|caboose| caboose.rides) {
        Some(Rides::Aside(aside)) => aside.id == track.id,
        _ => false,
    };
    let used_as = |usage: &str| clear.iter().find(|track| &*track.usage == usage && !waits_on(track));
    let has_main =
        || names.plan.world.tracks.iter().any(|track| track.place == *place && &*track.usage == "main");
    let other = || clear.iter().find(|track| has_main() && !waits_on(track));
    let track = used_as("main").or_else(|| used_as("runaround")).or_else(other);
    track.map(|track| names.track_name(&track.id).into_owned())
}

/// The track on which cars wait while their caboose is taken round them by another one: the main if one is described
/// and clear, else none, which means the running track that every place has.
pub(super) fn cars_wait_on(names: &Names<'_>, clear: &[&WorldTrack], by: &WorldTrack) -> Option<String> {
    let main = clear.iter().find(|track| &*track.usage == "main" && track.id != by.id);
    main.map(|track| names.track_name(&track.id).into_owned())
}

/// What a switch list says of a caboose: where it is left before the cars are worked, and how it comes on at last.
pub(super) fn on_the_list(names: &Names<'_>, caboose: &Caboose<'_>) -> Option<Phrase> {
    let (words, end) = (&names.words.switch_list, |end: End| names.words.end(end));
    let left = match (caboose.found, caboose.rides) {
        (Found::Came(CabooseIn::First(at)), _) => Some(words.caboose_comes_first(end(at))),
        (Found::Came(CabooseIn::Behind(at)), _) | (Found::Waits | Found::Coupled, Rides::AtRear(at)) => {
            Some(words.caboose_left(end(at)))
        }
        (Found::Waits | Found::Coupled, _) => Some(words.caboose_left_clear()),
        (Found::Here, _) => None,
    };
    let last = match caboose.rides {
        Rides::Aside(track) => return Some(words.caboose_aside(names.track_name(&track.id))),
        Rides::Round(track, rear) => {
            return Some(words.caboose_round(end(rear.other()), names.track_name(&track.id), end(rear)));
        }
        Rides::ByHand(rear) => return Some(words.caboose_by_hand(end(rear.other()), end(rear))),
        Rides::WithEngine => Some(words.caboose_to_engine()),
        Rides::AtRear(at) => Some(words.caboose_last(end(at))),
        Rides::Stays => None,
    };
    let said = Phrase::row(left.into_iter().chain(last), " ");
    (!said.is_empty()).then_some(said)
}
