//! The plan of a session, as it stands in `plan.json`.
//!
//! This is the finished product that paper, ledger and audit take, so its nouns are the host's own
//! ids: it is complete enough that a program which knows nothing of setout replays it from the
//! standing before to the standing after. `docs/plan-format.md` describes every field.
//!
//! Lengths are whole scale inches, times are minutes after midnight or whole seconds, as the names
//! of the fields say. Rows of cars run from west to east in the layout's own sense.

mod evening;
mod rows;
mod traffic;
mod work;
mod world;

use serde::{Deserialize, Serialize};

use crate::layout::Pace;
use crate::said::{Said, Worded};
use crate::units::Date;

pub use evening::{CallMinutes, CrewJob, Crews, DroppedJob, JobMinutes, LightRun, Suggestion};
pub use rows::{OpenOrder, RowCar, Rows};
pub use traffic::{
    GatewayLine, KindLine, LegLine, LoadLine, MeetLine, Oldest, OnHandLine, OrderLine, OrderState, TripLine,
};
pub use work::{Block, CallWork, CarWork, Deed, Event, LeftCar, MakeUp, Train};
pub use world::{
    World, WorldApart, WorldCar, WorldCommodity, WorldGateway, WorldJob, WorldLimits, WorldLink,
    WorldPlacards, WorldPlace, WorldRailroad, WorldSpot, WorldTrack,
};

/// The format written by this version.
pub const FORMAT: u32 = 2;

/// A planned session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Plan {
    /// The version of this format.
    pub format: u32,
    /// The layout's name.
    pub layout: Box<str>,
    /// The number of the session, from 1.
    pub session: i32,
    /// The revision of its plan, from 1.
    pub revision: u32,
    /// The seed it was drawn with.
    pub seed: u64,
    /// The day of the layout's calendar.
    pub date: Date,
    /// The parts of the layout that a replay needs, as they are on that day.
    pub world: World,
    /// Where every car is before the session.
    pub before: Rows,
    /// What happens, in order.
    pub events: Vec<Event>,
    /// Where every car is after it.
    pub after: Rows,
    /// What each crew does with each car it meets, call by call in the order of events.
    pub work: Vec<CallWork>,
    /// How every train with cars is made up that goes from one place to another, in the order of events.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub make_up: Vec<MakeUp>,
    /// Every order that was open, came due, or ended.
    pub orders: Vec<OrderLine>,
    /// The kinds of car that orders asked for tonight, and how many they got.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub kinds: Vec<KindLine>,
    /// What every gateway brought and took.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub gateways: Vec<GatewayLine>,
    /// The loads to put into open cars and to take out of them by hand, before the first job.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub loads: Vec<LoadLine>,
    /// Every car that has somewhere to go.
    pub trips: Vec<TripLine>,
    /// The minutes that a crew is taken to need for each of its deeds.
    #[serde(default)]
    pub pace: Pace,
    /// How long every job takes at that pace, in the order of `world`'s jobs.
    #[serde(default)]
    pub minutes: Vec<JobMinutes>,
    /// Cars that customers have kept beyond their free time, those kept longest first.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub on_hand: Vec<OnHandLine>,
    /// Where jobs meet on single track.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub meets: Vec<MeetLine>,
    /// Who takes which job and when, where people were counted.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub crews: Option<Crews>,
    /// How many people would do, where they were not counted.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub suggestion: Option<Suggestion>,
    /// The jobs that could run and do not.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub dropped: Vec<DroppedJob>,
    /// What the host should know before anybody starts.
    pub notices: Vec<Notice>,
}

/// A line for the host.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Notice {
    /// What it is about: `light job`, `no room`, `working limit`, `shortage`, `stranded`.
    pub about: Box<str>,
    /// The words.
    pub text: Box<str>,
    /// The same as a saying, if the table has it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<Said>,
}

impl Notice {
    /// A notice that the table of sayings does not have.
    pub fn plain(about: &str, text: String) -> Self {
        Notice { about: about.into(), text: text.into(), told: None }
    }

    /// A notice that it has.
    pub fn said(about: &str, Worded { text, said }: Worded) -> Self {
        Notice { about: about.into(), text: text.into(), told: Some(said) }
    }
}

/// What is false is left out of the file.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "the attribute of serde hands over a reference")]
const fn is_false(flag: &bool) -> bool {
    !*flag
}
