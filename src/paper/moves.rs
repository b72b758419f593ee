//! The moves of one job, handling by handling: for a crew that would rather follow than puzzle.

use crate::session::plan::{Event, LeftCar, WorldJob};
use crate::units::Cars;

use super::consist;
use super::course::{Course, Courses};
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Row, Sheet, Table};

/// The moves of a job.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>, job: &WorldJob) -> Sheet {
    let words = &names.words.moves;
    let mut sheet = super::job_sheet("moves", &names.words.forms.moves(), names, job);
    sheet.blocks.push(Block::Say(words.intro()));
    sheet.blocks.extend(names.engine_before(&job.id).map(|light| {
        let [from, to] = [light.from, light.to].map(|place| names.place_title(place));
        Block::Say(words.take_light(light.engine.to_owned(), from, to))
    }));
    let mut number = 0;
    for call in names.plan.work.iter().filter(|call| call.job == job.id) {
        let Some(course) = courses.get(&(&call.job, call.call)) else { continue };
        let title = format!("{}. {}", call.call, names.place_title(&call.place));
        sheet.blocks.push(Block::heading(title));
        let rows = rows(names, job, course, &mut number);
        if rows.is_empty() {
            sheet.blocks.push(Block::Say(words.nothing_here()));
        } else {
            if job.caboose && !course.handlings.is_empty() {
                let on = course.departure.map(|_| words.caboose_on());
                let said = [Some(words.caboose_off()), on].into_iter().flatten();
                sheet.blocks.push(Block::Say(Phrase::row(said, " ")));
            }
            let mut table = Table::plain(columns(names), rows);
            table.second_line = table.columns.len() - 1;
            sheet.blocks.push(Block::Table(table));
        }
    }
    sheet
}

fn columns(names: &Names<'_>) -> Vec<Column> {
    let (words, shared) = (&names.words.moves, &names.words.shared);
    vec![
        Column::fit(""),
        Column::number(shared.head_number()),
        Column::fit(shared.head_do()),
        Column::fit(words.head_at()),
        Column::rest(words.head_cars()),
    ]
}

fn rows(names: &Names<'_>, job: &WorldJob, course: &Course<'_>, number: &mut u32) -> Vec<Row> {
    let words = &names.words.moves;
    let mut rows = Vec::new();
    let mut push = |verb: Phrase, at: Phrase, what: Phrase| {
        *number += 1;
        let count = Phrase::of(number.to_string());
        let cells = [Phrase::of(Piece::Tick), count, verb, at, what];
        rows.push(Row::new(cells));
    };
    let mut works = None;
    for event in &course.handlings {
        let (Event::Couple { track, end, .. } | Event::Leave { track, end, .. }) = event else { continue };
        let at = words.end_of(names.words.end(*end), names.track_name(track));
        // With cars on one side an engine works one end of every track; it changes ends alone.
        if works.replace(*end).is_some_and(|before| before != *end) {
            push(words.run_round(), words.to_end(names.words.end(*end)), words.engine_alone());
        }
        match event {
            Event::Couple { cars, .. } => push(words.couple(), at, words.pull_out(Phrase::cars(cars))),
            Event::Leave { cars, .. } => push(words.leave(), at, left(names, cars)),
            _ => {}
        }
    }
    if let Some(departure) = course.departure {
        let direction = names.words.end_of(departure.direction, names.railroad(&job.railroad));
        let count = departure.train.west.len() + departure.train.east.len();
        let cars = match u32::try_from(count) {
            Ok(0) | Err(_) if job.caboose => words.engine_and_caboose(),
            Ok(0) | Err(_) => words.engine_alone(),
            Ok(count) => Phrase::of(Cars::new(count)),
        };
        let to = words.to_place(cars, names.place_title(departure.to));
        let how = consist::shoved(names, &departure);
        push(words.go(), Phrase::of(direction), Phrase::row([to, how], "; "));
    }
    rows
}

/// The cars that are left, those at one spot together.
fn left(names: &Names<'_>, cars: &[LeftCar]) -> Phrase {
    let spots = cars.chunk_by(|one, other| one.spot == other.spot).map(|together| {
        let row = Phrase::cars(together.iter().map(|left| &left.car));
        match together.first().and_then(|left| left.spot.as_ref()) {
            Some(spot) => names.words.moves.at_spot(row, names.spot_name(spot)),
            None => row,
        }
    });
    Phrase::row(spots, "; ")
}
