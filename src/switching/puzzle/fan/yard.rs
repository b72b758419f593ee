//! Tracks and lead as fields of bits, and what can be moved between them.

use super::fault::{Fault, MOST};
use super::word::Word;
use super::{State, Step};
use crate::switching::search::Cost;

/// A track or the lead: a stack of cars, the one next to the switch on top.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stack {
    /// How many cars it has room for.
    pub(super) room: usize,
    /// Where its field begins.
    offset: u32,
    /// The bits of one car.
    bits: u32,
}

/// Classes that become others.
#[derive(Clone, Debug)]
pub(super) struct Change {
    bits: u32,
    rows: Vec<u64>,
}

/// The tracks and their lead.
#[derive(Clone, Debug)]
pub(super) struct Yard {
    pub(super) lead: Stack,
    pub(super) tracks: Vec<Stack>,
    /// The bits that a state needs.
    pub(super) needed: usize,
    /// The bits of one car.
    bits: u32,
}

impl Stack {
    /// The bits that are its own, as if it began at the lowest.
    fn mask<W: Word>(self) -> W {
        W::narrow(State::MAX >> (State::BITS - self.bits * u32::from(narrow(self.room))))
    }

    /// The bits that are its own.
    pub(super) fn field<W: Word>(self) -> W {
        self.mask::<W>() << self.offset
    }

    fn cars<W: Word>(self, state: W) -> W {
        (state >> self.offset) & self.mask()
    }

    /// How many cars stand there.
    pub(super) fn count<W: Word>(self, state: W) -> usize {
        let (mut cars, mut count) = (self.cars(state), 0);
        while cars != W::default() {
            cars = cars >> self.bits;
            count += 1;
        }
        count
    }

    /// Puts a car on top.
    pub(super) fn put<W: Word>(self, state: W, class: u8) -> W {
        let cars = (self.cars(state) << self.bits) | W::from(class);
        (state & !self.field::<W>()) | (cars << self.offset)
    }
}

/// A number of cars, as it is kept in a move.
#[allow(clippy::cast_possible_truncation, reason = "no track has room for more than MOST cars")]
const fn narrow(cars: usize) -> u8 {
    assert!(cars <= MOST, "checked when the puzzle was made");
    cars as u8
}

impl Yard {
    /// Tracks and a lead for classes up to the highest.
    pub(super) fn new(tracks: &[usize], lead: usize, highest: u8) -> Result<Self, Fault> {
        let bits = u8::BITS - highest.leading_zeros();
        let cars = lead + tracks.iter().sum::<usize>();
        let needed = cars * usize::try_from(bits).expect("at most eight");
        if needed > 128 {
            return Err(Fault::TooLarge(needed));
        }
        let mut offset = 0;
        let mut stack = |room: usize| {
            let stack = Stack { room, offset, bits };
            offset += bits * u32::from(narrow(room));
            stack
        };
        Ok(Yard { lead: stack(lead), tracks: tracks.iter().map(|room| stack(*room)).collect(), needed, bits })
    }

    /// The bits of the lead and of the tracks for which rows are given.
    pub(super) fn fields<W: Word>(&self, rows: &[Option<Vec<u8>>]) -> W {
        let given = self.tracks.iter().zip(rows).filter(|(_, row)| row.is_some());
        given.fold(self.lead.field(), |fields: W, (track, _)| fields | track.field())
    }

    /// Lead and tracks with these rows, from the switch inward, and nothing elsewhere.
    pub(super) fn filled<W: Word>(&self, lead: &[Option<Vec<u8>>], rows: &[Option<Vec<u8>>]) -> W {
        let stacks = std::iter::once(&self.lead).zip(lead).chain(self.tracks.iter().zip(rows));
        let given = stacks.filter_map(|(track, row)| Some((track, row.as_ref()?)));
        given.fold(W::default(), |state, (track, row)| {
            row.iter().rev().fold(state, |state, class| track.put(state, *class))
        })
    }

    /// How many tracks are not as wanted.
    pub(super) fn different<W: Word>(&self, state: W, (fields, wanted): (W, W)) -> Cost {
        let differs = |track: &&Stack| (state ^ wanted) & fields & track.field() != W::default();
        Cost::try_from(self.tracks.iter().filter(differs).count()).expect("a few tracks")
    }

    /// Every pull and every push.
    pub(super) fn moves<W: Word>(&self, state: W, last: Option<Step>, each: &mut impl FnMut(Step, W, Cost)) {
        let (lead, car) = (self.lead.cars(state), Stack { room: 1, ..self.lead }.mask::<W>());
        let on_lead = self.lead.count(state);
        for (number, track) in (0..).zip(&self.tracks) {
            // Two moves in a row at one track are one.
            if matches!(last, Some(Step::Pull(at, _) | Step::Push(at, _)) if at == number) {
                continue;
            }
            let (cars, on_track) = (track.cars(state), track.count(state));
            let others = state & !track.field::<W>() & !self.lead.field::<W>();
            let (mut drawn, mut left) = (lead, cars);
            for count in 1..=narrow(on_track.min(self.lead.room - on_lead)) {
                drawn = (drawn << self.bits) | (left & car);
                left = left >> self.bits;
                each(
                    Step::Pull(number, count),
                    others | (drawn << self.lead.offset) | (left << track.offset),
                    1,
                );
            }
            let (mut kept, mut pushed) = (lead, cars);
            for count in 1..=narrow(on_lead.min(track.room - on_track)) {
                pushed = (pushed << self.bits) | (kept & car);
                kept = kept >> self.bits;
                each(
                    Step::Push(number, count),
                    others | (kept << self.lead.offset) | (pushed << track.offset),
                    1,
                );
            }
        }
    }

    /// How classes become others: for every few cars in a row, what becomes of them. The class of each
    /// class is given, the first being no car.
    pub(super) fn change(&self, to: &[u8]) -> Change {
        let cars = (Change::BITS / self.bits).max(1);
        let class = |row: usize, car: u32| row >> (car * self.bits) & ((1 << self.bits) - 1);
        let row = |row: usize| {
            let changed = (0..cars)
                .map(|car| u64::from(to.get(class(row, car)).copied().unwrap_or(0)) << (car * self.bits));
            changed.sum()
        };
        Change { bits: cars * self.bits, rows: (0..1 << (cars * self.bits)).map(row).collect() }
    }
}

impl Change {
    /// The most bits that are looked up at once, unless a single car has more.
    const BITS: u32 = 12;

    /// The same state with the classes changed.
    pub(super) fn of<W: Word>(&self, state: W) -> W {
        let (mut left, mut at, mut changed) = (state, 0, W::default());
        while left != W::default() {
            changed = changed | (W::narrow(State::from(self.rows[left.low(self.bits)])) << at);
            left = left >> self.bits;
            at += self.bits;
        }
        changed
    }
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let cars = |count: &u8| if *count == 1 { "car" } else { "cars" };
        match self {
            Step::Pull(track, count) => write!(f, "pull {count} {} from track {}", cars(count), track + 1),
            Step::Push(track, count) => write!(f, "push {count} {} into track {}", cars(count), track + 1),
        }
    }
}
