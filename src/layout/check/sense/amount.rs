//! Whether the spots can turn as many cars as the lanes ask for.

use std::collections::{BTreeMap, BTreeSet};

use super::View;
use super::fit::end_targets;
use crate::ids::IndustryIx;
use crate::layout::codes;
use crate::layout::model::{Duration, Lane, LaneEnd, Span, SpotTarget};
use crate::layout::sink::{Sink, Wrong};
use crate::units::Length;

/// What the lanes ask of the spots of a customer.
#[derive(Debug, Default)]
struct Asked {
    /// Days in four weeks in which a car stands at a spot.
    car_days: u64,
    carloads: u64,
    targets: BTreeSet<SpotTarget>,
    shortest: Option<Length>,
}

impl Asked {
    fn add(&mut self, carloads: u64, stay: Span, targets: Vec<SpotTarget>, shortest: Option<Length>) {
        self.carloads += carloads;
        // A spot turns one car a day at most, however quickly the car is loaded.
        self.car_days += carloads * u64::from(stay.count().max(1));
        self.targets.extend(targets);
        self.shortest = [self.shortest, shortest].into_iter().flatten().min();
    }
}

/// More carloads a week than the spots of a customer can turn.
pub(super) fn too_many_carloads(view: &View<'_, '_>, sink: &mut Sink) {
    let mut asked: BTreeMap<IndustryIx, Asked> = BTreeMap::new();
    for (index, lane) in view.lanes() {
        let shortest = view.carriers[index].iter().map(|profile| profile.length).min();
        for (end, stay, loads) in [(lane.from, lane.load, true), (lane.to, lane.unload, false)] {
            if let LaneEnd::Industry(industry) = end {
                let carloads = in_four_weeks(view, lane);
                let targets = end_targets(view.draft, lane, end, loads);
                asked.entry(industry).or_default().add(carloads, stay, targets, shortest);
            }
        }
    }
    for (industry, asked) in asked {
        let cars: u64 = asked.targets.iter().map(|target| positions(view, *target, asked.shortest)).sum();
        // 28 days in four weeks.
        if asked.car_days <= cars * 28 {
            continue;
        }
        let customer = &view.draft.layout.industries[industry];
        let message = format!(
            "the lanes ask `{}` for {} carloads in four weeks, its spots turn {} at most",
            customer.id,
            asked.carloads,
            asked.carloads * cars * 28 / asked.car_days
        );
        let wrong = Wrong::new(codes::TOO_MANY_CARLOADS, message)
            .help("lower `carloads`, shorten `load` or `unload`, or give it more spots");
        sink.wrong(view.draft.names.industries.said(industry).id.span, wrong);
    }
}

/// The carloads of a lane in four weeks of seven sessions each.
fn in_four_weeks(view: &View<'_, '_>, lane: &Lane) -> u64 {
    let carloads = u64::from(lane.rate.carloads);
    let working = |end: LaneEnd| match end {
        LaneEnd::Industry(industry) => u64::from(view.draft.layout.industries[industry].works.count()),
        LaneEnd::Beyond(..) => 7,
    };
    match lane.rate.per {
        Duration::Day => carloads * 4 * working(lane.from).min(working(lane.to)),
        Duration::Session => carloads * 28,
        Duration::Week => carloads * 4,
        Duration::Month => carloads,
    }
}

/// How many cars a spot holds at once, at most.
fn positions(view: &View<'_, '_>, target: SpotTarget, shortest: Option<Length>) -> u64 {
    let layout = &view.draft.layout;
    let many = |room: Length| {
        let car = shortest.unwrap_or(layout.settings.car).whole_scale_inches().max(1);
        u64::from(room.whole_scale_inches() / car)
    };
    match target {
        SpotTarget::Track(track) => many(layout.tracks[track].length),
        SpotTarget::Spot(spot) => {
            let spot = &layout.spots[spot];
            let room = spot.length.unwrap_or(layout.tracks[spot.track].length);
            spot.cars.map_or_else(|| many(room), |cars| u64::from(cars.count()))
        }
    }
}
