//! Yards that run out of room in the course of a session: at which call, how many cars are too many,
//! and an order of the jobs that works.
//!
//! The physical limit is never passed: cars that would pass it stay behind, and here it is said where
//! and why. The working limit is a price that trips may pay, and the host is told.

use std::collections::BTreeMap;

use crate::ids::{CallIx, PlaceIx, TrackIx};
use crate::layout::TrackUse;
use crate::network::RowCall;
use crate::said::{self, Given, Worded};
use crate::units::Length;

use super::course::{Course, Load, Moves, inches, room_for};
use super::reorder::{Reorder, reorder};
use super::{Made, names, reasons};

/// What yards lacked in a session.
#[derive(Debug)]
pub(super) struct Yards {
    moves: Moves,
    before: Before,
    /// For the calls that could leave no more cars: what ran out there.
    full: BTreeMap<CallIx, Full>,
}

/// Tracks that would have held more than they can.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Full {
    place: PlaceIx,
    /// The yard and what it lacked.
    words: Worded,
    /// How many cars were refused at all its calls together.
    refused: i64,
}

/// A track that passes its working limit.
#[derive(Clone, Copy, Debug)]
struct Over {
    /// The call at which most stands there; nothing if it does before the first.
    call: Option<CallIx>,
    track: TrackIx,
    /// How much that is, in scale inches.
    most: i64,
}

impl Over {
    /// The track, with what stands on it at most, its limit, and when.
    fn words(self, made: &Made<'_>) -> Worded {
        let layout = made.network.layout();
        let (track, most) = (reasons::track(layout, self.track), long(self.most));
        let limit = layout.tracks()[self.track].working;
        match self.call {
            Some(call) => said::stands_when(track, most, limit, names::call(made, call)),
            None => said::stands_at_first(track, most, limit),
        }
    }
}

impl Yards {
    pub(super) fn new(made: &Made<'_>) -> Self {
        let mut yards = Yards { moves: Moves::new(made), before: Before::new(made), full: BTreeMap::new() };
        let mut known: BTreeMap<Vec<TrackIx>, Full> = BTreeMap::new();
        let refusing: Vec<CallIx> = yards.moves.refusing().collect();
        for call in refusing {
            let tracks = room_for(made, call);
            let full = known.entry(tracks).or_insert_with_key(|tracks| yards.full(made, call, tracks));
            let full = full.clone();
            yards.full.insert(call, full);
        }
        yards
    }

    /// What ran out of room for the cars that a call would have left, in words.
    pub(super) fn words(&self, call: CallIx) -> Worded {
        self.full.get(&call).map_or_else(said::no_room_to_wait, |full| full.words.clone())
    }

    fn full(&self, made: &Made<'_>, call: CallIx, tracks: &[TrackIx]) -> Full {
        let layout = made.network.layout();
        let place = made.network.calls()[call].place;
        let course = self.moves.course(made, place, tracks);
        let room = tracks.iter().map(|track| layout.tracks()[*track].length).sum();
        let refused = course.changes.iter().map(|change| change.refused.cars).sum();
        let title = &*layout.places()[place].title;
        let yard: Given = if tracks.len() == yard_tracks(made, place).len() {
            title.into()
        } else {
            said::at_place(names::tracks(layout, tracks), title).into()
        };
        let words = match self.passes(made, &course, room) {
            Some(passes) => said::yard_full_when(yard, passes),
            None => said::yard_full_for(yard, names::call(made, call)),
        };
        Full { place, words, refused }
    }

    /// What the host is told of a yard that had no room for cars, one line for each.
    pub(super) fn physical(&self) -> Vec<Worded> {
        let mut told: Vec<&Full> = Vec::new();
        for full in self.full.values() {
            if !told.contains(&full) {
                told.push(full);
            }
        }
        told.sort_by_key(|full| full.place);
        let line = |full: &Full| match full.refused {
            1 => said::one_cannot_come(full.words.clone()),
            count => said::cannot_come(count, full.words.clone()),
        };
        told.into_iter().map(line).collect()
    }

    /// What the host is told of yards that pass their working limits, one line for each.
    pub(super) fn working(&self, made: &Made<'_>) -> Vec<Worded> {
        let layout = made.network.layout();
        layout.places().indices().filter_map(|place| self.working_at(made, place)).collect()
    }

    fn working_at(&self, made: &Made<'_>, place: PlaceIx) -> Option<Worded> {
        let layout = made.network.layout();
        let title = &*layout.places()[place].title;
        let yard = yard_tracks(made, place);
        let limit: Length = yard.iter().map(|track| layout.tracks()[*track].working).sum();
        let course = self.moves.course(made, place, &yard).without_refused();
        if course.start.inches > inches(limit) && !yard.is_empty() {
            let too_many = too_many(made, course.start, limit);
            return Some(said::begins_full(title, limit, names::cars(course.start.cars), too_many));
        }
        if let Some(passes) = self.passes(made, &course, limit) {
            return Some(said::passes_limit(title, passes));
        }
        let mut over: Vec<Over> = Vec::new();
        let keeps =
            layout.places()[place].tracks.iter().filter(|track| layout.tracks()[**track].usage.keeps_cars());
        for track in keeps {
            let working = inches(layout.tracks()[*track].working);
            let course = self.moves.course(made, place, &[*track]).without_refused();
            let at_first = (course.start, None);
            let later =
                course.stands().zip(&course.changes).map(|(stands, change)| (stands, Some(change.call)));
            let (most, call) =
                later.fold(at_first, |most, next| if next.0.inches > most.0.inches { next } else { most });
            if most.inches > working {
                over.push(Over { call, track: *track, most: most.inches });
            }
        }
        if over.is_empty() {
            return None;
        }
        let tracks = names::all(over.iter().map(|over| over.words(made).into()).collect());
        Some(match over.as_slice() {
            [_] => said::one_fuller(title, tracks),
            _ => said::some_fuller(title, tracks),
        })
    }

    /// When a course passes a limit, by how much, and what order would not: nothing if it never does.
    fn passes(&self, made: &Made<'_>, course: &Course, limit: Length) -> Option<Worded> {
        let stands: Vec<Load> = course.stands().collect();
        let first = stands.iter().position(|stands| stands.inches > inches(limit))?;
        let most =
            (first..stands.len()).max_by_key(|at| (stands[*at].inches, usize::MAX - at)).unwrap_or(first);
        let told = |at: usize| {
            let (call, cars) = (names::call(made, course.changes[at].call), names::cars(stands[at].cars));
            said::comes_to_much(call, cars, long(stands[at].inches), limit, too_many(made, stands[at], limit))
        };
        let mut words = told(first);
        if most != first {
            words = said::most_when(words, told(most));
        }
        Some(self.with_another_order(made, course, inches(limit), words))
    }

    /// What was said, and an order that works, with the times that the host set if that can be.
    fn with_another_order(&self, made: &Made<'_>, course: &Course, room: i64, words: Worded) -> Worded {
        let calls: Vec<CallIx> = course.changes.iter().map(|change| change.call).collect();
        let first = self.before.among(&calls);
        let timed: Vec<bool> = calls.iter().map(|call| has_time(made, *call)).collect();
        let keeps_times =
            |one: usize, other: usize| first[one][other] || one < other && timed[one] && timed[other];
        if let Some(found) = reorder(course, room, &keeps_times) {
            return told(made, &calls, &found, words);
        }
        match reorder(course, room, &|one, other| first[one][other]) {
            Some(found) => said::if_times_change(told(made, &calls, &found, words)),
            None => said::no_order_helps(words),
        }
    }
}

fn told(made: &Made<'_>, calls: &[CallIx], found: &Reorder, words: Worded) -> Worded {
    let counts = |some: &[i64]| some.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let name = |change: &usize| names::call(made, calls[*change]);
    if let Some((moved, target)) = &found.ahead {
        let last = moved.last().copied().unwrap_or(*target);
        let counts = counts(&found.cars[target.saturating_sub(1)..=last]);
        let several = moved.len() > 1;
        let moved = moved.iter().map(name).reduce(|first, next| said::and_then_first(first, next).into());
        let moved = moved.unwrap_or_else(|| "".into());
        return if several {
            said::go_ahead(words, moved, name(target), counts)
        } else {
            said::goes_ahead(words, moved, name(target), counts)
        };
    }
    let order = found.order.iter().map(name).collect();
    said::in_this_order(words, names::all(order), counts(&found.cars))
}

fn long(inches: i64) -> Length {
    Length::scale_inches(u32::try_from(inches).unwrap_or(u32::MAX))
}

/// How many cars must stay away: what is beyond a limit, in cars as the host counts them.
fn too_many(made: &Made<'_>, stands: Load, limit: Length) -> i64 {
    let car = inches(made.network.layout().settings().car).max(1);
    (stands.inches - inches(limit)).max(0).div_euclid(car)
        + i64::from((stands.inches - inches(limit)).max(0) % car > 0)
}

fn yard_tracks(made: &Made<'_>, place: PlaceIx) -> Vec<TrackIx> {
    let layout = made.network.layout();
    let yard =
        |track: &TrackIx| layout.tracks()[*track].usage == TrackUse::Yard && made.network.has_track(*track);
    layout.places()[place].tracks.iter().copied().filter(yard).collect()
}

/// Whether the host has said when the job of a call begins, or when it is due there.
fn has_time(made: &Made<'_>, call: CallIx) -> bool {
    let here = &made.network.calls()[call];
    let job = &made.network.layout().jobs()[here.job];
    job.on_duty.is_some() || job.calls[..=here.stop].iter().any(|stop| stop.time.is_some())
}

/// Which calls must come before which others: by job, by `after`, and where a job leaves cars for another.
#[derive(Debug)]
struct Before(BTreeMap<CallIx, Vec<CallIx>>);

impl Before {
    fn new(made: &Made<'_>) -> Self {
        let mut next: BTreeMap<CallIx, Vec<CallIx>> = BTreeMap::new();
        let calls = made.network.calls();
        let jobs = made.network.layout().jobs();
        for (ix, call) in calls.iter() {
            if let Some(later) = call.next {
                next.entry(ix).or_default().push(later);
                continue;
            }
            let waits =
                |other: &RowCall| other.previous.is_none() && jobs[other.job].after.contains(&call.job);
            let waiting = calls.iter().filter(|(_, other)| waits(other)).map(|(other, _)| other);
            next.entry(ix).or_default().extend(waiting);
        }
        for trip in &made.trips.trips {
            for pair in trip.legs.windows(2) {
                next.entry(pair[0].to).or_default().push(pair[1].from);
            }
        }
        for later in next.values_mut() {
            later.sort_unstable();
            later.dedup();
        }
        Before(next)
    }

    /// For some calls, in the order of events, whether each must come before each other.
    fn among(&self, calls: &[CallIx]) -> Vec<Vec<bool>> {
        calls
            .iter()
            .map(|call| {
                let mut reached = std::collections::BTreeSet::new();
                let mut open = vec![*call];
                while let Some(at) = open.pop() {
                    let later = self.0.get(&at).map_or(&[][..], Vec::as_slice);
                    open.extend(later.iter().filter(|later| reached.insert(**later)));
                }
                calls.iter().map(|other| reached.contains(other)).collect()
            })
            .collect()
    }
}
