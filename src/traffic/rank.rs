//! How well each car suits an order.
//!
//! A [`Rank`] is a tuple of whole numbers, compared in order; packed into one number it is the price
//! of the choice, so that the cheapest assignment is the best one field after field.

use super::assign::Price;
use super::fits::{fits, gets_there};
use super::gateways::{home_of, room_at};
use super::wishes::{is_spot, load_spots};
use crate::chance::Chance;
use crate::ids::{CarIx, GatewayIx, IxVec, PlaceIx, TrackIx};
use crate::layout::{CarService, Lane, LaneEnd, Layout};
use crate::network::Network;
use crate::standing::{Condition, Order, Standing, Whereabouts};

/// How well a car suits an order; the least is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    /// The place of its kind among those the lading may take.
    pub(super) kind: usize,
    /// 0 where it need not be cleaned first.
    pub(super) dirty: u32,
    /// 0 where it already stands at a spot that loads this.
    pub(super) in_place: u32,
    /// 0 where the car service rules want it, 1 where they allow it, 2 where they do not.
    pub(super) service: u32,
    /// 0 on the layout; 1 beyond the lane's own gateway, or the car's own; 2 elsewhere.
    pub(super) away: u32,
    /// Minutes over the links to where it is loaded.
    pub(super) distance: u32,
    /// The session since which it is idle.
    pub(super) since: i32,
    /// A draw, so that the roster is used evenly.
    pub(super) draw: u64,
    /// The car, for ties.
    pub(super) car: CarIx,
}

/// A car that will do, and how it comes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    pub(super) rank: Rank,
    /// The gateway by which it comes, if it is not on the layout yet.
    pub(super) comes: Option<GatewayIx>,
}

impl Rank {
    /// The rank as one number: fields of fixed width, the first highest.
    pub(super) fn price(&self) -> Price {
        // Idle times lie within a few thousand sessions; a longer one counts no more.
        let since = (i64::from(self.since) + (1 << 19)).clamp(0, (1 << 20) - 1);
        let fields: [(u64, u32); 8] = [
            (u64::try_from(self.kind).unwrap_or(u64::MAX), 6),
            (u64::from(self.dirty), 1),
            (u64::from(self.in_place), 1),
            (u64::from(self.service), 2),
            (u64::from(self.away), 2),
            (u64::from(self.distance), 20),
            (u64::try_from(since).unwrap_or(0), 20),
            (self.draw, 20),
        ];
        fields
            .into_iter()
            .fold(0, |price, (field, bits)| (price << bits) + Price::from(field.min((1 << bits) - 1)))
    }
}

/// What ranking looks at.
pub(super) struct Ranking<'a> {
    pub(super) network: &'a Network<'a>,
    pub(super) session: i32,
    pub(super) chance: Chance,
    /// A draw for each car, and whether a rare visitor comes tonight.
    pub(super) draws: IxVec<CarIx, (u64, bool)>,
}

impl<'a> Ranking<'a> {
    /// A ranking for a session.
    pub(super) fn new(network: &'a Network<'a>, session: i32, chance: Chance) -> Self {
        let cars = network.layout().cars().values();
        let draws = cars.map(|car| {
            let mut stream = chance.stream("cars", car.id.as_str());
            let comes = car.visits.one_in > 0 && stream.below(u64::from(car.visits.one_in)) == 0;
            (stream.below(1 << 20), comes)
        });
        Ranking { network, session, chance, draws: draws.collect() }
    }

    /// How well a car would do, or nothing if it will not.
    pub(super) fn choice(
        &self,
        standing: &Standing,
        lane: &Lane,
        order: &Order,
        car: CarIx,
        refused: &mut Refused,
    ) -> Option<Choice> {
        let layout = self.network.layout();
        let kinds =
            if lane.cars.is_empty() { &layout.commodities()[lane.commodity].cars } else { &lane.cars };
        let described = &layout.cars()[car];
        let kind = kinds.iter().position(|kind| *kind == described.kind)?;
        refused.kinds += 1;
        let state = standing.car(car);
        if state.condition != Condition::Empty || state.bad_order {
            refused.busy += 1;
            return None;
        }
        if !fits(self.network, lane, car, state.dirty) {
            refused.unfit += 1;
            return None;
        }
        let comes = match state.whereabouts() {
            Whereabouts::Track(track, _) => {
                // A load comes from beyond: a car on the layout is no help, and one out of reach neither.
                let LaneEnd::Industry(_) = lane.from else {
                    refused.elsewhere += 1;
                    return None;
                };
                self.network.has_track(track).then_some(())?;
                None
            }
            Whereabouts::Beyond(_) | Whereabouts::Shelf => {
                let Some(comes) = self.way_in(standing, lane, car) else {
                    refused.away += 1;
                    return None;
                };
                Some(comes)
            }
        };
        let stands = state.track().or(comes.map(|(_, track)| track));
        if !stands.is_some_and(|track| gets_there(self.network, lane, car, layout.tracks()[track].place)) {
            refused.unfit += 1;
            return None;
        }
        let rank = Rank {
            kind,
            dirty: u32::from(state.dirty && layout.commodities()[lane.commodity].clean),
            in_place: u32::from(!is_spot(load_spots(layout, lane), state.track(), state.spot())),
            service: self.car_service(lane, order, car),
            away: comes.map_or(0, |(gateway, _)| if home_of(layout, car) == Some(gateway) { 1 } else { 2 }),
            distance: self.distance(lane, stands),
            since: state.since,
            draw: self.draws[car].0,
            car,
        };
        Some(Choice { rank, comes: comes.map(|(gateway, _)| gateway) })
    }

    /// The gateway by which an absent car comes in for a lane, and the track there.
    fn way_in(&self, standing: &Standing, lane: &Lane, car: CarIx) -> Option<(GatewayIx, TrackIx)> {
        let layout = self.network.layout();
        let state = standing.car(car);
        let gateway = match (lane.from, state.whereabouts()) {
            (LaneEnd::Beyond(gateway, _), _) | (LaneEnd::Industry(_), Whereabouts::Beyond(gateway)) => {
                gateway
            }
            (LaneEnd::Industry(_), _) => home_of(layout, car)?,
        };
        let described = &layout.gateways()[gateway];
        let back = i32::try_from(described.back.count()).unwrap_or(i32::MAX);
        let rested = match state.whereabouts() {
            Whereabouts::Shelf => layout.settings().shelf,
            _ => state.since.saturating_add(back) <= self.session,
        };
        (rested && self.draws[car].1).then_some(())?;
        room_at(self.network, standing, gateway, car).map(|track| (gateway, track))
    }

    /// 0 where the car service rules want this car for this lane, 1 where they allow it, else 2.
    fn car_service(&self, lane: &Lane, order: &Order, car: CarIx) -> u32 {
        let layout = self.network.layout();
        let strict = match layout.settings().car_service {
            CarService::ByTheBook => true,
            CarService::TwoThirds => self.chance.stream("car service", order.id.as_str()).below(3) > 0,
            CarService::Off => false,
        };
        let LaneEnd::Beyond(to, _) = lane.to else { return 0 };
        let own = layout.cars()[car].railroad.is_some_and(|railroad| layout.railroads()[railroad].home);
        match (strict, home_of(layout, car)) {
            (false, _) => 0,
            (true, Some(home)) if home == to && !own => 0,
            (true, _) if own => 1,
            (true, _) => 2,
        }
    }

    fn distance(&self, lane: &Lane, from: Option<TrackIx>) -> u32 {
        let layout = self.network.layout();
        let place_of = |track: TrackIx| layout.tracks()[track].place;
        let to: Option<PlaceIx> = match lane.from {
            LaneEnd::Industry(industry) => Some(layout.industries()[industry].place),
            LaneEnd::Beyond(..) => None,
        };
        match (from.map(place_of), to) {
            (Some(from), Some(to)) => self.network.distance(from, to),
            _ => 0,
        }
    }
}

/// Why no car would do, counted.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Refused {
    kinds: u32,
    busy: u32,
    unfit: u32,
    elsewhere: u32,
    away: u32,
}

impl Refused {
    pub(super) fn words(self, layout: &Layout, lane: &Lane, fit: usize) -> String {
        let kinds =
            if lane.cars.is_empty() { &layout.commodities()[lane.commodity].cars } else { &lane.cars };
        let names: Vec<&str> = kinds.iter().map(|kind| layout.types()[*kind].code.as_str()).collect();
        let names = names.join(" or ");
        if self.kinds == 0 {
            return format!("no car of kind {names} is on the roster");
        }
        if fit > 0 {
            return format!("all {fit} cars that would do serve more urgent orders");
        }
        let mut parts = Vec::new();
        let mut say = |count: u32, words: &str| {
            if count > 0 {
                parts.push(format!("{count} {words}"));
            }
        };
        say(self.busy, "in use or bad order");
        say(self.unfit, "not fit for it");
        say(self.elsewhere, "on the layout, where the load does not begin");
        say(self.away, "away and not yet back, or without room at the gateway");
        format!("no car free of {} of kind {names}: {}", self.kinds, parts.join(", "))
    }
}
