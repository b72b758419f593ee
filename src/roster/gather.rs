//! The cars that the description of a layout has already: rows of `cars.csv`, and `[[car]]`.

use std::collections::BTreeMap;
use std::ops::{ControlFlow, Range};

use toml::de::{DeTable, DeValue};

use super::card::{Card, Said};
use crate::diag::{FileIx, Sources, Span};
use crate::layout::{CAR_KEYS, table};

/// A roster in a file of the description: its rows, and what stands between them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Listed {
    /// What separates its fields.
    pub(super) separator: u8,
    /// The row of names, and the key of each column; none that no car has.
    pub(super) head: Range<usize>,
    pub(super) columns: Vec<Option<&'static str>>,
    /// The rows that are cars.
    pub(super) rows: Vec<ListedRow>,
}

/// A row of a roster.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ListedRow {
    pub(super) whole: Range<usize>,
    /// Every field, whether a column has a name or not.
    pub(super) fields: Vec<String>,
    pub(super) card: Card,
}

/// Reads a roster of the description; nothing where it has no row of names.
pub(super) fn listed(file: FileIx, text: &str) -> Option<Listed> {
    let mut listed: Option<Listed> = None;
    let separator = table::read(text, |record, row| {
        if row.is_remark {
            return ControlFlow::Continue(());
        }
        match &mut listed {
            None => {
                let key = |name: &str| {
                    let name = table::column_name(name);
                    CAR_KEYS.into_iter().find(|key| *key == name)
                };
                let columns: Vec<_> = record.iter().map(key).collect();
                if columns.iter().all(Option::is_none) {
                    return ControlFlow::Break(());
                }
                listed = Some(Listed { head: row.whole.clone(), columns, ..Listed::default() });
            }
            Some(listed) => {
                let fields: Vec<String> = record.iter().map(|field| field.trim().to_owned()).collect();
                let said = listed.columns.iter().zip(&fields).zip(&row.fields);
                let says = said.filter_map(|((key, words), range)| {
                    let said = Said { words: words.clone(), span: Span::new(file, range.clone()) };
                    key.filter(|_| !words.is_empty()).map(|key| (key, said))
                });
                let card = Card { says: says.collect(), span: Span::new(file, row.whole.clone()) };
                listed.rows.push(ListedRow { whole: row.whole.clone(), fields, card });
            }
        }
        ControlFlow::Continue(())
    })
    .ok()?;
    listed.map(|listed| Listed { separator, ..listed })
}

/// All cars of a description, file by file.
pub(super) fn cards(sources: &Sources) -> Vec<Card> {
    let mut cards = Vec::new();
    for (file, source) in sources.iter() {
        let ending = source.name.rsplit_once('.').map_or("", |(_, ending)| ending);
        if ending.eq_ignore_ascii_case("csv") {
            let rows = listed(file, &source.text).map(|listed| listed.rows).unwrap_or_default();
            cards.extend(rows.into_iter().map(|row| row.card));
        } else {
            cards.extend(tables(file, &source.text));
        }
    }
    cards
}

/// The tables `[[car]]` of a file.
fn tables(file: FileIx, text: &str) -> Vec<Card> {
    let (table, _) = DeTable::parse_recoverable(text);
    let Some(DeValue::Array(items)) = table.get_ref().get("car").map(toml::Spanned::get_ref) else {
        return Vec::new();
    };
    let cars = items.iter().filter_map(|item| match item.get_ref() {
        DeValue::Table(car) => Some((item.span(), car)),
        _ => None,
    });
    cars.map(|(span, car)| Card { says: says(file, car), span: Span::new(file, span) }).collect()
}

fn says(file: FileIx, car: &DeTable<'_>) -> BTreeMap<&'static str, Said> {
    let said = car.iter().filter_map(|(key, value)| {
        let key = CAR_KEYS.into_iter().find(|known| *known == key.get_ref().as_ref())?;
        let words = match value.get_ref() {
            DeValue::String(words) => words.trim().to_owned(),
            DeValue::Integer(number) => number.as_str().to_owned(),
            DeValue::Float(number) => number.as_str().to_owned(),
            DeValue::Boolean(truth) => if *truth { "yes" } else { "no" }.to_owned(),
            DeValue::Datetime(day) => day.to_string(),
            DeValue::Array(_) | DeValue::Table(_) => return None,
        };
        (!words.is_empty()).then(|| (key, Said { words, span: Span::new(file, value.span()) }))
    });
    said.collect()
}
