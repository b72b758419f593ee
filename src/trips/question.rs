//! What one car asks of the session, and the answer.

use super::leaving::Leaving;
use super::reach::Goals;
use super::room::Room;
use super::stands::Cost;
use super::{Bans, Hindrance, Leg, Onward};
use crate::ids::{CallIx, CarIx, SpotIx, TrackIx};
use crate::network::{Network, Passing};
use crate::traffic::{KeptOff, Stage};

/// Whether a car may be taken from where it is so that another has room.
pub(super) type Movable<'q> = &'q dyn Fn(CarIx) -> bool;

/// One car's question.
pub(super) struct Question<'q> {
    pub(super) room: &'q Room,
    /// What is banned; nothing if the car is banned nowhere.
    pub(super) bans: Option<&'q Bans>,
    pub(super) car: CarIx,
    /// Where it stands before the session.
    pub(super) start: (TrackIx, Option<SpotIx>),
    pub(super) passing: Passing,
    pub(super) stages: &'q [Stage],
    /// For each stage, its goals.
    pub(super) goals: Vec<&'q Goals>,
    /// Which cars may be ousted; nothing if all stay where they are.
    pub(super) movable: Option<Movable<'q>>,
    /// Why its customer does not take it tonight, if it does not.
    pub(super) kept_off: Option<KeptOff>,
    /// What stood in the way, in the order in which it was met.
    pub(super) met: Vec<Hindrance>,
}

impl Question<'_> {
    /// Notes what stood in the way.
    pub(super) fn hindered(&mut self, by: Hindrance) {
        if !self.met.contains(&by) {
            self.met.push(by);
        }
    }

    /// Whether the car may be left on a track at a call, pulled there or come in the train. What switching
    /// refused tonight, or no crew could do as the tracks lie, is what is in the way.
    pub(super) fn may_be_left(
        &mut self,
        network: &Network<'_>,
        (call, tonight): (CallIx, bool),
        pulled_from: Option<TrackIx>,
        track: TrackIx,
    ) -> bool {
        let (car, weight) = (self.car, self.passing.weight);
        let leaving = Leaving { car, weight, call, pulled_from, track };
        if !leaving.suits(network) {
            return false;
        }
        let why = leaving.ban(network, self.bans.filter(|_| tonight));
        let free = why.is_none();
        if let Some(why) = why {
            self.hindered(Hindrance::Banned(call, why));
        }
        free
    }

    /// Of what was met, what says most.
    pub(super) fn hindrance(&self, of_interest: impl Fn(&Hindrance) -> bool) -> Hindrance {
        let met = self.met.iter().filter(|met| of_interest(met)).min_by_key(|met| met.rank());
        met.cloned().unwrap_or(Hindrance::NoConnection)
    }
}

/// How far a walk goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    pub(super) sessions: usize,
    pub(super) legs: u32,
}

/// A stand at the last goal, or near it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub(super) stand: usize,
    pub(super) off_spot: bool,
    /// In which session it arrives, what it costs, and the step.
    pub(super) key: (usize, Cost, usize),
}

/// A way to the last goal, or near it.
#[derive(Clone, Debug)]
pub(super) struct Way {
    /// Tonight's legs.
    pub(super) legs: Vec<Leg>,
    /// In how many sessions from now it arrives.
    pub(super) session: usize,
    pub(super) off_spot: bool,
    pub(super) cost: Cost,
    /// What of all that was met lies on this way.
    pub(super) told: Hindrance,
    /// Who takes the car on in a later session.
    pub(super) onward: Option<Onward>,
}

impl Way {
    /// What ways are compared by; the least is best.
    pub(super) const fn rank(&self) -> (bool, usize, Cost) {
        (self.off_spot, self.session, self.cost)
    }
}
