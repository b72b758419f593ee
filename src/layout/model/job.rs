//! Jobs: `[job.ID]`.

use super::Existence;
use crate::ids::{Id, JobIx, PlaceIx, RailroadIx, TrackIx};
use crate::units::{Cars, ClockTime, Length, Tons};

/// The work of one crew with one engine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// Its id.
    pub id: Id,
    /// `name`: the id, if nothing is said.
    pub name: Box<str>,
    /// `railroad`: whose crew it is.
    pub railroad: RailroadIx,
    /// `kind`.
    pub kind: JobKind,
    /// `calls`, in order.
    pub calls: Vec<Call>,
    /// `on_duty`: when it begins.
    pub on_duty: Option<ClockTime>,
    /// `after`: the jobs that must be done before it begins.
    pub after: Vec<JobIx>,
    /// `meets`: the jobs that it meets on single track.
    pub meets: Vec<Meet>,
    /// `max`.
    pub max: TrainLimits,
    /// `power`, `engine`, `caboose`.
    pub power: Power,
    /// `crew`: how many people it takes at most, 1 or 2.
    pub crew: u32,
    /// `drop`: with fewer people, jobs with a lower number are dropped first; never, if nothing is said.
    pub drop: Option<u32>,
    /// `note`: a line for the paper.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}

/// What kind of work a job does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JobKind {
    /// `"yard"`: switches one yard.
    Yard,
    /// `"local"`: serves customers along the line (nothing said).
    Local,
    /// `"transfer"`: carries cars from yard to yard.
    Transfer,
    /// `"industry"`: serves one large customer.
    Industry,
}

impl JobKind {
    /// All kinds, with the words the description has for them.
    pub const WORDS: [(&'static str, JobKind); 4] = [
        ("yard", JobKind::Yard),
        ("local", JobKind::Local),
        ("transfer", JobKind::Transfer),
        ("industry", JobKind::Industry),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        JobKind::WORDS.iter().find(|(_, kind)| *kind == self).map_or("", |(word, _)| word)
    }
}

/// One stop of a job: a place, or `{ at = …, tracks = […], time = … }`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Call {
    /// `at`: the place.
    pub place: PlaceIx,
    /// `tracks`: the tracks it works there; all that its railroad may work, if nothing is said.
    pub tracks: Vec<TrackIx>,
    /// `time`: when it is due there.
    pub time: Option<ClockTime>,
}

/// A job that another meets on single track: a job, or `{ with = …, at = […] }`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meet {
    /// `with`: the other job.
    pub with: JobIx,
    /// `at`: the sidings where they may meet, first choice first; all that both pass, if nothing is said.
    pub at: Vec<TrackIx>,
}

/// `max = { cars = …, length = …, tons = … }`: no limit where nothing is said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TrainLimits {
    /// The most cars.
    pub cars: Option<Cars>,
    /// The longest train, engines and caboose included.
    pub length: Option<Length>,
    /// The heaviest train, engines and caboose not counted.
    pub tons: Option<Tons>,
}

/// The engines and the caboose of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Power {
    /// `power`: engines and caboose over couplers; they count where a train must fit.
    pub length: Length,
    /// `engine`: a name for the paper.
    pub engine: Option<Box<str>>,
    /// `caboose`: whether an occupied caboose rides behind the last car.
    pub caboose: bool,
}
