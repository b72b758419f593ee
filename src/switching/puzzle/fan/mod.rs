//! The fan-of-sidings puzzle: dead-end tracks of given lengths join one lead, and the cars on them
//! are to be put in order.
//!
//! A **pull** draws cars from the switch end of a track onto the lead, a **push** sets out cars from
//! the lead's switch end into a track; each is one move. Published by A. Wright (about 1978) for
//! tracks of 5, 3 and 3 cars and a lead of 3; the count of moves is that of S. R. Blackburn,
//! "Inglenook Shunting Puzzles", Electronic Journal of Combinatorics 26(2), 2019.
//!
//! A state is packed into one number, a field of bits for each place on each track, those next to
//! the switch lowest. Cars of one letter are alike, and so are all that the goal leaves open. The
//! bound is a [pattern table](pattern).

mod fault;
mod pattern;
mod puzzle;
mod read;
mod word;
mod yard;

use std::collections::BTreeMap;

pub use fault::Fault;
use fault::MOST;
use puzzle::Puzzle;
use read::Said;
use yard::Yard;

use crate::switching::search::{Answer, Cost};

/// Where everything stands.
pub type State = u128;

/// One move: cars from the switch end of a track onto the lead, or back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// From a track, counted from 0, so many cars onto the lead.
    Pull(u8, u8),
    /// Into a track so many cars from the lead.
    Push(u8, u8),
}

/// Most states of a pattern table for one question: more take longer to make than they save.
pub const ONE_QUESTION: usize = 40_000;

/// Most states of a pattern table for thousands of questions: all of the published puzzle's.
pub const MANY_QUESTIONS: usize = 4_000_000;

/// A puzzle, ready to be searched from any start that has its cars.
#[derive(Debug)]
pub struct Fan {
    yard: Yard,
    /// The class of each letter.
    classes: BTreeMap<char, u8>,
    /// The cars of a start, in the order of their letters.
    cars: Vec<char>,
    puzzle: Packed,
}

/// The puzzle in the smallest word that its state fits in.
#[derive(Debug)]
enum Packed {
    One(Puzzle<u64>),
    Two(Puzzle<u128>),
}

impl Fan {
    /// A puzzle: the room of each track and of the lead, a start, and a goal. Rows give the cars of
    /// each track from the switch inward, one letter or digit a car, tracks parted by `/`; in a goal
    /// `*` is a track on which anything may stand. The lead ends empty, and begins so unless a start
    /// names its cars, also from the switch inward, with `:` before the tracks. The pattern table tells
    /// as many cars apart as fit in so many states.
    ///
    /// # Errors
    /// What is wrong with the question.
    pub fn new(tracks: &[usize], lead: usize, start: &str, goal: &str, table: usize) -> Result<Self, Fault> {
        let room = |cars: &usize| (1..=MOST).contains(cars);
        if tracks.is_empty() || !tracks.iter().all(room) || !room(&lead) {
            return Err(Fault::NoTracks);
        }
        let start = read::start(start, lead, tracks)?;
        let goal = read::rows(goal, tracks)?;
        let classes = read::classes(&start, &goal, tracks)?;
        let named: std::collections::BTreeSet<char> = goal.iter().flat_map(Said::cars).copied().collect();
        let others = u8::try_from(named.len() + 1).expect("counted with the classes");
        let yard = Yard::new(tracks, lead, others)?;
        let wanted: Vec<Option<Vec<u8>>> = goal
            .iter()
            .map(|said| match said {
                Said::Cars(cars) => Some(cars.iter().map(|car| classes[car]).collect()),
                Said::Anything => None,
            })
            .collect();
        let mut cars: Vec<char> = start.into_iter().flatten().collect();
        cars.sort_unstable();
        let of_class: Vec<u8> = cars.iter().map(|car| classes[car]).collect();
        let puzzle = if yard.needed <= 64 {
            Packed::One(Puzzle::new(&yard, &wanted, &of_class, others, table))
        } else {
            Packed::Two(Puzzle::new(&yard, &wanted, &of_class, others, table))
        };
        Ok(Fan { yard, classes, cars, puzzle })
    }

    /// A start of this puzzle, packed.
    ///
    /// # Errors
    /// What is wrong with the row.
    pub fn start(&self, row: &str) -> Result<State, Fault> {
        let room: Vec<usize> = self.yard.tracks.iter().map(|track| track.room).collect();
        let rows = read::start(row, self.yard.lead.room, &room)?;
        let mut cars: Vec<char> = rows.iter().flatten().copied().collect();
        cars.sort_unstable();
        if cars != self.cars {
            let odd = cars.iter().chain(&self.cars).find(|car| {
                let times = |all: &[char]| all.iter().filter(|one| one == car).count();
                times(&cars) != times(&self.cars)
            });
            return Err(Fault::Cars(*odd.expect("the rows differ")));
        }
        let rows: Vec<Option<Vec<u8>>> =
            rows.iter().map(|row| Some(row.iter().map(|car| self.classes[car]).collect())).collect();
        Ok(self.yard.filled(&rows[..1], &rows[1..]))
    }

    /// The fewest moves from a start, if so many states are enough to prove them.
    pub fn solve(&self, start: State, states: usize) -> Answer<Step> {
        match &self.puzzle {
            Packed::One(puzzle) => puzzle.solve(start, states),
            Packed::Two(puzzle) => puzzle.solve(start, states),
        }
    }

    /// Every state with its fewest moves, if the pattern table tells all cars apart.
    pub fn all(&self) -> Option<Vec<(State, Cost)>> {
        match &self.puzzle {
            Packed::One(puzzle) => puzzle.all(),
            Packed::Two(puzzle) => puzzle.all(),
        }
    }

    /// How many cars stand on the lead and on each track.
    pub fn shape(&self, state: State) -> Vec<usize> {
        std::iter::once(&self.yard.lead).chain(&self.yard.tracks).map(|stack| stack.count(state)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fewest(tracks: &[usize], lead: usize, start: &str, goal: &str) -> (usize, bool) {
        let fan = Fan::new(tracks, lead, start, goal, ONE_QUESTION).unwrap();
        let answer = fan.solve(fan.start(start).unwrap(), 1_000_000);
        (answer.way.unwrap().moves.len(), answer.proved)
    }

    #[test]
    fn two_cars_change_places() {
        // Track 1 `12`, track 2 empty. Pull 1; push it into 2; pull 2; then 1 must come to the switch
        // end of the lead last: pull it from 2; push both: the lead gives 1 first, so it stands
        // deepest: `21`. 5 moves; with fewer, one of the two never leaves the other's side.
        assert_eq!(fewest(&[2, 1], 2, "12/", "21/"), (5, true));
    }

    #[test]
    fn nothing_to_do_takes_no_move() {
        assert_eq!(fewest(&[2, 1], 2, "12/", "12/*"), (0, true));
    }

    #[test]
    fn a_published_instance_takes_as_many_moves() {
        // A. Palm's table of the published puzzle gives 15 for this start.
        assert_eq!(fewest(&[5, 3, 3], 3, "57218/346/", "12345/678/"), (15, true));
    }

    #[test]
    fn what_cannot_be_reached_has_no_way() {
        // One track and its lead never change the order of cars.
        let fan = Fan::new(&[3], 3, "12", "21", ONE_QUESTION).unwrap();
        let answer = fan.solve(fan.start("12").unwrap(), 1000);
        assert!(answer.way.is_none() && answer.proved);
    }

    #[test]
    fn a_spent_budget_gives_a_way_that_is_not_proved() {
        let fan = Fan::new(&[5, 3, 3], 3, "21438/765/", "12345/678/", ONE_QUESTION).unwrap();
        let start = fan.start("21438/765/").unwrap();
        let answer = fan.solve(start, 3000);
        let way = answer.way.expect("the beam comes to an end");
        assert!(!answer.proved && way.moves.len() >= 20 && answer.opened < 6100);
    }

    #[test]
    fn questions_with_a_fault_are_refused() {
        let fault =
            |tracks: &[usize], lead, start, goal| Fan::new(tracks, lead, start, goal, 10).unwrap_err();
        assert_eq!(fault(&[], 3, "", ""), Fault::NoTracks);
        assert_eq!(fault(&[2], 1, "1/2", "12"), Fault::Tracks { row: "1/2".into(), expected: 1, found: 2 });
        assert_eq!(fault(&[2], 1, "123", "*"), Fault::Room { track: 1, room: 2, cars: "123".into() });
        assert_eq!(fault(&[2], 1, "1-", "*"), Fault::Letter('-'));
        assert_eq!(fault(&[2], 1, "*", "*"), Fault::Open);
        assert_eq!(fault(&[2], 1, "12", "13"), Fault::Cars('3'));
        assert_eq!(fault(&[2], 1, "12", "1"), Fault::Nowhere(1));
        assert!(matches!(fault(&[60, 60], 60, "12/", "*/*"), Fault::TooLarge(180)));
    }
}
