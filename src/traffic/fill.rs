//! Cars for orders.
//!
//! The most urgent order chooses first. Among the cars that will do it takes the least by a tuple
//! of whole numbers, compared in order ([`Rank`]): the kind of car (first choice before
//! substitute), a car that stands where it is loaded before any other, car service, cars on the
//! layout before cars that must be brought, the distance in minutes, the time it has been idle, and
//! a draw. A customer is not flooded: when as many cars are at its spots and under way to them as
//! the spots take twice over, its further orders wait.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::calendar::ready;
use super::gateways::{home_of, place, room_at};
use super::wishes::{is_spot, load_spots, unload_spots};
use super::{Demand, News, Outcome};
use crate::chance::Chance;
use crate::ids::{CarIx, GatewayIx, Id, IxVec, PlaceIx, TrackIx};
use crate::layout::{CarService, Lane, LaneEnd, Layout, LoadLook, SpotTarget};
use crate::network::{Network, Passing};
use crate::standing::{Condition, Order, Standing, Whereabouts};
use crate::units::{Cars, Length};

/// How well a car suits an order; the least is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Rank {
    /// The place of its kind among those the lading may take.
    kind: usize,
    /// 0 where it already stands at a spot that loads this.
    in_place: u32,
    /// 0 where the car service rules want it, 1 where they allow it, 2 where they do not.
    service: u32,
    /// 0 on the layout; 1 beyond the lane's own gateway, or the car's own; 2 elsewhere.
    away: u32,
    /// Minutes over the links to where it is loaded.
    distance: u32,
    /// The session since which it is idle.
    since: i32,
    /// A draw, so that the roster is used evenly.
    draw: u64,
    /// The car, for ties.
    car: CarIx,
}

/// A car that will do, and how it comes.
#[derive(Clone, Copy, Debug)]
struct Choice {
    rank: Rank,
    /// Where it is put on the layout, if it is not there yet.
    comes: Option<(GatewayIx, TrackIx)>,
}

/// What filling keeps in hand.
struct Filling<'a> {
    network: &'a Network<'a>,
    session: i32,
    chance: Chance,
    /// A draw for each car, and whether a rare visitor comes tonight.
    draws: IxVec<CarIx, (u64, bool)>,
    given: IxVec<GatewayIx, u32>,
}

/// Fills what orders can be filled, and says of each why or why not.
pub(super) fn fill(network: &Network<'_>, demand: &mut Demand, session: i32, chance: Chance) {
    let layout = network.layout();
    let draws = layout.cars().values().map(|car| {
        let mut stream = chance.stream("cars", car.id.as_str());
        let comes = car.visits.one_in > 0 && stream.below(u64::from(car.visits.one_in)) == 0;
        (stream.below(1 << 20), comes)
    });
    let given = IxVec::filled(0, layout.gateways().len());
    let mut filling = Filling { network, session, chance, draws: draws.collect(), given };
    let mut orders = std::mem::take(&mut demand.standing.orders);
    let mut by_urgency: Vec<usize> = (0..orders.len()).collect();
    by_urgency.sort_by_key(|place| {
        let lane = &layout.lanes()[orders[*place].lane];
        let promised = lane.promised || layout.commodities()[lane.commodity].perishable;
        (!promised, orders[*place].due, *place)
    });
    let mut cancelled = Vec::new();
    for place in by_urgency {
        if orders[place].car.is_some() {
            continue;
        }
        let age = session - orders[place].due;
        let span = layout.lanes()[orders[place].lane].cancel_after;
        if span.is_some_and(|span| age > i32::try_from(span.count()).unwrap_or(i32::MAX)) {
            let why = format!("waited {age} sessions for a car; the lane lets an order wait no longer");
            let news = News { order: orders[place].clone(), outcome: Outcome::Cancelled, why: why.into() };
            demand.news.push(news);
            cancelled.push(place);
            continue;
        }
        let (outcome, why) = match filling.fill_order(demand, &orders, place) {
            Ok((car, why)) => {
                orders[place].car = Some(car);
                (Outcome::Filled, why)
            }
            Err(why) => (Outcome::Waiting, why),
        };
        demand.news.push(News { order: orders[place].clone(), outcome, why: why.into() });
    }
    cancelled.sort_unstable_by_key(|place| Reverse(*place));
    for place in cancelled {
        orders.remove(place);
    }
    tell_of_the_rest(layout, demand, &orders, session);
    demand.standing.orders = orders;
}

/// Orders that a car served before this session are news as well: they are still under way.
fn tell_of_the_rest(layout: &Layout, demand: &mut Demand, orders: &[Order], session: i32) {
    let told: BTreeSet<Id> = demand.news.iter().map(|news| news.order.id.clone()).collect();
    for order in orders {
        let Some(car) = order.car else { continue };
        if !told.contains(&order.id) {
            let id = &layout.cars()[car].id;
            let why = format!("{id} serves it, {} sessions after it came due", session - order.due);
            demand.news.push(News { order: order.clone(), outcome: Outcome::Filled, why: why.into() });
        }
    }
}

impl Filling<'_> {
    /// Fills one order and says why with that car, or why not.
    fn fill_order(
        &mut self,
        demand: &mut Demand,
        orders: &[Order],
        at: usize,
    ) -> Result<(CarIx, String), String> {
        let layout = self.network.layout();
        let order = &orders[at];
        let lane = &layout.lanes()[order.lane];
        if let Some(why) = self.crowded(&demand.standing, orders, lane) {
            return Err(why);
        }
        let mut refused = Refused::default();
        let choices: Vec<Choice> = layout
            .cars()
            .indices()
            .filter_map(|car| self.choice(&demand.standing, lane, order, car, &mut refused))
            .collect();
        let Some(best) = choices.iter().min_by_key(|choice| choice.rank) else {
            return Err(refused.words(layout, lane));
        };
        let why = words_of_choice(layout, lane, best, choices.len());
        self.give(demand, order, best);
        Ok((best.rank.car, why))
    }

    /// Whether enough cars are at the spots of a lane and under way to them.
    fn crowded(&self, standing: &Standing, orders: &[Order], lane: &Lane) -> Option<String> {
        let layout = self.network.layout();
        [load_spots(layout, lane), unload_spots(layout, lane)].into_iter().find_map(|spots| {
            if spots.is_empty() {
                return None;
            }
            let room = room_for(layout, spots);
            let bound = cars_for(layout, standing, orders, spots);
            (bound >= room.count() * 2).then(|| {
                format!(
                    "{bound} cars are at its spots or under way to them, which hold {room}: no more are sent"
                )
            })
        })
    }

    /// How well a car would do, or nothing if it will not.
    fn choice(
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
        let rank = Rank {
            kind,
            in_place: u32::from(!is_spot(load_spots(layout, lane), state.track(), state.spot())),
            service: self.car_service(lane, order, car),
            away: comes.map_or(0, |(gateway, _)| if home_of(layout, car) == Some(gateway) { 1 } else { 2 }),
            distance: self.distance(lane, state.track().or(comes.map(|(_, track)| track))),
            since: state.since,
            draw: self.draws[car].0,
            car,
        };
        Some(Choice { rank, comes })
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
        let wanted = described.limit.is_none_or(|limit| self.given[gateway] < limit.count());
        (rested && wanted && self.draws[car].1).then_some(())?;
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

    /// Gives an order its car: puts the car onto the layout if it must come, and says what it is about.
    fn give(&mut self, demand: &mut Demand, order: &Order, choice: &Choice) {
        let layout = self.network.layout();
        let lane = &layout.lanes()[order.lane];
        let car = choice.rank.car;
        let from_beyond = matches!(lane.from, LaneEnd::Beyond(..));
        if let Some((gateway, track)) = choice.comes {
            self.given[gateway] += 1;
            let lading = from_beyond.then_some(lane.commodity);
            place(demand, self.session, (car, track, gateway), lading);
        }
        let state = demand.standing.car_mut(car);
        state.services_done = 0;
        let id = order.id.clone();
        state.condition = match lane.from {
            LaneEnd::Beyond(..) => Condition::Loaded { order: id, lading: lane.commodity },
            LaneEnd::Industry(industry) if is_spot(load_spots(layout, lane), state.track(), state.spot()) => {
                let works = layout.industries()[industry].works;
                let ready = ready(layout.settings().days, works, self.session, lane.load);
                Condition::Loading { order: id, ready }
            }
            LaneEnd::Industry(_) => Condition::Ordered { order: id },
        };
    }
}

/// How many cars a list of spots holds.
fn room_for(layout: &Layout, spots: &[SpotTarget]) -> Cars {
    let by_length = |length: Length| {
        let usual = layout.settings().car.whole_scale_inches().max(1);
        Cars::new((length.whole_scale_inches() / usual).max(1))
    };
    let room = |target: &SpotTarget| match target {
        SpotTarget::Spot(spot) => {
            let spot = &layout.spots()[*spot];
            spot.cars.unwrap_or_else(|| by_length(spot.length.unwrap_or(layout.tracks()[spot.track].length)))
        }
        SpotTarget::Track(track) => by_length(layout.tracks()[*track].length),
    };
    spots.iter().map(room).sum()
}

/// How many cars are at some spots or under way to them.
fn cars_for(layout: &Layout, standing: &Standing, orders: &[Order], spots: &[SpotTarget]) -> u32 {
    let shares = |other: &[SpotTarget]| other.iter().any(|target| spots.contains(target));
    let counts = orders.iter().filter(|order| {
        let Some(car) = order.car else { return false };
        let lane = &layout.lanes()[order.lane];
        match standing.car(car).condition {
            Condition::Ordered { .. } | Condition::Loading { .. } => shares(load_spots(layout, lane)),
            Condition::Loaded { .. } | Condition::Unloading { .. } => shares(unload_spots(layout, lane)),
            Condition::Empty => false,
        }
    });
    u32::try_from(counts.count()).unwrap_or(u32::MAX)
}

/// Whether a car may carry a lane's lading at all.
fn fits(network: &Network<'_>, lane: &Lane, car: CarIx, dirty: bool) -> bool {
    let layout = network.layout();
    let described = &layout.cars()[car];
    let lading = &layout.commodities()[lane.commodity];
    let serves =
        |end: LaneEnd| matches!((end, described.assigned), (LaneEnd::Industry(one), Some(own)) if one == own);
    let year = network.date().year();
    let (first, last) = described.years;
    let fixed_fits = match described.look {
        LoadLook::Hidden | LoadLook::LiftsOut => true,
        // Its load cannot be taken out: it only passes through, loaded.
        LoadLook::Fixed(fixed) => {
            fixed.commodity == Some(lane.commodity)
                && matches!((lane.from, lane.to), (LaneEnd::Beyond(..), LaneEnd::Beyond(..)))
        }
    };
    let heaviest = described.light + lading.tons.unwrap_or(described.capacity);
    let passing = network.passing(car, heaviest);
    described.existence.on(network.date())
        && (described.assigned.is_none() || serves(lane.from) || serves(lane.to))
        && described.grade >= lading.grade
        && !(lading.clean && dirty)
        && first.is_none_or(|first| first <= year)
        && last.is_none_or(|last| year <= last)
        && fixed_fits
        && stands(network, lane, car, &passing)
}

/// Whether some spot of each end that is on the layout takes the car, loaded.
fn stands(network: &Network<'_>, lane: &Lane, car: CarIx, passing: &Passing) -> bool {
    let layout = network.layout();
    [load_spots(layout, lane), unload_spots(layout, lane)].into_iter().all(|spots| {
        spots.is_empty()
            || spots.iter().any(|target| {
                let (track, room) = match target {
                    SpotTarget::Spot(spot) => (layout.spots()[*spot].track, layout.spots()[*spot].length),
                    SpotTarget::Track(track) => (*track, None),
                };
                network.takes(track, car, passing.weight) && room.is_none_or(|room| passing.length <= room)
            })
    })
}

/// Why no car would do, counted.
#[derive(Clone, Copy, Debug, Default)]
struct Refused {
    kinds: u32,
    busy: u32,
    unfit: u32,
    elsewhere: u32,
    away: u32,
}

impl Refused {
    fn words(self, layout: &Layout, lane: &Lane) -> String {
        let kinds =
            if lane.cars.is_empty() { &layout.commodities()[lane.commodity].cars } else { &lane.cars };
        let names: Vec<&str> = kinds.iter().map(|kind| layout.types()[*kind].code.as_str()).collect();
        let names = names.join(" or ");
        if self.kinds == 0 {
            return format!("no car of kind {names} is on the roster");
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

fn words_of_choice(layout: &Layout, lane: &Lane, choice: &Choice, of: usize) -> String {
    let car = &layout.cars()[choice.rank.car];
    let mut words = vec![format!("{} chosen of {of} that would do", car.id)];
    if choice.rank.kind > 0 {
        words.push(format!("a substitute, {}", layout.types()[car.kind].code));
    }
    if choice.rank.in_place == 0 && matches!(lane.from, LaneEnd::Industry(_)) {
        words.push("already at the spot".to_owned());
    }
    if let Some((gateway, _)) = choice.comes {
        words.push(format!("comes by {}", layout.gateways()[gateway].name));
    } else {
        words.push("the nearest of its kind on the layout".to_owned());
    }
    words.join("; ")
}
