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
        sheet.blocks.push(Block::Heading { words: Phrase::of(title), aside: Phrase::default() });
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
        rows.push(Row::new([
            Phrase::of(Piece::Tick),
            Phrase::of(number.to_string()),
            Phrase::strong(verb),
            Phrase::of(at),
            what,
        ]));
    };
    for event in &course.handlings {
        match event {
            Event::Couple { track, end, cars, .. } => {
                let at = format!("{} end of {}", end.word(), names.track_name(track));
                push("COUPLE", at, Phrase::cars(cars).then("; pull out"));
            }
            Event::Leave { track, end, cars, .. } => {
                let at = format!("{} end of {}", end.word(), names.track_name(track));
                push("LEAVE", at, Phrase::row(cars.iter().map(|left| left_at(names, left)), ", "));
            }
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
        let to = format!(" to {}", names.place_title(departure.to));
        push("GO", direction, cars.then(to));
    }
    rows
}

fn left_at(names: &Names<'_>, left: &LeftCar) -> Phrase {
    let car = Phrase::of(&left.car);
    match &left.spot {
        Some(spot) => car.then(format!(" at {}", names.spot_and_customer(spot, &left.car))),
        None => car,
    }
}
