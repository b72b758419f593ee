//! Why cars move: orders, cars by kind, gateways, trips, and what stands too long.

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::layout::Service;
use crate::said::Said;
use crate::units::Length;

/// An order and what became of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderLine {
    /// Its id.
    pub id: Id,
    /// The lane.
    pub lane: Id,
    /// What is carried.
    pub commodity: Id,
    /// Where from, in words.
    pub from: Box<str>,
    /// Where to, in words.
    pub to: Box<str>,
    /// The session in which it came due.
    pub due: i32,
    /// What became of it.
    pub state: OrderState,
    /// The car that fills it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub car: Option<Id>,
    /// The kinds of car that will do, where its lane has its own; else its lading's.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub cars: Vec<Id>,
    /// Why.
    pub why: Box<str>,
    /// The same as a saying, of an order that has no car.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<Said>,
}

/// What became of an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum OrderState {
    /// No car yet.
    Waiting,
    /// A car serves it.
    Filled,
    /// Delivered and unloaded, or gone beyond.
    Done,
    /// It waited too long.
    Cancelled,
}

/// A kind of car, or several that do for the same, and how many orders got one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KindLine {
    /// The kinds, first choice first.
    pub kinds: Vec<Id>,
    /// The orders that had no car before tonight.
    pub ordered: u32,
    /// Those of them that have one now.
    pub filled: u32,
    /// Those whose customers have cars enough for now.
    pub held: u32,
    /// Those for which there is no car.
    pub unfilled: u32,
    /// Why those are unfilled, each reason once.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub why: Vec<Box<str>>,
    /// The same as sayings, in the same order.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub told: Vec<Said>,
}

/// What a gateway brought and took.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct GatewayLine {
    /// The gateway.
    pub gateway: Id,
    /// The cars that come by it before the first job of this session.
    pub received: u32,
    /// The cars that go by it before the first job of this session.
    pub delivered: u32,
    /// The cars that came by it since the first session, this one included.
    pub received_in_all: u32,
    /// The cars that went by it since the first session, this one included.
    pub delivered_in_all: u32,
    /// What came less what went, in all.
    pub net: i64,
    /// The cars on its tracks after the session.
    pub standing: u32,
    /// The one of them that stands there longest, if there is any.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub oldest: Option<Oldest>,
}

/// The car that stands longest on a gateway's tracks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Oldest {
    /// The car.
    pub car: Id,
    /// The session since which it is there.
    pub since: i32,
}

/// A load that shows, to be put in or taken out by hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LoadLine {
    /// The car.
    pub car: Id,
    /// The load.
    pub lading: Id,
    /// Whether it is put in; else it is taken out.
    pub put_in: bool,
    /// The track on which the car stands then, or from which it is lifted.
    pub track: Id,
}

/// A car that has somewhere to go.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TripLine {
    /// The car.
    pub car: Id,
    /// The order it serves, if any.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub order: Option<Id>,
    /// What is in it, if it is loaded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lading: Option<Id>,
    /// The track it stands on when the session begins.
    pub from: Id,
    /// Where it is bound, in words.
    pub bound: Box<str>,
    /// The spots, or tracks without spots, where each of its stages can be done, in order of
    /// preference: one list for each service on the way, and one for its end.
    pub goals: Vec<Vec<Id>>,
    /// The session since which it waits.
    pub since: i32,
    /// Whether it is promised or perishable, and goes before others.
    pub promised: bool,
    /// The session since which it stands near its spot and waits for it, before this one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub waits: Option<i32>,
    /// Whether it goes to be repaired, and no further.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub for_repair: bool,
    /// The services it still needs on the way, in order.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub services: Vec<Service>,
    /// Its legs in this session; empty if it stays.
    pub legs: Vec<LegLine>,
    /// Whether the last leg brings it where it is bound.
    pub arrives: bool,
    /// The session in which it will arrive as things stand, if it does not arrive in this one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub expected: Option<i32>,
    /// Why it goes, and why it goes no further.
    pub why: Box<str>,
    /// The part of that which says why it goes no further, if it does not arrive.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub kept: Option<Box<str>>,
    /// The parts of `why` as sayings, the last of them `kept` where it is said.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub told: Vec<Said>,
}

/// The part of a trip made by one job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LegLine {
    /// The job.
    pub job: Id,
    /// The call at which it is pulled, from 1.
    pub from_call: u32,
    /// The track it is pulled from.
    pub from: Id,
    /// The call at which it is left, from 1.
    pub to_call: u32,
    /// The track it is left on.
    pub to: Id,
    /// The spot it is left at, if it is one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub spot: Option<Id>,
    /// The job whose train a yard job makes up by it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub made_up_for: Option<Id>,
    /// Why this job, and why it is left there.
    #[serde(default)]
    pub why: Box<str>,
}

/// Two jobs that meet on single track.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeetLine {
    /// The two jobs.
    pub jobs: [Id; 2],
    /// Their trains where they meet, or where the longest siding is; engines and caboose counted.
    pub trains: [Length; 2],
    /// The siding; nothing if no train fits any.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at: Option<Id>,
    /// The job that takes the siding; the other holds the main.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub siding: Option<Id>,
    /// The same in words, and why.
    pub why: Box<str>,
    /// The same as a saying.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<Said>,
}

/// A car that its customer has kept beyond its free time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OnHandLine {
    /// The car.
    pub car: Id,
    /// The customer.
    pub customer: Id,
    /// The session in which it was put at the customer's disposal: at its spot, or as near as could be.
    pub placed: i32,
    /// The days that count since.
    pub days: u32,
    /// How many of them are beyond the free time.
    pub over: u32,
}
