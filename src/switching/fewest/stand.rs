//! A state of the search: rows of units, unpacked to be worked on and packed to be kept.

use crate::layout::End;
use crate::switching::search::Key;

/// The most tracks of a place that a search looks at.
pub(super) const TRACKS: usize = 16;

/// The most units in a row: a unit is a car, or cars that move together.
pub(super) const UNITS: usize = 24;

/// The bytes of a packed state.
const BYTES: usize = 88;

/// What stands for cars that are not touched.
pub(super) const BASE: u8 = 0xFE;

/// What parts rows from each other in a packed state.
const NEXT: u8 = 0xFF;

/// How the end at which cars were left is kept.
pub(super) const LEFT: [u64; 2] = [1, 2];

/// How it is kept that they were all, and left beside others.
pub(super) const BESIDE: u64 = 4;

/// The same of every track.
pub(super) const BESIDE_ANY: u64 = 0o4_444_444_444_444_444;

/// A packed state.
pub(super) type State = [u64; BYTES / 8];

/// A short row of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Row {
    units: [u8; UNITS],
    length: usize,
}

/// A state, unpacked.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    pub(super) rows: [Row; TRACKS],
    /// From the engine outwards.
    pub(super) cut: Row,
    pub(super) end: Option<End>,
    /// Whether anything was moved.
    pub(super) moved: bool,
    /// For each track three bits: the end at which cars were left last, if nothing was coupled there
    /// since, and whether the engine left all its cars beside others with its last leave.
    pub(super) left: u64,
}

impl Row {
    pub(super) fn units(&self) -> &[u8] {
        &self.units[..self.length]
    }

    /// A number that differs for most different rows.
    pub(super) fn hash(&self) -> u64 {
        let (bytes, _) = self.units.as_chunks();
        let mut words = [self.length as u64; UNITS / 8 + 1];
        words.iter_mut().zip(bytes).for_each(|(word, bytes)| *word = u64::from_le_bytes(*bytes));
        words.hash()
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.length == 0
    }

    /// Puts a unit at an end; nothing if the row is full.
    pub(super) fn put(&mut self, end: End, unit: u8) -> Option<()> {
        if self.length == UNITS {
            return None;
        }
        if end == End::West {
            self.units.copy_within(0..self.length, 1);
            self.units[0] = unit;
        } else {
            self.units[self.length] = unit;
        }
        self.length += 1;
        Some(())
    }

    /// The unit at an end, if it can be moved.
    pub(super) fn outermost(&self, end: End) -> Option<u8> {
        let units = self.units();
        let unit = if end == End::West { units.first() } else { units.last() };
        unit.copied().filter(|unit| *unit != BASE)
    }

    /// Takes the unit at an end, if it can be moved.
    pub(super) fn take(&mut self, end: End) -> Option<u8> {
        let unit = self.outermost(end)?;
        let last = self.length - 1;
        if end == End::West {
            self.units.copy_within(1..self.length, 0);
        }
        self.units[last] = 0;
        self.length = last;
        Some(unit)
    }
}

impl Stand {
    pub(super) const fn new(rows: &[Row; TRACKS], cut: Row, end: Option<End>) -> Self {
        Stand { rows: *rows, cut, end, moved: false, left: 0 }
    }

    /// Makes this the stand that it was before a movement at a track.
    pub(super) fn put_back(&mut self, before: &Stand, at: usize) {
        (self.rows[at], self.cut) = (before.rows[at], before.cut);
        (self.end, self.moved, self.left) = (before.end, before.moved, before.left);
    }

    /// Nothing, if it does not fit.
    pub(super) fn pack(&self, lanes: usize) -> Option<State> {
        let mut bytes = [0; BYTES];
        bytes[0] = u8::from(self.moved) | self.end.map_or(0, |end| 2 << side(end));
        bytes[1..9].copy_from_slice(&self.left.to_le_bytes());
        let mut at = 9;
        for row in self.rows[..lanes].iter().chain([&self.cut]) {
            let end = at + row.length;
            bytes.get_mut(at..end)?.copy_from_slice(row.units());
            *bytes.get_mut(end)? = NEXT;
            at = end + 1;
        }
        let mut words = [0; BYTES / 8];
        for (word, bytes) in words.iter_mut().zip(bytes.as_chunks().0) {
            *word = u64::from_le_bytes(*bytes);
        }
        Some(words)
    }

    pub(super) fn unpack(state: &State, lanes: usize) -> Self {
        let mut bytes = [0; BYTES];
        for (word, bytes) in state.iter().zip(bytes.chunks_exact_mut(8)) {
            bytes.copy_from_slice(&word.to_le_bytes());
        }
        let end = match bytes[0] >> 1 {
            0 => None,
            1 => Some(End::West),
            _ => Some(End::East),
        };
        let left = u64::from_le_bytes(std::array::from_fn(|byte| bytes[1 + byte]));
        let (mut rows, mut cut) = ([Row::default(); TRACKS], Row::default());
        let mut parts = bytes[9..].split(|byte| *byte == NEXT);
        for row in rows[..lanes].iter_mut().chain([&mut cut]) {
            let part = parts.next().unwrap_or(&[]);
            row.units[..part.len()].copy_from_slice(part);
            row.length = part.len();
        }
        Stand { rows, cut, end, moved: bytes[0] & 1 == 1, left }
    }
}

/// An end as a place in a list of two.
pub(super) const fn side(end: End) -> usize {
    match end {
        End::West => 0,
        End::East => 1,
    }
}
