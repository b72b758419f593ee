//! A roster of the description with cars from elsewhere put into it.
//!
//! What does not change stays as it is, sign for sign: remarks, blank rows, the order of columns and
//! rows, quotes. A row that changes is written anew; columns that were not there come last, and so
//! do new cars. For every part of the result it is known where it came from, so that a fault in it
//! is told where the host wrote it.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::card::Card;
use super::gather::{Listed, ListedRow};
use super::write::field;
use crate::diag::{FileIx, Span};
use crate::layout::CAR_KEYS;

/// What becomes of a car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The car.
    pub car: String,
    /// What is otherwise: key, what it said, what it says now. Nothing for a new car.
    pub keys: Vec<(&'static str, String, String)>,
}

/// A roster with other cars put into it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Merged {
    pub(super) text: String,
    origins: BTreeMap<usize, Origin>,
    pub(super) new: Vec<String>,
    pub(super) changed: Vec<Change>,
    /// Cars that were there and are not among those put in.
    pub(super) others: Vec<String>,
}

/// Where a part of the result came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Origin {
    /// The same text, from this place on.
    Same(FileIx, usize),
    /// A value that stands there.
    Value(Span),
}

/// What is put in.
#[derive(Clone, Copy, Debug)]
pub(super) struct PutIn<'a> {
    /// The cars.
    pub(super) cards: &'a [Card],
    /// The keys of which something is said, even if it is nothing.
    pub(super) keys: &'a [&'static str],
    /// Whether cars that are not among them are taken out.
    pub(super) only: bool,
}

impl Merged {
    /// Where the words at a place of the result were written.
    pub(super) fn origin(&self, place: Range<usize>) -> Option<Span> {
        let (start, origin) = self.origins.range(..=place.start).next_back()?;
        Some(match origin {
            Origin::Value(span) => *span,
            Origin::Same(file, there) => {
                Span::new(*file, there + place.start - start..there + place.end.max(place.start) - start)
            }
        })
    }
}

/// Puts cars into a roster; `text` is all of it.
pub(super) fn merge(file: FileIx, text: &str, listed: Option<Listed>, put: PutIn<'_>) -> Merged {
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let listed = listed.unwrap_or_else(|| Listed { separator: b',', ..Listed::default() });
    let has = |key: &&str| listed.columns.contains(&Some(*key));
    let said = |key: &&'static str| put.cards.iter().any(|card| card.says.contains_key(*key));
    let added: Vec<&'static str> = CAR_KEYS.into_iter().filter(|key| !has(key) && said(key)).collect();
    let columns: Vec<_> = listed.columns.iter().copied().chain(added.iter().copied().map(Some)).collect();
    let mut writer =
        Writer { text, file, columns, separator: char::from(listed.separator), put, done: Merged::default() };
    writer.head(&listed, &added);
    let mut given: BTreeMap<String, &Card> = put.cards.iter().map(|card| (card.id(), card)).collect();
    let renamed = renamed(&listed, put.cards);
    let mut copied = listed.head.end;
    for row in &listed.rows {
        writer.copy(copied..row.whole.start);
        copied = row.whole.end;
        let id = row.card.id();
        let today = renamed.get(&id).unwrap_or(&id);
        if let Some(card) = given.remove(today) {
            writer.changed(row, card, !added.is_empty());
        } else {
            writer.done.others.push(id);
            if put.only {
                // Its line goes with it.
                let rest = &text[copied..];
                copied += ["\r\n", "\n", "\r"]
                    .iter()
                    .find(|end| rest.starts_with(**end))
                    .map_or(0, |end| end.len());
            } else if added.is_empty() {
                writer.copy(row.whole.clone());
            } else {
                writer.row(row, None);
            }
        }
    }
    writer.copy(copied..text.len());
    // In the order in which they were given, not in that of the map.
    for card in put.cards.iter().filter(|card| given.remove(&card.id()).is_some()) {
        if !writer.done.text.is_empty() && !writer.done.text.ends_with(['\n', '\r']) {
            writer.done.text.push_str(newline);
        }
        writer.done.new.push(card.id());
        writer.fields(card, |key| card.says.get(key).map(|said| (&*said.words, said.span)));
        writer.done.text.push_str(newline);
    }
    writer.done
}

/// Rows whose car bears another mark or number today, by what they say, with what it says: a car that says that it
/// `was` one of the roster is that one, not a new one.
fn renamed(listed: &Listed, cards: &[Card]) -> BTreeMap<String, String> {
    let there: BTreeSet<String> = listed.rows.iter().map(|row| row.card.id()).collect();
    let today: BTreeSet<String> = cards.iter().map(Card::id).collect();
    let renamed = cards.iter().filter_map(|card| {
        let (id, was) = (card.id(), card.words("was"));
        let is_free = there.contains(was) && !today.contains(was) && !there.contains(&id);
        is_free.then(|| (was.to_owned(), id))
    });
    renamed.collect()
}

/// Keys that say which car it is.
const NAMES: [&str; 2] = ["mark", "number"];

struct Writer<'a> {
    text: &'a str,
    file: FileIx,
    columns: Vec<Option<&'static str>>,
    separator: char,
    put: PutIn<'a>,
    done: Merged,
}

impl Writer<'_> {
    /// Copies a part as it is.
    fn copy(&mut self, part: Range<usize>) {
        if let Some(same) = self.text.get(part.clone()).filter(|same| !same.is_empty()) {
            self.done.origins.insert(self.done.text.len(), Origin::Same(self.file, part.start));
            self.done.text.push_str(same);
        }
    }

    /// The row of names.
    fn head(&mut self, listed: &Listed, added: &[&'static str]) {
        self.copy(0..listed.head.end);
        for (place, key) in added.iter().enumerate() {
            if place > 0 || !listed.columns.is_empty() {
                self.done.text.push(self.separator);
            }
            self.done.text.push_str(key);
        }
        if listed.columns.is_empty() && !added.is_empty() {
            self.done.text.push('\n');
        }
    }

    /// A row of a car that is among those put in: as it is, if nothing is otherwise.
    fn changed(&mut self, row: &ListedRow, card: &Card, widened: bool) {
        let same = row.card.id() == card.id();
        let keys = self.put.keys.iter().filter(|key| !same || !NAMES.contains(*key));
        let otherwise = keys.filter(|key| row.card.words(key) != card.words(key));
        let keys: Vec<_> =
            otherwise.map(|key| (*key, row.card.words(key).to_owned(), card.words(key).to_owned())).collect();
        if keys.is_empty() && !widened {
            self.copy(row.whole.clone());
            return;
        }
        self.row(row, (!keys.is_empty()).then_some(card));
        if !keys.is_empty() {
            self.done.changed.push(Change { car: row.card.id(), keys });
        }
    }

    /// A row that is written anew, with what a card says in place of what it said.
    fn row(&mut self, row: &ListedRow, card: Option<&Card>) {
        let keys = self.put.keys;
        let same = card.is_none_or(|card| card.id() == row.card.id());
        self.fields(&row.card, |key| match card {
            Some(card) if keys.contains(&key) && !(same && NAMES.contains(&key)) => {
                card.says.get(key).map(|said| (&*said.words, said.span))
            }
            _ => row.card.says.get(key).map(|said| (&*said.words, said.span)),
        });
        // What stands beyond the last column is not lost: it is a fault, and told as one.
        for beyond in row.fields.iter().skip(self.columns.len()).filter(|field| !field.is_empty()) {
            self.done.text.push(self.separator);
            self.done.text.push_str(&field(beyond, self.separator));
        }
    }

    fn fields<'s>(&mut self, card: &Card, say: impl Fn(&'static str) -> Option<(&'s str, Span)>) {
        for (place, key) in self.columns.iter().enumerate() {
            if place > 0 {
                self.done.text.push(self.separator);
            }
            let (words, span) = key.and_then(&say).unwrap_or(("", card.span));
            self.done.origins.insert(self.done.text.len(), Origin::Value(span));
            self.done.text.push_str(&field(words, self.separator));
        }
    }
}
