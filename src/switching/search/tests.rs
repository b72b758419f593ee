//! The search on a toy: a number that is to become nothing by steps of different price.

use super::*;

/// From a number, one down for 2, halved (if even) for 3; nothing is left to do at 0.
struct Down {
    /// How much of the distance the bound sees, in percent.
    sees: u32,
    /// Up to this number nothing is left to do, but it costs its own amount.
    ends: u64,
}

impl Problem for Down {
    type State = u64;
    type Move = char;

    fn moves(&self, state: u64, _: Option<char>, each: &mut impl FnMut(char, u64, Cost)) {
        if state.is_multiple_of(2) {
            each('h', state / 2, 3);
        }
        each('d', state - 1, 2);
    }

    /// Halving is the most that a move can do: as many moves at 2 as there are binary digits.
    fn bound(&self, state: u64) -> Option<Cost> {
        Some((u64::BITS - state.leading_zeros()) * 2 * self.sees / 100)
    }

    fn rest(&self, done: u64) -> Cost {
        Cost::try_from(done).unwrap()
    }

    fn done(&self, state: u64) -> bool {
        state <= self.ends
    }
}

/// The same by trying everything from below: the cheapest way from each number.
fn cheapest(to: u64, ends: u64) -> Vec<Cost> {
    let mut costs: Vec<Cost> = vec![0];
    for number in 1..=to {
        let at = |number: u64| costs[usize::try_from(number).unwrap()];
        let halved = if number % 2 == 0 { at(number / 2) + 3 } else { Cost::MAX };
        let end = if number <= ends { Cost::try_from(number).unwrap() } else { Cost::MAX };
        costs.push(halved.min(at(number - 1) + 2).min(end));
    }
    costs
}

#[test]
fn the_cheapest_way_is_found_with_any_bound() {
    let costs = cheapest(300, 0);
    for (from, cost) in (0..).zip(&costs) {
        for sees in [0, 50, 100] {
            let answer = search(&Down { sees, ends: 0 }, from, Budget::states(10_000));
            assert!(answer.proved);
            assert_eq!(answer.way.unwrap().cost, *cost, "from {from}, bound {sees}");
        }
    }
}

#[test]
fn what_the_end_costs_besides_counts() {
    // From 12 with ends up to 5: h to 6, then d to 5, which costs 5: 10; or h h to 3, which costs 3: 9.
    assert_eq!(cheapest(12, 5)[12], 9);
    for ends in [1, 5, 40] {
        for (from, cost) in (0..).zip(cheapest(300, ends)) {
            for sees in [0, 25] {
                let answer = search(&Down { sees, ends }, from, Budget::states(10_000));
                assert!(answer.proved && answer.least == cost);
                assert_eq!(answer.way.unwrap().cost, cost, "from {from}, ends up to {ends}");
            }
        }
    }
}

#[test]
fn a_way_that_costs_too_much_is_no_way() {
    // 6 = h 3, d 2, h 1, d 0: 3 + 2 + 3 + 2 = 10, but 3 d d d = 3 + 6 = 9.
    let ask = |below| search(&Down { sees: 100, ends: 0 }, 6, Budget { below, ..Budget::states(100) });
    assert_eq!(ask(10).way.unwrap().cost, 9);
    let none = ask(9);
    assert!(none.way.is_none() && none.proved);
}

#[test]
fn a_spent_budget_proves_nothing_but_finds_a_way() {
    let answer = search(&Down { sees: 100, ends: 0 }, 1_000, Budget::states(40));
    let way = answer.way.expect("the beam comes down");
    assert!(!answer.proved);
    assert!(way.cost >= cheapest(1_000, 0)[1_000]);
}

#[test]
fn states_are_told_apart_and_found_again_however_many() {
    let mut table = table::Table::new();
    for round in 0..2 {
        for state in 0..20_000_u64 {
            assert_eq!(table.number(state * 3), (usize::try_from(state).unwrap(), round == 0));
        }
    }
    assert_eq!((table.find(3), table.find(4), table.len()), (Some(1), None, 20_000));
}

#[test]
fn hashes_are_the_same_everywhere() {
    // 1 ^ (1 >> 29) = 1, times the spread.
    assert_eq!(1_u64.hash(), 0x9E37_79B9_7F4A_7C15);
    assert_eq!([1_u64].hash(), 1_u64.hash());
    assert_ne!([1_u64, 2].hash(), [2_u64, 1].hash());
    assert_ne!((1_u128 << 64).hash(), 1_u128.hash());
}

/// The same for a search that is told what the rest costs, though its bound sees nothing.
struct Led(Vec<Cost>);

impl Problem for Led {
    type State = u64;
    type Move = char;

    fn moves(&self, state: u64, last: Option<char>, each: &mut impl FnMut(char, u64, Cost)) {
        Down { sees: 0, ends: 0 }.moves(state, last, each);
    }

    fn guessed_moves(
        &self,
        state: u64,
        last: Option<char>,
        each: &mut impl FnMut(char, Cost, Guess, &dyn Fn() -> Option<u64>),
    ) {
        self.moves(state, last, &mut |step, next, price| {
            let likely = self.0[usize::try_from(next).unwrap()] * PARTS;
            each(step, price, Guess { least: 0, likely }, &|| Some(next));
        });
    }

    fn bound(&self, _: u64) -> Option<Cost> {
        Some(0)
    }

    fn done(&self, state: u64) -> bool {
        state == 0
    }
}

#[test]
fn what_is_likely_says_which_states_are_followed() {
    let costs = cheapest(1_000, 0);
    let budget = Budget { prove: 0, follow: 200, below: Cost::MAX };
    for (from, cost) in (700_u64..).zip(&costs[700..]) {
        let led = search(&Led(costs.clone()), from, budget).way.unwrap();
        assert_eq!(led.cost, *cost, "from {from}");
        // Without it only a way that costs more, or as much, is come upon.
        let blind = search(&Down { sees: 0, ends: 0 }, from, budget).way;
        assert!(blind.is_none_or(|way| way.cost >= led.cost));
    }
}
