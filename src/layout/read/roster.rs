//! The roster, as a spreadsheet saves it.
//!
//! Commas, semicolons or tabs; quoted fields; columns in any order; blank rows and blanks around
//! values do no harm. The `csv` crate gives the fields, [`Finder`] finds each again in the text.

use std::ops::Range;

use super::fields::{Entry, Fields};
use super::node::Node;
use super::nouns;
use super::said::{Said, SaidCar};
use crate::diag::{FileIx, Span};
use crate::layout::codes;
use crate::layout::sink::{Sink, Wrong};

/// Reads a roster into what is said.
pub(super) fn read(file: FileIx, text: &str, said: &mut Said, sink: &mut Sink) {
    let unmarked = text.strip_prefix('\u{feff}').map(|rest| format!("\n\n\n{rest}"));
    let text = unmarked.as_deref().unwrap_or(text);
    let separator = separator(text);
    if let Some(open) = open_quote(text, separator) {
        let wrong = Wrong::new(codes::QUOTE_NOT_CLOSED, "a quote is opened here and never closed")
            .help("close it, or write the sign for inches as `in`");
        sink.wrong(Span::new(file, open), wrong);
        return;
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut columns: Option<Vec<Column>> = None;
    let mut record = csv::StringRecord::new();
    // Reading from a text in memory, that is UTF-8 already, cannot fail.
    while reader.read_record(&mut record).unwrap_or(false) {
        if record.iter().all(|field| field.trim().is_empty()) {
            continue;
        }
        let start = record.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0));
        let places = Finder::new(text, separator, start).take(record.len());
        match &columns {
            None => match header(file, &record, &places, sink) {
                Some(found) => columns = Some(found),
                None => return,
            },
            Some(columns) => {
                if let Some(car) = row(file, &record, &places, columns, sink) {
                    said.cars.push(car);
                }
            }
        }
    }
}

/// A column: its key, if it is one that cars have.
type Column = Option<&'static str>;

/// The separator that the first row with anything in it has most of.
fn separator(text: &str) -> u8 {
    let header = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |separator: u8| header.bytes().filter(|byte| *byte == separator).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|separator| count(*separator)).unwrap_or(b',')
}

/// Where a quote opens a field that never ends.
fn open_quote(text: &str, separator: u8) -> Option<Range<usize>> {
    let bytes = text.as_bytes();
    let (mut place, mut field_begins) = (0, true);
    while place < bytes.len() {
        if field_begins && bytes[place] == b'"' {
            let end = closing_quote(bytes, place);
            if end >= bytes.len() {
                return Some(place..place + 1);
            }
            (place, field_begins) = (end + 1, false);
        } else {
            field_begins = bytes[place] == separator || bytes[place] == b'\n' || bytes[place] == b'\r';
            place += 1;
        }
    }
    None
}

/// The quote that closes the one at a place, or the end of the text.
fn closing_quote(bytes: &[u8], open: usize) -> usize {
    let mut place = open + 1;
    while place < bytes.len() {
        match (bytes[place], bytes.get(place + 1)) {
            (b'"', Some(b'"')) => place += 2,
            (b'"', _) => return place,
            _ => place += 1,
        }
    }
    bytes.len()
}

/// Finds the fields of a record again in the text, without blanks and quotes around them.
struct Finder<'a> {
    text: &'a str,
    separator: u8,
    place: usize,
}

impl<'a> Finder<'a> {
    fn new(text: &'a str, separator: u8, start: usize) -> Self {
        let skipped =
            text.get(start..).map_or(0, |rest| rest.len() - rest.trim_start_matches(['\r', '\n']).len());
        Finder { text, separator, place: start + skipped }
    }

    fn take(mut self, count: usize) -> Vec<Range<usize>> {
        (0..count).map(|_| self.next()).collect()
    }

    fn next(&mut self) -> Range<usize> {
        let bytes = self.text.as_bytes();
        let start = self.place.min(bytes.len());
        let mut end = start;
        if bytes.get(start) == Some(&b'"') {
            end = closing_quote(bytes, start).min(bytes.len());
        }
        let ends = |byte: u8| byte == self.separator || byte == b'\n' || byte == b'\r';
        while end < bytes.len() && !ends(bytes[end]) {
            end += 1;
        }
        self.place = end + 1;
        let field = self.text.get(start..end).unwrap_or_default();
        let inner = field.trim().trim_matches('"');
        let before = field.find(inner).unwrap_or(0);
        start + before..start + before + inner.len()
    }
}

/// The names of the columns.
fn header(
    file: FileIx,
    record: &csv::StringRecord,
    places: &[Range<usize>],
    sink: &mut Sink,
) -> Option<Vec<Column>> {
    let before = sink.errors();
    let span = |place: usize| Span::new(file, places[place].clone());
    let names: Vec<String> = record.iter().map(column_name).collect();
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

/// `Bad Order` in a spreadsheet is `bad_order`.
fn column_name(field: &str) -> String {
    field.trim().to_lowercase().replace([' ', '-'], "_")
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
        let wrong =
            Wrong::new(codes::ROW_WIDTH, message).help("a value with a separator in it stands in quotes");
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
