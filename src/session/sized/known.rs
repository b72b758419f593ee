//! What the steps of sizing a session have in common, so that nothing is worked out twice.
//!
//! Before orders come due nothing depends on how a session is shaped; what is due depends on how lanes lean
//! and on which jobs run, not on the row of their calls; a call's work only on what [`Memory`] says.

use std::cell::{OnceCell, RefCell};

use crate::ids::JobIx;
use crate::network::{Network, Runs};
use crate::switching::Memory;
use crate::traffic::{Demand, Leans, Opening};

use super::super::asked::Shape;
use super::super::{Care, Made, Start, make};
use super::Session;

/// How many demands are kept: steps that hold back cars alone, or are put in another order, ask for the last
/// ones again.
const KEPT: usize = 3;

/// The most networks: for each step one in the order that was there, one in that of the layout, and two in that of
/// the people, first and as jobs are shared out better.
const MOST: usize = 4 * super::MOST_STEPS;

/// What is known after some steps.
#[derive(Debug)]
pub(in crate::session) struct Known<'a> {
    opening: OnceCell<Opening>,
    demands: RefCell<Vec<(Leans, Vec<JobIx>, Demand)>>,
    /// A network for each way in which jobs run, as many as there may be.
    networks: Vec<OnceCell<Box<(Runs, Network<'a>)>>>,
    memory: RefCell<Memory>,
}

impl Known<'_> {
    /// Nothing is known yet.
    pub(in crate::session) fn new() -> Self {
        let networks = (0..MOST).map(|_| OnceCell::new()).collect();
        Known { opening: OnceCell::new(), demands: RefCell::default(), networks, memory: RefCell::default() }
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
        make(network, start, Care::Full, shape, &mut self.known.memory.borrow_mut())
    }

    fn network(&self, runs: &Runs) -> &Network<'_> {
        let known = self.known.networks.iter().map_while(OnceCell::get).find(|known| known.0 == *runs);
        let known = known.unwrap_or_else(|| {
            let free = self.known.networks.iter().find(|cell| cell.get().is_none());
            free.expect("there is one for every time the session is planned").get_or_init(|| {
                let date = self.layout.settings().days.of_session(self.number);
                Box::new((runs.clone(), Network::running(self.layout, date, runs)))
            })
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
