//! The roster, as a spreadsheet saves it.
//!
//! [`table`] gives the rows and where each field stands; this room knows which columns a car has.

use std::ops::{ControlFlow, Range};

use super::fields::{Entry, Fields};
use super::node::Node;
use super::nouns;
use super::said::{Said, SaidCar};
use crate::diag::{FileIx, Span};
use crate::layout::codes;
use crate::layout::sink::{Sink, Wrong};
use crate::layout::table;

/// Reads a roster into what is said.
pub(super) fn read(file: FileIx, text: &str, said: &mut Said, sink: &mut Sink) {
    let mut columns: Option<Vec<Column>> = None;
    let read = table::read(text, |record, row| {
        let places = &row.fields;
        if row.is_remark {
            return ControlFlow::Continue(());
        }
        match &columns {
            None => match header(file, record, places, sink) {
                Some(found) => columns = Some(found),
                None => return ControlFlow::Break(()),
            },
            Some(columns) => {
                if let Some(car) = self::row(file, record, places, columns, sink) {
                    said.cars.push(car);
                }
            }
        }
        ControlFlow::Continue(())
    });
    if let Err(open) = read {
        let wrong = Wrong::new(codes::QUOTE_NOT_CLOSED, "a quote is opened here and never closed")
            .help("close it, or write the sign for inches as `in`");
        sink.wrong(Span::new(file, open), wrong);
    }
}

/// A column: its key, if it is one that cars have.
type Column = Option<&'static str>;

/// The names of the columns.
fn header(
    file: FileIx,
    record: &csv::StringRecord,
    places: &[Range<usize>],
    sink: &mut Sink,
) -> Option<Vec<Column>> {
    let before = sink.errors();
    let span = |place: usize| Span::new(file, places[place].clone());
    let names: Vec<String> = record.iter().map(table::column_name).collect();
    let key = |name: &str| nouns::CAR_KEYS.into_iter().find(|key| *key == name);
    if names.iter().filter(|name| key(name).is_some()).count() == 0 {
        let wrong = Wrong::new(codes::NOT_A_ROSTER, "the first row names no column that a car has")
            .help(format!("begin with a row of names: {}", nouns::CAR_KEYS.join(", ")));
        sink.wrong(span(0), wrong);
        return None;
    }
    for needed in ["number", "type"] {
        if !names.iter().any(|name| name == needed)
            && crate::layout::sink::near_miss(needed, names.iter().map(String::as_str)).is_none()
        {
            let wrong = Wrong::new(codes::MISSING_KEY, format!("the roster has no column `{needed}`"))
                .help("every car needs a number and a type");
            sink.wrong(span(0), wrong);
        }
    }
    for (place, name) in names.iter().enumerate() {
        if name.is_empty() {
            continue;
        }
        if let Some(first) = names.iter().take(place).position(|earlier| earlier == name) {
            let wrong =
                Wrong::new(codes::REPEATED_COLUMN, format!("the column `{name}` stands here a second time"));
            sink.push(wrong.help("take one of them away").at(span(place)).label(span(first), "first here"));
        } else if key(name).is_none() {
            let wrong = Wrong::new(codes::UNKNOWN_KEY, format!("a car has no column `{name}`"))
                .near(name, nouns::CAR_KEYS);
            let wrong = wrong.or_help(|| format!("known columns: {}", nouns::CAR_KEYS.join(", ")));
            sink.wrong(span(place), wrong);
        }
    }
    (sink.errors() == before).then(|| names.iter().map(|name| key(name)).collect())
}

/// One row: a car, unless its width is wrong.
fn row(
    file: FileIx,
    record: &csv::StringRecord,
    places: &[Range<usize>],
    columns: &[Column],
    sink: &mut Sink,
) -> Option<SaidCar> {
    let span = |place: usize| Span::new(file, places[place].clone());
    let first = (0..record.len()).find(|place| !record[*place].trim().is_empty())?;
    let last = (0..record.len()).rev().find(|place| !record[*place].trim().is_empty())?;
    if last >= columns.len() || record.len() < columns.len() {
        let message = format!("this row has {} fields, the header has {}", record.len(), columns.len());
        let help = if last >= columns.len() {
            "a value with a separator in it stands in quotes"
        } else {
            "add the separators that are missing; if the row was cut off, put back a whole copy of the file"
        };
        let wrong = Wrong::new(codes::ROW_WIDTH, message).help(help);
        sink.wrong(span(if last >= columns.len() { last } else { first }), wrong);
        return None;
    }
    let mut entries = Vec::new();
    for (place, column) in columns.iter().enumerate() {
        let words = record[place].trim();
        match column {
            _ if words.is_empty() => {}
            Some(key) => entries.push(Entry {
                key,
                key_span: span(place),
                value: Node::Cell(&record[place]),
                span: span(place),
            }),
            None => {
                let wrong =
                    Wrong::new(codes::MISSING_KEY, format!("`{words}` stands in a column without a name"))
                        .help("name the column in the first row, or empty the field");
                sink.wrong(span(place), wrong);
            }
        }
    }
    let whole_row = Span::new(file, places[first].start..places[last].end);
    Some(nouns::car(Fields::of_entries("this car".to_owned(), whole_row, entries, sink)))
}
