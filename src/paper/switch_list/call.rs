//! One call of a switch list: the cars track by track, then the train with which the job goes on.

use crate::ids::Id;
use crate::layout::Opens;
use crate::session::plan::{CarWork, Deed};
use crate::units::{Cars, ClockTime};

use super::super::caboose::{self, Caboose};
use super::super::consist;
use super::super::course::{Course, Departure};
use super::super::drawing;
use super::super::engines;
use super::super::minutes;
use super::super::phrase::{Phrase, Piece};
use super::super::sheet::{Block, Column, Group, Row, Table};
use super::super::words::capital;
use super::{Crew, Stop, standing};

/// The column in which the car stands, below which its second line begins.
const CAR: usize = 2;

pub(super) fn blocks(crew: &Crew<'_>, call: &Stop<'_>) -> Vec<Block> {
    let nothing = Course::default();
    let course = crew.course(call).unwrap_or(&nothing);
    let title = crew.names.place_title(call.place);
    let note = crew.names.place(call.place).and_then(|place| place.note.as_deref()).map(Phrase::words);
    let groups = groups(crew, call, course);
    let drawn = crew.calls.iter().find(|first| first.place == call.place && first.works(crew));
    let drawn_before = drawn.filter(|first| first.number < call.number && !groups.is_empty());
    let drawn_before = drawn_before.map(|first| crew.words().drawn_at(first.number));
    let of_caboose = caboose(crew, call).and_then(|caboose| caboose::on_the_list(crew.names, &caboose));
    let told = Phrase::row(drawn_before.into_iter().chain(of_caboose), " ");
    let told = Phrase::row(note.into_iter().chain([told]), ". ");
    // What stops a crew is a line of its own, before all else.
    let (note, told) = match wait(crew, call) {
        Some(wait) => (wait, told),
        None => (told, Phrase::default()),
    };
    // A drawing may begin a small card: it names its call, as the heading does.
    let numbered = format!("{}. {title}", call.number);
    let words = Phrase::of(numbered.clone());
    let mut blocks = vec![Block::Heading { words, aside: when(crew, call), note }];
    if !told.is_empty() {
        blocks.push(Block::Say(told));
    }
    if groups.is_empty() {
        blocks.push(Block::Say(crew.words().nothing_here()));
    } else {
        if drawn.is_some_and(|first| first.number == call.number) {
            blocks.push(drawing::of(crew.names, &numbered, &drawn_tracks(crew, call.place)));
        }
        blocks.push(Block::Table(Table { columns: columns(crew), second_line: CAR, groups }));
    }
    blocks.push(Block::Foot(match course.departure {
        Some(departure) => goes(crew, &departure),
        None => ends(crew),
    }));
    blocks
}

/// The tracks of a place that the job works at any of its calls, and those by which its engine and its caboose get
/// round the cars.
fn drawn_tracks<'a>(crew: &Crew<'a>, place: &Id) -> Vec<&'a Id> {
    let mut drawn: Vec<&Id> = Vec::new();
    let here = crew.calls.iter().filter(|call| call.place == place);
    for call in here {
        drawn.extend(tracks(call, crew.course(call).unwrap_or(&Course::default())));
        drawn.extend(caboose(crew, call).and_then(|caboose| caboose.track()).map(|track| &track.id));
    }
    let all = crew.names.plan.world.tracks.iter().filter(|track| track.place == *place);
    let through = all.filter(|track| matches!(&*track.usage, "main" | "runaround"));
    drawn.extend(through.map(|track| &track.id));
    drawn.sort_unstable();
    drawn.dedup();
    drawn
}

/// The caboose of the job, where it handles cars.
fn caboose<'a>(crew: &Crew<'a>, call: &Stop<'_>) -> Option<Caboose<'a>> {
    let before = crew.calls.iter().find(|before| before.number + 1 == call.number);
    let departure = before.and_then(|before| crew.course(before)?.departure);
    caboose::at(crew.names, crew.job, departure.as_ref(), crew.course(call)?)
}

/// How the job ends, and who has its engine next.
fn ends(crew: &Crew<'_>) -> Phrase {
    let taken = engines::next_with(crew.names.plan, &crew.job.id).map(|(engine, then, same_people)| {
        let (engine, then) = (engine.to_owned(), crew.names.job_name(then));
        match crew.names.engine_after(&crew.job.id) {
            _ if same_people => crew.words().engine_kept(engine, then),
            Some(_) => crew.words().taken_light(engine, then),
            None => crew.words().taken_over(engine, then),
        }
    });
    let caboose = crew.job.caboose.then(|| crew.words().ends_here_caboose());
    Phrase::row([crew.words().ends_here()].into_iter().chain(caboose).chain(taken), " ")
}

/// A deed as the list has it: what a crew does in capitals, what it does not touch small.
pub(super) fn deed(crew: &Crew<'_>, deed: Deed) -> Phrase {
    let word = crew.names.words.deed(deed);
    match deed {
        Deed::Leave => Phrase::of(word),
        _ => Phrase::strong(word.to_uppercase()),
    }
}

/// Whose work here a crew waits for before it comes in.
fn wait(crew: &Crew<'_>, call: &Stop<'_>) -> Option<Phrase> {
    let clear = crew.once_clear(call.number);
    (!clear.is_empty()).then(|| crew.words().wait_here(clear))
}

/// When the layout's timetable has the crew at a call, other than where its work begins.
pub(super) fn due(crew: &Crew<'_>, call: &Stop<'_>) -> Option<ClockTime> {
    call.time.filter(|_| crew.by_the_clock() && on_duty(crew, call).is_none())
}

/// When the crew is on duty, at the call at which that is.
fn on_duty(crew: &Crew<'_>, call: &Stop<'_>) -> Option<ClockTime> {
    let first = call.number == 1 && call.time == crew.job.on_duty;
    call.time.filter(|_| first && crew.by_the_clock())
}

fn when(crew: &Crew<'_>, call: &Stop<'_>) -> Phrase {
    // Where people are counted, the head says when a job begins; and the first call of a job that fetches its engine
    // elsewhere is not where it begins.
    let light = crew.names.minutes(&crew.job.id).is_some_and(|told| told.light.is_some());
    let at_head = call.number == 1 && (light || crew.names.plan.crews.is_some());
    let on_duty = on_duty(crew, call).filter(|_| !at_head).map(|time| crew.words().on_duty(time.to_string()));
    let time = on_duty.or_else(|| due(crew, call).map(|time| crew.words().due(time.to_string())));
    let minutes = crew.names.minutes(&crew.job.id).and_then(|told| {
        let place = usize::try_from(call.number).ok()?.checked_sub(1)?;
        Some(crew.names.about(*minutes::shown(told).calls.get(place)?))
    });
    Phrase::row([time, minutes].into_iter().flatten(), ", ")
}

fn columns(crew: &Crew<'_>) -> Vec<Column> {
    let shared = &crew.names.words.shared;
    vec![
        Column::fit(""),
        Column::fit(shared.head_do()),
        Column::fit(shared.head_car()),
        Column::fit(shared.head_load()),
        Column::below(shared.head_where()),
    ]
}

/// The cars by track, from west to east: those standing there, and those brought there where they come to
/// stand. Tracks come in the order of the work, those that are not touched last.
fn groups(crew: &Crew<'_>, call: &Stop<'_>, course: &Course<'_>) -> Vec<Group> {
    let mut groups = Vec::new();
    for track in tracks(call, course) {
        let left = course.rows.get(track);
        let order = left.map_or(&[][..], Vec::as_slice);
        let rows = standing::rows(crew, &cars_of(call, track, order));
        // A track on which cars are only set aside, or put that come from another one of the call, has no row.
        let clear = rows.is_empty().then(|| match order {
            [] if crew.names.is_main(track) => crew.words().set_aside_on_main(),
            [] => crew.words().set_aside(),
            _ => crew.words().comes_clear(),
        });
        let done = left.map(|_| when_done(crew, order));
        let foot = Phrase::row(clear.into_iter().chain(done), " ");
        groups.push(Group { head: track_head(crew, track), rows, foot });
    }
    let staying: Vec<&CarWork> = call.cars.iter().filter(|work| listed_under(work).is_none()).collect();
    if !staying.is_empty() {
        let (head, rows) = (crew.words().staying(), standing::rows(crew, &staying));
        groups.push(Group { head, rows, foot: Phrase::default() });
    }
    groups
}

/// The cars that stand on a track when the crew comes, and between them those that it brings: each before the
/// first of those standing that it is left west of.
fn cars_of<'a>(call: &Stop<'a>, track: &Id, order: &[&Id]) -> Vec<&'a CarWork> {
    let place = |work: &CarWork| order.iter().position(|car| **car == work.car);
    let listed = call.cars.iter().filter(|work| listed_under(work) == Some(track));
    let (mut cars, mut brought): (Vec<&CarWork>, Vec<&CarWork>) =
        listed.partition(|work| work.from.is_some());
    brought.sort_by_key(|work| place(work));
    for work in brought {
        let before = |other: &&CarWork| place(other).is_some_and(|other| Some(other) > place(work));
        let at = cars.iter().position(before).unwrap_or(cars.len());
        cars.insert(at, work);
    }
    cars
}

/// The tracks of a call in the order of the work, those that are not touched last.
fn tracks<'a>(call: &Stop<'a>, course: &Course<'a>) -> Vec<&'a Id> {
    let mut tracks = course.tracks();
    for track in call.cars.iter().filter_map(|work| listed_under(work)) {
        if !tracks.contains(&track) {
            tracks.push(track);
        }
    }
    tracks
}

/// The track under which a car is listed: where it stands when the crew comes, or where the crew
/// puts it.
fn listed_under(work: &CarWork) -> Option<&Id> {
    work.from.as_ref().or(work.to.as_ref())
}

fn track_head(crew: &Crew<'_>, track: &Id) -> Phrase {
    let opens = crew.names.world_track(track).map(|track| match track.opens {
        Opens::West => crew.words().opens_west(),
        Opens::East => crew.words().opens_east(),
        Opens::Both => crew.words().opens_both(),
    });
    let note = crew.names.track(track).and_then(|track| track.note.as_deref());
    let customers = crew.names.customers_along(track);
    let theirs = customers.into_iter().filter_map(|industry| {
        industry.note.as_deref().map(|note| Phrase::of(format!("{}: {note}", industry.name)))
    });
    let said = Phrase::row(opens.into_iter().chain(note.map(Phrase::words)).chain(theirs), "; ");
    let head = crew.words().track(capital(&crew.names.track_name(track)));
    if said.is_empty() { head } else { head.then(" (").followed_by(said).then(")") }
}

fn when_done(crew: &Crew<'_>, order: &[&Id]) -> Phrase {
    let clear = || crew.names.words.shared.clear();
    crew.words().when_done(if order.is_empty() { clear() } else { Phrase::cars(order.iter().copied()) })
}

/// A car that is worked.
pub(super) fn row(crew: &Crew<'_>, work: &CarWork) -> Row {
    let place = position(crew, work);
    let lading = work.lading.as_ref();
    let holds = work.deed == Deed::Hold;
    let special = crew.notes.special(crew.names, &work.car, lading, work.to.as_ref(), holds);
    let load = crew.notes.load(crew.names, &work.car, lading, is_called_for(crew, work));
    Row::new([
        Phrase::of(Piece::Tick),
        deed(crew, work.deed),
        Phrase::of(&work.car),
        crew.names.load(work.lading.as_ref()),
        place,
    ])
    .with_special(special)
    .with(Phrase::row(
        [bound(crew, work), made_up(crew, work), load, crew.names.looks_in_short(&work.car)],
        "; ",
    ))
}

/// For whose train the car is put with others, if it is.
fn made_up(crew: &Crew<'_>, work: &CarWork) -> Phrase {
    let mut legs = crew.names.trip(&work.car).map_or(&[][..], |trip| &trip.legs).iter();
    let here = legs.find(|leg| leg.job == crew.job.id && Some(&leg.to) == work.to.as_ref());
    let train = here.and_then(|leg| leg.made_up_for.as_ref());
    train.map_or_else(Phrase::default, |job| crew.words().made_up_for(crew.names.job_name(job)))
}

/// Whether it is taken where a customer loads or unloads it: there its load is looked at.
fn is_called_for(crew: &Crew<'_>, work: &CarWork) -> bool {
    let at = work.from_spot.as_ref().or(work.from.as_ref());
    work.deed == Deed::Pull && at.is_some_and(|at| crew.names.customers_of(at).next().is_some())
}

/// Where the car is bound, unless its spot says so already, or that it is a bad order.
fn bound(crew: &Crew<'_>, work: &CarWork) -> Phrase {
    let spot = work.to_spot.as_ref();
    let said = |to| crew.names.is_customer_at(&work.bound, to, spot, &work.car);
    if work.bound.is_empty() || work.to.as_ref().is_some_and(said) {
        return Phrase::default();
    }
    // A car without a trip has nowhere to go: the words then say what it waits for.
    let goes = crew.names.trip(&work.car).is_some();
    if goes && crew.notes.is_bad(&work.car) {
        return Phrase::default();
    }
    if let Some(gateway) = crew.names.home_by(&work.bound) {
        return crew.words().goes_home(gateway);
    }
    if goes {
        return crew.words().bound(crew.names.bound(&work.bound));
    }
    crew.names.said(work.told.as_ref(), &work.bound)
}

/// Where the car is and where it goes, by track, spot and customer.
fn position(crew: &Crew<'_>, work: &CarWork) -> Phrase {
    let words = crew.words();
    let at = |track: &Option<Id>, spot: &Option<Id>| {
        track.as_ref().map(|track| crew.names.address(track, spot.as_ref(), &work.car))
    };
    let (from, to) = (at(&work.from, &work.from_spot), at(&work.to, &work.to_spot));
    match (from, to) {
        (Some(from), None) => words.comes_from(from),
        (Some(from), Some(to)) if from == to => Phrase::of(from),
        (Some(from), Some(to)) => words.goes_between(from, to),
        (None, Some(to)) => words.goes_to(to),
        (None, None) => words.in_train(),
    }
}

/// How the job goes on, and with what.
fn goes(crew: &Crew<'_>, departure: &Departure<'_>) -> Phrase {
    let railroad = crew.names.railroad(&crew.job.railroad);
    let direction = crew.names.words.end_of(departure.direction, railroad);
    let place = crew.names.place_title(departure.to);
    let shoved = consist::shoved(crew.names, departure);
    let train = Phrase::row([shoved, train(crew, departure)], "; ");
    if let [_, through @ .., _] = departure.way
        && !through.is_empty()
    {
        let through: Vec<String> = through.iter().map(|place| crew.names.place_title(place)).collect();
        return crew.words().go_by_way(direction, place, crew.names.words.list(&through), train);
    }
    crew.words().go(direction, place, train)
}

/// The train in cars, length and weight, and as it stands.
fn train(crew: &Crew<'_>, departure: &Departure<'_>) -> Phrase {
    let (words, train) = (crew.words(), departure.train);
    let count = train.west.len() + train.east.len();
    match u32::try_from(count).unwrap_or(u32::MAX) {
        0 if crew.job.caboose => words.caboose_alone(train.length),
        0 => words.train_alone(train.length),
        count => {
            let order = consist::from_west(crew.names, crew.job, departure);
            let said = words.train(Cars::new(count), train.length, train.tons, order);
            let placards = |car| crew.notes.placards(crew.names, car, crew.lading(car)).is_some();
            let placarded = train.west.iter().chain(&train.east).any(placards);
            Phrase::row([said].into_iter().chain(placarded.then(|| words.keep_order())), " ")
        }
    }
}
