//! All assignments, by branch and bound.
//!
//! The jobs are given out in their order; at each the choices that end earliest come first. A branch
//! is left when nothing in it can be better than the best so far: its lateness can only grow, the busiest
//! cannot get less to do, and the work that is left must be done by somebody. People of whom nothing
//! tells one from another count as one.

use super::table::{Person, Table, lacks};
use super::{Ahead, Board, Dealt, Hands, Score, choices};

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
    /// By job: the longest of the tails of it and all after it.
    longest: Vec<u32>,
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
    let mut longest = vec![0; tails.len() + 1];
    for place in (0..tails.len()).rev() {
        longest[place] = tails[place].max(longest[place + 1]);
    }
    let mut search = Search { board, ahead, choices, full, alone, tails, longest, best, score, left: budget };
    let ended = board.people == 0 || search.branch(&mut Table::new(board, ahead));
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
    fn branch(&mut self, table: &mut Table<'_>) -> bool {
        let place = table.dealt();
        if place == self.board.jobs.len() {
            let score = table.score();
            if score < self.score {
                (self.score, self.best) = (score, table.hands());
            }
            return true;
        }
        let here = Here::new(self, table);
        let mut next: Vec<(Score, u32, Hands)> = Vec::new();
        for choice in &self.choices[place] {
            if here.same_as_lower(*choice) {
                continue;
            }
            if self.left == 0 {
                return false;
            }
            self.left -= 1;
            let (bound, ends) = self.bound(table, &here, *choice);
            if bound < self.score {
                next.push((bound, ends, *choice));
            }
        }
        next.sort_unstable();
        for (bound, _, choice) in next {
            if bound < self.score {
                table.give(choice);
                let ended = self.branch(table);
                table.take_back(place);
                if !ended {
                    return false;
                }
            }
        }
        true
    }

    /// What nothing is better than where the next job is given to these people, and when it ends then.
    fn bound(&self, table: &Table<'_>, here: &Here, hands: Hands) -> (Score, u32) {
        let place = table.dealt();
        let minutes = self.ahead.minutes[place];
        let first = table.people()[hands.0];
        let second = hands.1.map(|second| table.people()[second]);
        let crew = 1 + u32::from(second.is_some());
        let second = second.unwrap_or_default();
        let ends = here.ends_if_free.max(first.free.max(second.free) + minutes);
        let busy = here.free - first.free - second.free + crew * ends + self.alone[place + 1];
        let other = here.soonest.iter().find(|(_, person)| *person != hands.0 && Some(*person) != hands.1);
        let mut latest = table.latest().max(ends).max(busy.div_ceil(here.people)).max(here.latest_else);
        if place + 1 < self.board.jobs.len() {
            let first_free = other.map_or(ends, |(free, _)| ends.min(*free));
            latest = latest.max(first_free + self.longest[place + 1]).max(ends + self.tails[place] - minutes);
        }
        let late = latest.saturating_sub(self.board.hours);
        let short = table.short() + lacks(&self.board.jobs[place], hands);
        let total = here.total + crew * minutes + self.full[place + 1];
        let mut busiest = here.busiest.max(first.load.max(second.load) + minutes) * here.people;
        if (late, short) == (self.score.late, self.score.short) {
            // One person fewer at any job would be worse: the total is known, and somebody has the mean.
            busiest = busiest.max(total.div_ceil(here.people) * here.people);
        }
        let left = u32::try_from(self.board.jobs.len() - place - 1).unwrap_or(u32::MAX);
        let uneven = busiest.saturating_sub(total);
        let changes = (here.given + crew + left).saturating_sub(here.people);
        (Score { late, short, uneven, changes }, ends)
    }
}

/// What is the same for all choices at one job.
struct Here {
    people: u32,
    /// When the job ends if people are there for it from the first.
    ends_if_free: u32,
    /// When the last job after it ends at the earliest by what is dealt already.
    latest_else: u32,
    /// The sum of the minutes at which people are free.
    free: u32,
    /// Those who are free first, and when: one more than a job takes.
    soonest: Vec<(u32, usize)>,
    /// The minutes of all together, and of the busiest.
    total: u32,
    busiest: u32,
    /// How many jobs all people have together.
    given: u32,
    /// For each person, those of a lower number of whom nothing tells them.
    alike: Vec<Alike>,
}

/// Those of a lower number of whom nothing tells a person.
#[derive(Clone, Copy, Debug, Default)]
struct Alike {
    count: usize,
    last: Option<usize>,
}

impl Here {
    fn new(search: &Search<'_>, table: &Table<'_>) -> Self {
        let later = table.dealt() + 1..search.board.jobs.len();
        let people = table.people();
        let mut soonest: Vec<(u32, usize)> = people.iter().map(|one| one.free).zip(0..).collect();
        soonest.sort_unstable();
        soonest.truncate(3);
        let same = |one: &Person, other: &Person| {
            (one.free, one.load, one.jobs.min(1)) == (other.free, other.load, other.jobs.min(1))
        };
        let alike = people.iter().enumerate().map(|(number, person)| {
            let mut lower = (0..number).filter(|other| same(&people[*other], person));
            let last = lower.next_back();
            Alike { count: lower.count() + usize::from(last.is_some()), last }
        });
        Here {
            people: u32::try_from(search.board.people).unwrap_or(u32::MAX),
            ends_if_free: table.ends_if_free(),
            latest_else: later.map(|job| table.begins(job) + search.tails[job]).max().unwrap_or(0),
            free: people.iter().map(|person| person.free).sum(),
            soonest,
            total: table.total(),
            busiest: table.busiest(),
            given: people.iter().map(|person| person.jobs).sum(),
            alike: alike.collect(),
        }
    }

    /// Whether the same choice with a person of a lower number, who is as free, as busy and as often called,
    /// comes to the same.
    fn same_as_lower(&self, hands: Hands) -> bool {
        let second = hands.1.map(|second| self.alike[second]);
        // Somebody below the second may be the first, who is taken.
        let with = |alike: Alike| alike.count > usize::from(alike.last == Some(hands.0));
        self.alike[hands.0].count > 0 || second.is_some_and(with)
    }
}
