//! The head of a switch list: who, with what, from where, which way, and the first train.

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Deed, Event};
use crate::units::Minutes;

use super::super::phrase::{Phrase, Piece, joined};
use super::super::sheet::{Block, Column, Fact, Row, Table};
use super::super::words;
use super::Crew;

/// Room for a name, in letters.
const NAME: u32 = 22;

pub(super) fn blocks(crew: &Crew<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Facts(facts(crew))];
    blocks.push(Block::Say(key(crew)));
    blocks.extend(first_train(crew));
    blocks
}

fn facts(crew: &Crew<'_>) -> Vec<Fact> {
    let described = crew.names.job(&crew.job.id);
    let mut facts = vec![
        Fact::new("Crew", crew_names(crew, described.map_or(2, |job| job.crew))),
        Fact::new("Engine", engine(crew)),
        Fact::new("Limits", limits(crew)),
        Fact::new("Begins", begins(crew)),
        Fact::new("Calls", calls(crew)),
        Fact::new("Time", time(crew)),
        Fact::new("Directions", directions(crew)),
    ];
    facts.extend(crew.names.meets(&crew.job.id).map(|meet| Fact::new("Meet", Phrase::of(&*meet.why))));
    if let Some(note) = described.and_then(|job| job.note.as_deref()) {
        facts.push(Fact::new("Note", Phrase::of(note)));
    }
    facts
}

/// Who takes the job: the people of the call board by their numbers, or room for as many as it takes.
fn crew_names(crew: &Crew<'_>, people: u32) -> Phrase {
    let job = crew.names.in_hand(&crew.job.id);
    let person = |place: usize| {
        let number = job.and_then(|job| job.people.get(place));
        number.map_or_else(String::new, |number| joined(&format!("person {number} ")))
    };
    let people = job.map_or(people, |job| u32::try_from(job.people.len()).unwrap_or(people));
    let engineer = Phrase::of(format!("{}engineer ", person(0))).then(Piece::Room(NAME));
    if people < 2 {
        return engineer;
    }
    engineer.then(format!("  {}conductor ", person(1))).then(Piece::Room(NAME))
}

fn engine(crew: &Crew<'_>) -> Phrase {
    let power = crew.names.job(&crew.job.id).map(|job| &job.power);
    let engine = power.and_then(|power| power.engine.as_deref());
    let named = engine.map_or_else(|| Phrase::of(Piece::Room(NAME)), Phrase::strong);
    let caboose = if power.is_some_and(|power| power.caboose) { " with a caboose, together " } else { ", " };
    named.then(caboose).then(crew.job.power)
}

fn limits(crew: &Crew<'_>) -> Phrase {
    let job = crew.job;
    let said = [
        job.max_cars.map(Phrase::of),
        job.max_length.map(|length| Phrase::of(length).then(" with the engine")),
        job.max_tons.map(|tons| Phrase::of(tons).then(" without the engine")),
    ];
    let limits = Phrase::row(said.into_iter().flatten(), ", ");
    if limits.is_empty() { Phrase::of("none given") } else { Phrase::of("at most ").followed_by(limits) }
}

fn begins(crew: &Crew<'_>) -> Phrase {
    let starts = crew.names.plan.events.iter().find_map(|event| match event {
        Event::Starts { job, place } if *job == crew.job.id => Some(place),
        _ => None,
    });
    let place =
        starts.or(crew.job.calls.first()).map_or_else(String::new, |place| crew.names.place_title(place));
    let mut said = match crew.job.on_duty {
        Some(time) => Phrase::of(format!("{time} at {place}")),
        None => Phrase::of(format!("at {place}")),
    };
    if !crew.job.after.is_empty() {
        said = said.then(format!(
            ", after {} {} done",
            jobs(crew, &crew.job.after),
            words::is_or_are(crew.job.after.len())
        ));
    }
    if let Some(departure) =
        crew.courses.iter().find_map(|((job, _), course)| course.departure.filter(|_| **job == crew.job.id))
    {
        let railroad = crew.names.railroad(&crew.job.railroad);
        said = said.then(format!("; it first leaves going {}", words::end(departure.direction, railroad)));
    }
    said
}

/// The names of jobs in a row.
pub(super) fn jobs(crew: &Crew<'_>, ids: &[Id]) -> String {
    words::list(&ids.iter().map(|job| crew.names.job_name(job)).collect::<Vec<_>>())
}

fn calls(crew: &Crew<'_>) -> Phrase {
    let titles: Vec<String> = crew.job.calls.iter().map(|place| crew.names.place_title(place)).collect();
    Phrase::of(titles.join(", then "))
}

/// How long the job takes, work and runs apart.
fn time(crew: &Crew<'_>) -> Phrase {
    let Some(told) = crew.names.minutes(&crew.job.id) else { return Phrase::of("not known") };
    let run: Minutes = told.calls.iter().map(|call| call.run).sum();
    let of_it = joined(&run.to_string());
    let said = Phrase::of(format!("about {}, {of_it} of it running", joined(&told.seconds.to_string())));
    match crew.names.in_hand(&crew.job.id) {
        Some(job) => said.then(format!("; from minute {} of the session to minute {}", job.begins, job.ends)),
        None => said,
    }
}

fn directions(crew: &Crew<'_>) -> Phrase {
    let left = crew.names.layout.settings().left;
    let said = Phrase::of(format!(
        "{} is on your left as you face the layout, {} on your right",
        words::capital(left.word()),
        left.other().word()
    ));
    match crew.names.railroad(&crew.job.railroad).filter(|railroad| railroad.reversed) {
        Some(railroad) => {
            let called = railroad.timetable(End::West).word();
            said.then(format!(
                "; in the timetable of {} it is the other way round: west is {called}",
                railroad.name
            ))
        }
        None => said,
    }
}

/// What the words of the list mean, for those that are on it.
fn key(crew: &Crew<'_>) -> Phrase {
    if crew.work().next().is_none() {
        return Phrase::strong("No car to work in this session.");
    }
    let all = [
        (Deed::Pull, "take it into your train"),
        (Deed::Spot, "put it at the place named"),
        (Deed::Set, "put it there for another job"),
        (Deed::OffSpot, "its spot is full: put it where named"),
        (Deed::Hold, "if you must move it, put it back as it was"),
        (Deed::Leave, "do not touch it"),
    ];
    let used = |deed: Deed| crew.work().any(|work| work.deed == deed);
    let said = all.into_iter().filter(|(deed, _)| used(*deed));
    let words = said.map(|(deed, meaning)| super::call::deed(deed).then(format!(": {meaning}.")));
    Phrase::row(words, " ")
        .then(" Cars are listed from west to east. ")
        .followed_by(Phrase::strong("L"))
        .then(" is loaded, ")
        .followed_by(Phrase::strong("E"))
        .then(" is empty.")
}

/// The train as it stands when the job first leaves a place.
fn first_train(crew: &Crew<'_>) -> Vec<Block> {
    let first =
        crew.calls.iter().find_map(|call| crew.course(call)?.departure.map(|departure| (*call, departure)));
    let Some((call, departure)) = first else { return Vec::new() };
    let place = crew.names.place_title(call.place);
    let words = Phrase::of(format!("The train when it first leaves {place}"));
    let heading = Block::Heading { words, aside: Phrase::of("from west to east"), note: Phrase::default() };
    let (west, east) = (&departure.train.west, &departure.train.east);
    let made_up = made_up(crew, call.number);
    if west.is_empty() && east.is_empty() {
        return vec![heading, Block::Say(Phrase::of("The engine alone."))];
    }
    let mut rows: Vec<Row> = Vec::new();
    for (number, car) in (1_u32..).zip(west.iter().chain(east)) {
        if rows.len() == west.len() {
            rows.push(engine_row());
        }
        rows.push(train_row(crew, number, car, call.number));
    }
    if east.is_empty() {
        rows.push(engine_row());
    }
    let columns =
        vec![Column::number("No"), Column::fit("Car"), Column::fit("Load"), Column::rest("Leave it at")];
    let table = Block::Table(Table::plain(columns, rows));
    std::iter::once(heading).chain(made_up.map(Block::Say)).chain([table]).collect()
}

/// The train's blocks in one line, and where its placarded cars ride.
fn made_up(crew: &Crew<'_>, call: u32) -> Option<Phrase> {
    let lines = &crew.names.plan.make_up;
    let line = lines.iter().find(|line| line.job == crew.job.id && line.call == call)?;
    let blocks = line.blocks.iter().map(|block| {
        let place = crew.calls.iter().find(|call| call.number == block.to_call);
        let place = place.map_or_else(String::new, |call| crew.names.place_title(call.place));
        Phrase::of(format!("{} for {place}, {}", block.cars.len(), crew.names.track_name(&block.to)))
    });
    let mut said = Phrase::of("Make-up from the engine: ").followed_by(Phrase::row(blocks, "; "));
    let cars = line.blocks.iter().flat_map(|block| &block.cars);
    for (number, car) in (1_u32..).zip(cars) {
        if let Some(group) = crew.names.placard(crew.lading(car)) {
            said = said.then(format!("; PLACARDED, group {group}: "));
            said = said.then(Piece::from(car)).then(format!(", number {number} from the engine"));
        }
    }
    Some(said.then("."))
}

fn engine_row() -> Row {
    Row::new([Phrase::default(), Phrase::strong("engine"), Phrase::default(), Phrase::default()])
}

fn train_row(crew: &Crew<'_>, number: u32, car: &Id, call: u32) -> Row {
    let left = crew.left_at(car, call);
    let place = left
        .map_or_else(String::new, |call| format!("{}. {}", call.number, crew.names.place_title(call.place)));
    Row::new([
        Phrase::of(number.to_string()),
        Phrase::of(car),
        crew.names.load(crew.lading(car)),
        Phrase::of(place),
    ])
}
