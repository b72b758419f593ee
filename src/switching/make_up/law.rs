//! The law of placarded cars: which orders of a train the layout's table allows.
//!
//! 49 CFR 174.85(d), as the layout may have changed it: a placarded tank car, or any car of group 1, rides no
//! nearer to the engine and to an occupied caboose than the sixth car where the train is long enough, else as
//! near the middle as can be, and never next to either; a car of group 4 has one car between, at least; and the
//! rows of the table say what may not ride next to what. All that is of loaded cars. A tank car that was emptied of
//! what bears placards since the last session has them still, and by 174.85(c) one car between it and the engine or
//! an occupied caboose that is no tank car with placards. For model railroads; real work follows the regulations and
//! the carrier's own rules.
//!
//! A train is long enough if the cars that may ride anywhere can stand between. Eleven cars with one tank car
//! among them have ten others, five for each end: it rides sixth. Eight have seven, three and a half for each
//! end: it rides fourth or fifth. Of two cars none is between the tank car and the caboose: it does not ride.

use crate::ids::{CarIx, CommodityIx, IxVec};
use crate::layout::{Lane, Layout, Neighbour};
use crate::standing::{Condition, Standing};
use crate::traffic::Hand;

/// What the law says of each car as it is loaded tonight.
#[derive(Clone, Debug)]
pub(in crate::switching) struct Law {
    cars: IxVec<CarIx, Riding>,
    nearest: usize,
    nearest_short: usize,
}

/// What the law asks of a train, with or without an occupied caboose at its end.
#[derive(Clone, Copy, Debug)]
pub(in crate::switching) struct Rule {
    nearest: usize,
    nearest_short: usize,
    caboose: bool,
}

/// How a car may ride.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::switching) struct Riding {
    placarded: bool,
    /// Whether it is a tank car with placards: no such car covers residue.
    tank: bool,
    bound: Bound,
    /// What it is to its neighbours, and what it may not have next to it: one bit for each kind.
    is: u8,
    avoids: u8,
}

/// How near to an engine or an occupied caboose a car may ride.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Bound {
    #[default]
    Anywhere,
    /// With another car between.
    NotNext,
    /// With another car between that is no tank car with placards.
    Covered,
    /// In the middle of a train.
    Far,
}

/// The places that a car may not reach, counted from the engine and from a caboose.
#[derive(Clone, Copy, Debug)]
struct Nearest {
    far: usize,
    not_next: usize,
}

impl Law {
    /// The law of a session; nothing if the table is turned off, or no load asks for it.
    pub(in crate::switching) fn new(layout: &Layout, standing: &Standing, hands: &[Hand]) -> Option<Self> {
        let table = layout.placards();
        let asked = table.apply && layout.commodities().values().any(|lading| lading.placard.is_some());
        let mut cars: IxVec<CarIx, Riding> = if asked {
            layout.cars().indices().map(|car| riding(layout, standing, car)).collect()
        } else {
            IxVec::new()
        };
        let whole = |places: u32| usize::try_from(places).unwrap_or(usize::MAX);
        let (nearest, nearest_short) = (whole(table.nearest), whole(table.nearest_short));
        if asked {
            for hand in hands {
                if let Hand::Released(car, None) = hand
                    && residue(layout, standing, *car)
                {
                    cars[*car] =
                        Riding { placarded: true, tank: true, bound: Bound::Covered, ..Riding::default() };
                }
            }
        }
        let any = cars.values().any(|car| car.placarded);
        any.then_some(Law { cars, nearest, nearest_short })
    }

    /// How a car may ride.
    pub(in crate::switching) fn riding(&self, car: CarIx) -> Riding {
        self.cars[car]
    }

    /// Whether the table speaks of a car as it is loaded.
    pub(in crate::switching) fn minds(&self, car: CarIx) -> bool {
        self.cars[car].is != 0 || self.cars[car].placarded
    }

    /// What is asked of a train.
    pub(in crate::switching) const fn rule(&self, caboose: bool) -> Rule {
        Rule { nearest: self.nearest, nearest_short: self.nearest_short, caboose }
    }

    /// A placarded car that may not ride where it does in this train, named from the engine outwards.
    pub(in crate::switching) fn offender(&self, train: &[CarIx], caboose: bool) -> Option<CarIx> {
        self.rule(caboose).offender(&self.ridings(train)).map(|place| train[place])
    }

    /// Orders of the train that are allowed, each with as few cars moved as can be; none if there is no such order
    /// within reach: a car that the table speaks of is taken out and put where that helps most, then the next.
    pub(super) fn orders(&self, train: &[CarIx], caboose: bool) -> Vec<Vec<CarIx>> {
        let rule = self.rule(caboose);
        let nearest = rule.nearest(&self.ridings(train));
        let mut order = train.to_vec();
        for _ in 0..train.len() {
            let moved: Vec<(usize, Vec<CarIx>)> = self
                .minded(&order)
                .flat_map(|place| (0..order.len()).map(move |to| (place, to)))
                .filter(|(place, to)| place != to)
                .map(|(place, to)| {
                    let mut other = order.clone();
                    let car = other.remove(place);
                    other.insert(to, car);
                    (rule.fault(&self.ridings(&other), nearest), other)
                })
                .collect();
            let right = moved.iter().filter(|(fault, _)| *fault == 0);
            let right: Vec<Vec<CarIx>> = right.map(|(_, order)| order.clone()).collect();
            if !right.is_empty() {
                return right;
            }
            let now = rule.fault(&self.ridings(&order), nearest);
            let better = moved.into_iter().min_by_key(|(fault, _)| *fault).filter(|(fault, _)| *fault < now);
            let Some((_, better)) = better else { break };
            order = better;
        }
        Vec::new()
    }

    /// The places of the cars that the table speaks of.
    fn minded(&self, train: &[CarIx]) -> impl Iterator<Item = usize> + use<> {
        let minded = |(place, car): (usize, &CarIx)| self.minds(*car).then_some(place);
        train.iter().enumerate().filter_map(minded).collect::<Vec<_>>().into_iter()
    }

    fn ridings(&self, train: &[CarIx]) -> Vec<Riding> {
        train.iter().map(|car| self.riding(*car)).collect()
    }
}

impl Rule {
    /// The place of a placarded car that may not ride where it does in this train, from the engine outwards.
    pub(in crate::switching) fn offender(self, train: &[Riding]) -> Option<usize> {
        if !train.iter().any(|car| car.placarded) {
            return None;
        }
        let nearest = self.nearest(train);
        (0..train.len()).find(|place| train[*place].placarded && self.fault_at(train, *place, nearest) > 0)
    }

    /// How near cars may ride to the ends of this train.
    fn nearest(self, train: &[Riding]) -> Nearest {
        let between = train.iter().filter(|car| car.bound != Bound::Far).count();
        let ends = if self.caboose { 2 } else { 1 };
        let long_enough = between >= (self.nearest - 1) * ends;
        let middle = (between / 2 + 1).max(self.nearest_short);
        Nearest { far: if long_enough { self.nearest } else { middle }, not_next: self.nearest_short }
    }

    fn fault(self, train: &[Riding], nearest: Nearest) -> usize {
        (0..train.len()).map(|place| self.fault_at(train, place, nearest)).sum()
    }

    /// How wrong the car at a place is: the places that are missing to the ends, and one for each
    /// neighbour that it may not have.
    fn fault_at(self, train: &[Riding], place: usize, nearest: Nearest) -> usize {
        let car = train[place];
        let from_engine = car.bound.missing(&train[..place], nearest);
        let from_caboose = if self.caboose { car.bound.missing(&train[place + 1..], nearest) } else { 0 };
        let neighbours = [place.checked_sub(1), Some(place + 1)];
        let beside = neighbours.into_iter().flatten().filter_map(|place| train.get(place));
        let apart = beside.filter(|other| car.avoids & other.is != 0).count();
        from_engine + from_caboose + apart
    }
}

impl Bound {
    /// How many cars are missing among those between a car and an engine or a caboose.
    fn missing(self, between: &[Riding], nearest: Nearest) -> usize {
        match self {
            Bound::Anywhere => 0,
            Bound::NotNext => nearest.not_next.saturating_sub(between.len() + 1),
            Bound::Covered => usize::from(nearest.not_next > 1 && between.iter().all(|car| car.tank)),
            Bound::Far => nearest.far.saturating_sub(between.len() + 1),
        }
    }
}

/// Whether a car that was emptied since the last session is a tank car with what is left of a placarded load. One
/// that another order has already is not known to have had what it will have: it may have had any that its kind takes.
fn residue(layout: &Layout, standing: &Standing, car: CarIx) -> bool {
    let (state, kind) = (standing.car(car), layout.cars()[car].kind);
    let is_placarded = |lading: CommodityIx| layout.commodities()[lading].placard.is_some();
    layout.types()[kind].is_tank()
        && match &state.condition {
            Condition::Empty => state.last.is_some_and(|lane| is_placarded(layout.lanes()[lane].commodity)),
            Condition::Ordered { .. } => {
                let carries = |lane: &Lane| lane.kinds(layout.commodities()).contains(&kind);
                layout.lanes().values().any(|lane| carries(lane) && is_placarded(lane.commodity))
            }
            Condition::Loading { .. } | Condition::Loaded { .. } | Condition::Unloading { .. } => false,
        }
}

/// What the table says of a car with what is in it.
fn riding(layout: &Layout, standing: &Standing, car: CarIx) -> Riding {
    let kind = &layout.types()[layout.cars()[car].kind];
    let Some(lading) = standing.car(car).condition.lading() else { return Riding::default() };
    let lading = &layout.commodities()[lading];
    let code = kind.code.as_str();
    // Closed trailers, containers and racks for automobiles are no loaded flats by the table, and a flat with
    // bulkheads counts as an open car.
    let closed = ["FA", "FC", "FCA"].contains(&code);
    let mut is = 0;
    let mut note = |neighbour, holds: bool| is |= if holds { bit(neighbour) } else { 0 };
    note(Neighbour::OpenLoad, kind.open && lading.shifts);
    note(Neighbour::LoadedFlat, kind.is_flat() && !closed && !code.starts_with("FB"));
    note(Neighbour::RunningEngine, code.starts_with("RP"));
    for group in 1..=4 {
        note(Neighbour::Group(group), lading.placard == Some(group));
    }
    let Some(group) = lading.placard else { return Riding { is, ..Riding::default() } };
    let rows = layout.placards().apart.iter();
    let rows = rows.filter(|row| row.group == group && row.tank == kind.is_tank());
    let avoids = rows.flat_map(|row| &row.from).fold(0, |all, neighbour| all | bit(*neighbour));
    let bound = match group {
        4 if !kind.is_tank() => Bound::NotNext,
        2..=4 if !kind.is_tank() => Bound::Anywhere,
        _ => Bound::Far,
    };
    Riding { placarded: true, tank: kind.is_tank(), bound, is, avoids }
}

/// The bit of a kind of neighbour.
const fn bit(neighbour: Neighbour) -> u8 {
    match neighbour {
        Neighbour::OpenLoad => 1,
        Neighbour::LoadedFlat => 1 << 1,
        Neighbour::RunningEngine => 1 << 2,
        Neighbour::Group(group) => 1 << (2 + group),
    }
}
