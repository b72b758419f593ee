//! Every noun with its names looked up and its lengths in scale, one file a group of nouns.

#![expect(clippy::ref_option, reason = "a field of what is said is passed on as it stands")]

mod ground;
mod rolling;
mod settings;
mod spots;
mod traffic;
mod work;

pub(super) use settings::{learns, once_each, pace, placards, ruler, settings};
pub(super) use spots::Spots;

use super::names::{Names, Table};
use super::ruler::{Ruler, scale_instead};
use super::types::Types;
use crate::ids::{
    CarIx, CommodityIx, GatewayIx, Id, IndustryIx, Ix, IxVec, JobIx, LaneIx, LinkIx, PlaceIx, RailroadIx,
    TrackIx,
};
use crate::layout::codes;
use crate::layout::model::{
    Car, Commodity, Existence, Gateway, Industry, Job, Lane, Limits, Link, Place, Railroad, State, Track,
};
use crate::layout::read::{Maybe, Measure, Name, Placed, SaidExistence, SaidLimits, Unit};
use crate::layout::sink::{Sink, Wrong};
use crate::units::{Length, Percent};

/// What is known before a noun is built.
#[derive(Debug)]
pub(super) struct Context<'c, 'a> {
    pub(super) names: &'c Names<'a>,
    pub(super) ruler: Ruler,
    pub(super) types: &'c Types,
    pub(super) spots: &'c Spots<'a>,
    pub(super) full: Percent,
}

/// All nouns, and which of them had something wrong with them.
#[derive(Debug, Default)]
pub(super) struct Nouns {
    pub(super) railroads: IxVec<RailroadIx, Railroad>,
    pub(super) places: IxVec<PlaceIx, Place>,
    pub(super) tracks: IxVec<TrackIx, Track>,
    pub(super) links: IxVec<LinkIx, Link>,
    pub(super) industries: IxVec<IndustryIx, Industry>,
    pub(super) gateways: IxVec<GatewayIx, Gateway>,
    pub(super) commodities: IxVec<CommodityIx, Commodity>,
    pub(super) lanes: IxVec<LaneIx, Lane>,
    pub(super) jobs: IxVec<JobIx, Job>,
    pub(super) cars: IxVec<CarIx, Car>,
    broken: Broken,
}

#[derive(Debug, Default)]
struct Broken {
    places: Vec<PlaceIx>,
    tracks: Vec<TrackIx>,
    links: Vec<LinkIx>,
    industries: Vec<IndustryIx>,
    gateways: Vec<GatewayIx>,
    lanes: Vec<LaneIx>,
    jobs: Vec<JobIx>,
    cars: Vec<CarIx>,
}

impl Nouns {
    /// Builds them all.
    pub(super) fn new(context: &Context<'_, '_>, sink: &mut Sink) -> Self {
        let names = context.names;
        let mut broken = Broken::default();
        let railroads = ground::railroads(context, sink);
        let places =
            each(&names.places, &mut broken.places, sink, |_, said, sink| ground::place(context, said, sink));
        let mut places = IxVec::from(places);
        let tracks = each(&names.tracks, &mut broken.tracks, sink, |index, said, sink| {
            ground::track(context, &places, index, said, sink)
        });
        let tracks = IxVec::from(tracks);
        ground::finish_places(&mut places, &tracks, &railroads);
        let links = each(&names.links, &mut broken.links, sink, |index, said, sink| {
            ground::link(context, index, said, sink)
        });
        let commodities = each(&names.commodities, &mut Vec::new(), sink, |_, said, sink| {
            traffic::commodity(context, said, sink)
        });
        let industries = each(&names.industries, &mut broken.industries, sink, |_, said, sink| {
            traffic::industry(context, said, sink)
        });
        let gateways = each(&names.gateways, &mut broken.gateways, sink, |_, said, sink| {
            traffic::gateway(context, said, sink)
        });
        let lanes =
            each(&names.lanes, &mut broken.lanes, sink, |_, said, sink| traffic::lane(context, said, sink));
        let jobs = each(&names.jobs, &mut broken.jobs, sink, |_, said, sink| work::job(context, said, sink));
        let marks = rolling::Marks::new(context, &railroads, sink);
        let cars = each(&names.cars, &mut broken.cars, sink, |_, said, sink| {
            rolling::car(context, &railroads, &marks, said, sink)
        });
        Nouns {
            railroads,
            places,
            tracks,
            links: links.into(),
            industries: industries.into(),
            gateways: gateways.into(),
            commodities: commodities.into(),
            lanes: lanes.into(),
            jobs: jobs.into(),
            cars: cars.into(),
            broken,
        }
    }

    /// Tells the tables of names which things are broken.
    pub(super) fn mark_broken(self, names: &mut Names<'_>) {
        let Broken { places, tracks, links, industries, gateways, lanes, jobs, cars } = self.broken;
        names.places.all_broken(places);
        names.tracks.all_broken(tracks);
        names.links.all_broken(links);
        names.industries.all_broken(industries);
        names.gateways.all_broken(gateways);
        names.lanes.all_broken(lanes);
        names.jobs.all_broken(jobs);
        names.cars.all_broken(cars);
    }
}

/// Builds every row of a table, and notes which had errors.
fn each<'a, I: Ix, S, T>(
    table: &Table<'a, I, S>,
    broken: &mut Vec<I>,
    sink: &mut Sink,
    mut build: impl FnMut(I, &'a S, &mut Sink) -> T,
) -> Vec<T> {
    let mut built = Vec::new();
    for (index, said) in table.iter() {
        let before = sink.errors();
        built.push(build(index, said, sink));
        if sink.errors() > before {
            broken.push(index);
        }
    }
    built
}

/// What stands in for a name that was not found: see [`super::draft`].
fn or_first<I: Ix>(found: Option<I>) -> I {
    found.unwrap_or_else(|| I::new(0))
}

fn need<I: Ix, S>(table: &Table<'_, I, S>, name: Option<&Name>, sink: &mut Sink) -> I {
    or_first(name.and_then(|name| table.find(name, sink)))
}

fn all<I: Ix, S>(table: &Table<'_, I, S>, names: &[Name], sink: &mut Sink) -> Vec<I> {
    names.iter().filter_map(|name| table.find(name, sink)).collect()
}

/// The same without order: sorted, each once.
fn set<I: Ix, S>(table: &Table<'_, I, S>, names: &[Name], sink: &mut Sink) -> Vec<I> {
    let mut found = all(table, names, sink);
    found.sort();
    found.dedup();
    found
}

fn id(name: &Name) -> Id {
    Id::new(name.value.clone())
}

fn text(said: &Maybe<Box<str>>) -> Option<Box<str>> {
    said.as_ref().map(|said| said.value.clone())
}

fn yes(said: &Maybe<bool>) -> bool {
    said.as_ref().is_some_and(|said| said.value)
}

fn value<T: Copy>(said: &Maybe<T>) -> Option<T> {
    said.as_ref().map(|said| said.value)
}

fn existence(said: &SaidExistence, sink: &mut Sink) -> Existence {
    if let (Some(since), Some(until)) = (&said.since, &said.until)
        && until.value < since.value
    {
        let wrong = Wrong::new(codes::DATES_BACKWARDS, format!("`until` is before `since`, {}", since.value));
        sink.push(wrong.at(until.span).label(since.span, "it begins here"));
    }
    Existence {
        state: said.state.unwrap_or(State::Built),
        since: value(&said.since),
        until: value(&said.until),
    }
}

fn limits(said: &SaidLimits, sink: &mut Sink) -> Limits {
    Limits {
        car: prototype(&said.car, sink),
        height: prototype(&said.height, sink),
        weight: value(&said.weight),
        at_once: value(&said.at_once),
    }
}

/// Room on the layout.
fn room(context: &Context<'_, '_>, said: &Maybe<Measure>, sink: &mut Sink) -> Option<Length> {
    let said = said.as_ref()?;
    let found = told(context.ruler.room(said.value), said, sink);
    if found.is_some() && context.ruler.suspicious(said.value) {
        let unit = if said.value.unit == Unit::Metre { "m" } else { "ft" };
        let length = found.unwrap_or_default();
        let wrong = Wrong::new(
            codes::SUSPICIOUS_LENGTH,
            format!("this is {length} of the prototype, over half a mile"),
        )
        .help(scale_instead(said.value, unit));
        sink.wrong(said.span, wrong);
    }
    found
}

/// What takes up room on the layout.
fn takes_room(context: &Context<'_, '_>, said: &Maybe<Measure>, sink: &mut Sink) -> Option<Length> {
    let said = said.as_ref()?;
    told(context.ruler.takes_room(said.value), said, sink)
}

/// A length of the prototype.
fn prototype(said: &Maybe<Measure>, sink: &mut Sink) -> Option<Length> {
    let said = said.as_ref()?;
    told(Ruler::prototype(said.value), said, sink)
}

fn told<T, S>(found: Result<T, Wrong>, said: &Placed<S>, sink: &mut Sink) -> Option<T> {
    found.map_err(|wrong| sink.wrong(said.span, wrong)).ok()
}
