//! How well each car suits an order.
//!
//! A [`Rank`] is a tuple of whole numbers, compared in order; packed into one number it is the price
//! of the choice, so that the cheapest assignment is the best one field after field: one step in a
//! field outweighs everything in those below it. `DEVELOPERS.md` has the fields as a table.

use super::assign::Price;
use super::fits::{fits, gets_there};
use super::gateways::{room_at, stay, ways_in};
use super::service::{class, strict};
use super::wishes::{is_spot, load_spots};
use crate::chance::Chance;
use crate::ids::{CarIx, GatewayIx, IxVec, LaneIx, PlaceIx, TrackIx, TypeIx};
use crate::layout::{CarService, Lane, LaneEnd, Layout};
use crate::network::Network;
use crate::said::{self, Given, Worded};
use crate::standing::{CarState, Condition, Order, Standing, Whereabouts};

/// How well a car suits an order; the least is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    /// The place of its kind among those the lading may take.
    pub(super) kind: usize,
    /// Its class by the car service rules, where this order keeps them; assigned cars first in any case.
    pub(super) service: u32,
    /// By how many grades it is better than the lading asks: good cars are kept for what needs them.
    pub(super) grade: u32,
    /// 0 where it need not be cleaned first.
    pub(super) dirty: u32,
    /// 0 where it already stands at a spot that loads this.
    pub(super) in_place: u32,
    /// 0 on the layout; 1 beyond the gateway by which it comes; 2 on the shelf; 3 beyond another.
    pub(super) away: u32,
    /// The calls of the session that pass until it can be where it is loaded.
    pub(super) events: u32,
    /// Seconds over the links to where it is loaded.
    pub(super) distance: u32,
    /// 1 where its last load began or ended at one of the lane's customers, too.
    pub(super) again: u32,
    /// The session since which it is idle.
    pub(super) since: i32,
    /// How many loads it has had.
    pub(super) loads: u32,
    /// A draw, so that equal cars take turns.
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
    /// The rank as one number of 72 bits: fields of fixed width, the first highest.
    pub(super) fn price(&self) -> Price {
        // Runs lie within some hours; more counts no more.
        let fields: [(u64, u32); 9] = [
            (u64::try_from(self.kind).unwrap_or(u64::MAX), 6),
            (u64::from(self.service), 3),
            (u64::from(self.grade), 2),
            (u64::from(self.dirty), 1),
            (u64::from(self.in_place), 1),
            (u64::from(self.away), 2),
            (u64::from(self.events), 10),
            (u64::from(self.distance / 30), 10),
            (u64::from(self.again), 1),
        ];
        (Price::from(packed(fields)) << 36) + own_price(self.since, self.loads, self.draw)
    }
}

/// What a car costs by itself, whatever the order: the last 36 bits of a price.
fn own_price(since: i32, loads: u32, draw: u64) -> Price {
    // Idle times lie within a few hundred sessions; a longer one counts no more.
    let since = (i64::from(since) + (1 << 11)).clamp(0, (1 << 12) - 1);
    packed([(u64::try_from(since).unwrap_or(0), 12), (u64::from(loads), 12), (draw, 12)]).into()
}

/// Fields of fixed width in one number, the first highest; what is too large for its field counts as the most.
fn packed<const N: usize>(fields: [(u64, u32); N]) -> u64 {
    fields.into_iter().fold(0, |price, (field, bits)| (price << bits) + field.min((1 << bits) - 1))
}

/// What ranking looks at.
pub(super) struct Ranking<'a> {
    pub(super) network: &'a Network<'a>,
    pub(super) session: i32,
    pub(super) chance: Chance,
    /// A draw for each car, and whether a rare visitor comes tonight.
    pub(super) draws: IxVec<CarIx, (u64, bool)>,
    /// From each place to each other, the calls that pass until a car can be there.
    events: IxVec<PlaceIx, IxVec<PlaceIx, u32>>,
    /// Gateways that give no more cars tonight.
    shut: IxVec<GatewayIx, bool>,
    /// The sessions after which the first gateway of all gives a car back that it has not taken.
    soonest: i32,
}

impl<'a> Ranking<'a> {
    /// A ranking for a session.
    pub(super) fn new(network: &'a Network<'a>, session: i32, chance: Chance) -> Self {
        let cars = network.layout().cars().values();
        let draws = cars.map(|car| {
            let mut stream = chance.stream("cars", car.id.as_str());
            let comes = car.visits.one_in > 0 && stream.below(u64::from(car.visits.one_in)) == 0;
            (stream.below(1 << 12), comes)
        });
        let events = network.layout().places().indices().map(|place| network.events_from(place));
        let shut = IxVec::filled(false, network.layout().gateways().len());
        let layout = network.layout();
        let soonest =
            layout.gateways().indices().map(|gateway| stay(layout, gateway)).min().unwrap_or(i32::MAX);
        Ranking { network, session, chance, draws: draws.collect(), events: events.collect(), shut, soonest }
    }

    /// Sees from now on that gateways which gave as many cars as they may give no more.
    pub(super) fn shut_those_that_gave_all(&mut self, given: &IxVec<GatewayIx, u32>) {
        for (gateway, described) in self.network.layout().gateways().iter() {
            self.shut[gateway] = described.limit.is_some_and(|limit| given[gateway] >= limit.count());
        }
    }

    /// How well a car would do for a lane's order that keeps the car service rules or not, or nothing if
    /// it will not.
    pub(super) fn choice(
        &self,
        standing: &Standing,
        (lane, strict): (&Lane, bool),
        car: CarIx,
        refused: &mut Refused,
    ) -> Option<Choice> {
        let fits = || self.fits(standing, lane, car);
        self.choice_that_fits(standing, (lane, strict), (car, fits), refused)
    }

    /// Whether a car may carry a lane's lading, wherever it is.
    pub(super) fn fits(&self, standing: &Standing, lane: &Lane, car: CarIx) -> bool {
        fits(self.network, lane, car, standing.car(car).dirty)
    }

    /// The same as [`Self::choice`], where somebody else tells whether the car fits.
    pub(super) fn choice_that_fits(
        &self,
        standing: &Standing,
        (lane, strict): (&Lane, bool),
        (car, fits): (CarIx, impl FnOnce() -> bool),
        refused: &mut Refused,
    ) -> Option<Choice> {
        let layout = self.network.layout();
        let described = &layout.cars()[car];
        let kind = self.kinds(lane).iter().position(|kind| *kind == described.kind)?;
        refused.kinds += 1;
        let state = standing.car(car);
        if state.condition != Condition::Empty || state.bad_order {
            refused.busy += 1;
            return None;
        }
        if !fits() {
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
        let comes = comes.map(|(gateway, _)| gateway);
        Some(Choice { rank: self.rank(state, (lane, strict), (car, kind), (comes, stands)), comes })
    }

    /// The rank of a car that will do: it comes by a gateway or none, and stands on a track then.
    fn rank(
        &self,
        state: &CarState,
        (lane, strict): (&Lane, bool),
        (car, kind): (CarIx, usize),
        (comes, stands): (Option<GatewayIx>, Option<TrackIx>),
    ) -> Rank {
        let layout = self.network.layout();
        let described = &layout.cars()[car];
        let lading = &layout.commodities()[lane.commodity];
        let (events, distance) = self.distance(lane, stands);
        Rank {
            kind,
            service: self.car_service((lane, strict), car, state.came_by.or(comes)),
            grade: (described.grade as u32).saturating_sub(lading.grade as u32),
            dirty: u32::from(state.dirty && lading.clean),
            in_place: u32::from(!is_spot(load_spots(layout, lane), state.track(), state.spot())),
            away: comes.map_or(0, |gateway| far(state.whereabouts(), gateway)),
            events,
            distance,
            again: u32::from(state.last.is_some_and(|last| share_a_customer(layout, last, lane))),
            since: state.since,
            loads: state.loads,
            draw: self.draws[car].0,
            car,
        }
    }

    /// The gateway by which an absent car comes in for a lane, and the track there.
    fn way_in(&self, standing: &Standing, lane: &Lane, car: CarIx) -> Option<(GatewayIx, TrackIx)> {
        let layout = self.network.layout();
        let state = standing.car(car);
        self.draws[car].1.then_some(())?;
        let rested = |sessions: i32| match state.whereabouts() {
            Whereabouts::Shelf => layout.settings().shelf,
            _ => state.since.saturating_add(sessions) <= self.session,
        };
        // Most cars have not been away for so long that they might come by any gateway, many not even for
        // the one that took them.
        let any = match state.whereabouts() {
            Whereabouts::Beyond(out) if !rested(stay(layout, out)) => return None,
            Whereabouts::Beyond(out) => rested(stay(layout, out).saturating_add(self.soonest)),
            _ => rested(self.soonest),
        };
        ways_in(self.network, lane, car, (state.whereabouts(), any)).find_map(|(gateway, rest)| {
            let rested = rested(rest);
            (rested && !self.shut[gateway]).then_some(())?;
            room_at(self.network, standing, gateway, car).map(|track| (gateway, track))
        })
    }

    /// The kinds of car a lane takes, the best first.
    pub(super) fn kinds<'l>(&'l self, lane: &'l Lane) -> &'l [TypeIx] {
        lane.kinds(self.network.layout().commodities())
    }

    /// What a car costs by itself, whatever the order.
    pub(super) fn own_price(&self, state: &CarState, car: CarIx) -> Price {
        own_price(state.since, state.loads, self.draws[car].0)
    }

    /// Whether an order keeps the car service rules.
    pub(super) fn strict(&self, order: &Order) -> bool {
        strict(self.network.layout(), order, self.chance)
    }

    /// The class of a car by the car service rules, where the order keeps them.
    fn car_service(&self, (lane, strict): (&Lane, bool), car: CarIx, came_by: Option<GatewayIx>) -> u32 {
        if strict {
            class(self.network, lane, car, came_by).number()
        } else {
            u32::from(self.network.layout().cars()[car].assigned.is_none())
        }
    }

    /// What the car service rules say of a car that was chosen, where the layout has them.
    pub(super) fn service_words(
        &self,
        lane: &Lane,
        order: &Order,
        (car, came_by): (CarIx, Option<GatewayIx>),
    ) -> Option<&'static str> {
        let layout = self.network.layout();
        (layout.settings().car_service != CarService::Off).then_some(())?;
        class(self.network, lane, car, came_by).words(self.strict(order))
    }

    /// How far it is to where the lane is loaded: in calls of the session, and in seconds over the links.
    fn distance(&self, lane: &Lane, from: Option<TrackIx>) -> (u32, u32) {
        let layout = self.network.layout();
        let to = load_spots(layout, lane).first().map(|target| layout.place_of(*target));
        match (from.map(|track| layout.tracks()[track].place), to) {
            (Some(from), Some(to)) => (self.events[from][to], self.network.distance(from, to)),
            _ => (0, 0),
        }
    }
}

/// How far off the layout a car is that comes by a gateway.
fn far(at: Whereabouts, comes: GatewayIx) -> u32 {
    match at {
        Whereabouts::Beyond(out) if out == comes => 1,
        Whereabouts::Track(..) | Whereabouts::Shelf => 2,
        Whereabouts::Beyond(_) => 3,
    }
}

/// Whether a lane has a customer that another one has, too.
fn share_a_customer(layout: &Layout, last: LaneIx, lane: &Lane) -> bool {
    let last = &layout.lanes()[last];
    [last.from, last.to]
        .iter()
        .any(|end| matches!(end, LaneEnd::Industry(_)) && [lane.from, lane.to].contains(end))
}

/// Why no car would do, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Refused {
    kinds: u32,
    busy: u32,
    unfit: u32,
    elsewhere: u32,
    away: u32,
}

impl Refused {
    /// Counts so many more cars, alike one that was counted.
    pub(super) fn add(&mut self, one: Refused, cars: usize) {
        let cars = u32::try_from(cars).unwrap_or(u32::MAX);
        self.kinds += one.kinds * cars;
        self.busy += one.busy * cars;
        self.unfit += one.unfit * cars;
        self.elsewhere += one.elsewhere * cars;
        self.away += one.away * cars;
    }

    pub(super) fn words(self, layout: &Layout, lane: &Lane, fit: usize) -> Worded {
        let codes = lane.kinds(layout.commodities()).iter().map(|kind| layout.types()[*kind].code.as_str());
        let kinds = codes.map(Given::from).reduce(|kinds, kind| said::or_kind(kinds, kind).into());
        let kinds = kinds.unwrap_or_else(|| Given::from(""));
        if self.kinds == 0 {
            return said::no_kind(kinds);
        }
        match fit {
            0 => {}
            1 => return said::one_serves_another(),
            _ => return said::all_serve_others(fit),
        }
        let parts = [
            (self.busy, said::in_use as fn(u32) -> Worded),
            (self.unfit, said::unfit),
            (self.elsewhere, said::elsewhere),
            (self.away, said::away),
        ];
        let parts = parts.into_iter().filter(|(count, _)| *count > 0).map(|(count, say)| say(count));
        let why = parts.reduce(said::and_also).map_or_else(|| Given::from(""), Given::from);
        said::none_free(self.kinds, kinds, why)
    }
}
