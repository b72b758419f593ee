//! The set-up: what the host does by hand before the first crew begins, and how every track must
//! then look.

mod by_hand;

use crate::ids::Id;
use crate::layout::LoadLook;
use crate::session::plan::Event;

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use by_hand::{ByHand, Run};

/// The set-up sheet.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let by_hand = ByHand::follow(names);
    let mut sheet = super::sheet("set-up", "Set-up before the session", names);
    let lifted = runs(names, &by_hand.lifted, lifted_head);
    sheet.blocks.push(Block::Say(Phrase::of(
        "Go from top to bottom and tick what is done: you can stop at any line and go on there later.",
    )));
    section(&mut sheet, "Take off the layout", lifted, "Nothing to take off.");
    section(&mut sheet, "Loads in open cars", loads(names, &by_hand), "No load to change.");
    let placed = runs(names, &by_hand.placed, placed_head);
    section(&mut sheet, "Put on the layout", placed, "Nothing to put on.");
    section(&mut sheet, "Engines", engines(names), "No job runs.");
    let standing = standing(names, &by_hand);
    section(&mut sheet, "Every track when the session begins", standing, "No car stands on a track.");
    sheet
}

fn section(sheet: &mut Sheet, title: &str, table: Table, none: &'static str) {
    sheet.blocks.push(Block::heading(title));
    let empty = table.groups.iter().all(|group| group.rows.is_empty());
    sheet.blocks.push(if empty { Block::Say(Phrase::of(none)) } else { Block::Table(table) });
}

/// Cars lifted or placed by hand, by gateway and track.
fn runs(names: &Names<'_>, runs: &[Run<'_>], head: fn(&Names<'_>, &Run<'_>) -> Phrase) -> Table {
    let groups = runs.iter().map(|run| Group {
        head: noted(names, run, head(names, run)),
        rows: run
            .cars
            .iter()
            .map(|(car, lading)| {
                let note =
                    if run.placed { placed_note(names, car, lading.is_some()) } else { Phrase::default() };
                let what = Phrase::row([names.looks(car), note], "; ");
                Row::new([Phrase::of(Piece::Tick), Phrase::of(*car), names.load(*lading), what])
            })
            .collect(),
        foot: Phrase::of("Before, from west: ")
            .followed_by(row_or_clear(&run.before))
            .then(". After: ")
            .followed_by(row_or_clear(&run.after))
            .then("."),
    });
    let columns = vec![Column::fit(""), Column::fit("Car"), Column::fit("Load"), Column::rest("What it is")];
    Table { columns, second_line: 1, groups: groups.collect() }
}

/// The cars of a track, or that there is none.
fn row_or_clear(row: &[&Id]) -> Phrase {
    if row.is_empty() { Phrase::of("clear") } else { Phrase::cars(row.iter().copied()) }
}

fn lifted_head(names: &Names<'_>, run: &Run<'_>) -> Phrase {
    Phrase::strong(format!("{}, {}", names.place_of(run.track), names.track_name(run.track)))
        .then(format!(", out by {}", names.gateway_name(run.gateway)))
}

fn placed_head(names: &Names<'_>, run: &Run<'_>) -> Phrase {
    let head = Phrase::strong(format!("{}, {}", names.place_of(run.track), names.track_name(run.track)))
        .then(format!(", in by {}: in this order from west", names.gateway_name(run.gateway)));
    match run.stands_last {
        Some(last) => head.then(", all east of ").then(last),
        None => head,
    }
}

/// The heading with what the host says of the gateway.
fn noted(names: &Names<'_>, run: &Run<'_>, head: Phrase) -> Phrase {
    match names.gateway(run.gateway).and_then(|gateway| gateway.note.as_deref()) {
        Some(note) => head.then(format!(" ({note})")),
        None => head,
    }
}

/// What to mind with a car that is put on.
fn placed_note(names: &Names<'_>, car: &Id, loaded: bool) -> Phrase {
    let Some(described) = names.car(car) else { return Phrase::default() };
    let load = match (&described.look, loaded) {
        (LoadLook::LiftsOut, true) => Phrase::strong("put its load in"),
        (LoadLook::LiftsOut, false) => Phrase::strong("no load in it"),
        (LoadLook::Hidden | LoadLook::Fixed(_), _) => Phrase::default(),
    };
    let note = described.note.as_deref().map_or_else(Phrase::default, Phrase::of);
    Phrase::row([load, note], "; ")
}

/// Loads to put in or take out where a customer has finished with an open car.
fn loads(names: &Names<'_>, by_hand: &ByHand<'_>) -> Table {
    let mut rows = Vec::new();
    for (track, standing) in
        names.plan.before.tracks.iter().flat_map(|(track, row)| row.iter().map(move |car| (track, car)))
    {
        let open = names.car(&standing.car).is_some_and(|car| car.look == LoadLook::LiftsOut);
        let (was, is) = (standing.lading.as_ref(), by_hand.released.get(&standing.car).copied());
        let what = match (was, is) {
            _ if !open => continue,
            (was, Some(Some(load))) if was != Some(load) => {
                format!("put in a load of {}", names.lading_name(load))
            }
            (Some(load), Some(None)) => format!("take out the load of {}", names.lading_name(load)),
            _ => continue,
        };
        let at = names.whereabouts(track, standing.spot.as_ref(), &standing.car);
        let cells = [Phrase::of(Piece::Tick), Phrase::of(&standing.car), Phrase::strong(what)];
        rows.push(Row::new(cells).with(Phrase::of(format!("at {at}"))));
    }
    let columns = vec![Column::fit(""), Column::fit("Car"), Column::rest("Do")];
    Table { columns, second_line: 2, groups: vec![Group { rows, ..Group::default() }] }
}

/// Where every engine stands, by the first job that has it, and which jobs have it later.
fn engines(names: &Names<'_>) -> Table {
    let mut stands: Vec<(Option<&str>, String)> = Vec::new();
    for event in &names.plan.events {
        let Event::Starts { job, place } = event else { continue };
        let power = names.job(job).map(|job| &job.power);
        let engine = power.and_then(|power| power.engine.as_deref());
        let caboose = if power.is_some_and(|power| power.caboose) { ", with a caboose" } else { "" };
        let job = format!("{}{caboose}", names.job_name(job));
        match stands.iter_mut().find(|(known, _)| engine.is_some() && *known == engine) {
            Some((_, said)) => said.extend(["; then ", &job]),
            None => stands.push((engine, format!("at {} for {job}", names.place_title(place)))),
        }
    }
    let rows = stands.into_iter().map(|(engine, said)| {
        let engine = engine.map_or_else(|| Phrase::of("an engine"), Phrase::strong);
        Row::new([Phrase::of(Piece::Tick), engine, Phrase::of(said)])
    });
    Table::plain(vec![Column::fit(""), Column::fit("Engine"), Column::rest("Where")], rows.collect())
}

/// Every track with cars, as it stands once all hand moves are done.
fn standing(names: &Names<'_>, by_hand: &ByHand<'_>) -> Table {
    let rows = by_hand.rows.iter().filter(|(_, row)| !row.is_empty());
    let groups = rows.map(|(track, row)| Group {
        head: Phrase::of(Piece::Tick)
            .then(" ")
            .followed_by(Phrase::strong(format!("{}, {}", names.place_of(track), names.track_name(track))))
            .then(", from west"),
        rows: row
            .iter()
            .map(|car| {
                let at = by_hand
                    .spots
                    .get(car)
                    .map_or_else(String::new, |spot| names.spot_and_customer(spot, car));
                let lading = by_hand.ladings.get(car).copied().flatten();
                Row::new([Phrase::of(*car), names.load(lading), Phrase::of(at)])
            })
            .collect(),
        foot: Phrase::default(),
    });
    let columns = vec![Column::fit("Car"), Column::fit("Load"), Column::rest("At")];
    Table { columns, second_line: 0, groups: groups.collect() }
}
