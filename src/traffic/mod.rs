//! Traffic: what is due tonight, and where every car wants to go.
//!
//! Takes the network of the day and the standing the last session left. Gives a [`Demand`]: the
//! hand moves before the session (cars that customers have released, cars that leave and come by
//! the gateways), the orders with what became of each, and a [`Wish`] for every car that has
//! somewhere to go. It upholds rules 6 (a car carries what it may), 7 (nothing moves before it is
//! loaded or unloaded), 8 (every order is filled, waiting or cancelled, with a reason).
//!
//! Cost: orders × classes of cars that are alike, and the assignment of cars to orders ([`assign`]), which is open to others so that
//! general solvers can be asked the same.

pub mod assign;

mod alike;
mod calendar;
mod crowd;
mod customers;
mod fill;
mod fits;
mod found;
mod gateways;
mod on_hand;
mod orders;
mod outlook;
mod rank;
mod release;
mod repair;
mod service;
mod sets;
mod settle;
mod together;
mod wishes;

pub use customers::{Declined, KeptOff, refused};
pub use found::{found, found_bad_order, gives_up};
pub use gateways::home_of;
pub use on_hand::Kept;
pub use outlook::outlook;
pub use settle::{Ended, settle};
pub use wishes::end_words;

use std::collections::BTreeMap;

use crate::chance::Chance;
use crate::ids::{CarIx, CommodityIx, GatewayIx, IndustryIx, LaneIx, TrackIx};
use crate::layout::{Service, SpotTarget};
use crate::network::Network;
use crate::said::{Said, Worded};
use crate::standing::{Order, Standing};

/// What is due tonight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Demand {
    /// The standing once the hand moves are made.
    pub standing: Standing,
    /// The hand moves, in the order in which they are made.
    pub hands: Vec<Hand>,
    /// Every order that was open, came due, or ended.
    pub news: Vec<News>,
    /// Every car that has somewhere to go, the most urgent first.
    pub wishes: Vec<Wish>,
    /// What the host should know of cars before anybody starts.
    pub remarks: Vec<Remark>,
    /// Cars that customers have kept beyond their free time, those kept longest first.
    pub kept: Vec<Kept>,
}

/// Something that the host should know of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// What it is about: `bad order`, `not finished`.
    pub about: &'static str,
    /// The words.
    pub words: Worded,
}

impl Demand {
    /// Nothing is known yet but where the cars are.
    fn of(standing: Standing) -> Self {
        let (hands, news, wishes) = (Vec::new(), Vec::new(), Vec::new());
        Demand { standing, hands, news, wishes, remarks: Vec::new(), kept: Vec::new() }
    }
}

/// Something done before the first job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Hand {
    /// A customer has finished with a car; what is in it now.
    Released(CarIx, Option<CommodityIx>),
    /// A car leaves the layout by a gateway, from one of its tracks.
    Lifted(CarIx, TrackIx, GatewayIx),
    /// A car comes onto the layout by a gateway, on one of its tracks, with what is in it.
    Placed(CarIx, TrackIx, GatewayIx, Option<CommodityIx>),
    /// Something was done to a car on the way where it stands.
    Served(CarIx, TrackIx, Service),
    /// A car is found a bad order.
    BadOrder(CarIx),
}

/// An order and what became of it before the session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct News {
    /// The order.
    pub order: Order,
    /// What became of it.
    pub outcome: Outcome,
    /// Why, in words for the host.
    pub why: Box<str>,
    /// The same as a saying, of what has no car.
    pub told: Option<Said>,
}

impl News {
    /// What became of an order, as the table of sayings has it.
    fn said(order: Order, outcome: Outcome, Worded { text, said }: Worded) -> Self {
        News { order, outcome, why: text.into(), told: Some(said) }
    }

    /// What became of an order, in English.
    fn plain(order: Order, outcome: Outcome, why: String) -> Self {
        News { order, outcome, why: why.into(), told: None }
    }
}

/// What became of an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// No car yet.
    Waiting,
    /// No car yet: its customer has enough at its spots and under way.
    Held,
    /// A car serves it.
    Filled,
    /// Delivered and unloaded, or gone beyond.
    Done,
    /// It waited too long.
    Cancelled,
}

/// A car that has somewhere to go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// The car.
    pub car: CarIx,
    /// Where it wants to go, one after the other: the services on its way, then its end.
    pub stages: Vec<Stage>,
    /// The customer to whom it goes in the end, and what for.
    pub customer: Option<(IndustryIx, CommodityIx)>,
    /// Why its customer does not take it tonight, if it does not.
    pub kept_off: Option<KeptOff>,
    /// How urgent it is: lower goes first.
    pub urgency: Urgency,
    /// Where it is bound in the end, in words.
    pub bound: Box<str>,
    /// Why it goes there.
    pub why: Why,
}

/// Why a car goes where it is bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It serves its order.
    Order,
    /// It is to be repaired.
    Repair,
    /// No order wants it.
    NoOrder {
        /// Whether it is a bad order that nobody repairs here.
        bad_order: bool,
        /// Whether it has a way home.
        way_home: bool,
    },
}

/// One thing a car goes somewhere for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stage {
    /// What it goes there for.
    pub purpose: Purpose,
    /// Where that can be done, in order of preference.
    pub goals: Vec<SpotTarget>,
}

/// What a car goes somewhere for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To be loaded.
    Load,
    /// To be unloaded.
    Unload,
    /// To leave the layout, loaded or empty.
    GoBeyond(GatewayIx),
    /// To have something done that its lane asks for on the way.
    Serve(Service),
    /// To be repaired, or cleaned for a lading that asks for it.
    Mend(Service),
    /// To wait out of the way.
    Wait,
}

/// How urgent a wish is, compared field by field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Urgency {
    /// 0 for a car that stands in a customer's way: its spot is needed first.
    pub clears_a_spot: u32,
    /// 0 for what is promised or perishable.
    pub promised: u32,
    /// Since when it waits: the session in which its order came due, or since which it is there.
    pub since: i32,
    /// The set it moves in, if it moves in one: the lane and the number of the set. Those of one set
    /// stand together.
    pub set: Option<(LaneIx, u32)>,
    /// The car, for ties.
    pub car: CarIx,
}

/// Which way a lane's orders lean in a session, within its spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lean {
    /// As few come due as may.
    Late,
    /// As many come due as may.
    Early,
}

/// The lanes that lean; the others are drawn.
pub type Leans = BTreeMap<LaneIx, Lean>;

/// What is due in a session, and where every car wants to go.
pub fn due(network: &Network<'_>, standing: &Standing, session: i32, chance: Chance) -> Demand {
    Opening::of(network, standing, session, chance).due(network, &Leans::new())
}

/// A session before its orders come due: the same, whichever jobs run and however its lanes lean.
#[derive(Clone, Debug)]
pub struct Opening {
    demand: Demand,
    session: i32,
    chance: Chance,
    owed: orders::Owed,
}

impl Opening {
    /// What customers have released and what leaves, and what every lane owes.
    pub fn of(network: &Network<'_>, standing: &Standing, session: i32, chance: Chance) -> Self {
        let mut demand = Demand::of(standing.clone());
        release::release(network, &mut demand, session, chance);
        repair::mend(network, &mut demand, session);
        gateways::lift(network, &mut demand, session);
        let owed = orders::Owed::of(network, &mut demand.standing, session, chance);
        Opening { demand, session, chance, owed }
    }

    /// What is due where some lanes lean, and where every car wants to go.
    pub fn due(self, network: &Network<'_>, leans: &Leans) -> Demand {
        let Opening { mut demand, session, chance, owed } = self;
        owed.come_due(network.layout(), &mut demand.standing, session, leans);
        fill::fill(network, &mut demand, session, chance);
        gateways::bring_back(network, &mut demand, session);
        repair::inspect_arrivals(network, &mut demand, session, chance);
        wishes::serve_in_place(network, &mut demand);
        wishes::wishes(network, &mut demand);
        together::put_together(network, &mut demand);
        customers::shut(network, &mut demand);
        demand.kept = on_hand::kept_too_long(network, &demand.standing, session);
        demand
    }
}
