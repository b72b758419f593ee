//! What crews do: the events in order, and the work of each call as its paper has it.

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::layout::{End, Service};
use crate::said::Said;
use crate::units::{ClockTime, Length, Tons};

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
    /// Where it is bound, in words; of a car that has nowhere to go, what it is there for.
    pub bound: Box<str>,
    /// What it is there for as a saying, if it has nowhere to go.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<Said>,
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
