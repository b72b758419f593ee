//! The world of a plan: what of the layout a program needs to replay the session.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::layout::{Grade, Opens, Service};
use crate::units::{Cars, ClockTime, Length, Minutes, Tons};

/// The parts of the layout that a replay needs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct World {
    /// Places.
    pub places: Vec<WorldPlace>,
    /// Tracks.
    pub tracks: Vec<WorldTrack>,
    /// Links.
    pub links: Vec<WorldLink>,
    /// Jobs that run.
    pub jobs: Vec<WorldJob>,
    /// Cars.
    pub cars: Vec<WorldCar>,
    /// Where placarded cars may ride; nothing where no load has a placard, or the table is off.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub placards: Option<WorldPlacards>,
    /// Railroads.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub railroads: Vec<WorldRailroad>,
    /// Gateways that are there on that day.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub gateways: Vec<WorldGateway>,
    /// What is carried.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub commodities: Vec<WorldCommodity>,
}

/// Where placarded cars may ride in a train.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldPlacards {
    /// The nearest place to an engine or an occupied caboose, where the train is long enough.
    pub nearest: u32,
    /// The same where it is too short.
    pub nearest_short: u32,
    /// What may not ride next to what.
    pub apart: Vec<WorldApart>,
    /// The placard group of each lading that has one.
    pub groups: BTreeMap<Id, u32>,
    /// Ladings that could stick out past the ends of an open car.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub shifts: Vec<Id>,
    /// The kinds of car that are open.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub open: Vec<Id>,
}

/// What may not ride next to cars of a placard group.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldApart {
    /// The group.
    pub group: u32,
    /// Whether the row speaks of tank cars or of all others.
    pub tank: bool,
    /// What may not be next to them, in the words of the description.
    pub from: Vec<Box<str>>,
}

/// What a link, a place or a track can take; nothing where there is no limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldLimits {
    /// The longest car.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub car: Option<Length>,
    /// The highest car.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub height: Option<Length>,
    /// The heaviest car with its load.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub weight: Option<Tons>,
    /// The most cars at once.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at_once: Option<Cars>,
}

/// A place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldPlace {
    /// Its id.
    pub id: Id,
    /// Its name, with the railroad where two places share one.
    pub title: Box<str>,
    /// Room past the western switches, if it is limited.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lead_west: Option<Length>,
    /// Room past the eastern switches, if it is limited.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lead_east: Option<Length>,
    /// What it can take.
    pub limits: WorldLimits,
}

/// A track.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldTrack {
    /// Its id, with the place's.
    pub id: Id,
    /// The place.
    pub place: Id,
    /// What it is for.
    #[serde(rename = "use")]
    pub usage: Box<str>,
    /// Its room.
    pub length: Length,
    /// Its working limit.
    pub working: Length,
    /// Where its switch is.
    pub opens: Opens,
    /// The track through which alone it is reached.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub behind: Option<Id>,
    /// What is done to a car here.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub offers: Vec<Service>,
    /// The railroads whose jobs may switch it.
    pub worked_by: Vec<Id>,
    /// The kinds of car it takes; all, if empty.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub holds: Vec<Id>,
    /// Whether cars may be left here for a spot of the place that is full.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub off_spot: bool,
    /// Its spots, from west to east.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub spots: Vec<WorldSpot>,
    /// What it can take.
    pub limits: WorldLimits,
}

/// A spot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldSpot {
    /// Its id, with the track's.
    pub id: Id,
    /// Its own room, if it is limited.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length: Option<Length>,
    /// The most cars at once, if they are limited.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub cars: Option<Cars>,
}

/// A link.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldLink {
    /// The place at its west end.
    pub west: Id,
    /// The place at its east end.
    pub east: Id,
    /// A train's run over it, in seconds.
    pub seconds: Minutes,
    /// What it can take.
    pub limits: WorldLimits,
}

/// A job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldJob {
    /// Its id.
    pub id: Id,
    /// Its name.
    pub name: Box<str>,
    /// Whose crew it is.
    pub railroad: Id,
    /// When it begins, minutes after midnight.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub on_duty: Option<ClockTime>,
    /// The jobs that must be done before.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub after: Vec<Id>,
    /// The places it calls at, in order.
    pub calls: Vec<Id>,
    /// Its engines and caboose.
    pub power: Length,
    /// Whether an occupied caboose rides behind its last car.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub caboose: bool,
    /// The name of its engine, if it has one: no two jobs with the same run at once.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub engine: Option<Box<str>>,
    /// How many people it takes at most.
    #[serde(default = "one")]
    pub crew: u32,
    /// The most cars.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub max_cars: Option<Cars>,
    /// The longest train, with its power.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub max_length: Option<Length>,
    /// The heaviest train, without its power.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub max_tons: Option<Tons>,
}

/// What a job takes of whom nothing is said.
const fn one() -> u32 {
    1
}

/// A car.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldCar {
    /// Its mark and number.
    pub id: Id,
    /// Its kind.
    #[serde(rename = "type")]
    pub kind: Id,
    /// Over couplers.
    pub length: Length,
    /// Above the rail, if the host says.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub height: Option<Length>,
    /// Weight when empty.
    pub light: Tons,
    /// Weight of what it carries when loaded to capacity; a lading's own weight goes before it.
    pub capacity: Tons,
    /// The railroad whose car it is; none for a private car.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub railroad: Option<Id>,
    /// The gateway it goes home through.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub home: Option<Id>,
    /// The customer in whose service alone it runs.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub assigned: Option<Id>,
    /// What it is still fit for.
    #[serde(skip_serializing_if = "is_fair", default)]
    pub grade: Grade,
    /// How a load shows: `lifts out`, `fixed` or `fixed COMMODITY`; nothing where it is hidden.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub load: Option<Box<str>>,
}

/// A railroad.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldRailroad {
    /// Its id.
    pub id: Id,
    /// Whether it is the host's own.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub home: bool,
}

/// A gateway.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldGateway {
    /// Its id.
    pub id: Id,
    /// Its name.
    pub name: Box<str>,
    /// The road on the other side.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub railroad: Option<Id>,
    /// The tracks from which cars leave.
    pub takes: Vec<Id>,
    /// The tracks on which cars come.
    pub gives: Vec<Id>,
    /// The most cars it gives in one session.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub limit: Option<Cars>,
}

/// What is carried.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorldCommodity {
    /// Its id.
    pub id: Id,
    /// The kinds of car that carry it, first choice first.
    pub cars: Vec<Id>,
    /// The least grade of car that will do.
    pub grade: Grade,
    /// Whether it wants a clean car.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub clean: bool,
    /// Whether it leaves a dirty one.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub soils: bool,
    /// Its placard group.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub placard: Option<u32>,
    /// The weight of a carload; the car's capacity, if nothing is said.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tons: Option<Tons>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn is_fair(value: &Grade) -> bool {
    *value == Grade::Fair
}
