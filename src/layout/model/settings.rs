//! What holds for the layout as a whole: `[layout]`, `[pace]`, `[placards]`.

use serde::{Deserialize, Serialize};

use super::{End, Span};
use crate::units::{Date, Length, Minutes, Percent, Scale};

/// The table `[layout]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// `name`: what the paper is headed with.
    pub name: Box<str>,
    /// `scale`: a name of the published lists, or a ratio such as `"1:76.2"`.
    pub scale: Scale,
    /// `days`: the days that sessions walk through.
    pub days: Days,
    /// `hours`: real time of a usual session.
    pub hours: Minutes,
    /// `left`: what a viewer of the layout has on the left.
    pub left: End,
    /// `car`: the coupled length that `"6 cars"` counts by.
    pub car: Length,
    /// `full`: the working limit of every track that does not say its own.
    pub full: Percent,
    /// `shelf`: whether cars on the shelf may be used to fill orders.
    pub shelf: bool,
    /// `car_service`: how strictly the car service rules are kept.
    pub car_service: CarService,
    /// `metric`: whether lengths print in metres of the prototype.
    pub metric: bool,
    /// `bad_orders`: how often a car is found a bad order.
    pub bad_orders: Odds,
    /// `repair`: how long a car stands on the repair track.
    pub repair: Span,
    /// `free_time`: how long customers may keep cars.
    pub free_time: FreeTime,
}

/// Once in so many times.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Odds {
    /// `"1 in 200"` is 200; 0 is never.
    pub one_in: u32,
}

/// The table `free_time`: how long a customer may keep a car before it is charged for, and how the
/// days are counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FreeTime {
    /// `load`: days to load.
    pub load: Span,
    /// `unload`: days to unload.
    pub unload: Span,
    /// `weekends`: whether Saturdays and Sundays count from the first.
    pub weekends: bool,
    /// `holidays`: days that do not count.
    pub holidays: Vec<Date>,
}

/// The days a layout is set in; after the last comes the first again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Days {
    /// The first day.
    pub first: Date,
    /// The last day, not before the first.
    pub last: Date,
}

impl Days {
    /// The day of a session, sessions being counted from 1. Sessions before the first, which run
    /// the railroad in, walk backwards through the same days.
    pub fn of_session(self, session: i32) -> Date {
        let length = self.first.days_until(self.last) + 1;
        self.first.plus_days((session - 1).rem_euclid(length))
    }
}

/// How strictly the car service rules are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CarService {
    /// `"by the book"`: always.
    ByTheBook,
    /// `"two thirds"`: about two loadings in three.
    TwoThirds,
    /// `"off"`: not at all.
    Off,
}

/// The table `[pace]`: the host's own minutes.
///
/// The defaults are guesses for a hand-thrown, hand-uncoupled layout (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Pace {
    /// `handling`: one movement with a reversal.
    pub handling: Minutes,
    /// `car`: each car in it.
    pub car: Minutes,
    /// `coupling`: coupling or uncoupling one joint.
    pub coupling: Minutes,
    /// `turnout`: throwing one turnout.
    pub turnout: Minutes,
    /// `spot`: placing one car at its marked spot.
    pub spot: Minutes,
    /// `run_around`: the engine going round its cars.
    pub run_around: Minutes,
    /// `reading`: finding the next car on the paper.
    pub reading: Minutes,
    /// `running`: a minute of the links, for slow and quick crews alike.
    pub running: Minutes,
    /// `crew`: a factor for slow and quick crews, in hundredths.
    pub crew: u32,
}

impl Default for Pace {
    fn default() -> Self {
        Pace {
            handling: Minutes::seconds(30),
            car: Minutes::seconds(6),
            coupling: Minutes::seconds(15),
            turnout: Minutes::seconds(9),
            spot: Minutes::seconds(30),
            run_around: Minutes::seconds(120),
            reading: Minutes::seconds(30),
            running: Minutes::new(1),
            crew: 100,
        }
    }
}

/// The table `[placards]`: where placarded cars may ride in a train.
///
/// For model railroads; real work follows the regulations and the carrier's own rules. The default
/// is the table of 49 CFR 174.85(d), whose columns come partly from memory.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placards {
    /// `apply`: whether trains are made up by the table at all.
    pub apply: bool,
    /// `nearest`: a placarded tank car is at least this many cars from an engine or an occupied
    /// caboose, itself counted, where the train is long enough.
    pub nearest: u32,
    /// `nearest_short`: the same where the train is too short.
    pub nearest_short: u32,
    /// `apart`: what must not stand next to what.
    pub apart: Vec<Apart>,
}

/// One row of the table of neighbours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Apart {
    /// `group`: the placard group, 1 to 4.
    pub group: u32,
    /// `tank`: whether the row speaks of tank cars or of other cars.
    pub tank: bool,
    /// `from`: what may not be next to such a car.
    pub from: Vec<Neighbour>,
}

/// What a placarded car is kept apart from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// `"open load"`: an open car whose load could shift beyond its ends.
    OpenLoad,
    /// `"loaded flat"`: a loaded flat car without tie-downs for vehicles.
    LoadedFlat,
    /// `"running engine"`: a car with an engine or a flame running in it.
    RunningEngine,
    /// `"group 1"` to `"group 4"`: a placarded car of that group.
    Group(u32),
}

impl Neighbour {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Neighbour::OpenLoad => "open load",
            Neighbour::LoadedFlat => "loaded flat",
            Neighbour::RunningEngine => "running engine",
            Neighbour::Group(1) => "group 1",
            Neighbour::Group(2) => "group 2",
            Neighbour::Group(3) => "group 3",
            Neighbour::Group(_) => "group 4",
        }
    }
}
