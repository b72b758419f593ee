//! What the files say: one type a table, names not yet looked up, lengths not yet in scale.
//!
//! A field is `None` where nothing is said, or where what is said could not be read; in the second
//! case the thing is not `sound`, and no later rule speaks about it.

use super::fields::{Maybe, Name, Placed};
use super::quantity::{CarNumber, Look, Measure};
use crate::diag::Span;
use crate::layout::model::{
    CarService, End, GatewayKind, Grade, JobKind, Neighbour, Opens, Rate, Service, Span as Stretch, State,
    TrackUse,
};
use crate::units::{Cars, ClockTime, Date, Minutes, Percent, Scale, Tons, Weekdays};

/// Everything that all files say.
#[derive(Clone, Debug, Default)]
pub(in crate::layout) struct Said {
    /// Whether every file could be read to its end, so that a name that is not here is nowhere.
    pub(in crate::layout) whole: bool,
    pub(in crate::layout) layouts: Vec<SaidLayout>,
    pub(in crate::layout) paces: Vec<SaidPace>,
    pub(in crate::layout) placards: Vec<SaidPlacards>,
    pub(in crate::layout) railroads: Vec<SaidRailroad>,
    pub(in crate::layout) places: Vec<SaidPlace>,
    pub(in crate::layout) tracks: Vec<SaidTrack>,
    pub(in crate::layout) links: Vec<SaidLink>,
    pub(in crate::layout) industries: Vec<SaidIndustry>,
    pub(in crate::layout) gateways: Vec<SaidGateway>,
    pub(in crate::layout) commodities: Vec<SaidCommodity>,
    pub(in crate::layout) lanes: Vec<SaidLane>,
    pub(in crate::layout) jobs: Vec<SaidJob>,
    pub(in crate::layout) types: Vec<SaidType>,
    pub(in crate::layout) cars: Vec<SaidCar>,
}

/// `state`, `since`, `until`.
#[derive(Clone, Debug, Default)]
pub(in crate::layout) struct SaidExistence {
    pub(in crate::layout) state: Option<State>,
    pub(in crate::layout) since: Maybe<Date>,
    pub(in crate::layout) until: Maybe<Date>,
}

/// `max_car`, `max_height`, `max_weight`, `max_cars`.
#[derive(Clone, Debug, Default)]
pub(in crate::layout) struct SaidLimits {
    pub(in crate::layout) car: Maybe<Measure>,
    pub(in crate::layout) height: Maybe<Measure>,
    pub(in crate::layout) weight: Maybe<Tons>,
    pub(in crate::layout) at_once: Maybe<Cars>,
}

/// `[layout]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidLayout {
    pub(in crate::layout) span: Span,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) scale: Maybe<Scale>,
    pub(in crate::layout) first: Maybe<Date>,
    pub(in crate::layout) last: Maybe<Date>,
    pub(in crate::layout) hours: Maybe<Minutes>,
    pub(in crate::layout) left: Maybe<End>,
    pub(in crate::layout) car: Maybe<Measure>,
    pub(in crate::layout) full: Maybe<Percent>,
    pub(in crate::layout) shelf: Maybe<bool>,
    pub(in crate::layout) car_service: Maybe<CarService>,
    pub(in crate::layout) metric: Maybe<bool>,
    pub(in crate::layout) bad_orders: Maybe<u32>,
    pub(in crate::layout) repair: Maybe<Stretch>,
    pub(in crate::layout) free_time: SaidFreeTime,
}

/// `free_time`, of the layout or of a lane.
#[derive(Clone, Debug, Default)]
pub(in crate::layout) struct SaidFreeTime {
    pub(in crate::layout) load: Maybe<Stretch>,
    pub(in crate::layout) unload: Maybe<Stretch>,
    pub(in crate::layout) weekends: Maybe<bool>,
    pub(in crate::layout) holidays: Vec<Placed<Date>>,
}

/// `[pace]`: only what differs from the usual.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidPace {
    pub(in crate::layout) span: Span,
    pub(in crate::layout) handling: Maybe<Minutes>,
    pub(in crate::layout) car: Maybe<Minutes>,
    pub(in crate::layout) coupling: Maybe<Minutes>,
    pub(in crate::layout) turnout: Maybe<Minutes>,
    pub(in crate::layout) spot: Maybe<Minutes>,
    pub(in crate::layout) run_around: Maybe<Minutes>,
    pub(in crate::layout) reading: Maybe<Minutes>,
    pub(in crate::layout) running: Maybe<Minutes>,
    pub(in crate::layout) crew: Maybe<u32>,
    pub(in crate::layout) learn: Maybe<bool>,
}

/// `[placards]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidPlacards {
    pub(in crate::layout) span: Span,
    pub(in crate::layout) apply: Maybe<bool>,
    pub(in crate::layout) nearest: Maybe<u32>,
    pub(in crate::layout) nearest_short: Maybe<u32>,
    /// `None` where the usual table holds.
    pub(in crate::layout) apart: Option<Vec<SaidApart>>,
}

/// A row of `apart`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidApart {
    pub(in crate::layout) group: Maybe<u32>,
    pub(in crate::layout) tank: Maybe<bool>,
    pub(in crate::layout) from: Vec<Placed<Neighbour>>,
}

/// `[railroad.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidRailroad {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) home: Maybe<bool>,
    pub(in crate::layout) beyond: Option<Name>,
    pub(in crate::layout) marks: Vec<Name>,
    pub(in crate::layout) reversed: Maybe<bool>,
}

/// `[place.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidPlace {
    /// Whether it has tracks, but no table of its own.
    pub(in crate::layout) unsaid: bool,
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) railroad: Option<Name>,
    pub(in crate::layout) lead_west: Maybe<Measure>,
    pub(in crate::layout) lead_east: Maybe<Measure>,
    pub(in crate::layout) full: Maybe<Percent>,
    pub(in crate::layout) worked_by: Vec<Name>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) limits: SaidLimits,
    pub(in crate::layout) hidden: Maybe<bool>,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

/// `[place.ID.track.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidTrack {
    /// With the place's: `harbor/2`.
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) place: Name,
    pub(in crate::layout) short: Box<str>,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) usage: Maybe<TrackUse>,
    pub(in crate::layout) length: Maybe<Measure>,
    pub(in crate::layout) opens: Maybe<Opens>,
    pub(in crate::layout) behind: Option<Name>,
    pub(in crate::layout) offers: Vec<Placed<Service>>,
    pub(in crate::layout) full: Maybe<Percent>,
    pub(in crate::layout) off_spot: Maybe<bool>,
    pub(in crate::layout) holds: Vec<Name>,
    pub(in crate::layout) spots: Vec<SaidSpot>,
    /// With the places': `harbor/2`.
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) worked_by: Vec<Name>,
    pub(in crate::layout) limits: SaidLimits,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

/// An item of `spots`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidSpot {
    pub(in crate::layout) name: Name,
    pub(in crate::layout) length: Maybe<Measure>,
    /// The inner `None` is `"any"`.
    pub(in crate::layout) cars: Maybe<Option<Cars>>,
    pub(in crate::layout) was: Vec<Name>,
}

/// `[[link]]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidLink {
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) between: Vec<Name>,
    pub(in crate::layout) minutes: Maybe<u32>,
    pub(in crate::layout) limits: SaidLimits,
    pub(in crate::layout) grade: Maybe<i32>,
    pub(in crate::layout) existence: SaidExistence,
}

/// A commodity and the spots where it is handled.
pub(in crate::layout) type SaidHandled = (Name, Vec<Name>);

/// `[industry.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidIndustry {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) place: Option<Name>,
    pub(in crate::layout) works: Maybe<Weekdays>,
    pub(in crate::layout) ships: Vec<SaidHandled>,
    pub(in crate::layout) receives: Vec<SaidHandled>,
    pub(in crate::layout) served_by: Vec<Name>,
    pub(in crate::layout) in_turn: Maybe<bool>,
    pub(in crate::layout) limit: Maybe<Cars>,
    pub(in crate::layout) shut: Maybe<bool>,
    pub(in crate::layout) unfinished: Maybe<u32>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

/// `[gateway.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidGateway {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) kind: Maybe<GatewayKind>,
    pub(in crate::layout) takes: Vec<Name>,
    pub(in crate::layout) gives: Vec<Name>,
    pub(in crate::layout) beyond: Vec<Name>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) railroad: Option<Name>,
    pub(in crate::layout) back: Maybe<Stretch>,
    pub(in crate::layout) limit: Maybe<Cars>,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

/// `[commodity.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidCommodity {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) cars: Vec<Name>,
    pub(in crate::layout) grade: Maybe<Grade>,
    pub(in crate::layout) clean: Maybe<bool>,
    pub(in crate::layout) soils: Maybe<bool>,
    pub(in crate::layout) placard: Maybe<u32>,
    pub(in crate::layout) tons: Maybe<Tons>,
    pub(in crate::layout) perishable: Maybe<bool>,
    pub(in crate::layout) shifts: Maybe<bool>,
    pub(in crate::layout) stcc: Maybe<Box<str>>,
    pub(in crate::layout) was: Vec<Name>,
}

/// `[[lane]]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidLane {
    pub(in crate::layout) span: Span,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) id: Option<Name>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) commodity: Option<Name>,
    pub(in crate::layout) from: Option<Name>,
    pub(in crate::layout) to: Option<Name>,
    pub(in crate::layout) carloads: Maybe<Rate>,
    pub(in crate::layout) spread: Maybe<u32>,
    pub(in crate::layout) together: Maybe<u32>,
    pub(in crate::layout) load: Maybe<Stretch>,
    pub(in crate::layout) unload: Maybe<Stretch>,
    pub(in crate::layout) free_time: SaidFreeTime,
    pub(in crate::layout) on_the_way: Vec<Placed<Service>>,
    pub(in crate::layout) season: Option<((i8, i8), (i8, i8))>,
    pub(in crate::layout) gap: Maybe<Stretch>,
    pub(in crate::layout) cancel_after: Maybe<Stretch>,
    pub(in crate::layout) promised: Maybe<bool>,
    pub(in crate::layout) cars: Vec<Name>,
    pub(in crate::layout) existence: SaidExistence,
}

/// `[job.ID]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidJob {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) name: Maybe<Box<str>>,
    pub(in crate::layout) railroad: Option<Name>,
    pub(in crate::layout) kind: Maybe<JobKind>,
    pub(in crate::layout) calls: Vec<SaidCall>,
    pub(in crate::layout) on_duty: Maybe<ClockTime>,
    pub(in crate::layout) after: Vec<Name>,
    pub(in crate::layout) meets: Vec<SaidMeet>,
    pub(in crate::layout) max_cars: Maybe<Cars>,
    pub(in crate::layout) max_length: Maybe<Measure>,
    pub(in crate::layout) max_tons: Maybe<Tons>,
    pub(in crate::layout) power: Maybe<Measure>,
    pub(in crate::layout) engine: Maybe<Box<str>>,
    pub(in crate::layout) caboose: Maybe<bool>,
    pub(in crate::layout) crew: Maybe<u32>,
    pub(in crate::layout) drop: Maybe<u32>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

/// An item of `meets`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidMeet {
    pub(in crate::layout) with: Name,
    pub(in crate::layout) at: Vec<Name>,
}

/// An item of `calls`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidCall {
    pub(in crate::layout) at: Name,
    pub(in crate::layout) tracks: Vec<Name>,
    pub(in crate::layout) time: Maybe<ClockTime>,
}

/// `[type.CODE]`.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidType {
    pub(in crate::layout) id: Name,
    pub(in crate::layout) meaning: Maybe<Box<str>>,
    pub(in crate::layout) open: Maybe<bool>,
    pub(in crate::layout) length: Maybe<Measure>,
    pub(in crate::layout) light: Maybe<Tons>,
    pub(in crate::layout) capacity: Maybe<Tons>,
}

/// A car.
#[derive(Clone, Debug)]
pub(in crate::layout) struct SaidCar {
    pub(in crate::layout) span: Span,
    pub(in crate::layout) sound: bool,
    pub(in crate::layout) mark: Maybe<Box<str>>,
    pub(in crate::layout) number: Maybe<CarNumber>,
    pub(in crate::layout) kind: Option<Name>,
    pub(in crate::layout) length: Maybe<Measure>,
    pub(in crate::layout) height: Maybe<Measure>,
    pub(in crate::layout) railroad: Option<Name>,
    pub(in crate::layout) owner: Maybe<Box<str>>,
    pub(in crate::layout) home: Option<Name>,
    pub(in crate::layout) assigned: Option<Name>,
    pub(in crate::layout) grade: Maybe<Grade>,
    pub(in crate::layout) light: Maybe<Tons>,
    pub(in crate::layout) capacity: Maybe<Tons>,
    pub(in crate::layout) years: Maybe<(Option<i16>, Option<i16>)>,
    pub(in crate::layout) color: Maybe<Box<str>>,
    pub(in crate::layout) look: Maybe<Look>,
    pub(in crate::layout) visits: Maybe<u32>,
    pub(in crate::layout) bad_order: Maybe<bool>,
    pub(in crate::layout) stands: Option<Name>,
    pub(in crate::layout) was: Vec<Name>,
    pub(in crate::layout) note: Maybe<Box<str>>,
    pub(in crate::layout) existence: SaidExistence,
}

impl SaidPlace {
    /// A place that has tracks, but that nothing is said of.
    pub(in crate::layout) fn unsaid(id: Name) -> Self {
        SaidPlace {
            unsaid: true,
            id,
            sound: false,
            name: None,
            railroad: None,
            lead_west: None,
            lead_east: None,
            full: None,
            worked_by: Vec::new(),
            was: Vec::new(),
            limits: SaidLimits::default(),
            hidden: None,
            note: None,
            existence: SaidExistence::default(),
        }
    }
}
