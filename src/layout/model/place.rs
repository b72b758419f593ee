//! Railroads, their places, and the links between places.

use super::{End, Existence};
use crate::ids::{GatewayIx, Id, LinkIx, PlaceIx, RailroadIx, TrackIx};
use crate::units::{Cars, Length, Minutes, Tons};

/// A railroad: `[railroad.ID]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Railroad {
    /// Its id.
    pub id: Id,
    /// `name`.
    pub name: Box<str>,
    /// `home`: the host's own line.
    pub home: bool,
    /// `beyond`: the gateway its empties go home through.
    pub beyond: Option<GatewayIx>,
    /// `marks`: the reporting marks of its cars; its id, if nothing is said.
    pub marks: Vec<Box<str>>,
    /// `reversed`: its timetable east is the layout's west.
    pub reversed: bool,
}

impl Railroad {
    /// The name this railroad's timetable gives to an end of the layout.
    pub fn timetable(&self, end: End) -> End {
        if self.reversed { end.other() } else { end }
    }
}

/// A named stretch of layout: `[place.ID]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Its id.
    pub id: Id,
    /// `name`: two places may share it; [`Place::title`] tells them apart.
    pub name: Box<str>,
    /// The name, followed by the railroad where another place has the same name.
    pub title: Box<str>,
    /// `railroad`: whose place it is.
    pub railroad: RailroadIx,
    /// `lead`: the room past the switches, at each end, for an engine and its cut.
    pub lead: Lead,
    /// `worked_by`: the railroads whose jobs may switch here; its own, if nothing is said.
    pub worked_by: Vec<RailroadIx>,
    /// `max_car`, `max_height`, `max_weight`, `max_cars`.
    pub limits: Limits,
    /// `hidden`: staging that guests do not see.
    pub hidden: bool,
    /// `note`: a line for the paper.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
    /// Its tracks, in order of their ids.
    pub tracks: Vec<TrackIx>,
}

/// `lead = { west = …, east = … }`: no limit at an end of which nothing is said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lead {
    /// Past the western switches.
    pub west: Option<Length>,
    /// Past the eastern switches.
    pub east: Option<Length>,
}

impl Lead {
    /// The lead at an end.
    pub const fn at(self, end: End) -> Option<Length> {
        match end {
            End::West => self.west,
            End::East => self.east,
        }
    }
}

/// What a link, a place or a track can take.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// `max_car`: the longest car, over couplers.
    pub car: Option<Length>,
    /// `max_height`: the highest car above the rail.
    pub height: Option<Length>,
    /// `max_weight`: the heaviest car with its load.
    pub weight: Option<Tons>,
    /// `max_cars`: the most cars at once, in one train.
    pub at_once: Option<Cars>,
}

/// A connection between two places: `[[link]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// Its index, for ties.
    pub ix: LinkIx,
    /// `between`, first: the place at its west end.
    pub west: PlaceIx,
    /// `between`, second: the place at its east end.
    pub east: PlaceIx,
    /// `minutes`: a train's run over it.
    pub minutes: Minutes,
    /// `max_car`, `max_height`, `max_weight`, `max_cars`.
    pub limits: Limits,
    /// `grade`: the ruling grade in tenths of a percent, rising to the east.
    pub grade: i32,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}
