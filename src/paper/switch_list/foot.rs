//! The foot of a switch list: counts that a reader can check, and room to write.

use crate::session::plan::Deed;

use super::super::phrase::Phrase;
use super::super::sheet::{Block, Column, Row, Table};
use super::super::words;
use super::{Crew, Stop};

/// The deeds in the order of the columns.
const DEEDS: [(Deed, &str); 6] = [
    (Deed::Pull, "Pull"),
    (Deed::Spot, "Spot"),
    (Deed::Set, "Set out"),
    (Deed::OffSpot, "Off spot"),
    (Deed::Hold, "Hold"),
    (Deed::Leave, "Leave"),
];
/// Lines to write on.
const LINES: u32 = 4;

pub(super) fn blocks(crew: &Crew<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::heading("Count your work"), Block::Table(counts(crew))];
    blocks.push(Block::heading("What was different"));
    blocks.push(Block::Say(Phrase::of(
        "A car that is not on this list: leave it where it is, and write its number and track here. \
         Work you could not do: leave the car, and write why.",
    )));
    blocks.push(Block::Ruled(LINES));
    let placarded = crew.work().any(|work| crew.names.placard(work.lading.as_ref()).is_some());
    if placarded {
        blocks.push(Block::Caution(Phrase::of(words::PLACARDED)));
    }
    blocks
}

/// How many cars are worked in each way at each call, and how many leave in the train.
fn counts(crew: &Crew<'_>) -> Table {
    let mut columns = vec![Column::rest("Call")];
    columns.extend(DEEDS.map(|(_, head)| Column::number(head)));
    columns.push(Column::number("In train"));
    let number = |count: usize| Phrase::of(count.to_string());
    let count = |call: &Stop<'_>, deed: Deed| call.cars.iter().filter(|work| work.deed == deed).count();
    let mut rows: Vec<Row> = Vec::new();
    for call in &crew.calls {
        let title = format!("{}. {}", call.number, crew.names.place_title(call.place));
        let departure = crew.course(call).and_then(|course| course.departure);
        let leaves = departure.map_or(0, |departure| departure.train.west.len() + departure.train.east.len());
        let counted = DEEDS.map(|(deed, _)| number(count(call, deed)));
        rows.push(Row::new([Phrase::of(title)].into_iter().chain(counted).chain([number(leaves)])));
    }
    let total = |deed: Deed| crew.calls.iter().map(|call| count(call, deed)).sum();
    let totals = DEEDS.map(|(deed, _)| number(total(deed)));
    rows.push(Row::new([Phrase::strong("All calls")].into_iter().chain(totals).chain([Phrase::default()])));
    Table::plain(columns, rows)
}
