//! The tables of names: every id once, in the order that the layout keeps.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::{former, natural};
use crate::diag::Span;
use crate::ids::{
    CarIx, CommodityIx, GatewayIx, IndustryIx, Ix, IxVec, JobIx, LaneIx, LinkIx, PlaceIx, RailroadIx, TrackIx,
};
use crate::layout::codes::{self, Code};
use crate::layout::model::FormerIds;
use crate::layout::read::{
    Name, Said, SaidCar, SaidCommodity, SaidGateway, SaidIndustry, SaidJob, SaidLane, SaidLink, SaidPlace,
    SaidRailroad, SaidTrack,
};
use crate::layout::sink::{Sink, Wrong};

/// All things of one kind that are said.
#[derive(Debug)]
pub(super) struct Table<'a, I, S> {
    noun: &'static str,
    by_id: BTreeMap<Box<str>, I>,
    said: IxVec<I, &'a S>,
    sound: IxVec<I, bool>,
    former: FormerIds<I>,
}

/// A thing as it enters a table.
struct Row<'a, S> {
    id: Box<str>,
    span: Span,
    sound: bool,
    said: &'a S,
    was: &'a [Name],
}

impl<'a, I: Ix, S> Table<'a, I, S> {
    /// Sorts rows and refuses the second of the same id.
    fn new(
        noun: &'static str,
        code: Code,
        mut rows: Vec<Row<'a, S>>,
        order: impl Fn(&Row<'a, S>, &Row<'a, S>) -> Ordering,
        sink: &mut Sink,
    ) -> Self {
        // Stable: of two with the same id, the one that was read first stays first.
        rows.sort_by(|one, other| order(one, other));
        let (mut by_id, mut said, mut sound) = (BTreeMap::new(), IxVec::new(), IxVec::new());
        let mut former = Vec::new();
        let mut first_span = None;
        for row in rows {
            if let Some(index) = by_id.get(&row.id) {
                let wrong = Wrong::new(code, format!("a second {noun} `{}`", row.id)).help(second_help(code));
                let first = first_span.unwrap_or(row.span);
                sink.push(wrong.at(row.span).label(first, "the first is here"));
                sound[*index] = false;
                continue;
            }
            first_span = Some(row.span);
            let index = said.push(row.said);
            sound.push(row.sound);
            by_id.insert(row.id, index);
            former.extend(row.was.iter().map(|was| (was, index)));
        }
        let former = former::ids(noun, &former, |id| by_id.get(id).copied(), sink);
        Table { noun, by_id, said, sound, former }
    }

    /// Looks a name up, and says so if nothing bears it.
    pub(super) fn find(&self, name: &Name, sink: &mut Sink) -> Option<I> {
        let found = self.get(&name.value);
        if found.is_none() {
            let wrong = Wrong::new(codes::UNKNOWN_NAME, format!("no {} `{}`", self.noun, name.value))
                .near(&name.value, self.ids());
            sink.wrong(name.span, wrong);
        }
        found
    }

    /// Looks a name up.
    pub(super) fn get(&self, id: &str) -> Option<I> {
        self.by_id.get(id).copied()
    }

    /// The ids that things had before.
    pub(super) fn former(&self) -> &FormerIds<I> {
        &self.former
    }

    /// All ids.
    pub(super) fn ids(&self) -> impl Iterator<Item = &str> {
        self.by_id.keys().map(|id| &**id)
    }

    /// What is said of each, in order.
    pub(super) fn iter(&self) -> impl Iterator<Item = (I, &'a S)> + '_ {
        self.said.iter().map(|(index, said)| (index, *said))
    }

    /// What is said of one.
    pub(super) fn said(&self, index: I) -> &'a S {
        self.said[index]
    }

    /// Whether nothing is wrong with it.
    pub(super) fn sound(&self, index: I) -> bool {
        self.sound[index]
    }

    /// Something is wrong with these.
    pub(super) fn all_broken(&mut self, broken: Vec<I>) {
        for index in broken {
            self.sound[index] = false;
        }
    }
}

fn second_help(code: Code) -> &'static str {
    match code.name {
        "same-car" => "a mark and number is on one car only: take one row away, or correct its number",
        _ => "give one of them another id, or take it away",
    }
}

/// The id that a lane has if none is said.
pub(super) fn lane_id(lane: &SaidLane) -> Option<Box<str>> {
    if let Some(id) = &lane.id {
        return Some(id.value.clone());
    }
    let (commodity, from, to) = (lane.commodity.as_ref()?, lane.from.as_ref()?, lane.to.as_ref()?);
    Some(format!("{}: {} > {}", commodity.value, from.value, to.value).into())
}

/// Mark and number of a car.
pub(super) fn car_id(car: &SaidCar) -> Option<Box<str>> {
    let number = car.number.as_ref()?;
    if number.value.uic {
        return Some(number.value.figures.clone());
    }
    let mark = car.mark.as_ref()?;
    Some(format!("{} {}", mark.value, number.value.figures).into())
}

/// All tables.
#[derive(Debug)]
pub(super) struct Names<'a> {
    pub(super) railroads: Table<'a, RailroadIx, SaidRailroad>,
    pub(super) places: Table<'a, PlaceIx, SaidPlace>,
    pub(super) tracks: Table<'a, TrackIx, SaidTrack>,
    pub(super) links: Table<'a, LinkIx, SaidLink>,
    pub(super) industries: Table<'a, IndustryIx, SaidIndustry>,
    pub(super) gateways: Table<'a, GatewayIx, SaidGateway>,
    pub(super) commodities: Table<'a, CommodityIx, SaidCommodity>,
    pub(super) lanes: Table<'a, LaneIx, SaidLane>,
    pub(super) jobs: Table<'a, JobIx, SaidJob>,
    pub(super) cars: Table<'a, CarIx, SaidCar>,
}

macro_rules! rows {
    ($said:expr) => {
        rows!($said, |said| &said.was)
    };
    // The ledger keeps no ids of these.
    ($said:expr, never) => {
        rows!($said, |_said| &[])
    };
    ($said:expr, |$one:ident| $was:expr) => {
        $said
            .map(|said| {
                let $one = said;
                Row { id: said.id.value.clone(), span: said.id.span, sound: said.sound, said, was: $was }
            })
            .collect()
    };
}

impl<'a> Names<'a> {
    /// Gathers the names of everything that is said.
    pub(super) fn new(said: &'a Said, unsaid: &'a [SaidPlace], sink: &mut Sink) -> Self {
        fn plain<S>(one: &Row<'_, S>, other: &Row<'_, S>) -> Ordering {
            one.id.cmp(&other.id)
        }
        let same = codes::SAME_ID;
        Names {
            railroads: Table::new("railroad", same, rows!(said.railroads.iter(), never), plain, sink),
            places: Table::new("place", same, rows!(said.places.iter().chain(unsaid)), plain, sink),
            tracks: Table::new("track", same, rows!(said.tracks.iter()), by_place, sink),
            links: Table::new("link", same, links(said), plain, sink),
            industries: Table::new("industry", same, rows!(said.industries.iter()), plain, sink),
            gateways: Table::new("gateway", same, rows!(said.gateways.iter()), plain, sink),
            commodities: Table::new("commodity", same, rows!(said.commodities.iter()), plain, sink),
            lanes: Table::new("lane", same, lanes(said), plain, sink),
            jobs: Table::new("job", same, rows!(said.jobs.iter()), plain, sink),
            cars: Table::new("car", codes::SAME_CAR, cars(said), by_number, sink),
        }
    }
}

/// By place, then in the order that people expect.
fn by_place(one: &Row<'_, SaidTrack>, other: &Row<'_, SaidTrack>) -> Ordering {
    let place = one.said.place.value.cmp(&other.said.place.value);
    place.then_with(|| natural::compare(&one.said.short, &other.said.short))
}

/// By mark, then by number.
fn by_number(one: &Row<'_, SaidCar>, other: &Row<'_, SaidCar>) -> Ordering {
    natural::compare(&one.id, &other.id)
}

fn links(said: &Said) -> Vec<Row<'_, SaidLink>> {
    let rows = said.links.iter().filter_map(|link| match &link.between[..] {
        [west, east] => {
            let id = format!("{} > {}", west.value, east.value).into();
            Some(Row { id, span: west.span, sound: link.sound, said: link, was: &[] })
        }
        _ => None,
    });
    rows.collect()
}

fn lanes(said: &Said) -> Vec<Row<'_, SaidLane>> {
    let rows = said.lanes.iter().filter_map(|lane| {
        let span = lane.id.as_ref().map_or(lane.span, |id| id.span);
        Some(Row { id: lane_id(lane)?, span, sound: lane.sound, said: lane, was: &lane.was })
    });
    rows.collect()
}

fn cars(said: &Said) -> Vec<Row<'_, SaidCar>> {
    let rows = said.cars.iter().filter_map(|car| {
        let span = car.number.as_ref().map_or(car.span, |number| number.span);
        Some(Row { id: car_id(car)?, span, sound: car.sound, said: car, was: &car.was })
    });
    rows.collect()
}
