//! Follows the events of a plan, so that a paper can say how the cars of a track stand when a crew
//! comes and when it goes.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::layout::{End, Opens};
use crate::session::plan::{Event, Plan, Train, WorldTrack};

/// The events of one call of one job.
#[derive(Debug, Default)]
pub(super) struct Course<'a> {
    /// Its handlings, in order.
    pub(super) handlings: Vec<&'a Event>,
    /// How the cars of each track it handled stand when the job goes, from west to east.
    pub(super) rows: BTreeMap<&'a Id, Vec<&'a Id>>,
    /// How it leaves for its next call.
    pub(super) departure: Option<Departure<'a>>,
    /// The tracks of the place that open at both ends and are clear from its first handling until it goes.
    pub(super) clear: Vec<&'a WorldTrack>,
    /// For each time that its engine changes ends between two handlings, those that are clear then.
    pub(super) rounds: Vec<Vec<&'a WorldTrack>>,
    /// Those that are clear when it goes.
    pub(super) clear_at_last: Vec<&'a WorldTrack>,
}

/// How a job leaves for its next call.
#[derive(Clone, Copy, Debug)]
pub(super) struct Departure<'a> {
    /// Where it goes.
    pub(super) to: &'a Id,
    /// The places on its way, both ends included.
    pub(super) way: &'a [Id],
    /// In which direction.
    pub(super) direction: End,
    /// With which train.
    pub(super) train: &'a Train,
}

impl<'a> Departure<'a> {
    /// The cars on this side of the engine, from west to east.
    pub(super) const fn side(&self, end: End) -> &'a [Id] {
        match end {
            End::West => self.train.west.as_slice(),
            End::East => self.train.east.as_slice(),
        }
    }
}

/// The calls of all jobs.
pub(super) type Courses<'a> = BTreeMap<(&'a Id, u32), Course<'a>>;

/// How the cars of each track stand, from west to east.
type Rows<'a> = BTreeMap<&'a Id, Vec<&'a Id>>;

/// Follows all events.
pub(super) fn courses(plan: &Plan) -> Courses<'_> {
    let mut courses = Courses::new();
    let open = Open::new(plan);
    let mut rows: Rows<'_> = plan
        .before
        .tracks
        .iter()
        .map(|(track, row)| (track, row.iter().map(|standing| &standing.car).collect()))
        .collect();
    for event in &plan.events {
        match event {
            Event::Lifted { car, track, gateway: _ } => take(&mut rows, track, &[car]),
            Event::Placed { car, track, gateway: _, lading: _ } => put(&mut rows, track, End::East, &[car]),
            Event::Couple { job, call, track, end, cars } => {
                open.looks(courses.entry((job, *call)).or_default(), &rows, track, *end);
                take(&mut rows, track, &cars.iter().collect::<Vec<_>>());
                note(&mut courses, &rows, (job, *call), track, event);
            }
            Event::Leave { job, call, track, end, cars } => {
                open.looks(courses.entry((job, *call)).or_default(), &rows, track, *end);
                put(&mut rows, track, *end, &cars.iter().map(|left| &left.car).collect::<Vec<_>>());
                note(&mut courses, &rows, (job, *call), track, event);
            }
            Event::Goes { job, call, from, to, way, direction, train } => {
                let course = courses.entry((job, *call)).or_default();
                course.departure = Some(Departure { to, way, direction: *direction, train });
                course.clear_at_last = open.clear(from, &rows);
            }
            Event::Released { .. }
            | Event::BadOrder { .. }
            | Event::Starts { .. }
            | Event::Served { .. }
            | Event::Ends { .. } => {}
        }
    }
    courses
}

/// The tracks that open at both ends: an engine gets past cars on them.
struct Open<'a> {
    places: BTreeMap<&'a Id, &'a Id>,
    tracks: BTreeMap<&'a Id, Vec<&'a WorldTrack>>,
}

impl<'a> Open<'a> {
    fn new(plan: &'a Plan) -> Self {
        let mut open = Open { places: BTreeMap::new(), tracks: BTreeMap::new() };
        for track in &plan.world.tracks {
            open.places.insert(&track.id, &track.place);
            if track.opens == Opens::Both && track.behind.is_none() {
                open.tracks.entry(&track.place).or_default().push(track);
            }
        }
        open
    }

    /// Those of a place on which nothing stands.
    fn clear(&self, place: &Id, rows: &Rows<'_>) -> Vec<&'a WorldTrack> {
        let tracks = self.tracks.get(place).into_iter().flatten();
        tracks.filter(|track| rows.get(&track.id).is_none_or(Vec::is_empty)).copied().collect()
    }

    /// Looks around before a handling: when a call begins, and when the engine changes ends.
    fn looks(&self, course: &mut Course<'a>, rows: &Rows<'_>, track: &Id, end: End) {
        let Some(place) = self.places.get(track) else { return };
        match course.handlings.last() {
            None => course.clear = self.clear(place, rows),
            Some(Event::Couple { end: before, .. } | Event::Leave { end: before, .. }) if *before != end => {
                course.rounds.push(self.clear(place, rows));
            }
            Some(_) => {}
        }
        course.clear.retain(|clear| clear.id != *track);
    }
}

fn take<'a>(rows: &mut Rows<'a>, track: &'a Id, cars: &[&'a Id]) {
    rows.entry(track).or_default().retain(|car| !cars.contains(car));
}

/// A cut is shoved in from the end at which the engine is, so it stands at that end of the row.
fn put<'a>(rows: &mut Rows<'a>, track: &'a Id, end: End, cars: &[&'a Id]) {
    let row = rows.entry(track).or_default();
    let place = match end {
        End::West => 0,
        End::East => row.len(),
    };
    row.splice(place..place, cars.iter().copied());
}

fn note<'a>(
    courses: &mut Courses<'a>,
    rows: &Rows<'a>,
    call: (&'a Id, u32),
    track: &'a Id,
    event: &'a Event,
) {
    let course = courses.entry(call).or_default();
    course.handlings.push(event);
    course.rows.insert(track, rows.get(track).cloned().unwrap_or_default());
}

impl<'a> Course<'a> {
    /// The tracks it handled, in the order in which the crew first came to each.
    pub(super) fn tracks(&self) -> Vec<&'a Id> {
        let mut tracks: Vec<&Id> = Vec::new();
        for event in &self.handlings {
            let (Event::Couple { track, .. } | Event::Leave { track, .. }) = event else { continue };
            if !tracks.contains(&track) {
                tracks.push(track);
            }
        }
        tracks
    }
}
