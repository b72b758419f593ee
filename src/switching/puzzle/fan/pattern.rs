//! The bound: the same puzzle with all but a few cars alike.
//!
//! Its states are few enough to be solved from its ends, all of them; every way through the puzzle
//! is a way through it too, so it never needs more moves. The cars that stand deepest in the goal are
//! told apart first: everything else has to wait for them.

use super::Step;
use super::word::Word;
use super::yard::{Change, Yard};
use std::marker::PhantomData;

use crate::switching::search::{Cost, Distances, Problem};

/// A pattern table.
#[derive(Debug)]
pub(super) struct Pattern<W> {
    pub(super) distances: Distances<W>,
    /// What the classes of the puzzle are in the table.
    change: Change,
    /// Whether the table tells all cars apart that the puzzle does.
    pub(super) whole: bool,
}

/// The puzzle, as far as the table sees it.
struct Alike<'a, W>(&'a Yard, PhantomData<W>);

impl<W: Word> Pattern<W> {
    /// A table of at most so many states; none if not even the numbers of cars on tracks fit.
    pub(super) fn new(
        yard: &Yard,
        goal: &[Option<Vec<u8>>],
        cars: &[u8],
        others: u8,
        most: usize,
    ) -> Option<Self> {
        let shapes = shapes(yard, cars.len());
        let kept = kept(goal, cars, shapes, most)?;
        let to: Vec<u8> = (0..=others)
            .map(|class| if class == 0 || kept.contains(&class) { class } else { others })
            .collect();
        let change = yard.change(&to);
        let whole = cars.iter().all(|class| *class == others || kept.contains(class));
        let ends: Vec<W> =
            ends(yard, goal, cars.len(), others).into_iter().map(|end| change.of(end)).collect();
        Some(Pattern { distances: Distances::new(&Alike(yard, PhantomData), &ends), change, whole })
    }

    /// The least number of moves from a state; nothing if no moves lead to an end.
    pub(super) fn bound(&self, state: W) -> Option<Cost> {
        self.distances.of(if self.whole { state } else { self.change.of(state) })
    }
}

impl<W: Word> Problem for Alike<'_, W> {
    type State = W;
    type Move = Step;

    fn moves(&self, state: W, last: Option<Step>, each: &mut impl FnMut(Step, W, Cost)) {
        self.0.moves(state, last, each);
    }

    fn bound(&self, _: W) -> Option<Cost> {
        Some(0)
    }

    fn done(&self, _: W) -> bool {
        false
    }
}

/// In how many ways so many cars can be shared out among lead and tracks.
fn shapes(yard: &Yard, cars: usize) -> usize {
    let mut ways = vec![0_usize; cars + 1];
    ways[0] = 1;
    for stack in std::iter::once(&yard.lead).chain(&yard.tracks) {
        let before = ways.clone();
        for (count, way) in ways.iter_mut().enumerate() {
            let from = count.saturating_sub(stack.room);
            *way = before[from..=count].iter().fold(0, |sum, ways| sum.saturating_add(*ways));
        }
    }
    ways[cars]
}

/// The classes that the table tells apart.
fn kept(goal: &[Option<Vec<u8>>], cars: &[u8], shapes: usize, most: usize) -> Option<Vec<u8>> {
    let mut states = shapes;
    if states > most {
        return None;
    }
    let rows: Vec<&Vec<u8>> = goal.iter().flatten().collect();
    let deepest = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    let mut kept: Vec<u8> = Vec::new();
    let mut left = cars.len();
    for depth in 1..=deepest {
        for row in rows.iter().filter(|row| row.len() >= depth) {
            let class = row[row.len() - depth];
            if kept.contains(&class) {
                continue;
            }
            let alike: usize = cars.iter().map(|car| usize::from(*car == class)).sum();
            states = states.saturating_mul(choices(left, alike));
            if states > most {
                return Some(kept);
            }
            left -= alike;
            kept.push(class);
        }
    }
    Some(kept)
}

/// In how many ways so many places can be chosen of so many.
fn choices(of: usize, places: usize) -> usize {
    (0..places).fold(1_usize, |ways, taken| ways.saturating_mul(of - taken) / (taken + 1))
}

/// Every state in which nothing is left to do: the tracks that the goal leaves open hold all other
/// cars, shared out in any way.
fn ends<W: Word>(yard: &Yard, goal: &[Option<Vec<u8>>], cars: usize, others: u8) -> Vec<W> {
    let named: usize = goal.iter().flatten().map(Vec::len).sum();
    let mut ends = vec![(W::default(), cars - named)];
    for (track, row) in yard.tracks.iter().zip(goal) {
        let mut next = Vec::new();
        for (state, left) in ends {
            if let Some(row) = row {
                next.push((row.iter().rev().fold(state, |state, class| track.put(state, *class)), left));
                continue;
            }
            let mut filled = state;
            next.push((filled, left));
            for count in 1..=left.min(track.room) {
                filled = track.put(filled, others);
                next.push((filled, left - count));
            }
        }
        ends = next;
    }
    ends.into_iter().filter(|(_, left)| *left == 0).map(|(state, _)| state).collect()
}
