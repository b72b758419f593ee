//! The yard sheet of every place with yard tracks: what comes and goes event by event, how many
//! cars are on hand against the limit, which blocks must be ready, how every track stands.

mod visits;

use crate::ids::Id;
use crate::session::plan::{WorldPlace, WorldTrack};
use crate::units::Length;

use super::course::Courses;
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use visits::{Cut, Rows, Visit, follow};

/// The word that a plan has for the use of a track where cars wait between jobs.
const YARD: &str = "yard";

/// The sheets of all yards, on one paper: each begins with a heading.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>) -> Sheet {
    let mut sheet = super::sheet("yard-sheets", &names.words.forms.yard_sheets(), names);
    let mut places: Vec<&WorldPlace> = names.plan.world.places.iter().collect();
    places.sort_by_key(|place| names.walk_to(&place.id));
    for place in places {
        let yard: Vec<&WorldTrack> = names
            .plan
            .world
            .tracks
            .iter()
            .filter(|track| track.place == place.id && &*track.usage == YARD)
            .collect();
        if !yard.is_empty() {
            sheet.blocks.extend(one(names, courses, place, &yard));
        }
    }
    if sheet.blocks.is_empty() {
        sheet.blocks.push(Block::Say(names.words.yard_sheets.none()));
    }
    sheet
}

fn one(names: &Names<'_>, courses: &Courses<'_>, place: &WorldPlace, yard: &[&WorldTrack]) -> Vec<Block> {
    let said = &names.words.yard_sheets;
    let title = names.place_title(&place.id);
    let limit: Length = yard.iter().map(|track| track.working).sum();
    let (standing, visits) = follow(names, courses, yard);
    let cars: usize = standing.values().map(Vec::len).sum();
    let taken: Length = standing.values().flatten().map(|car| long(names, car)).sum();
    let note = said.on_hand(cars, taken, limit);
    let words = Phrase::of(title.clone());
    let working: Vec<&Visit<'_>> = visits.iter().filter(|visit| visit.works()).collect();
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
        let after: Rows<'_> =
            after.map(|(track, row)| (track, row.iter().map(|car| &car.car).collect())).collect();
        let (words, aside) = (said.tracks_after(&title), said.west_first());
        blocks.push(Block::Heading { words, aside, note: Phrase::default() });
        blocks.push(Block::Table(tracks(names, yard, &after)));
    }
    blocks
}

fn long(names: &Names<'_>, car: &Id) -> Length {
    names.world_car(car).map_or_else(Length::default, |car| car.length)
}

fn events(names: &Names<'_>, visits: &[&Visit<'_>], limit: Length) -> Table {
    let (said, shared) = (&names.words.yard_sheets, &names.words.shared);
    let rows = visits.iter().map(|visit| {
        let cuts = visit.cuts();
        let count = |change: Change| {
            let cuts = cuts.iter().filter(|cut| Change::of(cut) == change);
            Phrase::of(cuts.map(|cut| cut.cars.len()).sum::<usize>().to_string())
        };
        let over = if visit.length > limit { said.over_limit() } else { Phrase::default() };
        let cells = [
            Phrase::of(Piece::Tick),
            said.event(names.job_title(visit.job).to_owned(), visit.call),
            count(Change::Comes),
            count(Change::Goes),
            count(Change::Moves),
            Phrase::of(visit.on_hand.to_string()),
            Phrase::of(visit.length),
            over,
        ];
        Row::new(cells).with(changes(names, visit, &cuts))
    });
    let mut table = Table::plain(
        vec![
            Column::fit(""),
            Column::rest(shared.head_job()),
            Column::number(said.head_brings()),
            Column::number(said.head_takes()),
            Column::number(said.head_moves()),
            Column::number(said.head_on_hand()),
            Column::number(shared.head_length()),
            Column::fit(""),
        ],
        rows.collect(),
    );
    table.second_line = 1;
    table
}

/// What a cut does to the yard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    Comes,
    Goes,
    Moves,
}

impl Change {
    const fn of(cut: &Cut<'_>) -> Self {
        match (cut.from, cut.to) {
            (Some(_), Some(_)) => Change::Moves,
            (Some(_), None) => Change::Goes,
            (None, _) => Change::Comes,
        }
    }
}

/// What a call changes, so that the rows after it can be written down from those before it.
fn changes(names: &Names<'_>, visit: &Visit<'_>, cuts: &[Cut<'_>]) -> Phrase {
    let said = &names.words.yard_sheets;
    let cut = |cut: &Cut<'_>| {
        let name = |track: Option<&Id>| track.map(|track| names.track_name(track).into_owned());
        let track = match (name(cut.from), name(cut.to), name(cut.other)) {
            (Some(from), Some(to), _) | (Some(from), None, Some(to)) | (None, Some(to), Some(from)) => {
                said.between(from, to).text()
            }
            (Some(from), None, None) => said.taken_from(from).text(),
            (None, to, _) => said.put_to(to.unwrap_or_default()).text(),
        };
        let cars = Phrase::cars(cut.cars.iter().copied());
        match cut.end {
            Some(end) => said.onto_end(track, names.words.end(end), cars),
            None => said.onto(track, cars),
        }
    };
    let all =
        |change: Change| Phrase::row(cuts.iter().filter(|cut| Change::of(cut) == change).map(cut), "; ");
    let [goes, comes, moves] = [Change::Goes, Change::Comes, Change::Moves].map(all);
    let told = [
        (!goes.is_empty()).then(|| said.goes(goes)),
        (!comes.is_empty()).then(|| said.comes(comes)),
        (!moves.is_empty()).then(|| said.moves(moves)),
    ];
    let sorted = visit
        .sorted(cuts)
        .into_iter()
        .map(|(track, row)| said.then_stands(names.track_name(track), Phrase::cars(row.iter().copied())));
    Phrase::row(told.into_iter().flatten().chain(sorted), "; ")
}

/// The blocks of the trains that leave here, in the order in which they leave: those of their cars that wait
/// on tracks of the place when the crew comes. Those that are on its train already nobody has ready.
fn blocks_ready(names: &Names<'_>, visits: &[Visit<'_>]) -> Table {
    let (said, shared) = (&names.words.yard_sheets, &names.words.shared);
    let leaves = |visit: &Visit<'_>| {
        let train =
            names.plan.make_up.iter().find(|train| train.job == *visit.job && train.call == visit.call)?;
        let rows = train.blocks.iter().filter_map(|block| {
            let ready: Vec<(&Id, &Id)> =
                block.cars.iter().filter_map(|car| Some((visit.waits_on(car)?, car))).collect();
            let tracks = ready.chunk_by(|one, next| one.0 == next.0).map(|run| {
                said.onto(names.track_name(run[0].0), Phrase::cars(run.iter().map(|(_, car)| *car)))
            });
            let to = format!("{}, {}", names.place_of(&block.to), names.track_name(&block.to));
            let row =
                Row::new([Phrase::of(Piece::Tick), Phrase::of(to), Phrase::of(ready.len().to_string())]);
            (!ready.is_empty()).then(|| row.with(Phrase::row(tracks, "; ")))
        });
        let rows: Vec<Row> = rows.collect();
        let head = said.outwards(names.job_name(visit.job));
        (!rows.is_empty()).then(|| Group { head, rows, foot: Phrase::default() })
    };
    let columns = vec![Column::fit(""), Column::rest(said.head_for()), Column::number(shared.head_cars())];
    Table { columns, second_line: 1, groups: visits.iter().filter_map(leaves).collect() }
}

fn tracks(names: &Names<'_>, yard: &[&WorldTrack], standing: &Rows<'_>) -> Table {
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
