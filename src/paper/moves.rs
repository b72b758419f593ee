//! The moves of one job, handling by handling: for a crew that would rather follow than puzzle.
//!
//! A crew that slips finds its way back: beside every move stands how many cars are on the engine once it is made,
//! and now and then which.

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Event, LeftCar, WorldJob};
use crate::units::Cars;

use super::caboose::{self, Caboose, Found, Rides};
use super::consist::{self, CabooseIn};
use super::course::{Course, Courses, Departure};
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
    /// Whether a running track is named, which is neither drawn nor listed.
    running: bool,
}

/// The moves of a job.
pub(super) fn sheet<'a>(names: &Names<'a>, courses: &Courses<'a>, job: &'a WorldJob) -> Sheet {
    let words = &names.words.moves;
    let mut sheet = super::job_sheet("moves", &names.words.forms.moves(), names, job);
    sheet.blocks.push(Block::Say(words.intro()));
    let key = sheet.blocks.len();
    let mut way = Way { names, job, number: 0, hand: Vec::new(), side: End::West, running: false };
    if let Some(light) = way.light() {
        sheet.blocks.push(way.table(vec![light]));
    }
    let nothing = Course::default();
    let mut before: Option<Departure<'_>> = None;
    for (call, place) in (1..).zip(&job.calls) {
        let course = courses.get(&(&job.id, call)).unwrap_or(&nothing);
        let found =
            if course.handlings.is_empty() { words.nothing_here() } else { way.found(before.as_ref()) };
        let caboose = caboose::at(names, job, before.as_ref(), course);
        sheet.blocks.push(Block::Heading {
            words: Phrase::of(format!("{call}. {}", names.place_title(place))),
            aside: Phrase::default(),
            note: found,
        });
        let rows = way.rows(place, course, caboose.as_ref());
        if !rows.is_empty() {
            sheet.blocks.push(way.table(rows));
        }
        before = course.departure;
    }
    if way.running {
        sheet.blocks.insert(key, Block::Say(words.key_running()));
    }
    sheet
}

impl<'a> Way<'_, 'a> {
    /// The rows of one call.
    fn rows(&mut self, place: &Id, course: &Course<'a>, caboose: Option<&Caboose<'_>>) -> Vec<Row> {
        let (words, ends) = (&self.names.words.moves, self.names.words);
        let mut rows: Vec<Row> =
            caboose.and_then(|caboose| self.leaves_caboose(caboose)).into_iter().collect();
        let mut rounds = course.rounds.iter();
        let mut works = None;
        for (turn, event) in course.handlings.iter().enumerate() {
            let (Event::Couple { track, end, .. } | Event::Leave { track, end, .. }) = event else {
                continue;
            };
            let at = words.end_of(ends.end(*end), self.names.track_name(track));
            // With cars on one side an engine works one end of every track; it changes ends alone.
            if works.replace(*end).is_some_and(|before| before != *end) {
                let clear = rounds.next().map_or(&[][..], Vec::as_slice);
                let by = self.or_running(caboose::way_round(self.names, place, clear, caboose));
                let by = words.engine_alone_by(by);
                rows.push(self.row(words.run_round(), words.to_end(ends.end(*end)), by));
            }
            match event {
                Event::Couple { cars, .. } => {
                    self.couples(*end, cars);
                    rows.push(self.row(words.couple(), at, words.pull_out(Phrase::cars(cars))));
                }
                Event::Leave { cars, .. } => {
                    self.hand.retain(|car| cars.iter().all(|left| left.car != **car));
                    let back = self.names.is_main(track).then(|| fetched_after(&course.handlings[turn..]));
                    let cars = left(self.names, cars);
                    let cars = match back.flatten() {
                        Some(moves) => words.until_move(cars, self.number + 1 + moves),
                        None => cars,
                    };
                    rows.push(self.row(words.leave(), at, cars));
                }
                _ => {}
            }
        }
        rows.extend(caboose.into_iter().flat_map(|caboose| self.fetches_caboose(course, caboose)));
        rows.extend(course.departure.map(|departure| self.goes(&departure)));
        rows
    }

    /// Where the caboose waits while the cars are worked.
    fn leaves_caboose(&mut self, caboose: &Caboose<'_>) -> Option<Row> {
        let words = &self.names.words.moves;
        let rear = match caboose.rides {
            Rides::AtRear(end) => self.end(end),
            _ => Phrase::default(),
        };
        let (at, what) = match (caboose.found, caboose.rides) {
            (_, Rides::Aside(track)) => {
                (Phrase::of(self.names.track_name(&track.id).into_owned()), words.caboose_off_aside())
            }
            (Found::Here, _) => return None,
            (Found::Waits, _) => (rear, words.caboose_waits()),
            (Found::Coupled, _) => (rear, words.caboose_coupled()),
            (Found::Came(CabooseIn::Behind(end)), _) => (self.end(end), words.caboose_off()),
            (Found::Came(CabooseIn::First(end)), _) => (self.end(end), words.caboose_off_ahead()),
        };
        Some(self.row(words.caboose(), at, what))
    }

    /// How the caboose comes to the end of the train.
    fn fetches_caboose(&mut self, course: &Course<'a>, caboose: &Caboose<'_>) -> Vec<Row> {
        let (names, words) = (self.names, &self.names.words.moves);
        let cars = Cars::new(u32::try_from(self.hand.len()).unwrap_or(u32::MAX));
        let told = match caboose.rides {
            Rides::Stays => Vec::new(),
            Rides::WithEngine => vec![(Phrase::default(), words.caboose_with_engine())],
            Rides::AtRear(end) => vec![(self.end(end), words.caboose_on())],
            Rides::Aside(track) => {
                vec![(Phrase::of(names.track_name(&track.id).into_owned()), words.caboose_on())]
            }
            Rides::Round(by, rear) => {
                let wait = self.or_running(caboose::cars_wait_on(names, &course.clear_at_last, by));
                let track = names.track_name(&by.id);
                vec![
                    (self.end(rear.other()), words.caboose_round(cars, wait)),
                    (self.end(rear), words.caboose_round_by(track, names.words.end(rear))),
                ]
            }
            Rides::ByHand(rear) => vec![(self.end(rear), words.caboose_by_hand())],
        };
        told.into_iter().map(|(at, what)| self.row(words.caboose(), at, what)).collect()
    }

    /// A track, or where none is described for it the running track.
    fn or_running(&mut self, track: Option<String>) -> String {
        self.running |= track.is_none();
        track.unwrap_or_else(|| self.names.words.moves.running_track().into_owned())
    }

    /// An end of the place.
    fn end(&self, end: End) -> Phrase {
        self.names.words.moves.at_end(self.names.words.end(end))
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

    /// What the crew has with it when it begins to work at a place.
    fn found(&mut self, before: Option<&Departure<'a>>) -> Phrase {
        if let Some(before) = before {
            self.side = if before.train.west.is_empty() { End::East } else { End::West };
        }
        if self.hand.is_empty() {
            return Phrase::default();
        }
        self.names.words.moves.comes_with(self.in_hand())
    }

    fn table(&self, rows: Vec<Row>) -> Block {
        let (words, shared) = (&self.names.words.moves, &self.names.words.shared);
        let columns = vec![
            Column::fit(""),
            Column::number(shared.head_number()),
            Column::fit(shared.head_do()),
            Column::fit(words.head_at()),
            Column::number(words.head_now()),
            Column::below(words.head_cars()),
        ];
        Block::Table(Table { second_line: DO, ..Table::plain(columns, rows) })
    }
}

/// After how many more moves the first of the cars is fetched again that the first of these handlings leaves:
/// whenever the engine changes ends, that is a move of its own.
fn fetched_after(handlings: &[&Event]) -> Option<u32> {
    let (Event::Leave { track: left_on, cars: left, .. }, then) = handlings.split_first()? else {
        return None;
    };
    let fetches = |event: &&Event| match event {
        Event::Couple { track, cars, .. } => {
            track == left_on && left.iter().any(|left| cars.contains(&left.car))
        }
        _ => false,
    };
    let until = then.iter().position(fetches)? + 1;
    let changes = handlings[..=until].windows(2).filter(|pair| end_of(pair[0]) != end_of(pair[1])).count();
    u32::try_from(until + changes).ok()
}

/// The end at which the engine works.
const fn end_of(handling: &Event) -> Option<End> {
    match handling {
        Event::Couple { end, .. } | Event::Leave { end, .. } => Some(*end),
        _ => None,
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
