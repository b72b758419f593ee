//! Jobs dealt out one by one, and then bettered by moves and swaps.

use super::table::Table;
use super::{Ahead, Board, Hands, Score, choices, score};

/// The most times that all moves and swaps are tried.
const ROUNDS: u32 = 12;

/// Gives each job, in order, to those who are free first; among them to those with the least to do.
pub(super) fn deal(board: &Board, ahead: &Ahead) -> Vec<Hands> {
    let mut table = Table::new(board, ahead);
    if board.people == 0 {
        return Vec::new();
    }
    for place in 0..board.jobs.len() {
        let mut people: Vec<usize> = (0..board.people).collect();
        people.sort_by_key(|person| (table.people()[*person].free, table.people()[*person].load, *person));
        let hands = match people.get(1).filter(|_| board.jobs[place].crew > 1) {
            Some(second) => (people[0].min(*second), Some(people[0].max(*second))),
            None => (people[0], None),
        };
        table.give(hands);
    }
    table.hands()
}

/// Gives jobs to others, and swaps them between people, as long as that is better.
pub(super) fn improved(board: &Board, ahead: &Ahead, dealt: Vec<Hands>) -> (Vec<Hands>, Score) {
    let mut hands = dealt;
    let mut best = score(board, ahead, &hands);
    let mut table = Table::new(board, ahead);
    for _ in 0..ROUNDS {
        let before = best;
        for place in 0..hands.len() {
            for choice in choices(board, place) {
                let kept = std::mem::replace(&mut hands[place], choice);
                match better(&mut table, place, &hands, best) {
                    Some(other) => best = other,
                    None => hands[place] = kept,
                }
            }
            for other_place in 0..place {
                if board.jobs[place].crew != board.jobs[other_place].crew {
                    continue;
                }
                hands.swap(place, other_place);
                match better(&mut table, other_place, &hands, best) {
                    Some(other) => best = other,
                    None => hands.swap(place, other_place),
                }
            }
        }
        if best == before {
            break;
        }
    }
    (hands, best)
}

/// What an assignment is worth if that is less than the best. The table agrees with the hands before the first
/// that changed; afterwards with all of them if it is less, and else with those before.
fn better(table: &mut Table<'_>, changed: usize, hands: &[Hands], best: Score) -> Option<Score> {
    table.take_back(changed);
    for given in &hands[table.dealt()..] {
        table.give(*given);
        if table.late_and_short() > (best.late, best.short) {
            break;
        }
    }
    let score = Some(table.score()).filter(|score| table.dealt() == hands.len() && *score < best);
    if score.is_none() {
        table.take_back(changed);
    }
    score
}
