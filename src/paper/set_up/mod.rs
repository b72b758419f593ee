//! The set-up: what the host does by hand before the first crew begins, and how every track must
//! then look.

mod by_hand;
mod engines;
mod stands;

use crate::ids::Id;
use crate::layout::LoadLook;

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::words::Label;
use by_hand::{ByHand, Run};

/// The set-up sheet.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let by_hand = ByHand::follow(names);
    let mut sheet = super::sheet("set-up", &names.words.forms.set_up(), names);
    let words = &names.words.set_up;
    let standing = |sheet: &mut Sheet| {
        section(sheet, words.standing(), standing(names, &by_hand), words.none_standing());
    };
    let engines = |sheet: &mut Sheet| {
        section(sheet, words.engines(), engines::table(names, &by_hand), words.no_engines());
    };
    sheet.blocks.push(Block::Say(words.intro()));
    if is_first(names) {
        standing(&mut sheet);
        engines(&mut sheet);
        return sheet;
    }
    let lifted = runs(names, &by_hand.lifted, lifted_head);
    section(&mut sheet, words.take_off(), lifted, words.nothing_off());
    section(&mut sheet, words.loads(), loads(names, &by_hand), words.no_loads());
    let placed = runs(names, &by_hand.placed, placed_head);
    section(&mut sheet, words.put_on(), placed, words.nothing_on());
    engines(&mut sheet);
    standing(&mut sheet);
    sheet
}

/// Whether nobody has put a car on the layout yet: there is nothing to change then, all comes out of the boxes.
const fn is_first(names: &Names<'_>) -> bool {
    names.plan.session == 1
}

fn section(sheet: &mut Sheet, title: Label, table: Table, none: Phrase) {
    sheet.blocks.push(Block::heading(title));
    let empty = table.groups.iter().all(|group| group.rows.is_empty());
    sheet.blocks.push(if empty { Block::Say(none) } else { Block::Table(table) });
}

/// Cars lifted or placed by hand, by gateway and track.
fn runs(names: &Names<'_>, runs: &[Run<'_>], head: fn(&Names<'_>, &Run<'_>) -> Phrase) -> Table {
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let mut runs: Vec<&Run<'_>> = runs.iter().collect();
    // Those of one track stay in the order in which they are done.
    runs.sort_by_cached_key(|run| names.walk_to_track(run.track));
    let groups = runs.into_iter().map(|run| Group {
        head: noted(names, run, head(names, run)),
        rows: run
            .cars
            .iter()
            .map(|(car, lading)| {
                let note = if run.placed {
                    placed_note(names, car, *lading)
                } else {
                    lifted_note(names, car, *lading)
                };
                let what = Phrase::row([names.looks_in_short(car), note], "; ");
                Row::new([Phrase::of(Piece::Tick), Phrase::of(*car), names.load(*lading), what])
            })
            .collect(),
        foot: words.before_and_after(row_or_clear(names, &run.before), row_or_clear(names, &run.after)),
    });
    let columns = vec![
        Column::fit(""),
        Column::fit(shared.head_car()),
        Column::fit(shared.head_load()),
        Column::rest(shared.head_what()),
    ];
    Table { columns, second_line: 1, groups: groups.collect() }
}

/// The cars of a track, or that there is none.
fn row_or_clear(names: &Names<'_>, row: &[&Id]) -> Phrase {
    if row.is_empty() { names.words.shared.clear() } else { Phrase::cars(row.iter().copied()) }
}

fn lifted_head(names: &Names<'_>, run: &Run<'_>) -> Phrase {
    names.words.set_up.out_by(at(names, run.track), names.gateway_name(run.gateway))
}

fn placed_head(names: &Names<'_>, run: &Run<'_>) -> Phrase {
    let (words, track, gateway) =
        (&names.words.set_up, at(names, run.track), names.gateway_name(run.gateway));
    match run.stands_last {
        Some(last) => words.in_by_east_of(track, gateway, last),
        None => words.in_by(track, gateway),
    }
}

/// A track with its place.
fn at(names: &Names<'_>, track: &Id) -> String {
    format!("{}, {}", names.place_of(track), names.track_name(track))
}

/// The heading with what the host says of the gateway.
fn noted(names: &Names<'_>, run: &Run<'_>, head: Phrase) -> Phrase {
    match names.gateway(run.gateway).and_then(|gateway| gateway.note.as_deref()) {
        Some(note) => head.then(format!(" ({note})")),
        None => head,
    }
}

/// What to mind with a car that is put on.
fn placed_note(names: &Names<'_>, car: &Id, lading: Option<&Id>) -> Phrase {
    let Some(described) = names.car(car) else { return Phrase::default() };
    let words = &names.words.set_up;
    let load = match (&described.look, lading) {
        (LoadLook::LiftsOut, Some(load)) => words.put_in(names.lading_name(load)),
        (LoadLook::LiftsOut, None) => words.leave_empty(),
        (LoadLook::Hidden | LoadLook::Fixed(_), _) => Phrase::default(),
    };
    let note = described.note.as_deref().map_or_else(Phrase::default, Phrase::words);
    Phrase::row([load, note], "; ")
}

/// What to mind with a car that is taken off.
fn lifted_note(names: &Names<'_>, car: &Id, lading: Option<&Id>) -> Phrase {
    match (names.car(car).map(|described| &described.look), lading) {
        (Some(LoadLook::LiftsOut), Some(load)) => names.words.set_up.take_out(names.lading_name(load)),
        _ => Phrase::default(),
    }
}

/// Loads to put in or take out where a customer has finished with an open car.
fn loads(names: &Names<'_>, by_hand: &ByHand<'_>) -> Table {
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let mut rows = Vec::new();
    let tracks = in_order(names, names.plan.before.tracks.iter());
    for (track, standing) in
        tracks.into_iter().flat_map(|(track, row)| row.iter().map(move |car| (track, car)))
    {
        let open = names.car(&standing.car).is_some_and(|car| car.look == LoadLook::LiftsOut);
        let (was, is) = (standing.lading.as_ref(), by_hand.released.get(&standing.car).copied());
        let what = match (was, is) {
            _ if !open => continue,
            (was, Some(Some(load))) if was != Some(load) => words.put_in(names.lading_name(load)),
            (Some(load), Some(None)) => words.take_out(names.lading_name(load)),
            _ => continue,
        };
        let at = names.whereabouts(track, standing.spot.as_ref(), &standing.car);
        let cells = [Phrase::of(Piece::Tick), Phrase::of(&standing.car), what];
        rows.push(Row::new(cells).with(words.at(at)));
    }
    let columns = vec![Column::fit(""), Column::fit(shared.head_car()), Column::rest(shared.head_do())];
    Table { columns, second_line: 2, groups: vec![Group { rows, ..Group::default() }] }
}

/// Tracks in the order in which one walks along them.
fn in_order<'a, T>(names: &Names<'_>, tracks: impl Iterator<Item = (&'a Id, T)>) -> Vec<(&'a Id, T)> {
    let mut tracks: Vec<(&Id, T)> = tracks.collect();
    tracks.sort_by_cached_key(|(track, _)| names.walk_to_track(track));
    tracks
}

/// Every track with cars, as it stands once all hand moves are done.
fn standing(names: &Names<'_>, by_hand: &ByHand<'_>) -> Table {
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let rows = by_hand.rows.iter().filter(|(_, row)| !row.is_empty()).map(|(track, row)| (*track, row));
    let groups = in_order(names, rows).into_iter().map(|(track, row)| Group {
        head: Phrase::of(Piece::Tick).then(" ").followed_by(words.track_from_west(at(names, track))),
        rows: row
            .iter()
            .map(|car| {
                let at = by_hand
                    .spots
                    .get(car)
                    .map_or_else(String::new, |spot| names.spot_and_customer(spot, car));
                let lading = by_hand.ladings.get(car).copied().flatten();
                let note = (is_first(names) && lading.is_some()).then(|| placed_note(names, car, lading));
                let at = Phrase::row([Phrase::of(at)].into_iter().chain(note), "; ");
                Row::new([Phrase::of(*car), names.load(lading), at])
            })
            .collect(),
        foot: Phrase::default(),
    });
    let columns =
        vec![Column::fit(shared.head_car()), Column::fit(shared.head_load()), Column::rest(words.head_at())];
    Table { columns, second_line: 0, groups: groups.collect() }
}
