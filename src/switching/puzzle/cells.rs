//! The lead-and-loop puzzle: a locomotive among cars on any plan of tracks and turnouts, a run-around
//! among them.
//!
//! A **cell** holds one vehicle. A turnout is one cell long; it is a cell of its own for each of its
//! legs, of which at most one is occupied. A **run** is one start of the locomotive: it goes any
//! distance one way with the vehicles that touch it, as many of those behind it as it likes and all of those
//! ahead, pushes along what it meets, and stops. Nothing may be left standing on a turnout. The
//! runs are counted, as in the published form of the puzzle by J. Allen (Model Railroader, November
//! 1972) in which a move is counted each time the locomotive starts.
//!
//! A state is the cells of all vehicles, the locomotive's first; cars with the same goal are alike,
//! and stand in the order of their cells.

use crate::switching::search::{Answer, Budget, Cost, Problem, search};

/// The most vehicles: their cells must fit into the packed state.
const VEHICLES: usize = 16;

/// The most cells: what stands where must fit into a word.
const CELLS: usize = 64;

/// A plan of tracks.
#[derive(Clone, Debug)]
pub struct Cells {
    /// The cells that are turnouts.
    turnouts: u64,
    /// For each cell the other legs of its turnout.
    legs: Vec<u64>,
    /// The cells that a vehicle can go on to, to the left and to the right.
    beside: [Vec<Vec<usize>>; 2],
}

/// A puzzle on a plan.
#[derive(Clone, Debug)]
pub struct Loop<'a> {
    cells: &'a Cells,
    /// For each vehicle, the locomotive first, where it may stand at the end; nothing for anywhere.
    goals: Vec<Option<u64>>,
    /// Groups of vehicles that are alike, each as its numbers.
    alike: Vec<Vec<usize>>,
}

/// Which way a run goes, as a place in the two lists of cells beside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// To the left.
    Left = 0,
    /// To the right.
    Right = 1,
}

/// What stands where while a run is made.
#[derive(Clone, Copy)]
struct Run {
    /// The cells where a vehicle stands.
    taken: u64,
    /// By vehicle, its cell.
    at: [u8; VEHICLES],
    /// The vehicles of the train, from its hindmost, and how many they are.
    train: [u8; VEHICLES],
    length: usize,
}

impl Cells {
    /// Cells with the turnout of each, and which lie beside each other, the left one first.
    ///
    /// # Panics
    /// When a cell beside another is not there, or there are more than 64.
    pub fn new(turnouts: &[Option<usize>], rightward: &[(usize, usize)]) -> Self {
        assert!(turnouts.len() <= CELLS, "a plan of more cells than are in a word");
        let mut beside = [vec![Vec::new(); turnouts.len()], vec![Vec::new(); turnouts.len()]];
        for (left, right) in rightward {
            beside[Side::Right as usize][*left].push(*right);
            beside[Side::Left as usize][*right].push(*left);
        }
        let legs = turnouts.iter().enumerate().map(|(cell, turnout)| {
            let others = (0..turnouts.len()).filter(|other| *other != cell && turnouts[*other] == *turnout);
            others.filter(|_| turnout.is_some()).fold(0, |legs, other| legs | 1 << other)
        });
        let legs = legs.collect();
        let all = (0..turnouts.len()).filter(|cell| turnouts[*cell].is_some());
        Cells { turnouts: all.fold(0, |cells, cell| cells | 1 << cell), legs, beside }
    }
}

impl<'a> Loop<'a> {
    /// A puzzle: where each vehicle may stand at the end, the locomotive first; nothing for anywhere.
    /// Nothing, if there are more vehicles
    /// than fit into a state.
    pub fn new(cells: &'a Cells, goals: &[Option<Vec<usize>>]) -> Option<Self> {
        if goals.is_empty() || goals.len() > VEHICLES {
            return None;
        }
        let any = |goal: &Vec<usize>| goal.iter().fold(0, |cells, cell| cells | 1 << cell);
        let goals: Vec<Option<u64>> = goals.iter().map(|goal| goal.as_ref().map(any)).collect();
        let mut alike: Vec<Vec<usize>> = Vec::new();
        for vehicle in 1..goals.len() {
            match alike.iter_mut().find(|group| goals[group[0]] == goals[vehicle]) {
                Some(group) => group.push(vehicle),
                None => alike.push(vec![vehicle]),
            }
        }
        alike.retain(|group| group.len() > 1);
        Some(Loop { cells, goals, alike })
    }

    /// The fewest runs from where the vehicles stand.
    pub fn solve(&self, at: &[usize], states: usize) -> Answer<Side> {
        let mut cells = [0; VEHICLES];
        for (vehicle, cell) in at.iter().enumerate() {
            cells[vehicle] = byte(*cell);
        }
        search(self, self.pack(&cells), Budget::states(states))
    }

    fn pack(&self, at: &[u8; VEHICLES]) -> u128 {
        let mut sorted = *at;
        for group in &self.alike {
            // A few at most: sorted by exchanging neighbours.
            for last in (1..group.len()).rev() {
                for (one, next) in group[..=last].iter().zip(&group[1..=last]) {
                    if sorted[*one] > sorted[*next] {
                        sorted.swap(*one, *next);
                    }
                }
            }
        }
        u128::from_le_bytes(sorted)
    }

    /// The vehicles that touch each other on one side of the locomotive, from it outwards.
    fn touching(&self, at: &[u8], side: Side) -> ([u8; VEHICLES], usize) {
        let (mut found, mut count) = ([0; VEHICLES], 0);
        let mut cell = usize::from(at[0]);
        loop {
            let mut next = self.cells.beside[side as usize][cell].iter();
            let Some((vehicle, to)) = next.find_map(|next| Some((vehicle_at(at, *next)?, *next))) else {
                return (found, count);
            };
            found[count] = vehicle;
            count += 1;
            cell = to;
        }
    }

    /// Every run of one train to one side, from its start to wherever it may stop.
    fn go_on(&self, run: &Run, side: Side, each: &mut impl FnMut(Side, u128, Cost)) {
        let front = usize::from(run.at[usize::from(run.train[run.length - 1])]);
        for next in &self.cells.beside[side as usize][front] {
            let mut moved = *run;
            if run.taken & (1 << next) != 0 {
                // Something stands there: it is pushed along from now on.
                moved.train[run.length] = vehicle_at(&run.at[..self.goals.len()], *next).expect("taken");
                moved.length += 1;
                self.go_on(&moved, side, each);
            } else if run.taken & self.cells.legs[*next] == 0 {
                let mut to = byte(*next);
                for vehicle in run.train[..run.length].iter().rev() {
                    to = std::mem::replace(&mut moved.at[usize::from(*vehicle)], to);
                }
                moved.taken = run.taken & !(1 << to) | 1 << next;
                each(side, self.pack(&moved.at), 1);
                self.go_on(&moved, side, each);
            }
        }
    }
}

fn byte(cell: usize) -> u8 {
    u8::try_from(cell).expect("checked: at most 64 cells")
}

fn vehicle_at(at: &[u8], cell: usize) -> Option<u8> {
    at.iter().zip(0..).find(|(on, _)| usize::from(**on) == cell).map(|(_, vehicle)| vehicle)
}

impl Problem for Loop<'_> {
    type State = u128;
    type Move = Side;

    fn moves(&self, state: u128, _: Option<Side>, each: &mut impl FnMut(Side, u128, Cost)) {
        let at = state.to_le_bytes();
        let vehicles = &at[..self.goals.len()];
        let taken = vehicles.iter().fold(0, |taken, cell| taken | 1 << cell);
        for (side, other) in [(Side::Left, Side::Right), (Side::Right, Side::Left)] {
            let (ahead, before) = self.touching(vehicles, side);
            let (behind, after) = self.touching(vehicles, other);
            for count in 0..=after {
                let mut run = Run { taken, at, train: [0; VEHICLES], length: count + 1 + before };
                for (place, vehicle) in behind[..count].iter().rev().enumerate() {
                    run.train[place] = *vehicle;
                }
                run.train[count + 1..run.length].copy_from_slice(&ahead[..before]);
                let train = run.train[..run.length].iter();
                let moving = train.fold(0, |cells, vehicle| cells | 1 << at[usize::from(*vehicle)]);
                if taken & !moving & self.cells.turnouts == 0 {
                    self.go_on(&run, side, each);
                }
            }
        }
    }

    fn bound(&self, state: u128) -> Option<Cost> {
        Some(Cost::from(!self.done(state)))
    }

    fn done(&self, state: u128) -> bool {
        let at = state.to_le_bytes();
        at.iter().zip(&self.goals).all(|(cell, goal)| goal.is_none_or(|goal| goal & (1 << cell) != 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `0 1 2 t 5 6` with a spur `t 3 4`: turnout t has the legs 7 (straight) and 8 (spur).
    fn spur() -> Cells {
        let mut turnouts = vec![None; 9];
        turnouts[7] = Some(0);
        turnouts[8] = Some(0);
        Cells::new(&turnouts, &[(0, 1), (1, 2), (2, 7), (7, 5), (5, 6), (2, 8), (8, 3), (3, 4)])
    }

    #[test]
    fn a_car_ahead_is_shoved_into_the_spur_in_one_run() {
        let cells = spur();
        let puzzle = Loop::new(&cells, &[None, Some(vec![3, 4])]).unwrap();
        let answer = puzzle.solve(&[0, 1], 1000);
        assert_eq!(answer.way.unwrap().moves, [Side::Right]);
        assert!(answer.proved);
    }

    #[test]
    fn a_car_behind_cannot_be_shoved_without_a_run_around() {
        // The car stands between the end of the track and the engine, and nothing leads round: the
        // engine can draw it into the spur, but is then at the buffer itself.
        let cells = spur();
        let puzzle = Loop::new(&cells, &[None, Some(vec![4])]).unwrap();
        let answer = puzzle.solve(&[2, 1], 10_000);
        assert!(answer.way.is_none() && answer.proved);
    }

    #[test]
    fn the_car_farther_off_is_set_out_by_three_runs_around_the_nearer() {
        // Engine 0, cars 1 2: the nearer (1) is wanted in the spur, the farther (2) at 5 or 6. Shove
        // both over the turnout to 5 and 6 at the most … the farther is left at 6, the nearer drawn
        // back and shoved into the spur: 3 runs.
        let cells = spur();
        let puzzle = Loop::new(&cells, &[None, Some(vec![3, 4]), Some(vec![5, 6])]).unwrap();
        let answer = puzzle.solve(&[0, 1, 2], 10_000);
        assert_eq!(answer.way.unwrap().moves, [Side::Right, Side::Left, Side::Right]);
    }
}
