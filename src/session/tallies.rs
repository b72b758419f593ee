//! What is counted for the host: kinds of car that were asked for, what gateways brought and took,
//! loads to lift in and out.

use std::collections::BTreeMap;

use crate::ids::{CarIx, CommodityIx, GatewayIx, Id, TrackIx};
use crate::layout::{Gateway, LoadLook};
use crate::standing::Condition;
use crate::traffic::{Hand, Outcome};

use super::Made;
use super::plan::{GatewayLine, KindLine, LoadLine, Oldest};

/// The kinds of car that orders asked for tonight, in the order of their codes.
pub(super) fn kinds(made: &Made<'_>) -> Vec<KindLine> {
    let layout = made.network.layout();
    let mut lines: BTreeMap<Vec<Id>, KindLine> = BTreeMap::new();
    let before: BTreeMap<&Id, Option<CarIx>> =
        made.before.orders.iter().map(|order| (&order.id, order.car)).collect();
    for news in &made.demand.news {
        // An order that keeps the car it had asks for none; one whose car was found bad asks again.
        let had = before.get(&news.order.id).copied().flatten();
        if had.is_some() && had == news.order.car {
            continue;
        }
        let lane = &layout.lanes()[news.order.lane];
        let kinds: Vec<Id> =
            lane.kinds(layout.commodities()).iter().map(|kind| layout.types()[*kind].code.clone()).collect();
        let line = lines.entry(kinds.clone()).or_insert(KindLine {
            kinds,
            ordered: 0,
            filled: 0,
            held: 0,
            unfilled: 0,
            why: Vec::new(),
            told: Vec::new(),
        });
        match news.outcome {
            Outcome::Filled => line.filled += 1,
            Outcome::Held => line.held += 1,
            Outcome::Waiting => {
                line.unfilled += 1;
                if !line.why.contains(&news.why) {
                    line.why.push(news.why.clone());
                    line.told.extend(news.told.clone());
                }
            }
            Outcome::Done | Outcome::Cancelled => continue,
        }
        line.ordered += 1;
    }
    lines.into_values().filter(|line| line.ordered > 0).collect()
}

/// What every gateway brought and took.
pub(super) fn gateways(made: &Made<'_>) -> Vec<GatewayLine> {
    let gateways = made.network.layout().gateways().iter();
    let there = gateways.filter(|(_, gateway)| gateway.existence.on(made.network.date()));
    there.map(|(ix, gateway)| line(made, ix, gateway)).collect()
}

fn line(made: &Made<'_>, ix: GatewayIx, gateway: &Gateway) -> GatewayLine {
    let (was, is) = (made.before.passed[ix], made.after.passed[ix]);
    let mut tracks: Vec<TrackIx> = gateway.takes.iter().chain(&gateway.gives).copied().collect();
    tracks.sort_unstable();
    tracks.dedup();
    let standing = tracks.iter().flat_map(|track| made.after.on(*track));
    let oldest = standing.clone().min_by_key(|car| (made.after.car(**car).since, **car));
    GatewayLine {
        gateway: gateway.id.clone(),
        received: is.received - was.received,
        delivered: is.delivered - was.delivered,
        received_in_all: is.received,
        delivered_in_all: is.delivered,
        net: i64::from(is.received) - i64::from(is.delivered),
        standing: u32::try_from(standing.count()).unwrap_or(u32::MAX),
        oldest: oldest.map(|car| Oldest {
            car: made.network.layout().cars()[*car].id.clone(),
            since: made.after.car(*car).since,
        }),
    }
}

/// The loads that show, to be put in and taken out before the first job.
pub(super) fn loads(made: &Made<'_>) -> Vec<LoadLine> {
    let mut lines = Vec::new();
    for hand in &made.demand.hands {
        match *hand {
            Hand::Released(car, now) => {
                let Some(track) = made.before.car(car).track() else { continue };
                // A load that is put in was not there before; one that is taken out was.
                let lading = now.or_else(|| made.before.car(car).condition.lading());
                lines.extend(line_of(made, car, lading, now.is_some(), track));
            }
            Hand::Placed(car, track, _, lading) => lines.extend(line_of(made, car, lading, true, track)),
            Hand::Lifted(car, track, _) => {
                let lading = match &made.before.car(car).condition {
                    Condition::Loaded { order: _, lading } => Some(*lading),
                    _ => None,
                };
                lines.extend(line_of(made, car, lading, false, track));
            }
            Hand::Served(..) | Hand::BadOrder(_) => {}
        }
    }
    lines
}

fn line_of(
    made: &Made<'_>,
    car: CarIx,
    lading: Option<CommodityIx>,
    put_in: bool,
    track: TrackIx,
) -> Option<LoadLine> {
    let layout = made.network.layout();
    let described = &layout.cars()[car];
    (described.look == LoadLook::LiftsOut).then_some(())?;
    Some(LoadLine {
        car: described.id.clone(),
        lading: layout.commodities()[lading?].id.clone(),
        put_in,
        track: layout.tracks()[track].id.clone(),
    })
}
