//! The rows of a sheet as cars: cells under columns that are understood, in the words a roster has.
//!
//! Changed is only what has one meaning: a decimal comma becomes a point, a number gets the unit of
//! its column, mark and number are parted, capital letters of fixed words become small. Whether a
//! value is sound is for `layout` to say.

use std::collections::BTreeMap;

use super::card::{Card, Said};
use super::columns::{Column, Meaning};
use super::sheet::{Cell, Kind, Row, Sheet};
use crate::diag::{Diagnostic, FileIx, Span};

/// The cars of a sheet, from a row on.
pub(super) fn cards(
    sheet: &Sheet,
    file: FileIx,
    columns: &[Column],
    from: usize,
    faults: &mut Vec<Diagnostic>,
) -> Vec<Card> {
    let rows = sheet.rows.iter().skip(from);
    rows.filter_map(|row| card(row, file, columns, faults)).collect()
}

fn card(row: &Row, file: FileIx, columns: &[Column], faults: &mut Vec<Diagnostic>) -> Option<Card> {
    let filled = |cell: &&Cell| !cell.words.is_empty();
    let first = row.cells.iter().find(filled)?;
    let last = row.cells.iter().rev().find(filled)?;
    let mut card = Card { says: BTreeMap::new(), span: Span::new(file, first.range.start..last.range.end) };
    for (place, cell) in row.cells.iter().enumerate().filter(|(_, cell)| !cell.words.is_empty()) {
        let span = Span::new(file, cell.range.clone());
        let Some(column) = columns.iter().find(|column| column.place == place) else {
            faults.push(nameless(cell, span));
            continue;
        };
        if column.meaning == Meaning::LeftOut {
            continue;
        }
        if let Some(fault) = spoiled(cell, column, span) {
            faults.push(fault);
        } else {
            take(cell, column, span, &mut card);
        }
    }
    (!card.says.is_empty()).then_some(card)
}

fn nameless(cell: &Cell, span: Span) -> Diagnostic {
    let message = format!("`{}` stands in a column without a name", cell.words);
    Diagnostic::error("missing-key", span, message).help("name the column, or empty the cell")
}

/// What a spreadsheet made of a value, where the words alone do not show it.
fn spoiled(cell: &Cell, column: &Column, span: Span) -> Option<Diagnostic> {
    let fault = |message: String, help: &str| {
        Some(Diagnostic::error("changed-by-spreadsheet", span, message).help(help))
    };
    let (words, name) = (&cell.words, &column.name);
    match (cell.kind, column.meaning) {
        (Kind::Failed, _) => {
            fault(format!("the formula in column `{name}` failed: `{words}`"), "mend it, or type the value")
        }
        (Kind::Day, Meaning::Key("since" | "until")) | (Kind::Words, _) => None,
        (Kind::Day, _) => fault(
            format!("the spreadsheet took `{name}` for a day: `{words}`"),
            "format the column as text, type the value again, and save the file anew",
        ),
    }
}

/// Puts what a cell says onto the card.
fn take(cell: &Cell, column: &Column, span: Span, card: &mut Card) {
    let words = cell.words.as_str();
    let mut say = |key: &'static str, words: String| {
        if !words.is_empty() {
            card.says.insert(key, Said { words, span });
        }
    };
    match column.meaning {
        Meaning::Car => {
            let (mark, number) = parted(words);
            say("mark", mark.to_owned());
            say("number", number.to_owned());
        }
        Meaning::FirstYear => {
            let last = card.says.get("years").map_or("-", |said| &*said.words).to_owned();
            card.says.insert("years", Said { words: format!("{words}{last}"), span });
        }
        Meaning::LastYear => {
            let first = card.says.get("years").map_or("-", |said| &*said.words).to_owned();
            card.says.insert("years", Said { words: format!("{first}{words}"), span });
        }
        Meaning::Key(key) => say(key, value(key, words, column.unit.as_deref())),
        Meaning::LeftOut => {}
    }
}

/// `CHT 1234`, `CHT1234`, `CHT-1234`: the mark, and the number.
fn parted(words: &str) -> (&str, &str) {
    let figures = words.find(|letter: char| letter.is_ascii_digit()).unwrap_or(words.len());
    let (mark, number) = words.split_at(figures);
    (mark.trim_matches([' ', '-', '\u{a0}', '.', '#']), number)
}

/// A value in the words that a roster has for it.
fn value(key: &str, words: &str, unit: Option<&str>) -> String {
    match key {
        "length" | "height" => {
            let words = with_point(words);
            let bare = words.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
            unit.filter(|_| bare).map_or(words.clone(), |unit| format!("{words} {unit}"))
        }
        "light" | "capacity" => with_point(words),
        "number" => whole(words).to_owned(),
        "grade" | "load" | "visits" | "state" => words.to_lowercase(),
        "bad_order" => match words.to_lowercase().as_str() {
            "y" => "yes".to_owned(),
            "n" => "no".to_owned(),
            other => other.to_owned(),
        },
        _ => words.to_owned(),
    }
}

/// `16,8 m` is `16.8 m`. Three figures after the comma may be thousands: they are left as they are.
fn with_point(words: &str) -> String {
    let Some((before, after)) = words.split_once(',') else { return words.to_owned() };
    let figures = after.bytes().take_while(u8::is_ascii_digit).count();
    let number = !before.is_empty() && before.bytes().all(|byte| byte.is_ascii_digit());
    if number && figures > 0 && figures != 3 && !after.contains(',') {
        format!("{before}.{after}")
    } else {
        words.to_owned()
    }
}

/// `1234.0` is 1234: a program that reckons in decimals writes whole numbers so.
fn whole(words: &str) -> &str {
    match words.split_once('.') {
        Some((whole, rest))
            if rest.len() == 1
                && rest.starts_with('0')
                && whole.bytes().all(|byte| byte.is_ascii_digit()) =>
        {
            whole
        }
        _ => words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_put_into_the_words_of_a_roster() {
        for (key, words, unit, expected) in [
            ("length", "44", Some("ft"), "44 ft"),
            ("length", "44 ft", Some("ft"), "44 ft"),
            ("length", "13,4", Some("m"), "13.4 m"),
            ("length", "1,340 m", None, "1,340 m"),
            ("length", "44", None, "44"),
            ("number", "1234.0", None, "1234"),
            ("number", "1.234", None, "1.234"),
            ("grade", "Clean", None, "clean"),
            ("bad_order", "Y", None, "yes"),
            ("note", "Runs badly, Y", None, "Runs badly, Y"),
        ] {
            assert_eq!(value(key, words, unit), expected, "{key} {words}");
        }
    }

    #[test]
    fn mark_and_number_are_parted() {
        for words in ["CHT 1234", "CHT1234", "CHT-1234", "CHT\u{a0}1234"] {
            assert_eq!(parted(words), ("CHT", "1234"), "{words}");
        }
        assert_eq!(parted("21 81 2471 217-3"), ("", "21 81 2471 217-3"));
    }
}
