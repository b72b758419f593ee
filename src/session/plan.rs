//! The plan of a session, as it stands in `plan.json`.
//!
//! This is the finished product that paper, ledger and audit take, so its nouns are the host's own
//! ids: it is complete enough that a program which knows nothing of setout replays it from the
//! standing before to the standing after. `docs/plan-format.md` describes every field.
//!
//! Lengths are whole scale inches, times are minutes after midnight or whole seconds, as the names
//! of the fields say. Rows of cars run from west to east in the layout's own sense.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::layout::{End, Grade, Opens, Pace, Service};
use crate::units::{Cars, ClockTime, Date, Length, Minutes, Tons};

/// The format written by this version.
pub const FORMAT: u32 = 1;

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
    #[serde(skip_serializing_if = "is_false", default)]
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
    #[serde(skip_serializing_if = "is_false", default)]
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
    #[serde(skip_serializing_if = "is_false", default)]
    pub clean: bool,
    /// Whether it leaves a dirty one.
    #[serde(skip_serializing_if = "is_false", default)]
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

/// Where every car is.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rows {
    /// The cars on each track, from west to east; tracks with no car are left out.
    pub tracks: BTreeMap<Id, Vec<RowCar>>,
    /// The cars beyond each gateway, in order of their ids.
    pub beyond: BTreeMap<Id, Vec<RowCar>>,
    /// The cars on the shelf.
    pub shelf: Vec<RowCar>,
    /// The orders that are not done, in the order in which they came due.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub orders: Vec<OpenOrder>,
}

/// An order that is not done.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct OpenOrder {
    /// The order.
    pub id: Id,
    /// The car that serves it, if it has one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub car: Option<Id>,
}

/// A car in a row.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct RowCar {
    /// The car.
    pub car: Id,
    /// The spot it stands at, if it stands at one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub spot: Option<Id>,
    /// What is in it, if it is loaded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lading: Option<Id>,
    /// Whether it must be repaired before it is loaded.
    #[serde(skip_serializing_if = "is_false", default)]
    pub bad_order: bool,
    /// Whether its last load left it dirty.
    #[serde(skip_serializing_if = "is_false", default)]
    pub dirty: bool,
}

/// What is false is left out of the file.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "the attribute of serde hands over a reference")]
const fn is_false(flag: &bool) -> bool {
    !*flag
}

/// One thing that happens.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "lowercase")]
pub enum Event {
    /// Before the first job: a customer has finished with a car since the last session.
    Released {
        /// The car.
        car: Id,
        /// What is in it now; nothing if it is empty.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        lading: Option<Id>,
    },
    /// Before the first job: a car is taken off the layout by hand, or by another road.
    Lifted {
        /// The car.
        car: Id,
        /// The track it stood on.
        track: Id,
        /// The gateway it goes out by.
        gateway: Id,
    },
    /// Before the first job: a car is put onto the layout at the east end of a track's row.
    Placed {
        /// The car.
        car: Id,
        /// The track it is put on.
        track: Id,
        /// The gateway it comes in by.
        gateway: Id,
        /// What is in it, if it is loaded.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        lading: Option<Id>,
    },
    /// Before the first job: a car is found to need repair.
    #[serde(rename = "bad order")]
    BadOrder {
        /// The car.
        car: Id,
    },
    /// A job begins, its engine light at its first place.
    Starts {
        /// The job.
        job: Id,
        /// The place.
        place: Id,
    },
    /// A cut is coupled to the train's end and drawn out.
    Couple {
        /// The job.
        job: Id,
        /// Which of its calls, from 1.
        call: u32,
        /// The track.
        track: Id,
        /// The end of the track at which the engine works.
        end: End,
        /// The cars, from west to east.
        cars: Vec<Id>,
    },
    /// A cut is shoved in, or drawn through, and uncoupled.
    Leave {
        /// The job.
        job: Id,
        /// Which of its calls, from 1.
        call: u32,
        /// The track.
        track: Id,
        /// The end of the track at which the engine works.
        end: End,
        /// The cars, from west to east.
        cars: Vec<LeftCar>,
    },
    /// Something is done to a car that stands at a track which offers it.
    Served {
        /// The car.
        car: Id,
        /// The track.
        track: Id,
        /// What is done.
        service: Service,
    },
    /// A job goes from one call to the next.
    Goes {
        /// The job.
        job: Id,
        /// The call it leaves, from 1.
        call: u32,
        /// The place it leaves.
        from: Id,
        /// The place it goes to.
        to: Id,
        /// All places on its way, both ends included.
        way: Vec<Id>,
        /// The direction in which it leaves.
        direction: End,
        /// Its train.
        train: Train,
    },
    /// A job is done; its engine has no cars.
    Ends {
        /// The job.
        job: Id,
        /// The place.
        place: Id,
    },
}

/// A car that is left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeftCar {
    /// The car.
    pub car: Id,
    /// The spot it is left at, if it is one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub spot: Option<Id>,
}

/// A train between two calls.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Train {
    /// The cars west of the engine, from west to east.
    pub west: Vec<Id>,
    /// The cars east of the engine, from west to east.
    pub east: Vec<Id>,
    /// Its length with its power.
    pub length: Length,
    /// Its weight without its power.
    pub tons: Tons,
}

/// How a train is made up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MakeUp {
    /// The job.
    pub job: Id,
    /// The call that it leaves, from 1.
    pub call: u32,
    /// Its blocks, from the engine outwards.
    pub blocks: Vec<Block>,
}

/// Cars that stand together in a train and are left together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    /// The call at which they are left, from 1.
    pub to_call: u32,
    /// The track on which they are left.
    pub to: Id,
    /// The cars, from the engine outwards.
    pub cars: Vec<Id>,
}

/// What a crew does at one call.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CallWork {
    /// The job.
    pub job: Id,
    /// Which of its calls, from 1.
    pub call: u32,
    /// The place.
    pub place: Id,
    /// When it is due there, where the host says.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub time: Option<ClockTime>,
    /// Who goes before: jobs whose earlier call at this place must be finished first.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub follows: Vec<Id>,
    /// How often the engine couples or leaves cars there.
    #[serde(default)]
    pub movements: u32,
    /// Whether it is proved that fewer will not do.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub proved: bool,
    /// Every car it meets: by track, from west to east, cars of its own train last.
    pub cars: Vec<CarWork>,
}

/// What a crew does with one car.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CarWork {
    /// The car.
    pub car: Id,
    /// What is done.
    pub deed: Deed,
    /// The track it stands on when the job comes; nothing if it is in the train.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub from: Option<Id>,
    /// The spot it stands at when the job comes.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub from_spot: Option<Id>,
    /// The track it stands on when the job goes; nothing if it goes along.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub to: Option<Id>,
    /// The spot it stands at when the job goes.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub to_spot: Option<Id>,
    /// What is in it, if it is loaded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lading: Option<Id>,
    /// Where it is bound, in words.
    pub bound: Box<str>,
}

/// What a crew does with a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Deed {
    /// Take it into the train.
    Pull,
    /// Put it at the spot, or on the track, where it is bound.
    Spot,
    /// Put it on a track where another job takes it on.
    Set,
    /// Put it near its spot, which is full.
    #[serde(rename = "off spot")]
    OffSpot,
    /// Move it and put it back as it was.
    Hold,
    /// Do not touch it.
    Leave,
}

impl Deed {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Deed::Pull => "pull",
            Deed::Spot => "spot",
            Deed::Set => "set out",
            Deed::OffSpot => "off spot",
            Deed::Hold => "hold",
            Deed::Leave => "leave",
        }
    }
}

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
    #[serde(skip_serializing_if = "is_false", default)]
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

/// A line for the host.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Notice {
    /// What it is about: `light job`, `no room`, `working limit`, `shortage`, `stranded`.
    pub about: Box<str>,
    /// The words.
    pub text: Box<str>,
}

/// How long a job takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobMinutes {
    /// The job.
    pub job: Id,
    /// All its calls and runs together, in seconds.
    pub seconds: Minutes,
    /// Its calls, in order.
    pub calls: Vec<CallMinutes>,
}

/// How long a call takes, and what is counted there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CallMinutes {
    /// The work, in seconds.
    pub work: Minutes,
    /// The run to the next call, in seconds.
    pub run: Minutes,
    /// Movements with a cut, those of run-arounds not counted.
    pub handlings: u32,
    /// Cars in those movements.
    pub cars: u32,
    /// Joints coupled and uncoupled in them.
    pub couplings: u32,
    /// Turnouts thrown.
    pub turnouts: u32,
    /// Cars placed at marked spots.
    pub spots: u32,
    /// Times the engine goes to the other end of the place.
    pub run_arounds: u32,
    /// Cars on the list that the crew does something with.
    pub reading: u32,
}

/// Who takes which job and when; minutes from the beginning of the session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Crews {
    /// How many people came; they have numbers from 1.
    pub people: u32,
    /// How long they stay.
    pub minutes: u32,
    /// How many times faster than the real one the layout's clock runs, where jobs begin by it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock: Option<u32>,
    /// Whether no other way of giving these jobs to these people is better.
    pub proved: bool,
    /// The jobs, in the order of the plan's jobs.
    pub jobs: Vec<CrewJob>,
}

/// A job in hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CrewJob {
    /// The job.
    pub job: Id,
    /// Who takes it: one person or two.
    pub people: Vec<u32>,
    /// When it begins.
    pub begins: u32,
    /// When it ends.
    pub ends: u32,
    /// When the work of each of its calls begins and ends.
    pub calls: Vec<(u32, u32)>,
}

/// How many people would do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Suggestion {
    /// How many.
    pub people: u32,
    /// When the last job would then end, in minutes from the beginning.
    pub minutes: u32,
}

/// A job that could run and does not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DroppedJob {
    /// The job.
    pub job: Id,
    /// Why.
    pub why: Box<str>,
}
