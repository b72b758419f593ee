//! How every train is made up, block by block from the engine, and where its placarded cars ride.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::MakeUp;

use super::consist;
use super::course::{Courses, Departure};
use super::names::Names;
use super::notes::Notes;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};

/// The make-up sheet of all trains, in the order in which they leave.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>, notes: &Notes<'_>) -> Sheet {
    let mut sheet = super::sheet("make-up", &names.words.forms.make_up(), names);
    let words = &names.words.make_up;
    sheet.blocks.push(Block::Say(words.intro()));
    let ladings: BTreeMap<(&Id, &Id), Option<&Id>> = (names.plan.work.iter())
        .flat_map(|call| call.cars.iter().map(move |work| ((&call.job, &work.car), work.lading.as_ref())))
        .collect();
    let mut placarded = false;
    for train in &names.plan.make_up {
        let (blocks, has) = one((names, notes), train, &ladings, leaves(courses, train));
        placarded |= has;
        sheet.blocks.extend(blocks);
    }
    if names.plan.make_up.is_empty() {
        sheet.blocks.push(Block::Say(words.none()));
    }
    if placarded {
        sheet.blocks.push(Block::Caution(names.words.shared.caution()));
    }
    sheet
}

/// How a train leaves.
fn leaves<'a>(courses: &Courses<'a>, train: &'a MakeUp) -> Option<Departure<'a>> {
    courses.get(&(&train.job, train.call))?.departure
}

fn one(
    (names, notes): (&Names<'_>, &Notes<'_>),
    train: &MakeUp,
    ladings: &BTreeMap<(&Id, &Id), Option<&Id>>,
    leaves: Option<Departure<'_>>,
) -> (Vec<Block>, bool) {
    let (words, shared) = (&names.words.make_up, &names.words.shared);
    let job = names.plan.world.jobs.iter().find(|job| job.id == train.job);
    let place = |call: u32| {
        let at = usize::try_from(call).ok().and_then(|call| job?.calls.get(call.checked_sub(1)?));
        at.map_or_else(|| words.call(call).text(), |place| names.place_title(place))
    };
    let count: usize = train.blocks.iter().map(|block| block.cars.len()).sum();
    let (mut number, mut placarded) = (0_usize, false);
    let groups = train.blocks.iter().map(|block| {
        let head = words.block(place(block.to_call), names.track_name(&block.to), block.cars.len());
        let rows = block.cars.iter().map(|car| {
            number += 1;
            let lading = ladings.get(&(&train.job, car)).copied().flatten();
            let mut note = names.looks_in_short(car);
            if let Some(placard) = notes.placards(names, car, lading) {
                placarded = true;
                let placard = words.placard(placard, number, count + 1 - number);
                note = Phrase::row([placard, note], "; ");
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
        Column::number(shared.head_number()),
        Column::fit(shared.head_car()),
        Column::fit(shared.head_load()),
        Column::rest(shared.head_what()),
    ];
    let mut groups: Vec<Group> = groups.collect();
    if let Some(last) = groups.last_mut().filter(|_| job.is_some_and(|job| job.caboose)) {
        let (nothing, caboose) = (Phrase::default, Phrase::strong(shared.caboose()));
        last.rows.push(Row::new([nothing(), nothing(), caboose, nothing(), nothing()]));
    }
    let table = Table { columns, second_line: 2, groups };
    let heading = words.leaves(names.job_name(&train.job), place(train.call));
    let aside = words.call_and_cars(count, train.call);
    let note = leaves.map_or_else(Phrase::default, |departure| consist::shoved(names, &departure));
    (vec![Block::Heading { words: heading, aside, note }, Block::Table(table)], placarded)
}
