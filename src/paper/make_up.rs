//! How every train is made up, block by block from the engine, and where its placarded cars ride.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::MakeUp;

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::words;

/// The make-up sheet of all trains, in the order in which they leave.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let mut sheet = super::sheet("make-up", "Make-up of trains", names);
    sheet.blocks.push(Block::Say(Phrase::of(
        "Each train from the engine outwards: number 1 is coupled to the engine. Cars of one block are left together.",
    )));
    let ladings: BTreeMap<(&Id, &Id), Option<&Id>> = (names.plan.work.iter())
        .flat_map(|call| call.cars.iter().map(move |work| ((&call.job, &work.car), work.lading.as_ref())))
        .collect();
    let mut placarded = false;
    for train in &names.plan.make_up {
        let (blocks, has) = one(names, train, &ladings);
        placarded |= has;
        sheet.blocks.extend(blocks);
    }
    if names.plan.make_up.is_empty() {
        sheet.blocks.push(Block::Say(Phrase::of("No train carries cars.")));
    }
    if placarded {
        sheet.blocks.push(Block::Caution(Phrase::of(words::PLACARDED)));
    }
    sheet
}

fn one(names: &Names<'_>, train: &MakeUp, ladings: &BTreeMap<(&Id, &Id), Option<&Id>>) -> (Vec<Block>, bool) {
    let job = names.plan.world.jobs.iter().find(|job| job.id == train.job);
    let place = |call: u32| {
        let at = usize::try_from(call).ok().and_then(|call| job?.calls.get(call.checked_sub(1)?));
        at.map_or_else(|| format!("call {call}"), |place| names.place_title(place))
    };
    let count: usize = train.blocks.iter().map(|block| block.cars.len()).sum();
    let (mut number, mut placarded) = (0_usize, false);
    let groups = train.blocks.iter().map(|block| {
        let head = Phrase::strong(format!("For {}, {}", place(block.to_call), names.track_name(&block.to)))
            .then(format!(" ({})", block.cars.len()));
        let rows = block.cars.iter().map(|car| {
            number += 1;
            let lading = ladings.get(&(&train.job, car)).copied().flatten();
            let mut note = names.looks_in_short(car);
            if let Some(group) = names.placard(lading) {
                placarded = true;
                note = Phrase::strong(format!("PLACARDED, group {group}"))
                    .then(format!(": {number} from the engine, {} from the end; ", count + 1 - number))
                    .followed_by(note);
            }
            Row::new([
                Phrase::of(Piece::Tick),
                Phrase::of(number.to_string()),
                Phrase::of(car),
                names.load(lading),
                note,
            ])
        });
        Group { head, rows: rows.collect(), foot: Phrase::default() }
    });
    let columns = vec![
        Column::fit(""),
        Column::number("No"),
        Column::fit("Car"),
        Column::fit("Load"),
        Column::rest("What it is"),
    ];
    let table = Table { columns, second_line: 2, groups: groups.collect() };
    let words = Phrase::of(format!("{} leaves {}", names.job_name(&train.job), place(train.call)));
    let aside = Phrase::of(format!(
        "call {}, {}",
        train.call,
        if count == 1 { "1 car".to_owned() } else { format!("{count} cars") }
    ));
    (vec![Block::Heading { words, aside, note: Phrase::default() }, Block::Table(table)], placarded)
}
