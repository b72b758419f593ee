//! The host's page: first what nobody may overlook (warnings, shortages, the balance of the gateways), then what
//! the session asks of whom, which cars wait and why, what became of every order, and how full the tracks will be.

mod late;
mod orders;
mod tracks;

use std::collections::BTreeSet;

use crate::ids::Id;
use crate::session::plan::{CrewJob, Crews, Deed};
use crate::units::Cars;

use super::course::Courses;
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::tallies;
use super::words::{Label, capital};

/// Room for a name, in letters.
const NAME: u32 = 22;

/// The host's page.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>) -> Sheet {
    let mut sheet = super::sheet("host-page", &names.words.forms.host_page(), names);
    let words = &names.words.host_page;
    sheet.whose = words.seed(names.plan.seed).text();
    section(&mut sheet, words.know_first(), notices(names));
    section(&mut sheet, words.kinds(), tallies::kinds(names));
    sheet.blocks.extend(tallies::gateways(names, words.gateways()));
    if let Some(crews) = &names.plan.crews {
        section(&mut sheet, capital(&names.words.forms.call_board()), call_board(names, crews));
    }
    noted(&mut sheet, words.jobs(), words.jobs_note(), jobs(names, courses));
    if !names.plan.meets.is_empty() {
        section(&mut sheet, words.meets(), meets(names));
    }
    section(&mut sheet, words.late(), late::table(names));
    if !names.plan.on_hand.is_empty() {
        noted(&mut sheet, words.on_hand(), words.on_hand_note(), on_hand(names));
    }
    noted(&mut sheet, words.orders(), words.orders_note(), orders::table(names));
    noted(&mut sheet, words.tracks(), words.tracks_note(), tracks::table(names));
    sheet
}

fn section(sheet: &mut Sheet, title: Label, block: Block) {
    sheet.blocks.push(Block::heading(title));
    sheet.blocks.push(block);
}

/// A section whose columns are explained, where it has any.
fn noted(sheet: &mut Sheet, title: Label, note: Phrase, block: Block) {
    let note = if matches!(block, Block::Table(_)) { note } else { Phrase::default() };
    sheet.blocks.push(Block::Heading { words: Phrase::of(title), aside: Phrase::default(), note });
    sheet.blocks.push(block);
}

fn notices(names: &Names<'_>) -> Block {
    if names.plan.notices.is_empty() {
        return Block::Say(names.words.host_page.nothing_to_know());
    }
    let mut groups: Vec<(&str, Vec<Row>)> = Vec::new();
    for notice in &names.plan.notices {
        let said = notice.told.as_ref().and_then(|told| names.say(told));
        let said = said.unwrap_or_else(|| Phrase::of(names.told(&notice.text)));
        let row = Row::new([Phrase::of("-"), said]);
        match groups.iter_mut().find(|(about, _)| *about == &*notice.about) {
            Some((_, rows)) => rows.push(row),
            None => groups.push((&notice.about, vec![row])),
        }
    }
    let groups = groups.into_iter().map(|(about, rows)| {
        let head = Phrase::strong(capital(names.words.abouts.said(about))).then(format!(" ({})", rows.len()));
        Group { head, rows, foot: Phrase::default() }
    });
    Block::Table(Table {
        columns: vec![Column::fit(""), Column::rest("")],
        second_line: 0,
        groups: groups.collect(),
    })
}

/// Who takes which job, from which minute of the session to which.
fn call_board(names: &Names<'_>, crews: &Crews) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let person = |number: u32| {
        let mut own: Vec<&CrewJob> = crews.jobs.iter().filter(|job| job.people.contains(&number)).collect();
        own.sort_by_key(|job| job.begins);
        let rows = own.iter().map(|job| {
            let others: Vec<String> =
                job.people.iter().filter(|other| **other != number).map(u32::to_string).collect();
            let with = if others.is_empty() {
                Phrase::default()
            } else {
                words.with_person(names.words.list(&others))
            };
            Row::new([
                Phrase::of(job.begins.to_string()),
                Phrase::of(job.ends.to_string()),
                Phrase::of(names.job_name(&job.job)),
                with,
            ])
        });
        let rows: Vec<Row> = rows.collect();
        let foot = if rows.is_empty() { shared.no_job() } else { Phrase::default() };
        let head = Phrase::strong(capital(&shared.person(number).text()));
        let head = head.then(" ").then(Piece::Room(NAME));
        Group { head, rows, foot }
    };
    let columns = vec![
        Column::number(words.head_from()),
        Column::number(words.head_to()),
        Column::rest(shared.head_job()),
        Column::fit(""),
    ];
    Block::Table(Table { columns, second_line: 0, groups: (1..=crews.people).map(person).collect() })
}

fn jobs(names: &Names<'_>, courses: &Courses<'_>) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let mut rows = Vec::new();
    for job in &names.plan.world.jobs {
        let calls = names.plan.work.iter().filter(|call| call.job == job.id);
        let met = calls.flat_map(|call| &call.cars);
        let moved = met.clone().filter(|work| !matches!(work.deed, Deed::Leave | Deed::Hold));
        let moved: BTreeSet<&Id> = moved.map(|work| &work.car).collect();
        let met: BTreeSet<&Id> = met.map(|work| &work.car).collect();
        let own = || courses.iter().filter(|((id, _), _)| **id == job.id).map(|(_, course)| course);
        let handlings: usize = own().map(|course| course.handlings.len()).sum();
        let trains = own().filter_map(|course| course.departure).map(|departure| departure.train);
        let longest = trains.max_by_key(|train| train.length);
        let train = longest.map_or_else(Phrase::default, |train| {
            Phrase::of(cars(train.west.len() + train.east.len())).then(", ").then(train.length)
        });
        let counts = [moved.len(), met.len(), handlings].map(|count| Phrase::of(count.to_string()));
        let minutes = names
            .minutes(&job.id)
            .map_or_else(Phrase::default, |told| Phrase::of(told.seconds.rounded_up().to_string()));
        let name = Phrase::of(names.job_name(&job.id));
        rows.push(Row::new([name].into_iter().chain(counts).chain([minutes, train])));
    }
    Block::Table(Table::plain(
        vec![
            Column::rest(shared.head_job()),
            Column::number(words.head_to_move()),
            Column::number(words.head_met()),
            Column::number(words.head_handlings()),
            Column::number(words.head_minutes()),
            Column::fit(words.head_longest()),
        ],
        rows,
    ))
}

fn meets(names: &Names<'_>) -> Block {
    let rows = names
        .plan
        .meets
        .iter()
        .map(|meet| Row::new([Phrase::of("-"), names.said(meet.told.as_ref(), &meet.why)]));
    Block::Table(Table::plain(vec![Column::fit(""), Column::rest("")], rows.collect()))
}

fn on_hand(names: &Names<'_>) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let rows = names.plan.on_hand.iter().map(|line| {
        Row::new([
            Phrase::of(&line.car),
            Phrase::of(names.customer_name(&line.customer)),
            Phrase::of(line.placed.to_string()),
            Phrase::of(line.days.to_string()),
            Phrase::of(line.over.to_string()),
        ])
    });
    let columns = vec![
        Column::fit(shared.head_car()),
        Column::rest(words.head_customer()),
        Column::number(words.head_since()),
        Column::number(words.head_days()),
        Column::number(words.head_over()),
    ];
    Block::Table(Table::plain(columns, rows.collect()))
}

fn cars(count: usize) -> Cars {
    Cars::new(u32::try_from(count).unwrap_or(u32::MAX))
}
