//! The yard sheet of every place with yard tracks: what comes and goes event by event, how many
//! cars are on hand against the limit, which blocks must be ready, how every track stands.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{CarWork, Event, WorldPlace, WorldTrack};
use crate::units::Length;

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};

/// The word that a plan has for the use of a track where cars wait between jobs.
const YARD: &str = "yard";

/// One call of a job at a yard, and what it does to it.
#[derive(Debug)]
struct Visit<'a> {
    job: &'a Id,
    call: u32,
    took: usize,
    left: usize,
    on_hand: usize,
    length: Length,
}

/// The sheets of all yards, on one paper: each begins with a heading.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let mut sheet = super::sheet("yard-sheets", &names.words.forms.yard_sheets(), names);
    for place in &names.plan.world.places {
        let yard: Vec<&WorldTrack> = names
            .plan
            .world
            .tracks
            .iter()
            .filter(|track| track.place == place.id && &*track.usage == YARD)
            .collect();
        if !yard.is_empty() {
            sheet.blocks.extend(one(names, place, &yard));
        }
    }
    if sheet.blocks.is_empty() {
        sheet.blocks.push(Block::Say(names.words.yard_sheets.none()));
    }
    sheet
}

fn one(names: &Names<'_>, place: &WorldPlace, yard: &[&WorldTrack]) -> Vec<Block> {
    let said = &names.words.yard_sheets;
    let title = names.place_title(&place.id);
    let limit: Length = yard.iter().map(|track| track.working).sum();
    let (standing, visits) = follow(names, yard);
    let cars: usize = standing.values().map(Vec::len).sum();
    let taken: Length = standing.values().flatten().map(|car| long(names, car)).sum();
    let note = said.on_hand(cars, taken, limit);
    let words = Phrase::of(title.clone());
    let working: Vec<&Visit<'_>> = visits.iter().filter(|visit| works(names, visit)).collect();
    let mut blocks = vec![
        Block::Heading { words, aside: said.job_by_job(), note },
        if working.is_empty() {
            Block::Say(said.no_event())
        } else {
            Block::Table(events(names, &working, limit))
        },
    ];
    let ready = blocks_ready(names, &visits);
    if !ready.groups.is_empty() {
        blocks.push(Block::Heading {
            words: said.ready(&title),
            aside: Phrase::default(),
            note: Phrase::default(),
        });
        blocks.push(Block::Table(ready));
    }
    let (words, aside) = (said.tracks(&title), said.west_first());
    blocks.push(Block::Heading { words, aside, note: Phrase::default() });
    blocks.push(Block::Table(tracks(names, yard, &standing)));
    if !working.is_empty() {
        let after = names.plan.after.tracks.iter();
        let after: BTreeMap<&Id, Vec<&Id>> =
            after.map(|(track, row)| (track, row.iter().map(|car| &car.car).collect())).collect();
        let (words, aside) = (said.tracks_after(&title), said.west_first());
        blocks.push(Block::Heading { words, aside, note: Phrase::default() });
        blocks.push(Block::Table(tracks(names, yard, &after)));
    }
    blocks
}

/// How the yard stands when the first job begins, and what every call does to it.
fn follow<'a>(names: &Names<'a>, yard: &[&'a WorldTrack]) -> (BTreeMap<&'a Id, Vec<&'a Id>>, Vec<Visit<'a>>) {
    let mut rows: BTreeMap<&Id, Vec<&Id>> = yard
        .iter()
        .map(|track| {
            let row = names.plan.before.tracks.get(&track.id).map_or(&[][..], Vec::as_slice);
            (&track.id, row.iter().map(|car| &car.car).collect())
        })
        .collect();
    let mut begun = None;
    let mut visits: Vec<Visit<'_>> = Vec::new();
    for event in &names.plan.events {
        let (job, call, took, left) = match event {
            Event::Lifted { car, track, gateway: _ } => {
                if let Some(row) = rows.get_mut(track) {
                    row.retain(|standing| *standing != car);
                }
                continue;
            }
            Event::Placed { car, track, .. } => {
                if let Some(row) = rows.get_mut(track) {
                    row.push(car);
                }
                continue;
            }
            Event::Starts { .. } => {
                begun.get_or_insert_with(|| rows.clone());
                continue;
            }
            Event::Couple { job, call, track, end: _, cars } => {
                let Some(row) = rows.get_mut(track) else { continue };
                row.retain(|standing| !cars.contains(standing));
                (job, *call, cars.len(), 0)
            }
            Event::Leave { job, call, track, end, cars } => {
                let Some(row) = rows.get_mut(track) else { continue };
                let at = if *end == End::West { 0 } else { row.len() };
                row.splice(at..at, cars.iter().map(|left| &left.car));
                (job, *call, 0, cars.len())
            }
            _ => continue,
        };
        let visit = visit(&mut visits, job, call);
        visit.took += took;
        visit.left += left;
        visit.on_hand = rows.values().map(Vec::len).sum();
        visit.length = rows.values().flatten().map(|car| long(names, car)).sum();
    }
    (begun.unwrap_or(rows), visits)
}

fn visit<'v, 'a>(visits: &'v mut Vec<Visit<'a>>, job: &'a Id, call: u32) -> &'v mut Visit<'a> {
    let known = visits.iter().position(|visit| visit.job == job && visit.call == call);
    let place = known.unwrap_or_else(|| {
        visits.push(Visit { job, call, took: 0, left: 0, on_hand: 0, length: Length::default() });
        visits.len() - 1
    });
    &mut visits[place]
}

fn long(names: &Names<'_>, car: &Id) -> Length {
    names.world_car(car).map_or_else(Length::default, |car| car.length)
}

/// What the crew of a visit does with each car it meets.
fn listed<'a>(names: &Names<'a>, visit: &Visit<'_>) -> impl Iterator<Item = &'a CarWork> + use<'a> {
    let list = names.plan.work.iter().find(|work| work.job == *visit.job && work.call == visit.call);
    list.into_iter().flat_map(|list| &list.cars)
}

/// Whether it is a track where cars wait between jobs.
fn in_yard(names: &Names<'_>, track: Option<&Id>) -> bool {
    track.and_then(|track| names.world_track(track)).is_some_and(|track| &*track.usage == YARD)
}

/// Whether a visit changes how cars stand on yard tracks. A car that is taken out and put back was only in the way.
fn works(names: &Names<'_>, visit: &Visit<'_>) -> bool {
    let mut cars = listed(names, visit).filter(|work| work.from != work.to);
    cars.any(|work| in_yard(names, work.from.as_ref()) || in_yard(names, work.to.as_ref()))
}

fn events(names: &Names<'_>, visits: &[&Visit<'_>], limit: Length) -> Table {
    let (said, shared) = (&names.words.yard_sheets, &names.words.shared);
    let rows = visits.iter().map(|visit| {
        let moved = |came: bool| {
            listed(names, visit).filter(move |work| {
                let [before, after] = [&work.from, &work.to].map(|track| in_yard(names, track.as_ref()));
                if came { after && !before } else { before && !after }
            })
        };
        let over = if visit.length > limit { said.over_limit() } else { Phrase::default() };
        let cells = [
            Phrase::of(Piece::Tick),
            said.event(names.job_name(visit.job), visit.call),
            Phrase::of(moved(true).count().to_string()),
            Phrase::of(moved(false).count().to_string()),
            Phrase::of(visit.on_hand.to_string()),
            Phrase::of(visit.length),
            over,
        ];
        let comes = by_track(names, moved(true).map(|work| (work.to.as_ref(), &work.car)));
        let goes = by_track(names, moved(false).map(|work| (work.from.as_ref(), &work.car)));
        let (comes, goes) = (comes.map(|cars| said.comes(cars)), goes.map(|cars| said.goes(cars)));
        Row::new(cells).with(Phrase::row(comes.into_iter().chain(goes), "; "))
    });
    let mut table = Table::plain(
        vec![
            Column::fit(""),
            Column::rest(shared.head_job()),
            Column::number(said.head_brings()),
            Column::number(said.head_takes()),
            Column::number(said.head_on_hand()),
            Column::number(shared.head_length()),
            Column::fit(""),
        ],
        rows.collect(),
    );
    table.second_line = 1;
    table
}

/// Cars by the tracks on which they stand; nothing if there is none.
fn by_track<'a>(names: &Names<'_>, cars: impl Iterator<Item = (Option<&'a Id>, &'a Id)>) -> Option<Phrase> {
    let mut tracks: BTreeMap<&Id, Vec<&Id>> = BTreeMap::new();
    for (track, car) in cars {
        if let Some(track) = track {
            tracks.entry(track).or_default().push(car);
        }
    }
    let said = tracks
        .into_iter()
        .map(|(track, cars)| names.words.yard_sheets.onto(names.track_name(track), Phrase::cars(cars)));
    let said = Phrase::row(said, "; ");
    (!said.is_empty()).then_some(said)
}

/// The blocks of the trains that leave here, in the order in which they leave.
fn blocks_ready(names: &Names<'_>, visits: &[Visit<'_>]) -> Table {
    let (said, shared) = (&names.words.yard_sheets, &names.words.shared);
    let leaves = |visit: &Visit<'_>| {
        let train =
            names.plan.make_up.iter().find(|train| train.job == *visit.job && train.call == visit.call)?;
        let rows = train.blocks.iter().map(|block| {
            let to = format!("{}, {}", names.place_of(&block.to), names.track_name(&block.to));
            Row::new([Phrase::of(Piece::Tick), Phrase::of(block.cars.len().to_string()), Phrase::of(to)])
                .with(Phrase::cars(&block.cars))
        });
        let head = said.outwards(names.job_name(visit.job));
        Some(Group { head, rows: rows.collect(), foot: Phrase::default() })
    };
    let columns = vec![Column::fit(""), Column::number(shared.head_cars()), Column::rest(said.head_for())];
    Table { columns, second_line: 2, groups: visits.iter().filter_map(leaves).collect() }
}

fn tracks(names: &Names<'_>, yard: &[&WorldTrack], standing: &BTreeMap<&Id, Vec<&Id>>) -> Table {
    let (said, shared) = (&names.words.yard_sheets, &names.words.shared);
    let rows = yard.iter().map(|track| {
        let row = standing.get(&track.id).map_or(&[][..], Vec::as_slice);
        let cars = if row.is_empty() { shared.clear() } else { Phrase::cars(row.iter().copied()) };
        let taken: Length = row.iter().map(|car| long(names, car)).sum();
        Row::new([
            Phrase::words(&names.track_name(&track.id)),
            Phrase::of(row.len().to_string()),
            Phrase::of(taken),
            Phrase::of(track.working),
            cars,
        ])
    });
    Table::plain(
        vec![
            Column::fit(shared.head_track()),
            Column::number(shared.head_cars()),
            Column::number(shared.head_taken()),
            Column::number(shared.head_limit()),
            Column::rest(said.head_standing()),
        ],
        rows.collect(),
    )
}
