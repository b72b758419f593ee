//! What the steps of sizing a session have in common, so that nothing is worked out twice.
//!
//! Before orders come due nothing depends on how a session is shaped; what is due depends on how lanes lean
//! and on which jobs run, not on the row of their calls; a call's work only on what [`Memory`] says.

use std::cell::{OnceCell, RefCell};

use elsa::FrozenVec;

use crate::ids::JobIx;
use crate::network::{Network, Runs};
use crate::switching::Memory;
use crate::traffic::{Demand, Leans, Opening};

use super::super::asked::Shape;
use super::super::{Made, Start, make};
use super::Session;

/// How many demands are kept: steps that hold back cars alone, or are put in another order, ask for the last
/// ones again.
const KEPT: usize = 3;

/// What is known after some steps.
pub(in crate::session) struct Known<'a> {
    opening: OnceCell<Opening>,
    demands: RefCell<Vec<(Leans, Vec<JobIx>, Demand)>>,
    /// A network for each way in which jobs run; those that were handed out stay while others are added.
    networks: FrozenVec<Box<(Runs, Network<'a>)>>,
    memory: RefCell<Memory>,
}

impl Known<'_> {
    /// Nothing is known yet.
    pub(in crate::session) fn new() -> Self {
        Known {
            opening: OnceCell::new(),
            demands: RefCell::default(),
            networks: FrozenVec::new(),
            memory: RefCell::default(),
        }
    }
}

impl Session<'_> {
    /// Plans the session in a shape.
    pub(in crate::session) fn made(&self, shape: &Shape) -> Made<'_> {
        let network = self.network(&shape.runs);
        let start = Start {
            before: self.standing,
            session: self.number,
            chance: self.chance,
            demand: self.demand(shape),
        };
        make(network, start, self.care, shape, &mut self.known.memory.borrow_mut())
    }

    fn network(&self, runs: &Runs) -> &Network<'_> {
        let networks = &self.known.networks;
        let known = networks.iter().find(|known| known.0 == *runs).unwrap_or_else(|| {
            let date = self.layout.settings().days.of_session(self.number);
            networks.push_get(Box::new((runs.clone(), Network::running(self.layout, date, runs))))
        });
        &known.1
    }

    /// What is due where the jobs of a shape run in the layout's order: the order in which people come to
    /// them chooses no other cars.
    fn demand(&self, shape: &Shape) -> Demand {
        let mut demands = self.known.demands.borrow_mut();
        let without = &shape.runs.without;
        let same = |(leans, jobs, _): &(Leans, Vec<JobIx>, Demand)| *leans == shape.leans && jobs == without;
        if let Some((_, _, demand)) = demands.iter().find(|known| same(known)) {
            return demand.clone();
        }
        let network = self.network(&Runs { without: without.clone(), row: Vec::new() });
        let opening =
            self.known.opening.get_or_init(|| Opening::of(network, self.standing, self.number, self.chance));
        let demand = opening.clone().due(network, &shape.leans);
        if demands.len() == KEPT {
            drop(demands.remove(0));
        }
        demands.push((shape.leans.clone(), without.clone(), demand.clone()));
        demand
    }
}
