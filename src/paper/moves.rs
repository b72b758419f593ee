//! The moves of one job, handling by handling: for a crew that would rather follow than puzzle.
//!
//! A crew that slips finds its way back: beside every move stands how many cars are on the engine once it is made,
//! and now and then which.

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Event, LeftCar, WorldJob};
use crate::units::Cars;

use super::consist::{self, CabooseIn};
use super::course::{Course, Courses, Departure};
use super::engines;
use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Row, Sheet, Table};

/// After so many moves the cars on the engine are named.
const NAMED: u32 = 10;

/// The column below which the cars on the engine are named.
const DO: usize = 2;

/// A crew on its way through its moves.
struct Way<'n, 'a> {
    names: &'n Names<'a>,
    job: &'a WorldJob,
    /// How many moves are made.
    number: u32,
    /// The cars on the engine, from west to east, and the side of it on which they are.
    hand: Vec<&'a Id>,
    side: End,
}

/// The moves of a job.
pub(super) fn sheet<'a>(names: &Names<'a>, courses: &Courses<'a>, job: &'a WorldJob) -> Sheet {
    let words = &names.words.moves;
    let mut sheet = super::job_sheet("moves", &names.words.forms.moves(), names, job);
    sheet.blocks.push(Block::Say(words.intro()));
    let mut way = Way { names, job, number: 0, hand: Vec::new(), side: End::West };
    if let Some(light) = way.light() {
        sheet.blocks.push(way.table(vec![light]));
    }
    let nothing = Course::default();
    let mut before: Option<Departure<'_>> = None;
    for (call, place) in (1..).zip(&job.calls) {
        let course = courses.get(&(&job.id, call)).unwrap_or(&nothing);
        let found = if course.handlings.is_empty() {
            words.nothing_here()
        } else {
            way.found(before.as_ref(), course)
        };
        sheet.blocks.push(Block::Heading {
            words: Phrase::of(format!("{call}. {}", names.place_title(place))),
            aside: Phrase::default(),
            note: found,
        });
        let rows = way.rows(course);
        if !rows.is_empty() {
            sheet.blocks.push(way.table(rows));
        }
        before = course.departure;
    }
    sheet
}

impl<'a> Way<'_, 'a> {
    /// The rows of one call.
    fn rows(&mut self, course: &Course<'a>) -> Vec<Row> {
        let (words, ends) = (&self.names.words.moves, self.names.words);
        let mut rows = Vec::new();
        let mut works = None;
        for event in &course.handlings {
            let (Event::Couple { track, end, .. } | Event::Leave { track, end, .. }) = event else {
                continue;
            };
            let at = words.end_of(ends.end(*end), self.names.track_name(track));
            // With cars on one side an engine works one end of every track; it changes ends alone.
            if works.replace(*end).is_some_and(|before| before != *end) {
                rows.push(self.row(words.run_round(), words.to_end(ends.end(*end)), words.engine_alone()));
            }
            match event {
                Event::Couple { cars, .. } => {
                    self.couples(*end, cars);
                    rows.push(self.row(words.couple(), at, words.pull_out(Phrase::cars(cars))));
                }
                Event::Leave { cars, .. } => {
                    self.hand.retain(|car| cars.iter().all(|left| left.car != **car));
                    rows.push(self.row(words.leave(), at, left(self.names, cars)));
                }
                _ => {}
            }
        }
        rows.extend(course.departure.map(|departure| self.goes(&departure)));
        rows
    }

    /// A cut comes between the engine and what it has worked before: an engine at the east end of a track has its
    /// cars west of it.
    fn couples(&mut self, end: End, cars: &'a [Id]) {
        self.side = end.other();
        let place = match end {
            End::East => 0,
            End::West => self.hand.len(),
        };
        self.hand.splice(place..place, cars);
    }

    /// How it goes on to the next call.
    fn goes(&mut self, departure: &Departure<'a>) -> Row {
        let (names, words) = (self.names, &self.names.words.moves);
        let direction = names.words.end_of(departure.direction, names.railroad(&self.job.railroad));
        let cars = match u32::try_from(self.hand.len()) {
            Ok(0) | Err(_) if self.job.caboose => words.engine_and_caboose(),
            Ok(0) | Err(_) => words.engine_alone(),
            Ok(count) => Phrase::of(Cars::new(count)),
        };
        let to = words.to_place(cars, names.place_title(departure.to));
        let how = consist::shoved(names, departure);
        self.row(words.go(), Phrase::of(direction), Phrase::row([to, how], "; "))
    }

    /// The run of an engine that another job left elsewhere, before everything else.
    fn light(&mut self) -> Option<Row> {
        let words = &self.names.words.moves;
        let light = self.names.engine_before(&self.job.id)?;
        let [from, to] = [&light.run.from, &light.run.to].map(|place| self.names.place_title(place));
        let engine = light.engine.to_owned();
        let taken = if light.caboose {
            words.take_light_with_caboose(engine, from, to)
        } else {
            words.take_light(engine, from, to)
        };
        let time = self.names.light_time(light);
        Some(self.row(words.go(), Phrase::of(words.light()), Phrase::row([taken, time], ", ")))
    }

    /// The next move, with the cars that are on the engine once it is made.
    fn row(&mut self, verb: Phrase, at: Phrase, what: Phrase) -> Row {
        self.number += 1;
        let (number, count) = (self.number.to_string(), self.hand.len().to_string());
        let row = Row::new([Phrase::of(Piece::Tick), Phrase::of(number), verb, at, Phrase::of(count), what]);
        let named = self.number.is_multiple_of(NAMED) && !self.hand.is_empty();
        row.with(if named { self.names.words.moves.on_engine(self.in_hand()) } else { Phrase::default() })
    }

    /// The cars on the engine and the engine, from west to east.
    fn in_hand(&self) -> Phrase {
        let (cars, engine) =
            (Phrase::cars(self.hand.iter().copied()), Phrase::strong(self.names.words.shared.engine()));
        let row = match self.side {
            End::West => [cars, engine],
            End::East => [engine, cars],
        };
        Phrase::row(row, ", ")
    }

    /// What the crew has with it when it begins to work at a place, and where its caboose is.
    fn found(&mut self, before: Option<&Departure<'a>>, course: &Course<'a>) -> Phrase {
        let words = &self.names.words.moves;
        if let Some(before) = before {
            self.side = if before.train.west.is_empty() { End::East } else { End::West };
        }
        let cars = (!self.hand.is_empty()).then(|| words.comes_with(self.in_hand()));
        let caboose = self.job.caboose.then(|| {
            let found = match before {
                None if engines::caboose_coupled(self.names.plan, self.job) => words.caboose_coupled(),
                None => words.caboose_waits(),
                Some(before) => match consist::caboose_in(self.names, before) {
                    Some(CabooseIn::Behind(end)) => words.caboose_off_at(self.names.words.end(end)),
                    Some(CabooseIn::First(end)) => words.caboose_off_ahead(self.names.words.end(end)),
                    None => words.caboose_off(),
                },
            };
            let left =
                if course.departure.is_some() { words.caboose_on() } else { words.caboose_with_engine() };
            Phrase::row([found, left], " ")
        });
        Phrase::row([cars, caboose].into_iter().flatten(), " ")
    }

    fn table(&self, rows: Vec<Row>) -> Block {
        let (words, shared) = (&self.names.words.moves, &self.names.words.shared);
        let columns = vec![
            Column::fit(""),
            Column::number(shared.head_number()),
            Column::fit(shared.head_do()),
            Column::fit(words.head_at()),
            Column::number(words.head_now()),
            Column::rest(words.head_cars()),
        ];
        Block::Table(Table { second_line: DO, ..Table::plain(columns, rows) })
    }
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
