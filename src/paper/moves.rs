//! The moves of one job, handling by handling: for a crew that would rather follow than puzzle.

use crate::session::plan::{Event, LeftCar, WorldJob};
use crate::units::Cars;

use super::course::{Course, Courses};
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Row, Sheet, Table};
use super::words;

/// The moves of a job.
pub(super) fn sheet(names: &Names<'_>, courses: &Courses<'_>, job: &WorldJob) -> Sheet {
    let mut sheet = super::sheet("moves", "Moves, one by one", names);
    sheet.name = format!("moves-{}", super::in_file_name(job.id.as_str()));
    sheet.job = Some(job.id.clone());
    sheet.title = names.job_name(&job.id);
    sheet.whose = names.railroad_name(&job.railroad);
    sheet.blocks.push(Block::Say(Phrase::of(
        "One way to do the work of the switch list that is known to fit. Another that leaves every car where \
         the list says is as good. Ends and rows are in the layout's own west and east; an end is where the \
         engine works.",
    )));
    let mut number = 0;
    for call in names.plan.work.iter().filter(|call| call.job == job.id) {
        let Some(course) = courses.get(&(&call.job, call.call)) else { continue };
        let title = format!("{}. {}", call.call, names.place_title(&call.place));
        sheet.blocks.push(Block::heading(title));
        let rows = rows(names, job, course, &mut number);
        if rows.is_empty() {
            sheet.blocks.push(Block::Say(Phrase::of("No car to handle here.")));
        } else {
            let mut table = Table::plain(columns(), rows);
            table.second_line = columns().len() - 1;
            sheet.blocks.push(Block::Table(table));
        }
    }
    sheet
}

fn columns() -> Vec<Column> {
    vec![
        Column::fit(""),
        Column::number("No"),
        Column::fit("Do"),
        Column::fit("At"),
        Column::rest("Cars, from west"),
    ]
}

fn rows(names: &Names<'_>, job: &WorldJob, course: &Course<'_>, number: &mut u32) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut push = |verb: &str, at: String, what: Phrase| {
        *number += 1;
        let count = Phrase::of(number.to_string());
        let cells = [Phrase::of(Piece::Tick), count, Phrase::strong(verb), Phrase::of(at), what];
        rows.push(Row::new(cells));
    };
    let mut works = None;
    for event in &course.handlings {
        let (Event::Couple { track, end, .. } | Event::Leave { track, end, .. }) = event else { continue };
        let at = format!("{} end of {}", end.word(), names.track_name(track));
        // With cars on one side an engine works one end of every track; it changes ends alone.
        if works.replace(*end).is_some_and(|before| before != *end) {
            push("RUN ROUND", format!("to the {} end", end.word()), Phrase::of("engine alone"));
        }
        match event {
            Event::Couple { cars, .. } => push("COUPLE", at, Phrase::cars(cars).then("; pull out")),
            Event::Leave { cars, .. } => push("LEAVE", at, left(names, cars)),
            _ => {}
        }
    }
    if let Some(departure) = course.departure {
        let direction = words::end(departure.direction, names.railroad(&job.railroad));
        let count = departure.train.west.len() + departure.train.east.len();
        let cars = match u32::try_from(count) {
            Ok(0) | Err(_) => Phrase::of("engine alone"),
            Ok(count) => Phrase::of(Cars::new(count)),
        };
        push("GO", direction, cars.then(format!(" to {}", names.place_title(departure.to))));
    }
    rows
}

/// The cars that are left, those at one spot together.
fn left(names: &Names<'_>, cars: &[LeftCar]) -> Phrase {
    let spots = cars.chunk_by(|one, other| one.spot == other.spot).map(|together| {
        let row = Phrase::cars(together.iter().map(|left| &left.car));
        match together.first().and_then(|left| left.spot.as_ref()) {
            Some(spot) => row.then(format!(" at {}", names.spot_name(spot))),
            None => row,
        }
    });
    Phrase::row(spots, "; ")
}
