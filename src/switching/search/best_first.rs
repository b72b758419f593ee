//! The search itself: the most promising state first.

use std::collections::BTreeMap;

use super::table::Table;
use super::{Answer, Budget, Cost, Problem, Way, beam};

/// How a state was reached.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reached<M> {
    /// What the way there costs.
    pub(super) cost: Cost,
    /// The state before it and the move from there; nothing for the first.
    pub(super) by: Option<(u32, M)>,
    /// Whether it was opened at this cost.
    pub(super) opened: bool,
}

impl<M> Reached<M> {
    pub(super) const fn new(cost: Cost, by: Option<(u32, M)>) -> Self {
        Reached { cost, by, opened: false }
    }
}

/// Everything that was met, and what waits to be opened.
pub(super) struct Open<P: Problem> {
    pub(super) table: Table<P::State>,
    pub(super) reached: Vec<Reached<P::Move>>,
    /// By the least that a way through it can cost, the last met last. There are few such costs, and
    /// many states at each.
    queue: BTreeMap<Cost, Vec<(u32, Cost)>>,
}

/// The cheapest way so far, if there is one, and what another must cost less than.
pub(super) struct Best<M> {
    pub(super) way: Option<Way<M>>,
    pub(super) below: Cost,
}

/// Searches for the cheapest way from a state to one where nothing is left to do.
///
/// # Complexity
/// See the [module](super).
pub fn search<P: Problem>(problem: &P, from: P::State, budget: Budget) -> Answer<P::Move> {
    let mut open = Open::<P> { table: Table::new(), reached: Vec::new(), queue: BTreeMap::new() };
    let (mut opened, mut best) = (0, Best { way: None, below: budget.below });
    open.meet(&|| Some(from), Reached::new(0, None), budget.below, &|| problem.bound(from));
    while let Some((number, state, cost)) = open.next(best.below) {
        if problem.done(state) && open.ends(problem, (number, cost), &mut best) {
            continue;
        }
        if opened == budget.prove {
            open.put_back(problem, number, cost);
            // Nothing that waits has cheaper moves: it could only end better.
            if best.way.is_some() {
                let least = open.least().unwrap_or(best.below);
                return Answer { way: best.way, proved: false, least, opened };
            }
            return beam::follow(problem, open, budget);
        }
        opened += 1;
        let by = u32::try_from(number).expect("a budget is far below 2^32 states");
        let last = open.reached[number].by.map(|(_, step)| step);
        problem.bounded_moves(state, last, &mut |step, price, bound, next| {
            open.meet(next, Reached::new(cost + price, Some((by, step))), best.below, bound);
        });
    }
    Answer { way: best.way, proved: true, least: best.below, opened }
}

impl<P: Problem> Open<P> {
    /// Notes a way to a state, if it is the cheapest so far and may lead on.
    fn meet(
        &mut self,
        state: &dyn Fn() -> Option<P::State>,
        reached: Reached<P::Move>,
        below: Cost,
        bound: &dyn Fn() -> Option<Cost>,
    ) {
        let cost = reached.cost;
        let Some(least) = bound().map(|bound| cost.saturating_add(bound)).filter(|least| *least < below)
        else {
            return;
        };
        let Some(state) = state() else { return };
        let (number, new) = self.table.number(state);
        if new {
            self.reached.push(reached);
        } else if self.reached[number].cost <= cost {
            return;
        } else {
            self.reached[number] = reached;
        }
        let number = u32::try_from(number).expect("a budget is far below 2^32 states");
        self.queue.entry(least).or_default().push((number, cost));
    }

    /// The most promising state, if a way through it may cost less than this, marked as opened.
    fn next(&mut self, below: Cost) -> Option<(usize, P::State, Cost)> {
        loop {
            let mut least = self.queue.first_entry().filter(|least| *least.key() < below)?;
            let Some((number, cost)) = least.get_mut().pop() else {
                least.remove();
                continue;
            };
            let number = number as usize;
            let reached = &mut self.reached[number];
            if reached.cost == cost && !reached.opened {
                reached.opened = true;
                return Some((number, self.table.state(number), cost));
            }
        }
    }

    /// Keeps the way to a state in which nothing is left to do, if it is the cheapest; gives whether no way that leads on
    /// from there is cheaper.
    pub(super) fn ends(&self, problem: &P, (number, cost): (usize, Cost), best: &mut Best<P::Move>) -> bool {
        let rest = problem.rest(self.table.state(number));
        if cost + rest < best.below {
            best.below = cost + rest;
            best.way = Some(Way { cost: best.below, ..self.way(number) });
        }
        rest == 0
    }

    /// Takes an opening back.
    fn put_back(&mut self, problem: &P, number: usize, cost: Cost) {
        self.reached[number].opened = false;
        let bound = problem.bound(self.table.state(number)).unwrap_or(0);
        let waiting = u32::try_from(number).expect("a budget is far below 2^32 states");
        self.queue.entry(cost + bound).or_default().push((waiting, cost));
    }

    /// The most promising states that wait, the best first, at most so many.
    pub(super) fn best(&self, most: usize) -> Vec<(usize, Cost)> {
        let waiting = self.queue.values().flat_map(|same| same.iter().rev());
        waiting
            .map(|(number, cost)| (*number as usize, *cost))
            .filter(|(number, cost)| self.reached[*number].cost == *cost && !self.reached[*number].opened)
            .take(most)
            .collect()
    }

    /// The least that any way can still cost.
    pub(super) fn least(&self) -> Option<Cost> {
        self.queue.iter().find(|(_, same)| !same.is_empty()).map(|(cost, _)| *cost)
    }

    /// The way to a state.
    pub(super) fn way(&self, number: usize) -> Way<P::Move> {
        let mut moves = Vec::new();
        let mut at = number;
        while let Some((before, step)) = self.reached[at].by {
            moves.push(step);
            at = before as usize;
        }
        moves.reverse();
        Way { moves, cost: self.reached[number].cost }
    }
}
