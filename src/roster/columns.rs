//! Which column of a sheet holds what, and what is asked back.
//!
//! The row of names is the first that names a number and something else of a car. A column whose
//! name may mean several things is taken for the one that no other column is; where that leaves
//! more than one, or none, the host is asked, with the words to answer in.

use super::heads::{self, UNITS};
use super::sheet::{Cell, Row, Sheet};
use crate::diag::{Diagnostic, FileIx, Span};
use crate::layout::{CAR_KEYS, near_miss};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meaning {
    /// A key of a car.
    Key(&'static str),
    /// Mark and number together: `CHT 1234`.
    Car,
    /// The first year of `years`.
    FirstYear,
    /// The last year of `years`.
    LastYear,
    /// Nothing that is read.
    LeftOut,
}

impl Meaning {
    /// All that can be said of a column by a word.
    fn of_word(word: &str) -> Option<Meaning> {
        Some(match word {
            "" => Meaning::LeftOut,
            "car" => Meaning::Car,
            "first year" => Meaning::FirstYear,
            "last year" => Meaning::LastYear,
            word => Meaning::Key(CAR_KEYS.into_iter().find(|key| key.replace('_', " ") == word)?),
        })
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Meaning::Key(key) => key,
            Meaning::Car => "car",
            Meaning::FirstYear => "first year",
            Meaning::LastYear => "last year",
            Meaning::LeftOut => "",
        }
    }
}

/// A column that is understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its place in the row, from 0.
    pub place: usize,
    /// Its name, as the host wrote it.
    pub name: String,
    /// What it holds.
    pub meaning: Meaning,
    /// What its lengths are measured in, where its name says so.
    pub unit: Option<String>,
}

/// What the host says of a column: `No.=number`, `Len=length in ft`, `Price=`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    name: String,
    meaning: Meaning,
    unit: Option<String>,
}

impl std::str::FromStr for Told {
    type Err = String;

    fn from_str(words: &str) -> Result<Told, String> {
        let (name, what) = words
            .rsplit_once('=')
            .ok_or_else(|| format!("`{words}` has no `=`; expected something like `No.=number`"))?;
        let (word, unit) = heads::plain(what);
        let meaning = Meaning::of_word(&word).ok_or_else(|| {
            let words = CAR_KEYS.iter().copied().chain(["car", "first year", "last year"]);
            near_miss(&word, words.clone()).map_or_else(
                || format!("a column cannot be `{word}`; it can be {}", words.collect::<Vec<_>>().join(", ")),
                |near| format!("a column cannot be `{word}`: did you mean `{near}`?"),
            )
        })?;
        Ok(Told { name: heads::plain(name).0, meaning, unit })
    }
}

/// The columns of a sheet and the row after their names; or what is asked back.
pub(super) fn understand(
    sheet: &Sheet,
    file: FileIx,
    told: &[Told],
    leave_rest: bool,
    faults: &mut Vec<Diagnostic>,
) -> (Vec<Column>, usize) {
    let Some(head) = head(sheet, told) else {
        faults.push(no_head(sheet, file));
        return (Vec::new(), 0);
    };
    let row = &sheet.rows[head];
    let mut columns = certain(row, told);
    for (place, cell) in row.cells.iter().enumerate().filter(|(_, cell)| !cell.words.is_empty()) {
        if columns.iter().any(|column| column.place == place) {
            continue;
        }
        let span = Span::new(file, cell.range.clone());
        let (plain, unit) = heads::plain(&cell.words);
        let mut may = heads::meanings(&plain);
        may.retain(|meaning| !columns.iter().any(|column| covers(column.meaning, *meaning)));
        let meaning = match may[..] {
            [meaning] => meaning,
            [] if leave_rest => Meaning::LeftOut,
            _ => {
                faults.push(unsure(&cell.words, &plain, &may, span));
                continue;
            }
        };
        columns.push(Column { place, name: cell.words.clone(), meaning, unit });
    }
    for told in
        told.iter().filter(|told| !row.cells.iter().any(|cell| heads::plain(&cell.words).0 == told.name))
    {
        let span = row.cells.first().map_or(0..0, |cell| cell.range.clone());
        let message = format!("no column is named `{}`", told.name);
        faults.push(Diagnostic::error("unknown-column", Span::new(file, span), message).help(format!(
            "the names are {}",
            quoted(row.cells.iter().map(|cell| &*cell.words).filter(|words| !words.is_empty()))
        )));
    }
    columns.sort_by_key(|column| column.place);
    twice(row, file, &columns, faults);
    needed(row, file, &columns, faults);
    (columns, head + 1)
}

/// The row of names: the first that has a column for the number, and one more that is known.
fn head(sheet: &Sheet, told: &[Told]) -> Option<usize> {
    let known = |row: &Row| {
        let names = row.cells.iter().map(|cell| heads::plain(&cell.words).0);
        let may: Vec<Vec<Meaning>> = names
            .map(|name| match told.iter().find(|told| told.name == name) {
                Some(told) => vec![told.meaning],
                None => heads::meanings(&name),
            })
            .collect();
        let number = |meanings: &Vec<Meaning>| {
            meanings.contains(&Meaning::Key("number")) || meanings.contains(&Meaning::Car)
        };
        may.iter().any(number) && may.iter().filter(|meanings| !meanings.is_empty()).count() > 1
    };
    sheet.rows.iter().position(known)
}

/// Whether a sheet has a row of names at all.
pub(super) fn has_head(sheet: &Sheet, told: &[Told]) -> bool {
    head(sheet, told).is_some()
}

/// The columns of which the host said what they are, and those with one meaning.
fn certain(row: &Row, told: &[Told]) -> Vec<Column> {
    let mut columns = Vec::new();
    for (place, cell) in row.cells.iter().enumerate() {
        let (plain, unit) = heads::plain(&cell.words);
        let name = cell.words.clone();
        if let Some(told) = told.iter().find(|told| told.name == plain) {
            let unit = told.unit.clone().or(unit);
            columns.push(Column { place, name, meaning: told.meaning, unit });
        } else if let [meaning] = heads::meanings(&plain)[..] {
            columns.push(Column { place, name, meaning, unit });
        }
    }
    columns
}

/// Whether a column that is known already leaves no need for another meaning.
fn covers(known: Meaning, other: Meaning) -> bool {
    let numbers = |meaning| matches!(meaning, Meaning::Car | Meaning::Key("number"));
    let marks = |meaning| matches!(meaning, Meaning::Car | Meaning::Key("mark"));
    let years = |meaning| matches!(meaning, Meaning::FirstYear | Meaning::Key("years"));
    known == other
        || (numbers(known) && numbers(other))
        || (marks(known) && marks(other))
        || (years(known) && years(other))
}

fn quoted<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// A name that may mean several things, or nothing that is known.
fn unsure(name: &str, plain: &str, may: &[Meaning], span: Span) -> Diagnostic {
    let say = |word: &str| format!("`--column \"{name}={word}\"`");
    let out = format!("{} leaves it out", say(""));
    if may.is_empty() {
        let known: Vec<String> = heads::known().collect();
        let near = near_miss(plain, known.iter().map(String::as_str)).map(heads::meanings);
        let near = near.as_ref().and_then(|near| near.first()).map_or("note", |meaning| meaning.word());
        return Diagnostic::error("unsure-column", span, format!("no car has a `{name}`"))
            .help(format!("say what it is, such as {}; {out}", say(near)));
    }
    let words = quoted(may.iter().map(|meaning| meaning.word()));
    let ways: Vec<String> = may.iter().map(|meaning| say(meaning.word())).collect();
    Diagnostic::error("unsure-column", span, format!("`{name}` may be one of {words}"))
        .help(format!("say which: {}; {out}", ways.join(" or ")))
}

/// No row of names: the one that is most like it is shown.
fn no_head(sheet: &Sheet, file: FileIx) -> Diagnostic {
    let known = |row: &&Row| {
        let names = row.cells.iter().map(|cell| heads::plain(&cell.words).0);
        names.filter(|name| !heads::meanings(name).is_empty()).count()
    };
    // Of rows that are equally good the first.
    let best = sheet.rows.iter().rev().max_by_key(known);
    let cells = best.map(|row| &row.cells[..]).unwrap_or_default();
    let filled: Vec<&Cell> = cells.iter().filter(|cell| !cell.words.is_empty()).collect();
    let range = filled.first().zip(filled.last()).map(|(first, last)| first.range.start..last.range.end);
    let span = Span::new(file, range.unwrap_or(0..0));
    let example = filled.first().map_or("NAME", |cell| &cell.words);
    Diagnostic::error("not-a-roster", span, "no row names the columns of a roster").help(format!(
        "begin with a row of names such as mark, number, type; or say what yours mean: `--column \"{example}=number\"`"
    ))
}

/// Two columns for one thing.
fn twice(row: &Row, file: FileIx, columns: &[Column], faults: &mut Vec<Diagnostic>) {
    for (place, column) in columns.iter().enumerate().filter(|(_, column)| column.meaning != Meaning::LeftOut)
    {
        let same = |earlier: &&Column| covers_twice(earlier.meaning, column.meaning);
        if let Some(first) = columns[..place].iter().find(same) {
            let span = |column: &Column| Span::new(file, row.cells[column.place].range.clone());
            let message = format!(
                "`{}` and `{}` are both read as `{}`",
                first.name,
                column.name,
                column.meaning.word()
            );
            faults.push(
                Diagnostic::error("repeated-column", span(column), message)
                    .label(span(first), "first here")
                    .help(format!("leave one out: `--column \"{}=\"`", column.name)),
            );
        }
    }
}

/// Whether two columns cannot both be read; `first year` and `last year` can.
fn covers_twice(one: Meaning, other: Meaning) -> bool {
    let years = |meaning| matches!(meaning, Meaning::FirstYear | Meaning::LastYear);
    let (single, whole) = (years(one) || years(other), Meaning::Key("years"));
    covers(one, other) || (single && (one == whole || other == whole))
}

/// Without a number there is no car; lengths need a unit that there is.
fn needed(row: &Row, file: FileIx, columns: &[Column], faults: &mut Vec<Diagnostic>) {
    let number = |column: &Column| matches!(column.meaning, Meaning::Key("number") | Meaning::Car);
    // A column that is asked back already may be the one that is missing.
    let asked = faults.iter().any(|fault| fault.code == "unsure-column");
    if !asked && !columns.iter().any(number) {
        let whole = row.cells.first().zip(row.cells.last());
        let whole = whole.map_or(0..0, |(first, last)| first.range.start..last.range.end);
        let fault = Diagnostic::error(
            "missing-key",
            Span::new(file, whole),
            "no column holds the number of the cars",
        );
        faults.push(fault.help("say which does: `--column \"NAME=number\"`"));
    }
    for column in columns {
        let length = matches!(column.meaning, Meaning::Key("length" | "height"));
        let Some(unit) = column.unit.as_deref().filter(|unit| !length || !UNITS.contains(unit)) else {
            continue;
        };
        if length {
            let span = Span::new(file, row.cells[column.place].range.clone());
            let message = format!("`{}` is measured in `{unit}`, which is no unit of length", column.name);
            let help = format!("say one: `--column \"{}={} in ft\"`", column.name, column.meaning.word());
            faults.push(Diagnostic::error("bad-length", span, message).help(help));
        }
    }
}
