//! All assignments, by branch and bound.
//!
//! The jobs are given out in their order; at each the choices that end earliest come first. A branch
//! is left when nothing in it can be better than the best so far: its lateness can only grow, the busiest
//! cannot get less to do, and the work that is left must be done by somebody. People of whom nothing
//! tells one from another count as one.

use super::{Ahead, Board, Dealt, Hands, Score, Table, choices};

/// The search and what it knows.
struct Search<'a> {
    board: &'a Board,
    ahead: &'a Ahead,
    choices: Vec<Vec<Hands>>,
    /// By job: the minutes of it and all after it, each worked by as many as it takes.
    full: Vec<u32>,
    /// By job: the same, each worked by one.
    alone: Vec<u32>,
    /// By job: how long it takes at least from its beginning until all that wait for it are done.
    tails: Vec<u32>,
    best: Vec<Hands>,
    score: Score,
    left: u32,
}

/// Looks for the best assignment, beginning with one that is known.
pub(super) fn search(board: &Board, ahead: &Ahead, known: (Vec<Hands>, Score), budget: u32) -> Dealt {
    let (best, score) = known;
    let rest = |crew: &dyn Fn(usize) -> u32| -> Vec<u32> {
        let mut sums = vec![0; board.jobs.len() + 1];
        for place in (0..board.jobs.len()).rev() {
            sums[place] = sums[place + 1] + ahead.minutes[place] * crew(place);
        }
        sums
    };
    let people = u32::try_from(board.people).unwrap_or(u32::MAX);
    let full = rest(&|place| board.jobs[place].crew.clamp(1, people.max(1)));
    let alone = rest(&|_| 1);
    let choices = (0..board.jobs.len()).map(|job| choices(board, job)).collect();
    let tails = tails(board, ahead);
    let mut search = Search { board, ahead, choices, full, alone, tails, best, score, left: budget };
    let ended = board.people == 0 || search.branch(&Table::new(board), &mut Vec::new());
    Dealt { hands: search.best, score: search.score, proved: ended }
}

/// How long each job and what waits for its end take at least.
fn tails(board: &Board, ahead: &Ahead) -> Vec<u32> {
    let mut after = vec![0; board.jobs.len()];
    let mut tails = vec![0; board.jobs.len()];
    for place in (0..board.jobs.len()).rev() {
        tails[place] = ahead.minutes[place] + after[place];
        for before in &ahead.jobs[place] {
            after[*before] = after[*before].max(tails[place]);
        }
    }
    tails
}

impl Search<'_> {
    /// Goes through everything below; whether it came to its end.
    fn branch(&mut self, table: &Table, hands: &mut Vec<Hands>) -> bool {
        let place = hands.len();
        if place == self.board.jobs.len() {
            let score = table.score(self.board);
            if score < self.score {
                (self.score, self.best) = (score, hands.clone());
            }
            return true;
        }
        let mut next: Vec<(Score, u32, Hands, Table)> = Vec::new();
        let mut other = table.clone();
        for choice in &self.choices[place] {
            if same_as_lower(table, *choice) {
                continue;
            }
            if self.left == 0 {
                return false;
            }
            self.left -= 1;
            other.clone_from(table);
            other.give(self.board, self.ahead, *choice);
            let bound = self.bound(&other);
            if bound < self.score {
                next.push((bound, other.ends[place], *choice, other.clone()));
            }
        }
        next.sort_by_key(|(bound, ends, hands, _)| (*bound, *ends, *hands));
        for (bound, _, choice, table) in next {
            if bound < self.score {
                hands.push(choice);
                let ended = self.branch(&table, hands);
                hands.pop();
                if !ended {
                    return false;
                }
            }
        }
        true
    }

    /// What nothing below this table is better than.
    fn bound(&self, table: &Table) -> Score {
        let board = self.board;
        let place = table.ends.len();
        let people = u32::try_from(board.people).unwrap_or(u32::MAX);
        let busy: u32 = table.people.iter().map(|person| person.free).sum::<u32>() + self.alone[place];
        let mut latest = table.latest.max(busy.div_ceil(people));
        let first_free = table.people.iter().map(|person| person.free).min().unwrap_or(0);
        for job in place..board.jobs.len() {
            let known = self.ahead.jobs[job].iter().filter(|before| **before < place);
            let from = known.map(|before| table.ends[*before]);
            let begins = from.fold(first_free.max(board.jobs[job].begins), u32::max);
            latest = latest.max(begins + self.tails[job]);
        }
        let late = latest.saturating_sub(board.hours);
        let total = table.total() + self.full[place];
        let mut busiest = table.busiest() * people;
        if (late, table.short) == (self.score.late, self.score.short) {
            // One person fewer at any job would be worse: the total is known, and somebody has the mean.
            busiest = busiest.max(total.div_ceil(people) * people);
        }
        let given: u32 = table.people.iter().map(|person| person.jobs).sum();
        let left = u32::try_from(board.jobs.len() - place).unwrap_or(u32::MAX);
        Score {
            late,
            short: table.short,
            uneven: busiest.saturating_sub(total),
            changes: (given + left).saturating_sub(people),
        }
    }
}

/// Whether the same choice with a person of a lower number, who is as free, as busy and as often called,
/// comes to the same.
fn same_as_lower(table: &Table, hands: Hands) -> bool {
    let alike = |one: usize, other: usize| {
        let (one, other) = (table.people[one], table.people[other]);
        (one.free, one.load, one.jobs.min(1)) == (other.free, other.load, other.jobs.min(1))
    };
    let lower = |person: usize, not: Option<usize>| {
        (0..person).any(|other| Some(other) != not && alike(other, person))
    };
    lower(hands.0, hands.1) || hands.1.is_some_and(|second| lower(second, Some(hands.0)))
}
