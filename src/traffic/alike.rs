//! Cars that are alike for every order.
//!
//! A club has thousands of cars and hundreds of orders, but only so many kinds of car at so many
//! places. Free cars of which a ranking sees the same form a class: their ranks for an order differ
//! in the last fields alone (idle since when, loads, the draw), and those are the car's own, whatever
//! the order. So an order ranks one car of a class; the others follow it in an order that is made once.
//! A car whose last load began or ended at one of the order's customers is ranked by itself.
//!
//! # Complexity
//! A row costs as many rankings as there are classes of the kinds it takes, not cars; the cars
//! themselves come out of a heap one by one, cheapest first, as far as the assignment asks for them.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::assign::{Offers, Price};
use super::gateways::{home_of, stay};
use super::rank::{Choice, Ranking, Refused};
use super::wishes::load_spots;
use crate::ids::{
    CarIx, CommodityIx, GatewayIx, IndustryIx, Ix, IxVec, PlaceIx, RailroadIx, SpotIx, TrackIx, TypeIx,
};
use crate::layout::{Car, Grade, Lane, LaneEnd, Layout, LoadLook, SpotTarget};
use crate::standing::{CarState, Condition, Standing, Whereabouts};
use crate::units::{Length, Tons};

/// All that a ranking sees of a car, but for what is the car's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Look {
    kind: TypeIx,
    /// Nothing, where it is in use or bad order: nothing else counts then.
    free: Option<Free>,
}

/// What a ranking sees of a free car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Free {
    size: (Length, Option<Length>, Tons, Tons),
    belongs: (Option<RailroadIx>, Option<GatewayIx>, Option<IndustryIx>),
    grade: Grade,
    /// Whether its load is glued in, and what that is, if it is said.
    fixed: (bool, Option<CommodityIx>),
    /// Whether it is there this year and day, and whether it comes tonight.
    there: (bool, bool),
    dirty: bool,
    at: At,
}

impl Look {
    /// Whether another look differs in nothing but where the car is.
    fn but_for_place(&self, other: &Look) -> bool {
        let somewhere =
            |look: &Look| Look { free: look.free.map(|free| Free { at: At::Shelf, ..free }), ..*look };
        somewhere(self) == somewhere(other)
    }
}

/// What a ranking sees of where a car is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    /// At a place, on a track that exists or does not.
    Place(PlaceIx, bool),
    /// Where some lane is loaded.
    Loads(TrackIx, Option<SpotIx>),
    /// Back from beyond a gateway, and for how many of the different stays that gateways ask for.
    Beyond(GatewayIx, usize),
    /// Beyond some gateway, and not yet back.
    NotBack,
    Shelf,
}

/// The cars of a roster by their classes.
pub(super) struct Alike {
    classes: Vec<Class>,
    class_of: IxVec<CarIx, usize>,
    by_kind: BTreeMap<TypeIx, Vec<usize>>,
    /// Free cars whose last load began or ended at a customer.
    last_at: BTreeMap<IndustryIx, Vec<CarIx>>,
}

/// Cars that are alike.
struct Class {
    /// As all orders would take them.
    cars: Vec<CarIx>,
    /// The first class of those that differ in nothing but where they are.
    sort: usize,
}

/// The cars that will do for an order.
pub(super) struct Row<'l> {
    /// The lane, and whether the order keeps the car service rules.
    asked: (&'l Lane, bool),
    /// One car of each class that will do, and those that are ranked by themselves, the cheapest first.
    offers: Vec<Offer>,
    /// All cars looked at by themselves, in order.
    apart: Vec<CarIx>,
    /// The best car for the order, whatever others need.
    pub(super) best: Option<Choice>,
    /// How many cars will do.
    pub(super) count: usize,
    pub(super) refused: Refused,
}

/// A car that will do.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Offer {
    price: Price,
    car: CarIx,
    /// The class that follows it and its place there, where it is not ranked by itself.
    class: Option<(usize, usize)>,
}

impl Alike {
    /// Sorts the cars of a standing into classes.
    pub(super) fn new(ranking: &Ranking<'_>, standing: &Standing) -> Self {
        let layout = ranking.network.layout();
        let eye = Eye::new(ranking);
        let mut classes: BTreeMap<Look, Vec<CarIx>> = BTreeMap::new();
        let mut last_at: BTreeMap<IndustryIx, Vec<CarIx>> = BTreeMap::new();
        for (car, state) in standing.cars() {
            let look = eye.look(car, state);
            if let (Some(_), Some(last)) = (look.free, state.last) {
                for customer in customers(&layout.lanes()[last]) {
                    last_at.entry(customer).or_default().push(car);
                }
            }
            classes.entry(look).or_default().push(car);
        }
        let mut alike = Alike {
            classes: Vec::new(),
            class_of: IxVec::filled(0, layout.cars().len()),
            by_kind: BTreeMap::new(),
            last_at,
        };
        let mut last: Option<(Look, usize)> = None;
        for (look, mut cars) in classes {
            let class = alike.classes.len();
            alike.by_kind.entry(look.kind).or_default().push(class);
            cars.sort_by_cached_key(|car| (ranking.own_price(standing.car(*car), *car), *car));
            for car in &cars {
                alike.class_of[*car] = class;
            }
            let sort = last.filter(|(before, _)| before.but_for_place(&look)).map_or(class, |(_, sort)| sort);
            last = Some((look, sort));
            alike.classes.push(Class { cars, sort });
        }
        alike
    }

    /// The cars that will do for a lane's order that keeps the car service rules or not.
    pub(super) fn row<'l>(
        &self,
        ranking: &Ranking<'_>,
        standing: &Standing,
        (lane, strict): (&'l Lane, bool),
    ) -> Row<'l> {
        let known = customers(lane).filter_map(|customer| self.last_at.get(&customer));
        let mut apart: Vec<CarIx> = known.flatten().copied().collect();
        apart.sort_unstable();
        apart.dedup();
        let mut apart_of: BTreeMap<usize, usize> = BTreeMap::new();
        let refused = Refused::default();
        let mut row = Row { asked: (lane, strict), offers: Vec::new(), apart, best: None, count: 0, refused };
        for car in row.apart.clone() {
            *apart_of.entry(self.class_of[car]).or_default() += 1;
            let choice = ranking.choice(standing, row.asked, car, &mut row.refused);
            row.offer(choice, 1, None);
        }
        let kinds = ranking.kinds(lane);
        let kinds = kinds.iter().enumerate().filter(|(at, kind)| !kinds[..*at].contains(kind));
        // Whether a car fits does not depend on where it is.
        let mut known: Option<(usize, bool)> = None;
        for class in kinds.filter_map(|(_, kind)| self.by_kind.get(kind)).flatten() {
            let Class { cars, sort } = &self.classes[*class];
            let size = cars.len() - apart_of.get(class).copied().unwrap_or(0);
            let Some(place) = cars.iter().position(|car| row.apart.binary_search(car).is_err()) else {
                continue;
            };
            let first = cars[place];
            let fits = || match known {
                Some((known, fits)) if known == *sort => fits,
                _ => {
                    let fits = ranking.fits(standing, lane, first);
                    known = Some((*sort, fits));
                    fits
                }
            };
            let mut why = Refused::default();
            let choice = ranking.choice_that_fits(standing, row.asked, (first, fits), &mut why);
            row.refused.add(why, size);
            row.offer(choice, size, Some((*class, place)));
        }
        row.offers.sort_unstable();
        row
    }
}

impl Row<'_> {
    /// Notes that so many cars will do, as a choice says or not at all.
    fn offer(&mut self, choice: Option<Choice>, cars: usize, class: Option<(usize, usize)>) {
        let Some(choice) = choice else { return };
        self.count += cars;
        self.offers.push(Offer { price: choice.rank.price(), car: choice.rank.car, class });
        if self.best.is_none_or(|best| choice.rank < best.rank) {
            self.best = Some(choice);
        }
    }

    /// How a car does that was chosen.
    pub(super) fn choice(&self, ranking: &Ranking<'_>, standing: &Standing, car: CarIx) -> Option<Choice> {
        ranking.choice(standing, self.asked, car, &mut Refused::default())
    }
}

/// The cars for every row, each row's cheapest first.
pub(super) struct Queues<'a> {
    ranking: &'a Ranking<'a>,
    standing: &'a Standing,
    alike: &'a Alike,
    rows: Vec<Queue<'a>>,
    unfilled: Vec<Price>,
}

/// The cars for one row.
struct Queue<'a> {
    /// All cars looked at by themselves, in order.
    apart: &'a [CarIx],
    /// Those that came out so far.
    out: Vec<(usize, Price)>,
    /// The first of each class that has not come out at all, the cheapest first.
    fresh: &'a [Offer],
    /// The next of each class of which some came out.
    begun: BinaryHeap<Reverse<Offer>>,
}

impl<'a> Queues<'a> {
    /// Queues for rows, with the price of leaving each unfilled and whether it may have a car at all.
    pub(super) fn new(
        ranking: &'a Ranking<'a>,
        standing: &'a Standing,
        alike: &'a Alike,
        rows: impl Iterator<Item = (&'a Row<'a>, Price, bool)>,
    ) -> Self {
        let queue = |row: &'a Row<'a>, may: bool| Queue {
            apart: &row.apart,
            out: Vec::new(),
            fresh: if may { &row.offers } else { &[] },
            begun: BinaryHeap::new(),
        };
        let (rows, unfilled) = rows.map(|(row, unfilled, may)| (queue(row, may), unfilled)).unzip();
        Queues { ranking, standing, alike, rows, unfilled }
    }

    /// The car of a class that comes after one of it.
    fn after(&self, offer: Offer, apart: &[CarIx]) -> Option<Offer> {
        let (class, place) = offer.class?;
        let cars = &self.alike.classes[class].cars;
        let place = (place + 1..cars.len()).find(|place| apart.binary_search(&cars[*place]).is_err())?;
        let (car, class) = (cars[place], Some((class, place)));
        let own = |car: CarIx| self.ranking.own_price(self.standing.car(car), car);
        Some(Offer { price: offer.price - own(offer.car) + own(car), car, class })
    }
}

impl Offers for Queues<'_> {
    fn rows(&self) -> usize {
        self.rows.len()
    }

    fn columns(&self) -> usize {
        self.alike.class_of.len()
    }

    fn unfilled(&self, row: usize) -> Price {
        self.unfilled[row]
    }

    fn cheapest(&mut self, row: usize, at: usize) -> Option<(usize, Price)> {
        while self.rows[row].out.len() <= at {
            let queue = &mut self.rows[row];
            let begun = queue.begun.peek().map(|Reverse(offer)| *offer);
            let offer = match (queue.fresh.split_first(), begun) {
                (Some((fresh, rest)), begun) if begun.is_none_or(|begun| *fresh < begun) => {
                    queue.fresh = rest;
                    *fresh
                }
                _ => queue.begun.pop()?.0,
            };
            queue.out.push((offer.car.place(), offer.price));
            let next = self.after(offer, self.rows[row].apart);
            self.rows[row].begun.extend(next.map(Reverse));
        }
        Some(self.rows[row].out[at])
    }
}

/// The customers at the ends of a lane.
fn customers(lane: &Lane) -> impl Iterator<Item = IndustryIx> + use<> {
    [lane.from, lane.to].into_iter().filter_map(|end| match end {
        LaneEnd::Industry(industry) => Some(industry),
        LaneEnd::Beyond(..) => None,
    })
}

/// How a ranking looks at cars.
struct Eye<'a> {
    ranking: &'a Ranking<'a>,
    /// Where some lane is loaded, sorted.
    loads: Vec<SpotTarget>,
    /// The different stays that gateways ask for, in sessions, the shortest first.
    stays: Vec<i32>,
}

impl<'a> Eye<'a> {
    fn new(ranking: &'a Ranking<'a>) -> Self {
        let layout = ranking.network.layout();
        let lanes = layout.lanes().values();
        let mut loads: Vec<SpotTarget> = lanes.flat_map(|lane| load_spots(layout, lane)).copied().collect();
        loads.sort_unstable();
        loads.dedup();
        let mut stays: Vec<i32> = layout.gateways().indices().map(|gateway| stay(layout, gateway)).collect();
        stays.sort_unstable();
        stays.dedup();
        Eye { ranking, loads, stays }
    }

    fn look(&self, car: CarIx, state: &CarState) -> Look {
        let layout = self.ranking.network.layout();
        let described = &layout.cars()[car];
        let free = state.condition == Condition::Empty && !state.bad_order;
        let free = free.then(|| Free {
            size: (described.length, described.height, described.light, described.capacity),
            belongs: (described.railroad, home_of(layout, car).or(state.came_by), described.assigned),
            grade: described.grade,
            fixed: match described.look {
                LoadLook::Hidden | LoadLook::LiftsOut => (false, None),
                LoadLook::Fixed(fixed) => (true, fixed.commodity),
            },
            there: (self.runs(described), self.ranking.draws[car].1),
            dirty: state.dirty,
            at: self.at(layout, state),
        });
        Look { kind: described.kind, free }
    }

    /// Whether a car exists, comes at all and is in its years.
    fn runs(&self, car: &Car) -> bool {
        let date = self.ranking.network.date();
        let (first, last) = car.years;
        car.existence.on(date)
            && car.visits.one_in > 0
            && first.is_none_or(|first| first <= date.year())
            && last.is_none_or(|last| date.year() <= last)
    }

    fn at(&self, layout: &Layout, state: &CarState) -> At {
        match state.whereabouts() {
            Whereabouts::Track(track, spot) => {
                let there = [Some(SpotTarget::Track(track)), spot.map(SpotTarget::Spot)];
                if there.iter().flatten().any(|target| self.loads.binary_search(target).is_ok()) {
                    At::Loads(track, spot)
                } else {
                    At::Place(layout.tracks()[track].place, self.ranking.network.has_track(track))
                }
            }
            Whereabouts::Beyond(gateway) => {
                // By another gateway it comes when it has stayed away for that one as well.
                let back = state.since.saturating_add(stay(layout, gateway));
                let over = self.ranking.session.saturating_sub(back);
                if over < 0 {
                    At::NotBack
                } else {
                    At::Beyond(gateway, self.stays.partition_point(|stay| *stay <= over))
                }
            }
            Whereabouts::Shelf => At::Shelf,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;
    use crate::network::Network;
    use crate::testing::{branch, track};
    use crate::traffic::assign::{Matrix, assign, assign_offers};
    use crate::units::Date;

    /// Flour from two mills, and paper that comes from beyond, for cars of two kinds and two roads.
    const LANES: &str = r#"
[railroad.GLN]
name = "Great Lakes Northern"
beyond = "lakes"
[gateway.lakes]
name = "Lakes"
kind = "interchange"
railroad = "GLN"
takes = "yard/out"
gives = "yard/in"
back = "4 days"
[commodity.flour]
cars = ["XM", "XP"]
clean = true
[commodity.paper]
cars = ["XP"]
[industry.mill]
name = "Mill"
place = "town"
ships.flour = ["mill/door 1"]
receives.paper = ["mill/door 2"]
[industry.team]
name = "Team track"
place = "town"
ships.flour = ["team"]
[[lane]]
commodity = "flour"
from = "mill"
to = "lakes"
carloads = "1 a week"
[[lane]]
commodity = "flour"
from = "team"
to = "away"
carloads = "1 a week"
[[lane]]
commodity = "paper"
from = "lakes"
to = "mill"
carloads = "1 a week"
"#;

    /// Sixty cars in every state: at three places, at a door, beyond two gateways, idle since, dirty, in use.
    fn mixed() -> (Layout, Standing) {
        let car = |number| {
            let (mark, kind) = if number % 3 == 0 { ("GLN", "XP") } else { ("CHT", "XM") };
            let grade = if number % 7 == 0 { "grade = \"clean\"\n" } else { "" };
            format!("[[car]]\nmark = \"{mark}\"\nnumber = {}\ntype = \"{kind}\"\n{grade}", 100 + number)
        };
        let cars: String = (0..60).map(car).collect();
        let layout = branch(0, &format!("{LANES}{cars}"));
        let mut standing = Standing::shelved(&layout);
        let mut stream = Chance::new(5).stream("test", "alike");
        for ix in layout.cars().indices().collect::<Vec<_>>() {
            match stream.below(6) {
                0 => standing.put(ix, track(&layout, "yard/in"), None),
                1 => standing.put(ix, track(&layout, "town/loop"), None),
                2 => standing.put(ix, track(&layout, "town/team"), None),
                other => {
                    let gateway = GatewayIx::new(usize::try_from(other % 2).unwrap());
                    standing.take_away(ix, crate::standing::Away::Beyond(gateway));
                }
            }
            let state = standing.car_mut(ix);
            state.since = 10 - i32::try_from(stream.below(12)).unwrap();
            state.loads = u32::try_from(stream.below(3)).unwrap();
            state.dirty = stream.below(5) == 0;
            state.bad_order = stream.below(9) == 0;
            let lane = usize::try_from(stream.below(6)).unwrap();
            state.last = (lane < 3).then(|| Ix::new(lane));
        }
        (layout, standing)
    }

    #[test]
    fn a_row_of_classes_says_of_every_car_what_the_car_itself_would() {
        let (layout, standing) = mixed();
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let ranking = Ranking::new(&network, 11, Chance::new(3));
        let alike = Alike::new(&ranking, &standing);
        assert!(alike.classes.iter().any(|class| class.cars.len() > 2), "some cars are alike");
        let mut rows = Vec::new();
        let mut matrix = Matrix { rows: Vec::new(), unfilled: Vec::new(), columns: layout.cars().len() };
        for lane in layout.lanes().values() {
            for strict in [true, false, true] {
                let row = alike.row(&ranking, &standing, (lane, strict));
                let mut refused = Refused::default();
                let all: Vec<Choice> = layout
                    .cars()
                    .indices()
                    .filter_map(|car| ranking.choice(&standing, (lane, strict), car, &mut refused))
                    .collect();
                assert_eq!((row.count, row.refused), (all.len(), refused), "{}", lane.id);
                for choice in &all {
                    let told = row.choice(&ranking, &standing, choice.rank.car).unwrap();
                    assert_eq!((told.rank, told.comes), (choice.rank, choice.comes));
                }
                let best = all.iter().min_by_key(|choice| choice.rank).unwrap();
                assert_eq!(row.best.unwrap().rank, best.rank);
                let prices = all.iter().map(|choice| (choice.rank.car.place(), choice.rank.price()));
                matrix.rows.push(prices.collect());
                matrix.unfilled.push(1 << 90);
                rows.push(row);
            }
        }
        let asked = rows.iter().map(|row| (row, 1 << 90, true));
        let mut queues = Queues::new(&ranking, &standing, &alike, asked);
        assert_eq!(assign_offers(&mut queues), assign(&matrix));
    }
}
