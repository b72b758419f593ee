//! The board while jobs are dealt out in order, and taken back again.

use super::{Ahead, Board, Hands, Job, Score};

/// The board while jobs are dealt out in order.
#[derive(Debug)]
pub(super) struct Table<'a> {
    board: &'a Board,
    ahead: &'a Ahead,
    /// When each call dealt so far is done.
    done: Vec<u32>,
    /// The jobs dealt so far.
    dealt: Vec<Deal>,
    people: Vec<Person>,
}

/// A job that was dealt out, and what is needed to take it back.
#[derive(Clone, Copy, Debug)]
struct Deal {
    hands: Hands,
    ends: u32,
    /// What those who take it were before.
    before: (Person, Option<Person>),
    /// When the last of the jobs up to this one ends.
    latest: u32,
    /// How many people these jobs lack.
    short: u32,
}

/// Somebody who came.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Person {
    /// When they are free.
    pub(super) free: u32,
    /// Their minutes.
    pub(super) load: u32,
    /// How many jobs they have.
    pub(super) jobs: u32,
}

impl<'a> Table<'a> {
    pub(super) fn new(board: &'a Board, ahead: &'a Ahead) -> Self {
        let calls = board.jobs.iter().map(|job| job.calls.len()).sum();
        Table {
            board,
            ahead,
            done: Vec::with_capacity(calls),
            dealt: Vec::with_capacity(board.jobs.len()),
            people: vec![Person::default(); board.people],
        }
    }

    /// Gives the next job to these people.
    pub(super) fn give(&mut self, hands: Hands) {
        let place = self.dealt.len();
        let free = pair(hands, |person| self.people[person].free);
        let mut time = self.begins(place).max(free.0).max(free.1.unwrap_or(0)) + self.board.jobs[place].light;
        for (call, links) in self.calls(place) {
            time = self.waited(time, links) + call.work;
            self.done.push(time);
            time += call.run;
        }
        let (latest, short) = (self.latest().max(time), self.short() + lacks(&self.board.jobs[place], hands));
        let before = pair(hands, |person| self.people[person]);
        self.dealt.push(Deal { hands, ends: time, before, latest, short });
        pair(hands, |person| {
            let person = &mut self.people[person];
            let load = person.load + self.ahead.minutes[place];
            *person = Person { free: time, load, jobs: person.jobs + 1 };
        });
    }

    /// Takes jobs back until so many are dealt.
    pub(super) fn take_back(&mut self, until: usize) {
        while self.dealt.len() > until {
            let Some(deal) = self.dealt.pop() else { return };
            self.people[deal.hands.0] = deal.before.0;
            if let (Some(second), Some(before)) = (deal.hands.1, deal.before.1) {
                self.people[second] = before;
            }
        }
        self.done.truncate(self.ahead.first.get(until).copied().unwrap_or(self.done.len()));
    }

    /// How many jobs are dealt.
    pub(super) const fn dealt(&self) -> usize {
        self.dealt.len()
    }

    /// Who has the jobs that are dealt.
    pub(super) fn hands(&self) -> Vec<Hands> {
        self.dealt.iter().map(|deal| deal.hands).collect()
    }

    pub(super) fn people(&self) -> &[Person] {
        &self.people
    }

    /// When the last of the jobs ends.
    pub(super) fn latest(&self) -> u32 {
        self.dealt.last().map_or(0, |deal| deal.latest)
    }

    /// How many people the jobs lack.
    pub(super) fn short(&self) -> u32 {
        self.dealt.last().map_or(0, |deal| deal.short)
    }

    /// The minutes of the busiest.
    pub(super) fn busiest(&self) -> u32 {
        self.people.iter().map(|person| person.load).max().unwrap_or(0)
    }

    /// The minutes of all together.
    pub(super) fn total(&self) -> u32 {
        self.people.iter().map(|person| person.load).sum()
    }

    /// When a job may begin, as far as the jobs that are dealt tell, if people are there.
    pub(super) fn begins(&self, place: usize) -> u32 {
        let before = self.ahead.jobs[place].iter().filter_map(|before| self.dealt.get(*before));
        before.map(|deal| deal.ends).fold(self.board.jobs[place].begins, u32::max)
    }

    /// When the next job ends if people are there for it from the first. If they come later, it ends then or so many
    /// minutes after they come as it takes, whichever is later: waiting for a link is no work.
    pub(super) fn ends_if_free(&self) -> u32 {
        let place = self.dealt.len();
        let begins = self.begins(place) + self.board.jobs[place].light;
        self.calls(place).fold(begins, |time, (call, links)| self.waited(time, links) + call.work + call.run)
    }

    /// The first two parts of the score so far: neither gets less by jobs that are dealt later.
    pub(super) fn late_and_short(&self) -> (u32, u32) {
        (self.latest().saturating_sub(self.board.hours), self.short())
    }

    pub(super) fn score(&self) -> Score {
        let people = u32::try_from(self.board.people).unwrap_or(u32::MAX);
        let (late, short) = self.late_and_short();
        Score {
            late,
            short,
            uneven: self.busiest() * people - self.total(),
            changes: self.people.iter().map(|person| person.jobs.saturating_sub(1)).sum(),
        }
    }

    /// When work that could begin at a time may begin, all it waits for being done.
    fn waited(&self, time: u32, links: &[usize]) -> u32 {
        links.iter().map(|link| self.done[*link]).fold(time, u32::max)
    }

    /// The calls of a job, each with what it waits for.
    fn calls(&self, place: usize) -> impl Iterator<Item = (super::Call, &'a [usize])> + use<'a> {
        let links = &self.ahead.links[self.ahead.first[place]..];
        self.board.jobs[place].calls.iter().copied().zip(links.iter().map(Vec::as_slice))
    }
}

/// How many people a job lacks if these take it.
pub(super) fn lacks(job: &Job, hands: Hands) -> u32 {
    u32::from(job.crew > 1 && hands.1.is_none())
}

/// Something of each of those who take a job.
pub(super) fn pair<T>(hands: Hands, mut of: impl FnMut(usize) -> T) -> (T, Option<T>) {
    (of(hands.0), hands.1.map(of))
}
