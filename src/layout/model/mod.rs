//! The nouns of a checked layout, one file each.
//!
//! Fields are public to be read; only `layout::check` makes these values. The words in backticks
//! are the keys of `docs/layout.md`.

mod car;
mod commodity;
mod former;
mod gateway;
mod industry;
mod job;
mod lane;
mod place;
mod settings;
mod track;

pub use car::{Car, CarType, FixedLoad, LoadLook, Visits};
pub use commodity::{Commodity, Grade};
pub use former::{Former, FormerIds};
pub use gateway::{Gateway, GatewayKind};
pub use industry::Industry;
pub use job::{Call, Job, JobKind, Meet, Power, TrainLimits};
pub use lane::{Duration, Lane, LaneEnd, Rate, Season, Span};
pub use place::{Lead, Limits, Link, Place, Railroad};
pub use settings::{Apart, CarService, Days, FreeTime, Neighbour, Odds, Pace, Placards, Settings};
pub use track::{Opens, Service, Spot, SpotTarget, Track, TrackUse, TrackWords, track_words};

use crate::units::Date;

/// An end of a track, a lead or a train, in the layout's own sense of direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// The west end.
    West,
    /// The east end.
    East,
}

impl End {
    /// Both ends, west first.
    pub const BOTH: [End; 2] = [End::West, End::East];

    /// The other end.
    #[must_use]
    pub const fn other(self) -> End {
        match self {
            End::West => End::East,
            End::East => End::West,
        }
    }

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            End::West => "west",
            End::East => "east",
        }
    }
}

/// Whether a part of the layout is there, and when (`state`, `since`, `until`).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Existence {
    /// Built, planned, or out of service.
    pub state: State,
    /// The first day it is there; always, if nothing is said.
    pub since: Option<Date>,
    /// The last day it is there; for good, if nothing is said.
    pub until: Option<Date>,
}

impl Existence {
    /// Whether it is there on this day of the layout's calendar.
    pub fn on(self, date: Date) -> bool {
        self.state == State::Built
            && self.since.is_none_or(|since| since <= date)
            && self.until.is_none_or(|until| date <= until)
    }
}

/// What the host says of a part of the layout.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum State {
    /// It stands and works (nothing said).
    #[default]
    Built,
    /// It will be built (`"planned"`).
    Planned,
    /// It stands but does not work (`"out of service"`).
    OutOfService,
}
