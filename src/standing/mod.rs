//! The standing: where every car is, in which order and in what state, at one moment.
//!
//! It is what a session starts from and what it leaves. The ledger keeps it in a file, the first
//! plan makes one, `traffic` reads it, `switching` changes it handling by handling. It knows no
//! stage; it only keeps rule 1 (every car in exactly one place) true by its shape: a car's
//! whereabouts and the rows of the tracks change together.

mod orders;

pub use orders::Orders;

use crate::ids::{CarIx, CommodityIx, GatewayIx, Id, IxVec, LaneIx, SpotIx, TrackIx};
use crate::layout::Layout;
use crate::units::Tons;

/// Where every car is, and which orders are open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The last session that was closed; 0 before the first.
    pub session: i32,
    tracks: IxVec<TrackIx, Vec<CarIx>>,
    cars: IxVec<CarIx, CarState>,
    /// Orders not yet done, in the order in which they came due.
    pub orders: Orders,
    /// How many orders of each lane have ever come due: the long run is steady because the next
    /// session counts on from here. The ledger keeps it, by the lanes' ids.
    pub due_so_far: IxVec<LaneIx, u32>,
    /// By how much more or fewer orders of each lane came due than its description now gives: since it
    /// was described otherwise, it goes on from where it was.
    pub due_shift: IxVec<LaneIx, i32>,
    /// What each gateway has brought and taken since the first session.
    pub passed: IxVec<GatewayIx, Passed>,
}

/// How many cars came and went by a gateway.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Passed {
    /// Cars that came onto the layout by it.
    pub received: u32,
    /// Cars that left the layout by it.
    pub delivered: u32,
}

/// Where a car is and what it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarState {
    whereabouts: Whereabouts,
    /// What it is about.
    pub condition: Condition,
    /// Whether its last load left it dirty.
    pub dirty: bool,
    /// Whether it must be repaired before it is loaded.
    pub bad_order: bool,
    /// The first session in which it is repaired, while it stands on a repair track.
    pub repaired: Option<i32>,
    /// How often its customer was not done with it in its time, since it was spotted.
    pub unfinished: u32,
    /// The session in which it was put at its customer's disposal: it was spotted, or would have been
    /// but for want of room. Kept until the customer is done with it.
    pub placed: Option<i32>,
    /// How many of its lane's services on the way are done.
    pub services_done: u32,
    /// The session in which it came to where it is, or in which its condition last changed.
    pub since: i32,
    /// The first session in which it waited for a spot, while it waits for one.
    pub waiting_since: Option<i32>,
    /// The gateway it came onto the layout by, while it is on the layout.
    pub came_by: Option<GatewayIx>,
    /// How many orders it has served, the one it serves now counted.
    pub loads: u32,
    /// The lane of the last order it served, or serves.
    pub last: Option<LaneIx>,
}

/// Where a car is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whereabouts {
    /// On a track, at one of its spots or at none.
    Track(TrackIx, Option<SpotIx>),
    /// Out beyond a gateway.
    Beyond(GatewayIx),
    /// In a tray or drawer.
    Shelf,
}

/// What a car is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Empty, with no order.
    Empty,
    /// Empty, on its way to be loaded for an order.
    Ordered {
        /// The order.
        order: Id,
    },
    /// At the customer that loads it.
    Loading {
        /// The order.
        order: Id,
        /// The first session in which it can be pulled.
        ready: i32,
    },
    /// Under load.
    Loaded {
        /// The order.
        order: Id,
        /// What is in it.
        lading: CommodityIx,
    },
    /// At the customer that unloads it.
    Unloading {
        /// The order.
        order: Id,
        /// What is still in it.
        lading: CommodityIx,
        /// The first session in which it can be pulled.
        ready: i32,
    },
}

impl Condition {
    /// The order the car serves.
    pub fn order(&self) -> Option<&Id> {
        match self {
            Condition::Empty => None,
            Condition::Ordered { order }
            | Condition::Loading { order, ready: _ }
            | Condition::Loaded { order, lading: _ }
            | Condition::Unloading { order, lading: _, ready: _ } => Some(order),
        }
    }

    /// What is in the car.
    pub fn lading(&self) -> Option<CommodityIx> {
        match self {
            Condition::Loaded { order: _, lading } | Condition::Unloading { order: _, lading, ready: _ } => {
                Some(*lading)
            }
            Condition::Empty | Condition::Ordered { .. } | Condition::Loading { .. } => None,
        }
    }
}

/// One carload due on a lane.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// Its id, `lane#17`: the lane's and its number there.
    pub id: Id,
    /// The lane.
    pub lane: LaneIx,
    /// The session in which it came due.
    pub due: i32,
    /// The set it moves in: the number of the first order of the set.
    pub set: u32,
    /// The car that fills it.
    pub car: Option<CarIx>,
}

impl Standing {
    /// A standing with every car on the shelf, empty.
    pub fn shelved(layout: &Layout) -> Self {
        let cars = layout.cars().values().map(|car| CarState {
            whereabouts: Whereabouts::Shelf,
            condition: Condition::Empty,
            dirty: false,
            bad_order: car.bad_order,
            repaired: None,
            unfinished: 0,
            placed: None,
            services_done: 0,
            since: 0,
            waiting_since: None,
            came_by: None,
            loads: 0,
            last: None,
        });
        Standing {
            session: 0,
            tracks: IxVec::filled(Vec::new(), layout.tracks().len()),
            cars: cars.collect(),
            orders: Orders::default(),
            due_so_far: IxVec::filled(0, layout.lanes().len()),
            due_shift: IxVec::filled(0, layout.lanes().len()),
            passed: IxVec::filled(Passed::default(), layout.gateways().len()),
        }
    }

    /// The cars on a track, from west to east.
    pub fn on(&self, track: TrackIx) -> &[CarIx] {
        &self.tracks[track]
    }

    /// All cars with their state.
    pub fn cars(&self) -> impl Iterator<Item = (CarIx, &CarState)> {
        self.cars.iter()
    }

    /// A car's state.
    pub fn car(&self, car: CarIx) -> &CarState {
        &self.cars[car]
    }

    /// A car's state, to be changed; its whereabouts change only through the methods below.
    pub fn car_mut(&mut self, car: CarIx) -> &mut CarState {
        &mut self.cars[car]
    }

    /// An order that is not yet done.
    pub fn order(&self, id: &Id) -> Option<&Order> {
        self.orders.get(id)
    }

    /// What a car weighs now, with its load.
    pub fn weight(&self, layout: &Layout, car: CarIx) -> Tons {
        let described = &layout.cars()[car];
        let load = self.cars[car].condition.lading();
        let load = load.map(|lading| layout.commodities()[lading].tons.unwrap_or(described.capacity));
        described.light + load.unwrap_or_default()
    }

    /// Takes a car off the layout.
    pub fn take_away(&mut self, car: CarIx, to: Away) {
        self.lift(car);
        let state = &mut self.cars[car];
        state.came_by = None;
        state.whereabouts = match to {
            Away::Beyond(gateway) => Whereabouts::Beyond(gateway),
            Away::Shelf => Whereabouts::Shelf,
        };
    }

    /// Replaces what stands on a track: cars from west to east, each at its spot or at none. Cars
    /// that stood there and are not named again must be given another place by the caller before
    /// anything reads the standing.
    pub fn arrange(&mut self, track: TrackIx, cars: impl IntoIterator<Item = (CarIx, Option<SpotIx>)>) {
        let row: Vec<(CarIx, Option<SpotIx>)> = cars.into_iter().collect();
        for (car, spot) in &row {
            if !matches!(self.cars[*car].whereabouts, Whereabouts::Track(old, _) if old == track) {
                self.lift(*car);
            }
            self.cars[*car].whereabouts = Whereabouts::Track(track, *spot);
        }
        self.tracks[track] = row.into_iter().map(|(car, _)| car).collect();
    }

    /// Adds a car at the east end of a track's row.
    pub fn put(&mut self, car: CarIx, track: TrackIx, spot: Option<SpotIx>) {
        self.lift(car);
        self.tracks[track].push(car);
        self.cars[car].whereabouts = Whereabouts::Track(track, spot);
    }

    fn lift(&mut self, car: CarIx) {
        if let Whereabouts::Track(track, _) = self.cars[car].whereabouts {
            self.tracks[track].retain(|standing| *standing != car);
        }
    }
}

impl CarState {
    /// Where the car is.
    pub const fn whereabouts(&self) -> Whereabouts {
        self.whereabouts
    }

    /// The track the car is on.
    pub const fn track(&self) -> Option<TrackIx> {
        match self.whereabouts {
            Whereabouts::Track(track, _) => Some(track),
            Whereabouts::Beyond(_) | Whereabouts::Shelf => None,
        }
    }

    /// The spot the car is at.
    pub const fn spot(&self) -> Option<SpotIx> {
        match self.whereabouts {
            Whereabouts::Track(_, spot) => spot,
            Whereabouts::Beyond(_) | Whereabouts::Shelf => None,
        }
    }
}

/// Where a car goes that is taken off the layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Away {
    /// Out beyond a gateway.
    Beyond(GatewayIx),
    /// Into a tray or drawer.
    Shelf,
}
