//! Distances from everywhere to the nearest end, where every move can be taken back.
//!
//! Breadth first from the ends. Over all states it answers every question at once; over states in
//! which only some of the cars are told apart it is a bound on the others, a pattern table (J. C.
//! Culberson, J. Schaeffer, "Pattern databases", 1998; from memory).

use super::table::Table;
use super::{Cost, Key, Problem};

/// How far states are from the nearest end, a move being one.
#[derive(Clone, Debug)]
pub struct Distances<S> {
    table: Table<S>,
    steps: Vec<u8>,
}

impl<S: Key> Distances<S> {
    /// From these ends, as far as moves lead.
    ///
    /// # Complexity
    /// Each state that is met is opened once.
    ///
    /// # Panics
    /// When a state is more than 255 moves away.
    pub fn new<P: Problem<State = S>>(problem: &P, ends: &[S]) -> Self {
        let mut distances = Distances { table: Table::new(), steps: Vec::new() };
        for end in ends {
            if distances.table.number(*end).1 {
                distances.steps.push(0);
            }
        }
        let mut by: Vec<Option<P::Move>> = vec![None; distances.table.len()];
        let mut at = 0;
        while at < distances.table.len() {
            let state = distances.table.state(at);
            let steps = distances.steps[at].checked_add(1).expect("a puzzle of tracks is not that deep");
            problem.moves(state, by[at], &mut |step, next, _| {
                if distances.table.number(next).1 {
                    by.push(Some(step));
                    distances.steps.push(steps);
                }
            });
            at += 1;
        }
        distances
    }

    /// How far a state is from the nearest end; nothing if no moves lead there.
    pub fn of(&self, state: S) -> Option<Cost> {
        self.table.find(state).map(|number| Cost::from(self.steps[number]))
    }

    /// Every state with its distance.
    pub fn all(&self) -> impl Iterator<Item = (S, Cost)> + '_ {
        self.steps.iter().enumerate().map(|(number, steps)| (self.table.state(number), Cost::from(*steps)))
    }

    /// How many states there are.
    pub const fn len(&self) -> usize {
        self.table.len()
    }

    /// Whether there are none.
    pub const fn is_empty(&self) -> bool {
        self.table.len() == 0
    }
}
