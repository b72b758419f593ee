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
use super::gateways::home_of;
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

/// What a ranking sees of where a car is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    /// At a place, on a track that exists or does not.
    Place(PlaceIx, bool),
    /// Where some lane is loaded.
    Loads(TrackIx, Option<SpotIx>),
    /// Beyond a gateway since a session, or for longer than any stay.
    Beyond(GatewayIx, i32),
    Shelf,
}

/// The cars of a roster by their classes.
pub(super) struct Alike {
    /// The cars of each class, as all orders would take them.
    classes: Vec<Vec<CarIx>>,
    class_of: IxVec<CarIx, usize>,
    by_kind: BTreeMap<TypeIx, Vec<usize>>,
    /// Free cars whose last load began or ended at a customer.
    last_at: BTreeMap<IndustryIx, Vec<CarIx>>,
}

/// The cars that will do for an order.
pub(super) struct Row {
    /// One car of each class that will do, and the class.
    groups: Vec<(Choice, usize)>,
    /// Cars that are ranked by themselves.
    apart: Vec<Choice>,
    /// All cars looked at by themselves, in order.
    apart_cars: Vec<CarIx>,
    /// How many cars will do.
    pub(super) count: usize,
    pub(super) refused: Refused,
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
        for (look, mut cars) in classes {
            let class = alike.classes.len();
            alike.by_kind.entry(look.kind).or_default().push(class);
            cars.sort_by_cached_key(|car| (ranking.own_price(standing.car(*car), *car), *car));
            for car in &cars {
                alike.class_of[*car] = class;
            }
            alike.classes.push(cars);
        }
        alike
    }

    /// The cars that will do for a lane's order that keeps the car service rules or not.
    pub(super) fn row(&self, ranking: &Ranking<'_>, standing: &Standing, lane: &Lane, strict: bool) -> Row {
        let mut refused = Refused::default();
        let known = customers(lane).filter_map(|customer| self.last_at.get(&customer));
        let mut apart_cars: Vec<CarIx> = known.flatten().copied().collect();
        apart_cars.sort_unstable();
        apart_cars.dedup();
        let mut apart_of: BTreeMap<usize, usize> = BTreeMap::new();
        for car in &apart_cars {
            *apart_of.entry(self.class_of[*car]).or_default() += 1;
        }
        let asked = (lane, strict);
        let choose = |car: &CarIx, refused: &mut Refused| ranking.choice(standing, asked, *car, refused);
        let apart: Vec<Choice> = apart_cars.iter().filter_map(|car| choose(car, &mut refused)).collect();
        let mut count = apart.len();
        let mut groups = Vec::new();
        let kinds = ranking.kinds(lane);
        let kinds = kinds.iter().enumerate().filter(|(at, kind)| !kinds[..*at].contains(kind));
        for class in kinds.filter_map(|(_, kind)| self.by_kind.get(kind)).flatten() {
            let cars = &self.classes[*class];
            let size = cars.len() - apart_of.get(class).copied().unwrap_or(0);
            let Some(first) = cars.iter().find(|car| apart_cars.binary_search(car).is_err()) else {
                continue;
            };
            let mut why = Refused::default();
            let choice = choose(first, &mut why);
            refused.add(why, size);
            if let Some(choice) = choice {
                count += size;
                groups.push((choice, *class));
            }
        }
        Row { groups, apart, apart_cars, count, refused }
    }
}

impl Row {
    /// The best car for the order, whatever others need.
    pub(super) fn best(&self) -> Option<&Choice> {
        self.groups.iter().map(|(choice, _)| choice).chain(&self.apart).min_by_key(|choice| choice.rank)
    }

    /// How a car does that was chosen.
    pub(super) fn choice(
        &self,
        ranking: &Ranking<'_>,
        standing: &Standing,
        alike: &Alike,
        car: CarIx,
    ) -> Option<Choice> {
        if self.apart_cars.binary_search(&car).is_ok() {
            return self.apart.iter().find(|choice| choice.rank.car == car).copied();
        }
        let (like, _) = self.groups.iter().find(|(_, class)| *class == alike.class_of[car])?;
        Some(ranking.like(like, standing.car(car), car))
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

/// The cars for one row: those that came out so far, and the first of each class that is left.
struct Queue<'a> {
    row: &'a Row,
    out: Vec<(usize, Price)>,
    left: BinaryHeap<Reverse<Waiting>>,
}

/// Price, car, and for a car of a class its group and its place there.
type Waiting = (Price, CarIx, Option<(usize, usize)>);

impl<'a> Queues<'a> {
    /// Queues for rows, with the price of leaving each unfilled and whether it may have a car at all.
    pub(super) fn new(
        ranking: &'a Ranking<'a>,
        standing: &'a Standing,
        alike: &'a Alike,
        rows: impl Iterator<Item = (&'a Row, Price, bool)>,
    ) -> Self {
        let (rows, unfilled) = rows
            .map(|(row, unfilled, may)| {
                let groups = row.groups.iter().enumerate().map(|(at, (choice, class))| {
                    let cars = &alike.classes[*class];
                    let first =
                        cars.iter().position(|car| *car == choice.rank.car).expect("one of its class");
                    Reverse((choice.rank.price(), choice.rank.car, Some((at, first))))
                });
                let apart =
                    row.apart.iter().map(|choice| Reverse((choice.rank.price(), choice.rank.car, None)));
                (
                    Queue { row, out: Vec::new(), left: groups.chain(apart).filter(|_| may).collect() },
                    unfilled,
                )
            })
            .unzip();
        Queues { ranking, standing, alike, rows, unfilled }
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
        let queue = &mut self.rows[row];
        while queue.out.len() <= at {
            let Reverse((price, car, group)) = queue.left.pop()?;
            queue.out.push((car.place(), price));
            let Some((group, place)) = group else { continue };
            let (like, class) = &queue.row.groups[group];
            let cars = self.alike.classes[*class].iter().enumerate().skip(place + 1);
            let mut others = cars.filter(|(_, car)| queue.row.apart_cars.binary_search(car).is_err());
            if let Some((place, car)) = others.next() {
                let choice = self.ranking.like(like, self.standing.car(*car), *car);
                queue.left.push(Reverse((choice.rank.price(), *car, Some((group, place)))));
            }
        }
        Some(queue.out[at])
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
    /// A session; who has been beyond a gateway since then or before may come by every other.
    longest: i32,
}

impl<'a> Eye<'a> {
    fn new(ranking: &'a Ranking<'a>) -> Self {
        let layout = ranking.network.layout();
        let lanes = layout.lanes().values();
        let mut loads: Vec<SpotTarget> = lanes.flat_map(|lane| load_spots(layout, lane)).copied().collect();
        loads.sort_unstable();
        loads.dedup();
        // The longest stay that is asked of a car is that of two gateways.
        let longest = layout.gateways().values().map(|gateway| gateway.back.count()).max().unwrap_or(0);
        let longest = i32::try_from(longest).unwrap_or(i32::MAX).saturating_mul(2);
        Eye { ranking, loads, longest: ranking.session.saturating_sub(longest) }
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

    /// Whether a car exists and is in its years.
    fn runs(&self, car: &Car) -> bool {
        let date = self.ranking.network.date();
        let (first, last) = car.years;
        car.existence.on(date)
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
            Whereabouts::Beyond(gateway) => At::Beyond(gateway, state.since.max(self.longest)),
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
        assert!(alike.classes.iter().any(|cars| cars.len() > 2), "some cars are alike");
        let mut rows = Vec::new();
        let mut matrix = Matrix { rows: Vec::new(), unfilled: Vec::new(), columns: layout.cars().len() };
        for lane in layout.lanes().values() {
            for strict in [true, false, true] {
                let row = alike.row(&ranking, &standing, lane, strict);
                let mut refused = Refused::default();
                let all: Vec<Choice> = layout
                    .cars()
                    .indices()
                    .filter_map(|car| ranking.choice(&standing, (lane, strict), car, &mut refused))
                    .collect();
                assert_eq!((row.count, row.refused), (all.len(), refused), "{}", lane.id);
                for choice in &all {
                    let told = row.choice(&ranking, &standing, &alike, choice.rank.car).unwrap();
                    assert_eq!((told.rank, told.comes), (choice.rank, choice.comes));
                }
                let best = all.iter().min_by_key(|choice| choice.rank).unwrap();
                assert_eq!(row.best().unwrap().rank, best.rank);
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
