//! What one car asks for one stage of its way, and what stood in the way of an answer.

use super::Hindrance;
use super::room::Room;
use crate::ids::CarIx;
use crate::traffic::Stage;
use crate::units::Tons;

/// One car's question.
#[derive(Debug)]
pub(super) struct Question<'q> {
    pub(super) room: &'q Room,
    pub(super) car: CarIx,
    pub(super) weight: Tons,
    pub(super) stage: &'q Stage,
    /// Why its customer does not take it tonight, if it does not.
    pub(super) kept_off: Option<&'q str>,
    /// What stood in the way, in the order in which it was met.
    met: Vec<Hindrance>,
}

impl<'q> Question<'q> {
    pub(super) const fn new(room: &'q Room, car: CarIx, weight: Tons, stage: &'q Stage) -> Self {
        Question { room, car, weight, stage, kept_off: None, met: Vec::new() }
    }

    /// Notes what stood in the way.
    pub(super) fn hindered(&mut self, by: Hindrance) {
        if !self.met.contains(&by) {
            self.met.push(by);
        }
    }

    /// Of what was met, what says most.
    pub(super) fn hindrance(&self, of_interest: impl Fn(&Hindrance) -> bool) -> Hindrance {
        let met = self.met.iter().filter(|met| of_interest(met)).min_by_key(|met| met.rank());
        met.cloned().unwrap_or(Hindrance::NoConnection)
    }
}
