//! The host's page: what the session asks, what became of every order, which cars wait and why, and
//! how full the tracks will be.

use std::collections::BTreeSet;

use crate::ids::Id;
use crate::session::plan::{CrewJob, Crews, Deed, OrderState, RowCar, WorldTrack};
use crate::units::{Cars, Length};

use super::course::Courses;
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::{tallies, words};

/// The word that a plan has for the use of a track where cars wait between jobs.
const YARD: &str = "yard";

/// Room for a name, in letters.
const NAME: u32 = 22;

/// The host's page.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>) -> Sheet {
    let mut sheet = super::sheet("host-page", "Host's page", names);
    sheet.whose = format!("seed {}", names.plan.seed);
    section(&mut sheet, "What to know first", notices(names));
    if let Some(crews) = &names.plan.crews {
        section(&mut sheet, "Call board", call_board(names, crews));
    }
    section(&mut sheet, "Jobs", jobs(names, courses));
    if !names.plan.meets.is_empty() {
        section(&mut sheet, "Meets", meets(names));
    }
    section(&mut sheet, "Cars that stay or are late", late(names));
    if !names.plan.on_hand.is_empty() {
        section(&mut sheet, "Cars kept beyond their free time", on_hand(names));
    }
    section(&mut sheet, "Cars asked for", tallies::kinds(names));
    section(&mut sheet, "Orders", orders(names));
    section(&mut sheet, "Gateways", tallies::gateways(names));
    section(&mut sheet, "Tracks after the session", tracks(names));
    sheet
}

fn section(sheet: &mut Sheet, title: &str, block: Block) {
    sheet.blocks.push(Block::heading(title));
    sheet.blocks.push(block);
}

fn notices(names: &Names<'_>) -> Block {
    if names.plan.notices.is_empty() {
        return Block::Say(Phrase::of("Nothing out of the ordinary."));
    }
    let mut groups: Vec<(&str, Vec<Row>)> = Vec::new();
    for notice in &names.plan.notices {
        let row = Row::new([Phrase::of("-"), Phrase::of(&*notice.text)]);
        match groups.iter_mut().find(|(about, _)| *about == &*notice.about) {
            Some((_, rows)) => rows.push(row),
            None => groups.push((&notice.about, vec![row])),
        }
    }
    let groups = groups.into_iter().map(|(about, rows)| {
        let head = Phrase::strong(words::capital(about)).then(format!(" ({})", rows.len()));
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
    let person = |number: u32| {
        let mut own: Vec<&CrewJob> = crews.jobs.iter().filter(|job| job.people.contains(&number)).collect();
        own.sort_by_key(|job| job.begins);
        let rows = own.iter().map(|job| {
            let with =
                job.people.iter().filter(|other| **other != number).map(|other| format!("with {other}"));
            Row::new([
                Phrase::of(job.begins.to_string()),
                Phrase::of(job.ends.to_string()),
                Phrase::of(names.job_name(&job.job)),
                Phrase::of(with.collect::<String>()),
            ])
        });
        let rows: Vec<Row> = rows.collect();
        let foot = if rows.is_empty() { Phrase::of("No job.") } else { Phrase::default() };
        let head = Phrase::strong(format!("Person {number}")).then(" ").then(Piece::Room(NAME));
        Group { head, rows, foot }
    };
    let columns = vec![Column::number("From"), Column::number("To"), Column::rest("Job"), Column::fit("")];
    Block::Table(Table { columns, second_line: 0, groups: (1..=crews.people).map(person).collect() })
}

fn jobs(names: &Names<'_>, courses: &Courses<'_>) -> Block {
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
            Column::rest("Job"),
            Column::number("To move"),
            Column::number("Met"),
            Column::number("Handlings"),
            Column::number("Minutes"),
            Column::fit("Longest train"),
        ],
        rows,
    ))
}

fn meets(names: &Names<'_>) -> Block {
    let rows = names.plan.meets.iter().map(|meet| Row::new([Phrase::of("-"), Phrase::of(&*meet.why)]));
    Block::Table(Table::plain(vec![Column::fit(""), Column::rest("")], rows.collect()))
}

fn late(names: &Names<'_>) -> Block {
    let late: Vec<_> = names.plan.trips.iter().filter(|trip| !trip.arrives).collect();
    if late.is_empty() {
        return Block::Say(Phrase::of("Every car that has somewhere to go gets there."));
    }
    let rows = late.into_iter().map(|trip| {
        let end = trip.legs.last().map_or((&trip.from, None), |leg| (&leg.to, leg.spot.as_ref()));
        let verb = if trip.legs.is_empty() { "stays at" } else { "goes to" };
        let where_ = format!("{verb} {}", names.whereabouts(end.0, end.1, &trip.car));
        let expected = trip.expected.map_or("open".to_owned(), |session| format!("session {session}"));
        Row::new([
            Phrase::of(&trip.car),
            names.load(trip.lading.as_ref()),
            Phrase::of(expected),
            Phrase::of(where_),
        ])
        .with(Phrase::of(format!("bound for {}: {}", trip.bound, trip.why)))
    });
    let columns =
        vec![Column::fit("Car"), Column::fit("Load"), Column::fit("Arrives"), Column::rest("What it does")];
    let groups = vec![Group { rows: rows.collect(), ..Group::default() }];
    Block::Table(Table { columns, second_line: 1, groups })
}

fn on_hand(names: &Names<'_>) -> Block {
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
        Column::fit("Car"),
        Column::rest("Customer"),
        Column::number("Since session"),
        Column::number("Days on hand"),
        Column::number("Days over"),
    ];
    Block::Table(Table::plain(columns, rows.collect()))
}

fn orders(names: &Names<'_>) -> Block {
    let states = [
        (OrderState::Waiting, "Waiting for a car"),
        (OrderState::Filled, "Filled: a car serves it"),
        (OrderState::Done, "Done"),
        (OrderState::Cancelled, "Cancelled"),
    ];
    let mut groups = Vec::new();
    for (state, words) in states {
        let rows: Vec<Row> = names
            .plan
            .orders
            .iter()
            .filter(|order| order.state == state)
            .map(|order| {
                let car = order.car.as_ref().map_or_else(Phrase::default, Phrase::of);
                let what = format!("{}: {} to {}", names.lading_name(&order.commodity), order.from, order.to);
                Row::new([car, Phrase::of(due(order.due)), Phrase::of(what)]).with(Phrase::of(&*order.why))
            })
            .collect();
        if !rows.is_empty() {
            let head = Phrase::strong(words).then(format!(" ({})", rows.len()));
            groups.push(Group { head, rows, foot: Phrase::default() });
        }
    }
    if groups.is_empty() {
        return Block::Say(Phrase::of("No order is open."));
    }
    let columns = vec![Column::fit("Car"), Column::number("Due"), Column::rest("Order")];
    Block::Table(Table { columns, second_line: 2, groups })
}

/// The session in which an order came due; those before the first only ran the railroad in.
fn due(session: i32) -> String {
    if session < 1 { "before".to_owned() } else { session.to_string() }
}

/// How full every track is after the session, against the limit it should not pass.
fn tracks(names: &Names<'_>) -> Block {
    let mut groups: Vec<Group> = Vec::new();
    for place in &names.plan.world.places {
        let tracks = names.plan.world.tracks.iter().filter(|track| track.place == place.id);
        let rows: Vec<Row> = tracks.clone().filter_map(|track| track_row(names, track)).collect();
        if !rows.is_empty() {
            let head = Phrase::strong(names.place_title(&place.id));
            groups.push(Group { head, rows, foot: yard(names, tracks) });
        }
    }
    if groups.is_empty() {
        return Block::Say(Phrase::of("No car stands on a track."));
    }
    let columns = vec![
        Column::fit("Track"),
        Column::number("Cars"),
        Column::number("Taken"),
        Column::number("Limit"),
        Column::number("Length"),
        Column::rest(""),
    ];
    Block::Table(Table { columns, second_line: 0, groups })
}

fn track_row(names: &Names<'_>, track: &WorldTrack) -> Option<Row> {
    let row: &[RowCar] = names.plan.after.tracks.get(&track.id).map_or(&[], Vec::as_slice);
    if row.is_empty() {
        return None;
    }
    let taken = taken(names, row);
    let over = if taken > track.working { "over its working limit" } else { "" };
    Some(Row::new([
        Phrase::of(names.track_name(&track.id)),
        Phrase::of(row.len().to_string()),
        Phrase::of(taken),
        Phrase::of(track.working),
        Phrase::of(track.length),
        if over.is_empty() { Phrase::default() } else { Phrase::strong(over) },
    ]))
}

/// The yard tracks of a place taken together, where it has several.
fn yard<'a>(names: &Names<'_>, tracks: impl Iterator<Item = &'a WorldTrack>) -> Phrase {
    let yard: Vec<&WorldTrack> = tracks.filter(|track| &*track.usage == YARD).collect();
    if yard.len() < 2 {
        return Phrase::default();
    }
    let rows = yard.iter().filter_map(|track| names.plan.after.tracks.get(&track.id));
    let taken: Length = rows.map(|row| taken(names, row)).sum();
    let limit: Length = yard.iter().map(|track| track.working).sum();
    let said = Phrase::of("All yard tracks together: ").then(taken).then(" taken of a limit of ").then(limit);
    if taken > limit { said.followed_by(Phrase::strong(", over it")) } else { said }
}

fn taken(names: &Names<'_>, row: &[RowCar]) -> Length {
    row.iter().filter_map(|standing| names.world_car(&standing.car)).map(|car| car.length).sum()
}

fn cars(count: usize) -> Cars {
    Cars::new(u32::try_from(count).unwrap_or(u32::MAX))
}
