//! What follows when a budget is spent: the best states that wait are followed step by step, a few
//! kept at each, and the cheapest end that is come upon is the answer.
//!
//! It cannot prove anything, save where an end costs no more than the least that any other can.

use super::best_first::{Open, Reached};
use super::{Answer, Budget, Cost, Problem, Way};

/// For how many steps the second half of what a search may spend shall last at most: for as many as a way may have
/// that is of any use.
const STEPS: usize = 64;

/// How many states are kept at each step, at least.
const WIDTH: usize = 8;

/// A state on the beam: the least that a way through it can cost, what the way to it costs, its number.
type Kept = (Cost, Cost, usize);

/// Follows the best of what is open.
pub(super) fn follow<P: Problem>(problem: &P, open: Open<P>, budget: Budget) -> Answer<P::Move> {
    let least = open.least();
    let mut opened = budget.states;
    let most = budget.states * 2;
    let steps = usize::try_from(budget.below).map_or(STEPS, |below| below.clamp(1, STEPS));
    let width = WIDTH.max(budget.states / steps);
    let mut below = budget.below;
    let mut best: Option<Way<P::Move>> = None;
    let mut beam: Vec<Kept> = open
        .best(width)
        .into_iter()
        .filter_map(|(number, cost)| Some((cost + problem.bound(open.table.state(number))?, cost, number)))
        .collect();
    let mut met = open;
    while !beam.is_empty() && opened < most {
        let mut next: Vec<Kept> = Vec::new();
        for (_, cost, number) in beam.drain(..) {
            let state = met.table.state(number);
            if problem.done(state) {
                if cost < below {
                    below = cost;
                    best = Some(met.way(number));
                }
                continue;
            }
            opened += 1;
            met.reached[number].opened = true;
            let last = met.reached[number].by.map(|(_, step)| step);
            let by = u32::try_from(number).expect("a budget is far below 2^32 states");
            problem.bounded_moves(state, last, &mut |step, to, price, bound| {
                let reached = Reached::new(cost + price, Some((by, step)));
                let Some(bound) = bound().filter(|bound| reached.cost.saturating_add(*bound) < below) else {
                    return;
                };
                next.extend(note(&mut met, to, reached, bound));
            });
        }
        next.sort_unstable_by_key(|(total, cost, number)| (total * 2 - cost, *cost, *number));
        next.dedup_by_key(|(_, _, number)| *number);
        next.truncate(width);
        beam = next;
    }
    let proved = best.as_ref().is_some_and(|way| least.is_some_and(|least| way.cost <= least));
    Answer { way: best, proved, opened }
}

/// Notes a state if this is the cheapest way to it so far.
fn note<P: Problem>(met: &mut Open<P>, state: P::State, by: Reached<P::Move>, bound: Cost) -> Option<Kept> {
    let (number, new) = met.table.number(state);
    let reached = &mut met.reached;
    if new {
        reached.push(by);
    } else if reached[number].cost < by.cost || (reached[number].cost == by.cost && reached[number].opened) {
        return None;
    } else {
        reached[number] = by;
    }
    Some((by.cost + bound, by.cost, number))
}
