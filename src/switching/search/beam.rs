//! What follows when a budget is spent: the best states that wait are followed step by step, a few
//! kept at each, and the cheapest end that is come upon is the answer.
//!
//! Which are kept is said by a guess of what the rest of the way costs ([`Problem::guessed_moves`]); ties to the one that
//! was met first. A state is packed and looked up only if it may be among them. Nothing is proved,
//! save where an end costs no more than the least that any other can.

use std::collections::BTreeMap;

use super::best_first::{Best, Open, Reached};
use super::{Answer, Budget, Cost, PARTS, Problem};

/// For how many steps what a search may spend shall last, at least and at most: for as many as a way may have that is of
/// any use, but what is left of a short one need not be looked at more broadly.
const STEPS: (usize, usize) = (12, 64);

/// How many states are kept at each step, at least.
const WIDTH: usize = 8;

/// How many are looked at for each that is kept: some are met in two ways.
const LOOKED_AT: usize = 2;

/// Follows the best of what is open.
pub(super) fn follow<P: Problem>(problem: &P, open: Open<P>, budget: Budget) -> Answer<P::Move> {
    let least = open.least().unwrap_or(budget.below);
    let mut opened = 0;
    let (few, many) = STEPS;
    let steps = usize::try_from(budget.below / problem.price()).map_or(many, |below| below.clamp(few, many));
    let width = WIDTH.max(budget.follow / steps);
    let mut best = Best { way: None, below: budget.below };
    let mut beam: Vec<(usize, Cost)> = open.best(width);
    let mut met = open;
    while !beam.is_empty() && opened < budget.follow {
        let mut next = Sieve::<P> { candidates: BTreeMap::new(), count: 0, enough: LOOKED_AT * width };
        for (number, cost) in beam {
            let state = met.table.state(number);
            if problem.done(state) && met.ends(problem, (number, cost), &mut best) {
                continue;
            }
            opened += 1;
            met.reached[number].opened = true;
            let last = met.reached[number].by.map(|(_, step)| step);
            let by = u32::try_from(number).expect("a budget is far below 2^32 states");
            problem.guessed_moves(state, last, &mut |step, price, guess, state| {
                let cost = cost + price;
                let least = cost.saturating_add(guess.least);
                let order = least.saturating_mul(PARTS).saturating_add(guess.likely);
                if least < best.below
                    && next.takes(order)
                    && let Some(state) = state()
                {
                    next.put(order, (state, Reached::new(cost, Some((by, step)))));
                }
            });
        }
        beam = next.kept(&mut met, width);
    }
    let proved = best.way.as_ref().is_some_and(|way| way.cost <= least);
    Answer { way: best.way, proved, least, opened: opened + budget.prove }
}

/// A state that may be kept, and how it was reached.
type Candidate<P> = (<P as Problem>::State, Reached<<P as Problem>::Move>);

/// The best states of a step so far, by what a way through them is likely to cost.
struct Sieve<P: Problem> {
    candidates: BTreeMap<Cost, Vec<Candidate<P>>>,
    count: usize,
    enough: usize,
}

impl<P: Problem> Sieve<P> {
    /// Whether a state of such an order could be kept.
    fn takes(&self, order: Cost) -> bool {
        self.count < self.enough || self.candidates.last_key_value().is_some_and(|(last, _)| order < *last)
    }

    fn put(&mut self, order: Cost, candidate: Candidate<P>) {
        self.candidates.entry(order).or_default().push(candidate);
        self.count += 1;
        while let Some(last) = self.candidates.last_entry()
            && self.count - last.get().len() >= self.enough
        {
            self.count -= last.remove().len();
        }
    }

    /// The best, each once, and only if this is the cheapest way to it so far.
    fn kept(self, met: &mut Open<P>, width: usize) -> Vec<(usize, Cost)> {
        let mut kept = Vec::new();
        for (state, by) in self.candidates.into_values().flatten() {
            let (number, new) = met.table.number(state);
            let reached = &mut met.reached;
            if new {
                reached.push(by);
            } else if reached[number].cost < by.cost
                || (reached[number].cost == by.cost && reached[number].opened)
            {
                continue;
            } else {
                reached[number] = by;
            }
            met.reached[number].opened = true;
            kept.push((number, by.cost));
            if kept.len() == width {
                break;
            }
        }
        kept
    }
}
