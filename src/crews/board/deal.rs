//! Jobs dealt out one by one, and then bettered by moves and swaps.

use super::{Ahead, Board, Hands, Score, Table, choices, score};

/// The most times that all moves and swaps are tried.
const ROUNDS: u32 = 12;

/// Gives each job, in order, to those who are free first; among them to those with the least to do.
pub(super) fn deal(board: &Board, ahead: &Ahead) -> Vec<Hands> {
    let mut table = Table::new(board);
    let mut dealt = Vec::with_capacity(board.jobs.len());
    if board.people == 0 {
        return dealt;
    }
    for place in 0..board.jobs.len() {
        let mut people: Vec<usize> = (0..board.people).collect();
        people.sort_by_key(|person| (table.people[*person].free, table.people[*person].load, *person));
        let hands = match people.get(1).filter(|_| board.jobs[place].crew > 1) {
            Some(second) => (people[0].min(*second), Some(people[0].max(*second))),
            None => (people[0], None),
        };
        table.give(board, ahead, hands);
        dealt.push(hands);
    }
    dealt
}

/// Gives jobs to others, and swaps them between people, as long as that is better.
pub(super) fn improved(board: &Board, ahead: &Ahead, dealt: Vec<Hands>) -> (Vec<Hands>, Score) {
    let mut hands = dealt;
    let mut best = score(board, ahead, &hands);
    for _ in 0..ROUNDS {
        let before = best;
        for place in 0..hands.len() {
            for choice in choices(board, place) {
                let kept = std::mem::replace(&mut hands[place], choice);
                let other = score(board, ahead, &hands);
                if other < best {
                    best = other;
                } else {
                    hands[place] = kept;
                }
            }
            for other_place in 0..place {
                if board.jobs[place].crew != board.jobs[other_place].crew {
                    continue;
                }
                hands.swap(place, other_place);
                let other = score(board, ahead, &hands);
                if other < best {
                    best = other;
                } else {
                    hands.swap(place, other_place);
                }
            }
        }
        if best == before {
            break;
        }
    }
    (hands, best)
}
