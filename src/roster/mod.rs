//! The roster, in from a spreadsheet and out to one, and whether it is in order.
//!
//! Takes the description as texts and a sheet from anywhere; gives `cars.csv` with the sheet's cars
//! in it ([`take_in`]), all cars as a table ([`bring_out`]), and what is odd about them ([`check()`]).
//! `layout` says what a sound car is: here is only how hosts and spreadsheets write one.
//!
//! Cost: linear in the cars, times a logarithm for their names.

mod alike;
mod card;
mod cells;
mod check;
mod columns;
pub mod decode;
mod gather;
mod heads;
mod merge;
pub mod sheet;
mod usable;
mod whole;
pub mod workbook;
mod write;

use std::collections::BTreeMap;

pub use card::{Card, Said};
pub use check::check;
pub use columns::{Column, Meaning, Told};
pub use merge::Change;

use crate::diag::{Diagnostic, Diagnostics, FileIx, Severity, Sources, Span};
use crate::layout;
use columns::understand;
use gather::listed;
use merge::{Merged, PutIn, merge};
use sheet::Sheet;

/// The name of the roster in the folder of a layout.
pub const ROSTER: &str = "cars.csv";

/// How a sheet is to be read.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// What the host says of its columns.
    pub told: Vec<Told>,
    /// Whether columns that nobody knows are left out.
    pub leave_rest: bool,
    /// Whether the sheet is the whole roster, so that other cars are taken out.
    pub only: bool,
}

/// A sheet that was read, and what it makes of the roster.
#[derive(Clone, Debug)]
pub struct Taken {
    /// What its columns were read as.
    pub columns: Vec<Column>,
    /// How many cars it has.
    pub cars: usize,
    /// `cars.csv` with them in it.
    pub text: String,
    /// The cars that it did not have.
    pub new: Vec<String>,
    /// The cars of which something is otherwise.
    pub changed: Vec<Change>,
    /// The cars of `cars.csv` that the sheet does not have.
    pub others: Vec<String>,
    /// The cars that stand in another file of the description, which is left as it is, and that the
    /// sheet says something else of.
    pub elsewhere: Vec<(String, String)>,
    /// What is wrong with the cars, but forbids nothing.
    pub warnings: Diagnostics,
}

/// Whether a sheet has a row of names, and so may be a roster.
pub fn may_be_roster(sheet: &Sheet, asked: &Asked) -> bool {
    columns::has_head(sheet, &asked.told)
}

/// Reads a sheet and puts its cars into the roster of a description, `cars.csv`.
///
/// # Errors
/// What is wrong with the sheet, all at once, where the host wrote it; with the columns that were
/// understood.
pub fn take_in(
    description: &Sources,
    sheet: &Sheet,
    asked: &Asked,
) -> Result<Taken, (Vec<Column>, Diagnostics)> {
    let mut shown = description.clone();
    let own = description.iter().find(|(_, source)| source.name.eq_ignore_ascii_case(ROSTER));
    let own = own.map_or_else(|| shown.add(ROSTER, ""), |(file, _)| file);
    let file = shown.add(&*sheet.name, &*sheet.text);
    let mut faults = Vec::new();
    let (columns, from) = understand(sheet, file, &asked.told, asked.leave_rest, &mut faults);
    if !faults.is_empty() {
        return Err((columns, gathered(shown, faults)));
    }
    let mut cards = cells::cards(sheet, file, &columns, from, &mut faults);
    // With what stands beside it left out, a row may be a remark after all.
    cards.retain(|card| !card.is_remark());
    let cars = cards.len();
    faults.extend(twice(&mut cards));
    let keys = keys(&columns);
    let elsewhere = elsewhere(&shown, own, file, &mut cards, &keys);
    let text = &*shown.file(own).text;
    let put = PutIn { cards: &cards, keys: &keys, only: asked.only };
    let merged = merge(own, text, listed(own, text), put);
    faults.extend(sense(&shown, own, file, &merged));
    let bad = faults.iter().any(|fault| fault.severity == Severity::Error);
    let warnings = gathered(shown.clone(), faults);
    if bad {
        return Err((columns, warnings));
    }
    let Merged { text, new, changed, others, .. } = merged;
    Ok(Taken { columns, cars, text, new, changed, others, elsewhere, warnings })
}

fn gathered(sources: Sources, faults: Vec<Diagnostic>) -> Diagnostics {
    let mut all = Diagnostics::new(sources);
    for fault in faults {
        all.push(fault);
    }
    all
}

/// The keys that the columns of a sheet say something of.
fn keys(columns: &[Column]) -> Vec<&'static str> {
    let mut keys: Vec<&'static str> = Vec::new();
    for column in columns {
        match column.meaning {
            Meaning::Key(key) => keys.push(key),
            Meaning::Car => keys.extend(["mark", "number"]),
            Meaning::FirstYear | Meaning::LastYear => keys.push("years"),
            Meaning::LeftOut => {}
        }
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Rows of a sheet that are the same car: the first is kept.
fn twice(cards: &mut Vec<Card>) -> Vec<Diagnostic> {
    let mut first: BTreeMap<String, Span> = BTreeMap::new();
    let mut faults = Vec::new();
    cards.retain(|card| {
        let (id, here) = (card.id(), card.span_of("number"));
        if let Some(earlier) = first.get(&id) {
            faults.push(
                Diagnostic::error("same-car", here, format!("a second car `{id}`"))
                    .label(*earlier, "the first")
                    .help("take one of the rows away, or correct its number"),
            );
            return false;
        }
        first.insert(id, here);
        true
    });
    faults
}

/// Takes out the cars that stand in another file than the roster; gives those that differ there.
fn elsewhere(
    shown: &Sources,
    own: FileIx,
    sheet: FileIx,
    cards: &mut Vec<Card>,
    keys: &[&'static str],
) -> Vec<(String, String)> {
    let files = [own, sheet];
    let there = gather::cards(shown).into_iter().filter(|card| !files.contains(&card.span.file));
    let there: BTreeMap<String, Card> = there.map(|card| (card.id(), card)).collect();
    let mut differ = Vec::new();
    cards.retain(|card| {
        let Some(other) = there.get(&card.id()) else { return true };
        let same = |key: &&str| ["mark", "number"].contains(key) || other.words(key) == card.words(key);
        if !keys.iter().all(same) {
            differ.push((card.id(), shown.file(other.span.file).name.to_string()));
        }
        false
    });
    differ
}

/// What `layout` has to say of the roster as it would be, told where the host wrote it.
///
/// Of the rest of the description nothing is said here: `check` does that.
fn sense(shown: &Sources, own: FileIx, sheet: FileIx, merged: &Merged) -> Vec<Diagnostic> {
    let mut tried = Sources::default();
    for (file, source) in shown.iter() {
        // The sheet is there in order that all files keep their places; its cars are in the roster.
        let text = if file == own { &*merged.text } else { &*source.text };
        let name = if file == sheet { "sheet" } else { &*source.name };
        tried.add(name, text);
    }
    let (_, found) = layout::load(tried);
    let there = |span: Span| {
        if span.file == own { merged.origin(span.start..span.end).unwrap_or(span) } else { span }
    };
    let mut faults: Vec<Diagnostic> = Vec::new();
    for fault in found.sorted() {
        let mut fault = fault.clone();
        fault.span = there(fault.span);
        for label in &mut fault.labels {
            label.span = there(label.span);
        }
        let error = fault.severity == Severity::Error;
        if fault.span.file == sheet || (error && fault.span.file == own) {
            faults.push(fault);
        }
    }
    faults
}

/// All cars of a description as CSV that a spreadsheet does not spoil.
pub fn bring_out(description: &Sources, separator: char) -> String {
    write::csv(&cards(description), separator)
}

/// All cars of a description, in the order of mark and number.
pub fn cards(description: &Sources) -> Vec<Card> {
    let mut cards = gather::cards(description);
    cards.sort_by(write::order);
    cards
}
