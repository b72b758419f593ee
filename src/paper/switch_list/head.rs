//! The head of a switch list: who, with what, from where, which way, and the first train.

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Deed, Event, Plan, WorldJob};

use super::super::consist;
use super::super::course::Departure;
use super::super::minutes;
use super::super::phrase::{Phrase, Piece};
use super::super::sheet::{Block, Column, Fact, Row, Table};
use super::super::waits;
use super::super::words::{Label, capital};
use super::Crew;

/// Room for a name, in letters.
const NAME: u32 = 22;

pub(super) fn blocks(crew: &Crew<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Facts(facts(crew))];
    blocks.push(Block::Say(key(crew)));
    if crew.works() {
        blocks.extend(first_train(crew));
    }
    blocks
}

fn facts(crew: &Crew<'_>) -> Vec<Fact> {
    let described = crew.names.job(&crew.job.id);
    let words = crew.words();
    let mut facts = crew_names(crew, described.map_or(2, |job| job.crew));
    facts.extend([
        Fact::new(words.engine(), engine(crew)),
        Fact::new(words.limits(), limits(crew)),
        Fact::new(words.begins(), begins(crew)),
    ]);
    facts.extend(waits_for(crew));
    facts.extend([
        Fact::new(words.calls(), calls(crew)),
        Fact::new(words.time(), time(crew)),
        Fact::new(words.directions(), directions(crew)),
    ]);
    facts.extend(
        crew.names
            .meets(&crew.job.id)
            .map(|meet| Fact::new(words.meet(), crew.names.said(meet.told.as_ref(), &meet.why))),
    );
    if let Some(note) = described.and_then(|job| job.note.as_deref()) {
        facts.push(Fact::new(words.note(), Phrase::words(note)));
    }
    facts
}

/// Who takes the job: the people of the call board by their numbers, or room for as many as it takes.
fn crew_names(crew: &Crew<'_>, people: u32) -> Vec<Fact> {
    let (job, words) = (crew.names.in_hand(&crew.job.id), crew.words());
    let person = |place: usize| {
        let number = job.and_then(|job| job.people.get(place)).copied();
        let person = number.map(|number| Phrase::strong(crew.names.words.shared.person(number).text()));
        Phrase::row(person.into_iter().chain([Phrase::of(Piece::Room(NAME))]), "\u{a0}")
    };
    let people = job.map_or(people, |job| u32::try_from(job.people.len()).unwrap_or(people));
    let engineer = Fact::new(words.engineer(), person(0));
    let conductor = (people > 1).then(|| Fact::new(words.conductor(), person(1)));
    std::iter::once(engineer).chain(conductor).collect()
}

fn engine(crew: &Crew<'_>) -> Phrase {
    let power = crew.names.job(&crew.job.id).map(|job| &job.power);
    let engine = power.and_then(|power| power.engine.as_deref());
    let named =
        engine.map_or_else(|| Phrase::of(Piece::Room(NAME)), |engine| Phrase::strong(engine.to_owned()));
    let engine = if power.is_some_and(|power| power.caboose) {
        crew.words().engine_and_caboose(named, crew.job.power)
    } else {
        crew.words().engine_alone(named, crew.job.power)
    };
    let light = crew.names.engine_before(&crew.job.id).map(|light| {
        let [from, to] = [&light.run.from, &light.run.to].map(|place| crew.names.place_title(place));
        let run = Phrase::row([crew.words().take_light(from, to), crew.names.light_time(light)], ", ");
        crew.words().take_light_after(run, crew.names.job_name(&light.run.after))
    });
    Phrase::row([engine].into_iter().chain(light), "; ")
}

fn limits(crew: &Crew<'_>) -> Phrase {
    let (job, words) = (crew.job, crew.words());
    let said = [
        job.max_cars.map(Phrase::of),
        job.max_length.map(|length| words.limit_of_length(length)),
        job.max_tons.map(|tons| words.limit_of_weight(tons)),
    ];
    let limits = Phrase::row(said.into_iter().flatten(), ", ");
    if limits.is_empty() { words.no_limits() } else { words.at_most(limits) }
}

fn begins(crew: &Crew<'_>) -> Phrase {
    let names = crew.names;
    let first = starts(names.plan, &crew.job.id).or(crew.job.calls.first());
    let first = first.map_or_else(String::new, |place| names.place_title(place));
    let light = names.engine_before(&crew.job.id);
    let place = light.map_or_else(|| first.clone(), |light| names.place_title(&light.run.from));
    let words = crew.words();
    let at = match crew.by_the_clock().then_some(crew.job.on_duty).flatten() {
        // Whoever waits for other jobs, too, may begin later.
        Some(time) if names.plan.crews.is_some() => words.begins_not_before(time.to_string(), place),
        Some(time) => words.begins_at_time(time.to_string(), place),
        None => words.begins_at(place),
    };
    let at = if light.is_some() { words.begins_light(at, first) } else { at };
    let leaves = first_departure(crew).map(|departure| {
        let railroad = names.railroad(&crew.job.railroad);
        words.leaves_going(names.words.end_of(departure.direction, railroad))
    });
    Phrase::row([at].into_iter().chain(leaves).chain(together(crew)), "; ")
}

/// Where a job begins.
fn starts<'a>(plan: &'a Plan, job: &Id) -> Option<&'a Id> {
    plan.events.iter().find_map(|event| match event {
        Event::Starts { job: starts, place } if *starts == *job => Some(place),
        _ => None,
    })
}

/// How a job leaves for the first time.
fn first_departure<'a>(crew: &Crew<'a>) -> Option<Departure<'a>> {
    crew.calls.iter().find_map(|call| crew.course(call)?.departure)
}

/// The jobs that begin at the same time at the same end of a place, and who goes first: in the order of the plan.
fn together(crew: &Crew<'_>) -> Vec<Phrase> {
    let (names, own) = (crew.names, &crew.job.id);
    let place_of = |job: &Id| starts(names.plan, job);
    let end_of = |job| match crew.courses.get(&(job, 1))?.handlings.first()? {
        Event::Couple { end, .. } | Event::Leave { end, .. } => Some(*end),
        _ => None,
    };
    // In minutes of the session where people were counted, else by the layout's clock.
    let time_of = |job: &WorldJob| match names.plan.crews {
        Some(_) => (names.in_hand(&job.id).map(|taken| taken.begins), None),
        None => (None, job.on_duty),
    };
    let turn = |job: &Id| names.plan.work.iter().position(|work| work.job == *job);
    let (Some(place), Some(end), Some(own_turn)) = (place_of(own), end_of(own), turn(own)) else {
        return Vec::new();
    };
    let time = time_of(crew.job);
    if time == (None, None) {
        return Vec::new();
    }
    let others = names.plan.world.jobs.iter().filter(|job| {
        job.id != *own
            && time_of(job) == time
            && place_of(&job.id) == Some(place)
            && end_of(&job.id) == Some(end)
    });
    let said = others.filter_map(|job| {
        let name = names.job_name(&job.id);
        let first = own_turn < turn(&job.id)?;
        Some(if first { crew.words().goes_first(name) } else { crew.words().goes_second(name) })
    });
    said.collect()
}

/// What it waits for before it begins.
fn waits_for(crew: &Crew<'_>) -> Vec<Fact> {
    let words = crew.words();
    let Some(wait) = crew.waits.of(&crew.job.id, 1) else { return Vec::new() };
    let (done, clear) = (wait.once_done(crew.names), crew.once_clear(1));
    let place = crew.job.calls.first().map_or_else(String::new, |place| crew.names.place_title(place));
    let done = (!done.is_empty()).then(|| Fact::new(words.wait_until(), words.all_of_it(done)));
    let clear = (!clear.is_empty()).then(|| Fact::new(words.wait_until(), words.work_at(clear, place)));
    done.into_iter().chain(clear).collect()
}

fn calls(crew: &Crew<'_>) -> Phrase {
    let titles = crew.job.calls.iter().map(|place| crew.names.place_title(place));
    let said = titles.reduce(|said, next| crew.words().calls_in_turn(said, next).text());
    Phrase::of(said.unwrap_or_default())
}

/// How long the job takes: its work and runs, and where people were counted its waiting, so that it adds up to the
/// minutes from its begin to its end.
fn time(crew: &Crew<'_>) -> Phrase {
    let (names, words) = (crew.names, crew.words());
    let Some(told) = names.minutes(&crew.job.id) else { return words.takes_unknown() };
    let shown = minutes::shown(told);
    let run = (shown.running > 0).then(|| words.of_it_running(names.whole(shown.running)));
    let takes = Phrase::row([words.takes(names.whole(shown.all))].into_iter().chain(run), ", ");
    let Some(job) = names.in_hand(&crew.job.id) else { return takes };
    let waits = waits::minutes(names, crew.job, job).into_iter().map(|(call, minutes)| {
        let place = crew.job.calls.get(call).map_or_else(String::new, |place| names.place_title(place));
        let number = u32::try_from(call + 1).unwrap_or(u32::MAX);
        let jobs = crew.waits.of(&crew.job.id, number).map(|wait| wait.once_clear(names));
        match jobs.filter(|jobs| !jobs.is_empty()) {
            Some(jobs) => words.waits_for(names.whole(minutes), place, number, jobs),
            None => words.waits_at(names.whole(minutes), place, number),
        }
    });
    let waits: Vec<Phrase> = waits.collect();
    let waits = (!waits.is_empty()).then(|| words.and_waiting(Phrase::row(waits, "; ")));
    let takes = Phrase::row([takes].into_iter().chain(waits), ", ");
    Phrase::row([takes, words.between_minutes(job.begins, job.ends)], ": ")
}

fn directions(crew: &Crew<'_>) -> Phrase {
    let left = crew.names.layout.settings().left;
    let words = crew.names.words;
    let said = crew.words().sides(words.end(left), words.end(left.other())).text();
    let said = Phrase::of(capital(&said));
    match crew.names.railroad(&crew.job.railroad).filter(|railroad| railroad.reversed) {
        Some(railroad) => {
            let called = words.end(railroad.timetable(End::West));
            Phrase::row([said, crew.words().timetable_reversed(&*railroad.name, called)], "; ")
        }
        None => said,
    }
}

/// What the words of the list mean, for those that are on it.
fn key(crew: &Crew<'_>) -> Phrase {
    let words = crew.words();
    if !crew.works() {
        return words.nothing_to_work();
    }
    let all = [
        (Deed::Pull, words.key_pull()),
        (Deed::Spot, words.key_spot()),
        (Deed::Set, words.key_set_out()),
        (Deed::OffSpot, words.key_off_spot()),
        (Deed::Hold, words.key_hold()),
        (Deed::Leave, words.key_leave()),
    ];
    let used = |deed: Deed| crew.work().any(|work| work.deed == deed);
    let said = all.into_iter().filter(|(deed, _)| used(*deed));
    let said = said.map(|(deed, meaning)| words.key(super::call::deed(crew, deed), meaning));
    let is_due = crew.calls.iter().any(|call| super::call::due(crew, call).is_some());
    let due = is_due.then(|| words.key_due());
    Phrase::row(said.chain([words.key_rest()]).chain(due), " ")
}

/// The train as it stands when the job first leaves a place.
fn first_train(crew: &Crew<'_>) -> Vec<Block> {
    let first =
        crew.calls.iter().find_map(|call| crew.course(call)?.departure.map(|departure| (*call, departure)));
    let Some((call, departure)) = first else { return Vec::new() };
    let place = crew.names.place_title(call.place);
    let words = crew.words();
    let aside = words.train_order();
    let heading = Block::Heading { words: words.first_train(place), aside, note: Phrase::default() };
    let (west, east) = (&departure.train.west, &departure.train.east);
    let made_up = made_up(crew, call.number);
    if west.is_empty() && east.is_empty() {
        let caboose = crew.job.caboose;
        let said = if caboose { words.first_train_caboose() } else { words.first_train_empty() };
        return vec![heading, Block::Say(said)];
    }
    let shared = &crew.names.words.shared;
    let caboose = |at: End| {
        let there = consist::caboose(crew.job, &departure) == Some(at);
        there.then(|| named_row(shared.caboose()))
    };
    let mut rows: Vec<Row> = Vec::new();
    // Cars are numbered from the engine, as where placarded cars ride is said.
    for (place, car) in west.iter().enumerate() {
        rows.push(train_row(crew, west.len() - place, car, call.number));
    }
    rows.push(named_row(shared.engine()));
    for (place, car) in east.iter().enumerate() {
        rows.push(train_row(crew, place + 1, car, call.number));
    }
    let rows = caboose(End::West).into_iter().chain(rows).chain(caboose(End::East)).collect();
    let columns = vec![
        Column::number(shared.head_number()),
        Column::fit(shared.head_car()),
        Column::fit(shared.head_load()),
        Column::rest(words.head_leave_at()),
    ];
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
        crew.words().block(block.cars.len(), place, crew.names.track_name(&block.to))
    });
    let cars = (1_u32..).zip(line.blocks.iter().flat_map(|block| &block.cars));
    let placarded = cars.filter_map(|(number, car)| {
        let group = crew.names.placard(crew.lading(car))?;
        Some(crew.words().placarded_in_train(group, car, number))
    });
    Some(crew.words().made_up(Phrase::row(blocks.chain(placarded), "; ")))
}

/// The engine, or the caboose.
fn named_row(name: Label) -> Row {
    Row::new([Phrase::default(), Phrase::strong(name), Phrase::default(), Phrase::default()])
}

fn train_row(crew: &Crew<'_>, number: usize, car: &Id, call: u32) -> Row {
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
