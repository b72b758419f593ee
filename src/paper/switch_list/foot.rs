//! The foot of a switch list: counts that a reader can check, and room to write.

use crate::session::plan::Deed;

use super::super::phrase::Phrase;
use super::super::sheet::{Block, Column, Row, Table};
use super::super::words::capital;
use super::{Crew, Stop};

/// The deeds in the order of the columns.
const DEEDS: [Deed; 6] = [Deed::Pull, Deed::Spot, Deed::Set, Deed::OffSpot, Deed::Hold, Deed::Leave];
/// Lines to write on.
const LINES: u32 = 2;

pub(super) fn blocks(crew: &Crew<'_>) -> Vec<Block> {
    let words = crew.words();
    let mut blocks = Vec::new();
    if crew.works() {
        blocks.extend([Block::heading(words.count_work()), Block::Table(counts(crew))]);
    }
    let placarded = crew.work().any(|work| {
        let lading = work.lading.as_ref();
        crew.names.placard(lading).is_some() || crew.notes.residue(crew.names, &work.car, lading).is_some()
    });
    if placarded {
        blocks.push(Block::Caution(crew.names.words.shared.caution()));
    }
    blocks.push(Block::heading(words.different()));
    blocks.push(Block::Say(words.not_listed()));
    blocks.push(Block::Ruled(LINES));
    blocks
}

/// How many cars are worked in each way at each call, and how many leave in the train.
fn counts(crew: &Crew<'_>) -> Table {
    let words = crew.words();
    let mut columns = vec![Column::rest(words.head_call())];
    columns.extend(DEEDS.map(|deed| Column::number(capital(&crew.names.words.deed(deed)))));
    columns.push(Column::number(words.head_in_train()));
    let number = |count: usize| Phrase::of(count.to_string());
    let count = |call: &Stop<'_>, deed: Deed| call.cars.iter().filter(|work| work.deed == deed).count();
    let mut rows: Vec<Row> = Vec::new();
    for call in &crew.calls {
        let title = format!("{}. {}", call.number, crew.names.place_title(call.place));
        let departure = crew.course(call).and_then(|course| course.departure);
        let leaves = departure.map_or(0, |departure| departure.train.west.len() + departure.train.east.len());
        let counted = DEEDS.map(|deed| number(count(call, deed)));
        rows.push(Row::new([Phrase::of(title)].into_iter().chain(counted).chain([number(leaves)])));
    }
    let total = |deed: Deed| crew.calls.iter().map(|call| count(call, deed)).sum();
    let totals = DEEDS.map(|deed| number(total(deed)));
    rows.push(Row::new([words.all_calls()].into_iter().chain(totals).chain([Phrase::default()])));
    Table::plain(columns, rows)
}
