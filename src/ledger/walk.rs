//! Walking the TOML of a ledger file, with the line of everything that is found wrong.

use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::error::Error;
use crate::layout::unsettled;

/// A value with its place.
pub(super) type Value<'t> = Spanned<DeValue<'t>>;

/// How many faults are told at once; the rest is counted.
const TOLD: usize = 20;

/// What is said where a version control system left two versions in one file.
pub(super) const UNSETTLED: &str =
    "two versions of this file met here and nobody chose: keep the lines of one, and take the marks out";

/// The text of a file and what is wrong with it.
pub(super) struct Walk<'t> {
    text: &'t str,
    faults: Vec<(usize, String)>,
}

impl<'t> Walk<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Walk { text, faults: Vec::new() }
    }

    /// Parses the text; a syntax fault is kept like any other.
    pub(super) fn parse(&mut self) -> Option<Spanned<DeTable<'t>>> {
        match DeTable::parse(self.text) {
            Ok(table) => Some(table),
            Err(error) => {
                let place = error.span().map_or(0, |span| span.start);
                let text = format!("{}: undo the last change by hand, or mend the line", error.message());
                // Where two versions met, the words of the parser would lead astray.
                let (place, text) =
                    unsettled(self.text).map_or((place, text), |line| (line.start, UNSETTLED.to_owned()));
                self.fault(place, text);
                None
            }
        }
    }

    /// Notes a fault at a byte of the text.
    pub(super) fn fault(&mut self, place: usize, text: impl Into<String>) {
        self.faults.push((place, text.into()));
    }

    /// Everything found wrong as a failure; nothing if all is sound.
    pub(super) fn failure(mut self, path: &Path) -> Option<Error> {
        if self.faults.is_empty() {
            return None;
        }
        self.faults.sort();
        let lines: Vec<usize> = self.text.match_indices('\n').map(|(place, _)| place).collect();
        let told =
            self.faults.iter().take(TOLD).map(|(place, text)| {
                format!("line {}: {text}", lines.partition_point(|end| end < place) + 1)
            });
        let mut what: Vec<String> = told.collect();
        if self.faults.len() > TOLD {
            what.push(format!("and {} more", self.faults.len() - TOLD));
        }
        Some(Error::Ledger { path: path.to_owned(), what: what.join("\n") })
    }

    pub(super) fn text(&mut self, value: &'t Value<'t>) -> Option<&'t str> {
        match value.get_ref() {
            DeValue::String(text) => Some(text),
            _ => self.wrong(value, "text"),
        }
    }

    pub(super) fn number<N: TryFrom<i64>>(&mut self, value: &'t Value<'t>) -> Option<N> {
        let number = match value.get_ref() {
            DeValue::Integer(digits) if digits.radix() == 10 => digits.as_str().parse::<i64>().ok(),
            _ => None,
        };
        match number.and_then(|number| N::try_from(number).ok()) {
            Some(number) => Some(number),
            None => self.wrong(value, "a whole number within its bounds"),
        }
    }

    pub(super) fn truth(&mut self, value: &'t Value<'t>) -> Option<bool> {
        match value.get_ref() {
            DeValue::Boolean(truth) => Some(*truth),
            _ => self.wrong(value, "true or false"),
        }
    }

    pub(super) fn list(&mut self, value: &'t Value<'t>) -> &'t [Value<'t>] {
        match value.get_ref() {
            DeValue::Array(items) => items,
            _ => self.wrong(value, "a list").unwrap_or_default(),
        }
    }

    /// The entries of a table.
    pub(super) fn entries(
        &mut self,
        value: &'t Value<'t>,
    ) -> impl Iterator<Item = (&'t str, usize, &'t Value<'t>)> + use<'t> {
        let table = match value.get_ref() {
            DeValue::Table(table) => Some(table),
            _ => self.wrong(value, "a table"),
        };
        table.into_iter().flat_map(entries)
    }

    fn wrong<T>(&mut self, value: &Value<'_>, expected: &str) -> Option<T> {
        self.fault(value.span().start, format!("expected {expected}: put back what setout wrote here"));
        None
    }
}

/// The entries of a table: the key, its place, and the value.
pub(super) fn entries<'t>(table: &'t DeTable<'t>) -> impl Iterator<Item = (&'t str, usize, &'t Value<'t>)> {
    table.iter().map(|(key, value)| (key.get_ref().as_ref(), key.span().start, value))
}
