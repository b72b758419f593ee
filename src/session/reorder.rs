//! Another order of the calls at a yard, in which all that comes finds room.
//!
//! One call moved before another is tried first, nearest to where the room ran out; then whole
//! orders, those that take cars away first, up to a fixed number of steps. Calls that must follow
//! each other stay so: those of one job, jobs that wait for others, cars that one job leaves for
//! another. Complexity: O(n³) for n calls at the yard, and at most [`STEPS`] steps more.

use super::course::{Course, Load};

/// How many steps the search of whole orders may take.
const STEPS: usize = 4000;

/// An order that works.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Reorder {
    /// The changes of the course by their numbers, in the new order.
    pub(super) order: Vec<usize>,
    /// Where only one, with those that it must follow, goes ahead of another: these and the other.
    pub(super) ahead: Option<(Vec<usize>, usize)>,
    /// The cars that stand there after each.
    pub(super) cars: Vec<i64>,
}

/// Finds an order in which no more than so many inches stand there after any call.
///
/// `first` tells whether one change must come before another.
pub(super) fn reorder(course: &Course, room: i64, first: &impl Fn(usize, usize) -> bool) -> Option<Reorder> {
    let all = course.changes.len();
    let over = course.stands().position(|stands| stands.inches > room)?;
    for target in (0..=over).rev() {
        for mover in over + 1..all {
            if loads(course, mover).inches >= 0 {
                continue;
            }
            if let Some((moved, order)) = ahead(all, target, mover, first)
                && let Some(cars) = fits(course, room, &order)
            {
                return Some(Reorder { order, ahead: Some((moved, target)), cars });
            }
        }
    }
    let mut whole = Whole { course, room, first, steps: STEPS, order: Vec::new() };
    let order = whole.search(course.start).then_some(whole.order)?;
    let cars = fits(course, room, &order)?;
    Some(Reorder { order, ahead: None, cars })
}

fn loads(course: &Course, change: usize) -> Load {
    course.changes[change].net.plus(course.changes[change].refused)
}

/// The order in which one change, with those between that it must follow, goes before another.
fn ahead(
    all: usize,
    target: usize,
    mover: usize,
    first: &impl Fn(usize, usize) -> bool,
) -> Option<(Vec<usize>, Vec<usize>)> {
    let goes = |change: &usize| *change == mover || *change < mover && first(*change, mover);
    let moved: Vec<usize> = (target..=mover).filter(goes).collect();
    if moved.contains(&target) {
        return None;
    }
    let stays = (target..=mover).filter(|change| !moved.contains(change));
    let order: Vec<usize> =
        (0..target).chain(moved.iter().copied()).chain(stays).chain(mover + 1..all).collect();
    in_order(&order, first).then_some((moved, order))
}

fn in_order(order: &[usize], first: &impl Fn(usize, usize) -> bool) -> bool {
    order.iter().enumerate().all(|(at, later)| order[..at].iter().all(|earlier| !first(*later, *earlier)))
}

/// The cars after each change in an order, if it fits.
fn fits(course: &Course, room: i64, order: &[usize]) -> Option<Vec<i64>> {
    let mut stands = course.start;
    let mut cars = Vec::with_capacity(order.len());
    for change in order {
        stands = stands.plus(loads(course, *change));
        cars.push(stands.cars);
        if stands.inches > room {
            return None;
        }
    }
    Some(cars)
}

struct Whole<'c, F> {
    course: &'c Course,
    room: i64,
    first: &'c F,
    steps: usize,
    order: Vec<usize>,
}

impl<F: Fn(usize, usize) -> bool> Whole<'_, F> {
    fn search(&mut self, stands: Load) -> bool {
        let all = self.course.changes.len();
        if self.order.len() == all {
            return true;
        }
        let open: Vec<usize> = (0..all).filter(|change| !self.order.contains(change)).collect();
        let mut free: Vec<usize> = open
            .iter()
            .copied()
            .filter(|change| !open.iter().any(|other| (self.first)(*other, *change)))
            .collect();
        free.sort_by_key(|change| (loads(self.course, *change).inches, *change));
        for change in free {
            if self.steps == 0 {
                return false;
            }
            self.steps -= 1;
            let then = stands.plus(loads(self.course, change));
            if then.inches > self.room {
                return false; // the others bring more still
            }
            self.order.push(change);
            if self.search(then) {
                return true;
            }
            self.order.pop();
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::super::course::Change;
    use super::*;
    use crate::ids::{CallIx, Ix};

    /// Cars of one inch: what each call brings or takes.
    fn course(start: i64, nets: &[i64]) -> Course {
        let load = |cars| Load { cars, inches: cars };
        let change =
            |(at, net): (usize, &i64)| Change { call: CallIx::new(at), net: load(*net), refused: load(0) };
        Course { start: load(start), changes: nets.iter().enumerate().map(change).collect() }
    }

    #[test]
    fn the_train_that_takes_cars_goes_before_the_one_for_which_there_is_no_room() {
        let found = reorder(&course(26, &[12, 10, -8]), 40, &|_, _| false).unwrap();
        assert_eq!((found.ahead, found.cars), (Some((vec![2], 1)), vec![38, 30, 40]));
    }

    #[test]
    fn what_must_follow_goes_along_and_what_comes_first_stays_first() {
        // The last call must follow the one before it, which brings a car: 26 + 1 - 9 = 18, 30, 40.
        let follows = |one: usize, other: usize| (one, other) == (2, 3);
        let found = reorder(&course(26, &[12, 10, 1, -9]), 40, &follows).unwrap();
        assert_eq!((found.order, found.cars), (vec![0, 2, 3, 1], vec![38, 39, 30, 40]));
        let never = |one: usize, other: usize| one < other;
        assert_eq!(reorder(&course(26, &[12, 10, -8]), 40, &never), None);
    }

    #[test]
    fn where_one_move_is_not_enough_the_whole_order_is_told() {
        // 9 of 10, then two come and two go, twice: each must wait for the one that goes.
        let found = reorder(&course(9, &[2, 2, -2, -2]), 9, &|_, _| false).unwrap();
        assert_eq!(found.ahead, None);
        assert_eq!(found.cars, [7, 5, 7, 9]);
    }

    #[test]
    fn where_more_comes_than_there_is_room_for_no_order_works() {
        assert_eq!(reorder(&course(26, &[12, 10, -7]), 40, &|_, _| false), None);
    }
}
