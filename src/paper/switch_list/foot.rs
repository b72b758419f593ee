//! The foot of a switch list: counts that a reader can check, and room to write.

use crate::session::plan::{CarWork, Deed};

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
    let placards = |work: &CarWork| crew.notes.placards(crew.names, &work.car, work.lading.as_ref());
    let placarded = crew.work().any(|work| placards(work).is_some());
    if placarded {
        blocks.push(Block::Caution(crew.names.words.shared.caution()));
    }
    blocks.push(Block::heading(words.different()));
    blocks.push(Block::Say(words.not_listed()));
    blocks.push(Block::Ruled(LINES));
    blocks
}

/// How many cars are worked in each way at each call, and how many leave in the train; without the ways in which none is.
fn counts(crew: &Crew<'_>) -> Table {
    let words = crew.words();
    let deeds = DEEDS.iter().copied().filter(|deed| crew.work().any(|work| work.deed == *deed));
    let deeds: Vec<Deed> = deeds.collect();
    let mut columns = vec![Column::rest(words.head_call())];
    columns.extend(deeds.iter().map(|deed| Column::number(capital(&crew.names.words.deed(*deed)))));
    columns.push(Column::number(words.head_in_train()));
    let number = |count: usize| Phrase::of(count.to_string());
    let count = |call: &Stop<'_>, deed: Deed| call.cars.iter().filter(|work| work.deed == deed).count();
    let mut rows: Vec<Row> = Vec::new();
    for call in &crew.calls {
        let title = format!("{}. {}", call.number, crew.names.place_title(call.place));
        let departure = crew.course(call).and_then(|course| course.departure);
        let leaves = departure.map_or(0, |departure| departure.train.west.len() + departure.train.east.len());
        let counted = deeds.iter().map(|deed| number(count(call, *deed)));
        rows.push(Row::new([Phrase::of(title)].into_iter().chain(counted).chain([number(leaves)])));
    }
    let total = |deed: Deed| crew.calls.iter().map(|call| count(call, deed)).sum();
    let totals = deeds.iter().map(|deed| number(total(*deed)));
    rows.push(Row::new([words.all_calls()].into_iter().chain(totals).chain([Phrase::default()])));
    Table::plain(columns, rows)
}
