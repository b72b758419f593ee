//! The cars that do not get where they are bound tonight: those that are kept by the same thing in one row.

use crate::session::plan::TripLine;

use super::super::names::Names;
use super::super::phrase::Phrase;
use super::super::sheet::{Block, Column, Row, Table};

/// The cars that stay or are late.
pub(super) fn table(names: &Names<'_>) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let mut groups: Vec<Vec<&TripLine>> = Vec::new();
    for trip in names.plan.trips.iter().filter(|trip| !trip.arrives) {
        match groups.iter_mut().find(|group| same(group[0], trip)) {
            Some(group) => group.push(trip),
            None => groups.push(vec![trip]),
        }
    }
    if groups.is_empty() {
        return Block::Say(words.none_late());
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group.len()));
    let rows = groups.iter().map(|group| {
        let expected = group[0].expected.map(|session| words.arrives_in(session.to_string()));
        let expected = expected.unwrap_or_else(|| words.arrival_open());
        let row = Row::new([Phrase::of(group.len().to_string()), expected, why(names, group[0])]);
        row.with(match group.as_slice() {
            [trip] => words.one_late(&trip.car, names.load(trip.lading.as_ref()), names.bound(&trip.bound)),
            several => Phrase::cars(several.iter().map(|trip| &trip.car)),
        })
    });
    let columns = vec![
        Column::number(shared.head_cars()),
        Column::fit(words.head_arrives()),
        Column::rest(words.head_why()),
    ];
    let mut table = Table::plain(columns, rows.collect());
    table.second_line = 2;
    Block::Table(table)
}

/// Why a car does not arrive.
fn why(names: &Names<'_>, trip: &TripLine) -> Phrase {
    let kept = trip.told.last().filter(|_| trip.kept.is_some());
    let said = kept.and_then(|kept| names.say(kept));
    said.unwrap_or_else(|| Phrase::of(names.told(trip.kept.as_ref().unwrap_or(&trip.why))))
}

/// Whether two cars are kept by the same thing, for as long.
fn same(one: &TripLine, other: &TripLine) -> bool {
    one.expected == other.expected && one.kept.is_some() && one.kept == other.kept
}
