//! Who takes which job, in the words of the plan, and what the host should know of it.

use std::collections::BTreeMap;

use crate::crews::board::{Hands, suggested};
use crate::crews::{self, People};
use crate::ids::JobIx;
use crate::layout::Pace;
use crate::said::{self, Worded};
use crate::trips::{Ban, Hindrance};

use super::asked::{Dropped, Shape};
use super::plan::{CrewJob, Crews, DroppedJob, Notice, Suggestion};
use super::sized::Given;
use super::{Made, reasons};

/// Who takes which job.
pub(super) fn crews(made: &Made<'_>, given: &Given) -> Crews {
    let layout = made.network.layout();
    let board = &given.board.board;
    let jobs = given.hands.iter().enumerate().map(|(place, hands)| {
        let (begins, ends) = given.times.jobs[place];
        CrewJob {
            job: layout.jobs()[given.board.jobs[place]].id.clone(),
            people: numbers(*hands),
            begins,
            ends,
            calls: given.times.calls[place].clone(),
        }
    });
    Crews {
        people: given.people.count,
        minutes: board.hours,
        clock: given.people.clock,
        proved: given.proved,
        jobs: jobs.collect(),
    }
}

/// People as the plan counts them, from 1.
fn numbers(hands: Hands) -> Vec<u32> {
    let people = [Some(hands.0), hands.1].into_iter().flatten();
    people.map(|person| u32::try_from(person + 1).unwrap_or(u32::MAX)).collect()
}

/// How many people would do within the layout's hours.
pub(super) fn suggestion(made: &Made<'_>, pace: &Pace) -> Option<Suggestion> {
    let times = crews::times(made.network, &made.worked, &made.trips.tasks, pace);
    let people = People { count: 0, hours: made.network.layout().settings().hours, clock: None };
    let board = crews::call_board(made.network, &made.worked, &times, &people).board;
    let (people, minutes) = suggested(&board)?;
    Some(Suggestion { people: u32::try_from(people).ok()?, minutes })
}

/// The jobs that could run and do not.
pub(super) fn dropped(made: &Made<'_>, shape: &Shape) -> Vec<DroppedJob> {
    let jobs = made.network.layout().jobs();
    let there = shape.dropped.iter().filter(|(job, _)| jobs[*job].existence.on(made.network.date()));
    let line = |(job, why): &(JobIx, Dropped)| {
        let Worded { text, said } = reasons::dropped(*why);
        DroppedJob { job: jobs[*job].id.clone(), why: text.into(), told: Some(said) }
    };
    there.map(line).collect()
}

/// What the host should know of jobs and people: jobs that do not run, a session that ends late, cars
/// held back.
pub(super) fn notices(
    made: &Made<'_>,
    shape: &Shape,
    given: Option<&Given>,
    suggestion: Option<Suggestion>,
) -> Vec<Notice> {
    let layout = made.network.layout();
    let mut notices = Vec::new();
    let mut say = |about: &str, words: Worded| notices.push(Notice::said(about, words));
    for (job, why) in &shape.dropped {
        let job = &layout.jobs()[*job];
        if job.existence.on(made.network.date()) {
            say("job dropped", said::does_not_run(&*job.name, reasons::dropped(*why)));
        }
    }
    if let Some(words) = suggestion.and_then(|enough| beyond_the_hours(made, enough)) {
        say("over time", words);
    }
    if let Some(given) = given {
        let hours = given.board.board.hours;
        for (job, (_, ends)) in given.board.jobs.iter().zip(&given.times.jobs) {
            if *ends > hours {
                say("over time", said::ends_late(&*layout.jobs()[*job].name, *ends, hours));
            }
        }
        if let Some(words) = little(given) {
            say("little work", words);
        }
        for (job, cars) in held_back(made) {
            say("held back", said::no_time_for(&*layout.jobs()[job].name, cars.join(", ")));
        }
    }
    notices
}

/// The cars that a job could take tonight and for which it has no time: by job, in the order of the cars. The
/// shape may hold more cars back, those that other jobs do not even bring to where this one could take them.
fn held_back<'m>(made: &'m Made<'_>) -> BTreeMap<JobIx, Vec<&'m str>> {
    let layout = made.network.layout();
    let mut held: BTreeMap<JobIx, Vec<&str>> = BTreeMap::new();
    for (car, described) in layout.cars().iter() {
        let reason = made.trip_of(car).and_then(|(_, trip)| reasons::told(trip));
        if let Some(Hindrance::Banned(call, Ban::Held)) = reason {
            held.entry(made.network.calls()[*call].job).or_default().push(described.id.as_str());
        }
    }
    held
}

/// That nobody can run all of it within the layout's hours, if that is so.
fn beyond_the_hours(made: &Made<'_>, enough: Suggestion) -> Option<Worded> {
    let hours = made.network.layout().settings().hours.rounded_up();
    let told = |minutes: u32| format!("{}:{:02}", minutes / 60, minutes % 60);
    (enough.minutes > hours).then(|| match enough.people {
        1 => said::all_done_one(told(enough.minutes), told(hours)),
        people => said::all_done(told(enough.minutes), people, told(hours)),
    })
}

/// The share of their time, in hundredths, below which people are told that they are many for the work
/// (common practice, no source).
const IDLE: u32 = 50;

/// That there are many people for what there is to do, and how many it would keep busy.
fn little(given: &Given) -> Option<Worded> {
    let board = &given.board.board;
    let count = u32::try_from(board.people).ok().filter(|count| *count > 0)?;
    let hands = board.jobs.iter().zip(&given.hands);
    let all: u32 = hands.map(|(job, hands)| job.minutes() * (1 + u32::from(hands.1.is_some()))).sum();
    let mean = all / count;
    if mean * 100 >= board.hours * IDLE {
        return None;
    }
    let enough = (all * 100).div_ceil(board.hours * BUSY).clamp(1, count);
    let words = match count {
        1 => said::little_for_one(mean, board.hours),
        _ => said::little_for_all(count, mean, board.hours),
    };
    Some(if enough < count { said::keeps_busy(words, enough) } else { words })
}

/// The share of their time, in hundredths, that people are taken to be busy with when they wait for each
/// other now and then (common practice, no source).
const BUSY: u32 = 70;
