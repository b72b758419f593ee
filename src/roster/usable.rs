//! Whether any lane can ever use a car.
//!
//! A car is usable when one lane takes its kind, asks no better grade, lies in its assigned service,
//! suits the load that is glued in, and has at each end a place that it fits. The reason that is
//! told is that of the lane it came furthest with.

use std::collections::BTreeMap;

use crate::layout::{Car, Lane, LaneEnd, Layout, LoadLook, SpotTarget, State};

/// Why no lane can use a car; the later ones are nearer to use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Why {
    /// No lane asks for its kind.
    Kind,
    /// Every lane that does is another customer's.
    Assigned,
    /// Every lane that does carries something else than what is glued in.
    Fixed,
    /// Every lane that does asks for a better grade.
    Grade,
    /// Every lane that would do has an end where it fits nowhere.
    Room,
}

impl Why {
    /// The reason, and a way out.
    pub(super) const fn words(self) -> (&'static str, &'static str) {
        match self {
            Why::Kind => (
                "no lane carries anything in cars of its kind",
                "let a commodity take its kind, or say `visits = never` if it is not for freight",
            ),
            Why::Assigned => (
                "the customer it is assigned to has no lane for its kind",
                "correct `assigned`, or leave it empty",
            ),
            Why::Fixed => {
                ("no lane carries what is glued in", "correct `load`, or add a lane that carries it")
            }
            Why::Grade => (
                "every lane for its kind asks for a better grade",
                "give it a better `grade`, or add a lane that takes it as it is",
            ),
            Why::Room => {
                ("it fits nowhere at an end of every lane for its kind", "correct its `length`, or make room")
            }
        }
    }
}

/// For every car that is meant to work: why no lane can use it, if none can.
pub(super) fn why_not(layout: &Layout) -> Vec<(&Car, Why)> {
    let built = |state| state == State::Built;
    let lanes: Vec<&Lane> = layout.lanes().values().filter(|lane| built(lane.existence.state)).collect();
    let mut known: BTreeMap<Sort, Option<Why>> = BTreeMap::new();
    let cars = layout.cars().values().filter(|car| built(car.existence.state) && car.visits.one_in > 0);
    cars.filter_map(|car| {
        let why = *known.entry(sort(layout, car)).or_insert_with(|| furthest(layout, &lanes, car));
        why.map(|why| (car, why))
    })
    .collect()
}

/// What two cars have in common for which the answer is the same.
type Sort = (crate::ids::TypeIx, crate::units::Length, u8, Option<crate::ids::IndustryIx>, String);

fn sort(_layout: &Layout, car: &Car) -> Sort {
    let fixed = match &car.look {
        LoadLook::Fixed(load) => format!("{:?}", load.commodity),
        LoadLook::Hidden | LoadLook::LiftsOut => String::new(),
    };
    (car.kind, car.length, car.grade as u8, car.assigned, fixed)
}

fn furthest(layout: &Layout, lanes: &[&Lane], car: &Car) -> Option<Why> {
    let mut furthest = Why::Kind;
    for lane in lanes {
        match try_lane(layout, lane, car) {
            None => return None,
            Some(why) => furthest = furthest.max(why),
        }
    }
    Some(furthest)
}

fn try_lane(layout: &Layout, lane: &Lane, car: &Car) -> Option<Why> {
    let commodity = &layout.commodities()[lane.commodity];
    let kinds = lane.kinds(layout.commodities());
    let ends = [lane.from, lane.to];
    let assigned = |customer| ends.contains(&LaneEnd::Industry(customer));
    let other_load = matches!(&car.look, LoadLook::Fixed(load) if load.commodity.is_some_and(|glued| glued != lane.commodity));
    if !kinds.contains(&car.kind) {
        Some(Why::Kind)
    } else if !car.assigned.is_none_or(assigned) {
        Some(Why::Assigned)
    } else if other_load {
        Some(Why::Fixed)
    } else if car.grade < commodity.grade {
        Some(Why::Grade)
    } else {
        let fits =
            |end, loads| targets(layout, lane, end, loads).iter().any(|target| fits(layout, car, *target));
        (!fits(lane.from, true) || !fits(lane.to, false)).then_some(Why::Room)
    }
}

/// Where a lane is loaded, or unloaded.
fn targets(layout: &Layout, lane: &Lane, end: LaneEnd, loads: bool) -> Vec<SpotTarget> {
    match end {
        LaneEnd::Industry(industry) => {
            let industry = &layout.industries()[industry];
            if loads { industry.loads_at(lane.commodity) } else { industry.unloads_at(lane.commodity) }
                .to_vec()
        }
        LaneEnd::Beyond(gateway, _) => {
            let gateway = &layout.gateways()[gateway];
            let tracks = if loads { &gateway.gives } else { &gateway.takes };
            tracks.iter().copied().map(SpotTarget::Track).collect()
        }
    }
}

fn fits(layout: &Layout, car: &Car, target: SpotTarget) -> bool {
    let track = &layout.tracks()[layout.track_of(target)];
    let room = target.spot().and_then(|spot| layout.spots()[spot].length);
    let height = |most| car.height.is_none_or(|height| height <= most);
    room.is_none_or(|room| car.length <= room)
        && car.length <= track.length
        && (track.holds.is_empty() || track.holds.contains(&car.kind))
        && track.limits.car.is_none_or(|most| car.length <= most)
        && track.limits.height.is_none_or(height)
}
