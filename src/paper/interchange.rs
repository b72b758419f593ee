//! The interchange report: what every gateway brings and takes before the first job, which is before the session.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::Event;

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::tallies;

/// The report of all gateways.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let mut sheet = super::sheet("interchange", &names.words.forms.interchange(), names);
    let (words, shared) = (&names.words.interchange, &names.words.shared);
    sheet.blocks.extend(tallies::gateways(names, words.totals()));
    let mut ladings: BTreeMap<&Id, Option<&Id>> =
        names.plan.before.tracks.values().flatten().map(|car| (&car.car, car.lading.as_ref())).collect();
    let mut received: BTreeMap<&Id, Vec<Row>> = BTreeMap::new();
    let mut delivered: BTreeMap<&Id, Vec<Row>> = BTreeMap::new();
    for event in &names.plan.events {
        match event {
            Event::Released { car, lading } => {
                ladings.insert(car, lading.as_ref());
            }
            Event::Placed { car, track, gateway, lading } => {
                received.entry(gateway).or_default().push(row(names, car, lading.as_ref(), track));
            }
            Event::Lifted { car, track, gateway } => {
                let lading = ladings.get(car).copied().flatten();
                delivered.entry(gateway).or_default().push(row(names, car, lading, track));
            }
            _ => {}
        }
    }
    for line in &names.plan.gateways {
        sheet.blocks.push(Block::heading(names.gateway_name(&line.gateway)));
        let groups =
            [(words.received(), &mut received), (words.delivered(), &mut delivered)].map(|(word, rows)| {
                let rows = rows.remove(&line.gateway).unwrap_or_default();
                let foot = if rows.is_empty() { words.none() } else { Phrase::default() };
                Group { head: Phrase::strong(word).then(format!(" ({})", rows.len())), rows, foot }
            });
        let columns = vec![
            Column::fit(""),
            Column::fit(shared.head_car()),
            Column::fit(shared.head_load()),
            Column::fit(shared.head_track()),
            Column::rest(shared.head_what()),
        ];
        sheet.blocks.push(Block::Table(Table { columns, second_line: 1, groups: groups.into() }));
    }
    sheet
}

fn row(names: &Names<'_>, car: &Id, lading: Option<&Id>, track: &Id) -> Row {
    Row::new([
        Phrase::of(Piece::Tick),
        Phrase::of(car),
        names.load(lading),
        Phrase::words(&names.track_name(track)),
        names.looks_in_short(car),
    ])
}
