//! Sets: orders that came due together get their cars together.
//!
//! When a young set has cars for some of its orders and not for the others, it waits as a whole, and its
//! cars are free for other orders tonight. One that has waited long enough goes piece by piece, and so
//! does one that is larger than its customers hold.

use std::collections::BTreeMap;

use super::fits::room_for;
use super::wishes::{load_spots, unload_spots};
use crate::ids::LaneIx;
use crate::layout::Layout;
use crate::standing::Order;

/// How many sessions a set waits to go as a whole.
const PATIENCE: i32 = 2;

/// How often cars are given out again because a set was not whole. After that, a set that is still not
/// whole waits, and its cars with it.
const ROUNDS: u32 = 4;

/// The cars of the cheapest assignment in which every young set is whole or has none, and for each row
/// whether it waits for its set. `of_row` is each row's order among all, `assign` gives the cheapest
/// assignment in which the rows that wait have no car.
pub(super) fn assign_whole(
    layout: &Layout,
    orders: &[Order],
    of_row: &[usize],
    session: i32,
    assign: impl Fn(&[bool]) -> Vec<Option<usize>>,
) -> (Vec<Option<usize>>, Vec<bool>) {
    let mut waits = vec![false; of_row.len()];
    let sets = young_sets(layout, orders, of_row, session);
    let mut round = 0;
    loop {
        let mut assigned = assign(&waits);
        let broken = sets.iter().filter(|set| {
            let filled = set.rows.iter().filter(|row| assigned[**row].is_some()).count();
            filled > 0 && filled < set.open
        });
        let broken: Vec<usize> = broken.flat_map(|set| set.rows.iter().copied()).collect();
        for row in &broken {
            waits[*row] = true;
        }
        round += 1;
        if broken.is_empty() || round == ROUNDS {
            for row in broken {
                assigned[row] = None;
            }
            return (assigned, waits);
        }
    }
}

/// Orders of a set that have no car, and those of them that may have one tonight.
#[derive(Default)]
struct Set {
    open: usize,
    rows: Vec<usize>,
}

fn young_sets(layout: &Layout, orders: &[Order], of_row: &[usize], session: i32) -> Vec<Set> {
    let mut sets: BTreeMap<(LaneIx, u32), Set> = BTreeMap::new();
    for order in orders.iter().filter(|order| order.car.is_none()) {
        let lane = &layout.lanes()[order.lane];
        let holds = |spots| room_for(layout, spots).count() * 2;
        let ends = [load_spots(layout, lane), unload_spots(layout, lane)];
        let fits = || ends.into_iter().all(|spots| spots.is_empty() || lane.together <= holds(spots));
        if lane.together > 1 && session - order.due < PATIENCE && fits() {
            sets.entry((order.lane, order.set)).or_default().open += 1;
        }
    }
    for (row, order) in of_row.iter().enumerate() {
        if let Some(set) = sets.get_mut(&(orders[*order].lane, orders[*order].set)) {
            set.rows.push(row);
        }
    }
    sets.into_values().collect()
}
