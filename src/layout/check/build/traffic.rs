//! Commodities, customers, gateways and lanes.

use super::{Context, all, existence, id, need, or_first, set, text, value, yes};
use crate::ids::{CommodityIx, Id, PlaceIx, TrackIx, TypeIx};
use crate::layout::check::names::lane_id;
use crate::layout::codes;
use crate::layout::model::{
    Commodity, Duration, Gateway, GatewayKind, Grade, Industry, Lane, LaneEnd, Odds, Rate, Season, Span,
    SpotTarget,
};
use crate::layout::read::{Name, SaidCommodity, SaidGateway, SaidHandled, SaidIndustry, SaidLane};
use crate::layout::sink::{Sink, Wrong};
use crate::units::Weekdays;

/// How long a car stays away, loads and unloads, if nothing is said. Loading in one day and
/// unloading in two is the free time that a carrier's tariff of 2010 gives; the first is a guess
/// (common practice, no source).
const BACK: Span = Span::days(2);
const LOAD: Span = Span::days(1);
const UNLOAD: Span = Span::days(2);

fn kinds(context: &Context<'_, '_>, names: &[Name], sink: &mut Sink) -> Vec<TypeIx> {
    let mut kinds: Vec<TypeIx> = Vec::new();
    for kind in names.iter().filter_map(|kind| context.types.find(kind, sink)) {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    kinds
}

/// A commodity.
pub(super) fn commodity(context: &Context<'_, '_>, said: &SaidCommodity, sink: &mut Sink) -> Commodity {
    Commodity {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_else(|| said.id.value.clone()),
        cars: kinds(context, &said.cars, sink),
        grade: value(&said.grade).unwrap_or(Grade::Rough),
        clean: yes(&said.clean),
        soils: yes(&said.soils),
        placard: value(&said.placard),
        tons: value(&said.tons),
        perishable: yes(&said.perishable),
        shifts: yes(&said.shifts),
        stcc: text(&said.stcc),
    }
}

/// A customer.
pub(super) fn industry(context: &Context<'_, '_>, said: &SaidIndustry, sink: &mut Sink) -> Industry {
    let place = said.place.as_ref().and_then(|place| context.names.places.find(place, sink));
    Industry {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_default(),
        place: or_first(place),
        works: value(&said.works).unwrap_or(Weekdays::EVERY),
        ships: handled(context, place, &said.ships, sink),
        receives: handled(context, place, &said.receives, sink),
        served_by: set(&context.names.railroads, &said.served_by, sink),
        in_turn: yes(&said.in_turn),
        limit: value(&said.limit),
        shut: yes(&said.shut),
        unfinished: Odds { one_in: value(&said.unfinished).unwrap_or(0) },
        note: text(&said.note),
        existence: existence(&said.existence, sink),
    }
}

fn handled(
    context: &Context<'_, '_>,
    place: Option<PlaceIx>,
    said: &[SaidHandled],
    sink: &mut Sink,
) -> Vec<(CommodityIx, Vec<SpotTarget>)> {
    let mut handled = Vec::new();
    for (commodity, spots) in said {
        let commodity = context.names.commodities.find(commodity, sink);
        // Without its place nobody knows which tracks it means.
        let Some(place) = place else { continue };
        let mut targets: Vec<SpotTarget> = Vec::new();
        for target in spots.iter().filter_map(|spot| context.spots.target(context, place, spot, sink)) {
            if !targets.contains(&target) {
                targets.push(target);
            }
        }
        if let Some(commodity) = commodity {
            handled.push((commodity, targets));
        }
    }
    handled.sort_by_key(|(commodity, _)| *commodity);
    handled
}

/// A gateway.
pub(super) fn gateway(context: &Context<'_, '_>, said: &SaidGateway, sink: &mut Sink) -> Gateway {
    if let Some(industry) = context.names.industries.get(&said.id.value) {
        let wrong = Wrong::new(
            codes::SAME_ID,
            format!("a gateway and a customer are both called `{}`", said.id.value),
        )
        .help("a lane could not tell them apart: give one of them another id");
        let first = context.names.industries.said(industry).id.span;
        sink.push(wrong.at(said.id.span).label(first, "the customer is here"));
    }
    let mut beyond: Vec<Box<str>> = Vec::new();
    for (place, city) in said.beyond.iter().enumerate() {
        if let Some(first) = said.beyond[..place].iter().find(|first| first.value == city.value) {
            let wrong =
                Wrong::new(codes::SAME_ID, format!("a second city `{}` beyond this gateway", city.value))
                    .help("take one of them away");
            sink.push(wrong.at(city.span).label(first.span, "the first is here"));
        }
        beyond.push(city.value.clone());
    }
    Gateway {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_default(),
        kind: value(&said.kind).unwrap_or(GatewayKind::Staging),
        takes: tracks(context, &said.takes, sink),
        gives: tracks(context, &said.gives, sink),
        beyond,
        railroad: said.railroad.as_ref().and_then(|railroad| context.names.railroads.find(railroad, sink)),
        back: value(&said.back).unwrap_or(BACK),
        limit: value(&said.limit),
        note: text(&said.note),
        existence: existence(&said.existence, sink),
    }
}

fn tracks(context: &Context<'_, '_>, names: &[Name], sink: &mut Sink) -> Vec<TrackIx> {
    all(&context.names.tracks, names, sink)
}

/// A lane.
pub(super) fn lane(context: &Context<'_, '_>, said: &SaidLane, sink: &mut Sink) -> Lane {
    Lane {
        id: Id::new(lane_id(said).unwrap_or_default()),
        commodity: need(&context.names.commodities, said.commodity.as_ref(), sink),
        from: end(context, said.from.as_ref(), sink),
        to: end(context, said.to.as_ref(), sink),
        rate: value(&said.carloads).unwrap_or(Rate { carloads: 1, per: Duration::Week }),
        spread: value(&said.spread).unwrap_or(1),
        together: value(&said.together).unwrap_or(1),
        load: value(&said.load).unwrap_or(LOAD),
        unload: value(&said.unload).unwrap_or(UNLOAD),
        free_time: (value(&said.free_time.load), value(&said.free_time.unload)),
        on_the_way: said.on_the_way.iter().map(|service| service.value).collect(),
        season: said.season.map(|(first, last)| Season { first, last }),
        gap: value(&said.gap).unwrap_or_default(),
        cancel_after: value(&said.cancel_after),
        promised: yes(&said.promised),
        cars: kinds(context, &said.cars, sink),
        existence: existence(&said.existence, sink),
    }
}

/// `paper`, `lakes`, or `lakes/Millport`.
fn end(context: &Context<'_, '_>, name: Option<&Name>, sink: &mut Sink) -> LaneEnd {
    let (industries, gateways) = (&context.names.industries, &context.names.gateways);
    let nowhere = LaneEnd::Industry(or_first(None));
    let Some(name) = name else { return nowhere };
    let (id, city) = match name.value.split_once('/') {
        Some((gateway, city)) => (gateway.trim(), Some(city.trim())),
        None => (&*name.value, None),
    };
    if let (Some(industry), None) = (industries.get(id), city) {
        return LaneEnd::Industry(industry);
    }
    let Some(gateway) = gateways.get(id) else {
        let message = match city {
            Some(_) => format!("no gateway `{id}`"),
            None => format!("no customer and no gateway `{id}`"),
        };
        let known = industries.ids().chain(gateways.ids());
        sink.wrong(name.span, Wrong::new(codes::UNKNOWN_NAME, message).near(id, known));
        return nowhere;
    };
    let Some(city) = city else { return LaneEnd::Beyond(gateway, None) };
    let beyond = &gateways.said(gateway).beyond;
    let place = beyond.iter().position(|known| *known.value == *city);
    if place.is_none() {
        let wrong = Wrong::new(codes::UNKNOWN_NAME, format!("no city `{city}` beyond `{id}`"))
            .near(city, beyond.iter().map(|known| &*known.value))
            .or_help(|| format!("add it to `beyond` of `[gateway.{id}]`"));
        sink.wrong(name.span, wrong);
    }
    LaneEnd::Beyond(gateway, place.and_then(|place| u32::try_from(place).ok()))
}
