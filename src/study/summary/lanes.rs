//! Lanes: carloads a week against what their spots can turn, and the cars they keep busy.
//!
//! A session is a day of the layout's calendar, so a spot can be filled anew once a session at
//! best. A car that takes two days to unload holds its spot for two sessions, and only days on which
//! the customer works count. The figures are therefore the most the spots could do if every car came
//! the moment its spot is free: a lane above them can never be served.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::tracks::whole_cars;
use crate::ids::{CommodityIx, Id, IndustryIx, TypeIx};
use crate::layout::{Duration, Lane, LaneEnd, Layout, SpotTarget};
use crate::units::Date;

/// A lane.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LaneLine {
    /// Its id.
    pub id: Id,
    /// What it carries.
    pub commodity: Id,
    /// Carloads in ten weeks, so that nothing is lost to rounding a week.
    pub carloads_in_ten_weeks: u32,
    /// What the spots of its ends can turn in ten weeks, if it has a customer at an end.
    pub turns_in_ten_weeks: Option<u32>,
    /// Whether another lane wants one of these spots too.
    pub shared: bool,
    /// Cars it keeps busy at one time, at least.
    pub busy_cars: u32,
    /// The kinds of car it runs in, first choice first.
    pub cars: Vec<Id>,
}

/// The lanes that run on a day, seasons not counted.
pub(super) fn lanes(layout: &Layout, date: Date) -> Vec<LaneLine> {
    let running: Vec<&Lane> = layout.lanes().values().filter(|lane| runs(layout, lane, date)).collect();
    let mut users: BTreeMap<SpotTarget, u32> = BTreeMap::new();
    for target in running.iter().flat_map(|lane| targets(layout, lane)) {
        *users.entry(target).or_default() += 1;
    }
    let shared = |lane: &Lane| targets(layout, lane).iter().any(|target| users[target] > 1);
    running.iter().map(|lane| line(layout, lane, shared(lane))).collect()
}

/// Whether a lane and both its ends are there.
pub(super) fn runs(layout: &Layout, lane: &Lane, date: Date) -> bool {
    let there = |end: LaneEnd| match end {
        LaneEnd::Industry(industry) => layout.industries()[industry].existence.on(date),
        LaneEnd::Beyond(gateway, _) => layout.gateways()[gateway].existence.on(date),
    };
    lane.existence.on(date) && there(lane.from) && there(lane.to)
}

/// The kinds of car a lane runs in, first choice first.
pub(super) fn kinds<'a>(layout: &'a Layout, lane: &'a Lane) -> &'a [TypeIx] {
    if lane.cars.is_empty() { &layout.commodities()[lane.commodity].cars } else { &lane.cars }
}

fn line(layout: &Layout, lane: &Lane, shared: bool) -> LaneLine {
    LaneLine {
        id: lane.id.clone(),
        commodity: layout.commodities()[lane.commodity].id.clone(),
        carloads_in_ten_weeks: carloads_in_ten_weeks(layout, lane),
        turns_in_ten_weeks: turns_in_ten_weeks(layout, lane),
        shared,
        busy_cars: busy_cars(layout, lane),
        cars: kinds(layout, lane).iter().map(|kind| layout.types()[*kind].code.clone()).collect(),
    }
}

/// `"a day"` is every working day of the customer that ships, or else of the one that receives.
fn carloads_in_ten_weeks(layout: &Layout, lane: &Lane) -> u32 {
    let rate = lane.rate;
    match (rate.per, lane.from, lane.to) {
        (Duration::Day, LaneEnd::Industry(industry), _) | (Duration::Day, _, LaneEnd::Industry(industry)) => {
            rate.carloads * 10 * layout.industries()[industry].works.count()
        }
        _ => rate.in_twelve_weeks() * 10 / 12,
    }
}

fn turns_in_ten_weeks(layout: &Layout, lane: &Lane) -> Option<u32> {
    let loading = match lane.from {
        LaneEnd::Industry(industry) => Some((industry, true, lane.load.count())),
        LaneEnd::Beyond(..) => None,
    };
    let unloading = match lane.to {
        LaneEnd::Industry(industry) => Some((industry, false, lane.unload.count())),
        LaneEnd::Beyond(..) => None,
    };
    let ends = loading.into_iter().chain(unloading);
    ends.map(|(industry, loads, days)| turns(layout, industry, lane.commodity, loads, days)).min()
}

/// The spots at both ends of a lane.
fn targets(layout: &Layout, lane: &Lane) -> BTreeSet<SpotTarget> {
    let loading = match lane.from {
        LaneEnd::Industry(industry) => layout.industries()[industry].loads_at(lane.commodity),
        LaneEnd::Beyond(..) => &[],
    };
    let unloading = match lane.to {
        LaneEnd::Industry(industry) => layout.industries()[industry].unloads_at(lane.commodity),
        LaneEnd::Beyond(..) => &[],
    };
    loading.iter().chain(unloading).copied().collect()
}

fn turns(layout: &Layout, industry: IndustryIx, commodity: CommodityIx, loads: bool, days: u32) -> u32 {
    let customer = &layout.industries()[industry];
    let targets = if loads { customer.loads_at(commodity) } else { customer.unloads_at(commodity) };
    let at_once: u32 = targets.iter().map(|target| room(layout, *target)).sum();
    at_once * 10 * customer.works.count() / days.max(1)
}

/// How many cars of the usual length a spot takes at once.
fn room(layout: &Layout, target: SpotTarget) -> u32 {
    let track = &layout.tracks()[layout.track_of(target)];
    match target {
        SpotTarget::Track(_) => whole_cars(layout, track.length),
        SpotTarget::Spot(spot) => {
            let spot = &layout.spots()[spot];
            match spot.cars {
                Some(cars) => cars.count(),
                None => whole_cars(layout, spot.length.unwrap_or(track.length)),
            }
        }
    }
}

/// Carloads a day times the days a car is bound: loading, unloading or away, and one session each
/// for the way loaded and the way empty.
pub(super) fn busy_cars(layout: &Layout, lane: &Lane) -> u32 {
    let stay = |end: LaneEnd, days: u32| match end {
        LaneEnd::Industry(_) => days,
        LaneEnd::Beyond(gateway, _) => layout.gateways()[gateway].back.count(),
    };
    let bound = stay(lane.from, lane.load.count()) + stay(lane.to, lane.unload.count()) + 2;
    (carloads_in_ten_weeks(layout, lane) * bound).div_ceil(70)
}
