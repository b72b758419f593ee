//! Cars and kinds of car: the roster and `[type.CODE]`.

use super::{Existence, Grade};
use crate::ids::{CommodityIx, GatewayIx, Id, IndustryIx, RailroadIx, TrackIx, TypeIx};
use crate::units::{Length, Tons};

/// A car of the roster: a row of `cars.csv`, or `[[car]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Car {
    /// Mark and number: `CHT 1234`, or a UIC number: `21 81 2471 217-3`.
    pub id: Id,
    /// `mark`: empty where the number is a UIC number.
    pub mark: Box<str>,
    /// `number`.
    pub number: Box<str>,
    /// `type`.
    pub kind: TypeIx,
    /// `length` over couplers; the usual one of its kind, if nothing is said.
    pub length: Length,
    /// `height` above the rail.
    pub height: Option<Length>,
    /// `railroad`, or the railroad whose mark it bears; none for a private car.
    pub railroad: Option<RailroadIx>,
    /// `owner`: in words, where it is no railroad of the layout.
    pub owner: Option<Box<str>>,
    /// `home`: the gateway it goes home through; its railroad's, if nothing is said.
    pub home: Option<GatewayIx>,
    /// `assigned`: the customer in whose service alone it runs.
    pub assigned: Option<IndustryIx>,
    /// `grade`.
    pub grade: Grade,
    /// `light`: its own weight; the usual one of its kind, if nothing is said.
    pub light: Tons,
    /// `capacity`: the weight of a full load; the usual one of its kind, if nothing is said.
    pub capacity: Tons,
    /// `years`: the first and last year in which it may run.
    pub years: (Option<i16>, Option<i16>),
    /// `color`: in words.
    pub color: Option<Box<str>>,
    /// `load`: how its load looks on the model.
    pub look: LoadLook,
    /// `visits`: how often it comes onto the layout at all.
    pub visits: Visits,
    /// `bad_order`: it must be repaired before it is loaded.
    pub bad_order: bool,
    /// `stands`: the track it stands on before the first session.
    pub stands: Option<TrackIx>,
    /// `note`: a poor runner, a work car.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}

/// How a load shows on the model.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LoadLook {
    /// `"hidden"`: nobody sees whether it is loaded; what a closed car has, if nothing is said.
    Hidden,
    /// `"lifts out"`: a load is put in and taken out by hand; what an open car has.
    LiftsOut,
    /// `"fixed COMMODITY"`: the load is glued in; the car is never listed empty.
    Fixed(FixedLoad),
}

/// A load that cannot be taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FixedLoad {
    /// What it is, if that is said.
    pub commodity: Option<CommodityIx>,
}

/// How often a rare visitor comes: once in so many sessions on average.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visits {
    /// `"1 in 6"` is 6; 1 comes whenever it is wanted; 0 never (a work car).
    pub one_in: u32,
}

/// A kind of car: the AAR letters, or one the layout defines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarType {
    /// Its code: `XM`.
    pub code: Id,
    /// `meaning`: in plain words.
    pub meaning: Box<str>,
    /// `open`: whether a load can be seen.
    pub open: bool,
    /// `length`: usual length over couplers.
    pub length: Length,
    /// `light`: usual weight, empty.
    pub light: Tons,
    /// `capacity`: usual weight of a full load.
    pub capacity: Tons,
}

impl CarType {
    /// Whether it is a tank car: the letter T, or a code the layout says is one.
    pub fn is_tank(&self) -> bool {
        self.code.as_str().starts_with('T')
    }

    /// Whether it is a flat car, by its letter.
    pub fn is_flat(&self) -> bool {
        self.code.as_str().starts_with('F')
    }
}
