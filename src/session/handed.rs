//! Who takes which job, in the words of the plan, and what the host should know of it.

use crate::crews::board::{Hands, suggested};
use crate::crews::{self, People};
use crate::layout::Pace;

use super::Made;
use super::asked::Shape;
use super::plan::{CrewJob, Crews, DroppedJob, Notice, Suggestion};
use super::sized::Given;

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
    there.map(|(job, why)| DroppedJob { job: jobs[*job].id.clone(), why: why.clone() }).collect()
}

/// What the host should know of jobs and people: jobs that do not run, a session that ends late, cars
/// held back.
pub(super) fn notices(made: &Made<'_>, shape: &Shape, given: Option<&Given>) -> Vec<Notice> {
    let layout = made.network.layout();
    let mut notices = Vec::new();
    let mut say = |about: &str, text: String| notices.push(Notice { about: about.into(), text: text.into() });
    for (job, why) in &shape.dropped {
        let job = &layout.jobs()[*job];
        if job.existence.on(made.network.date()) {
            say("job dropped", format!("{} does not run: {why}", job.name));
        }
    }
    if let Some(given) = given {
        let hours = given.board.board.hours;
        for (job, (_, ends)) in given.board.jobs.iter().zip(&given.times.jobs) {
            if *ends > hours {
                let name = &layout.jobs()[*job].name;
                say("over time", format!("{name} ends at minute {ends}, the session has {hours} minutes"));
            }
        }
        for (car, job) in &shape.held {
            let (car, job) = (&layout.cars()[*car].id, &layout.jobs()[*job].name);
            say("held back", format!("{car} is not taken by {job}: there is no time for it"));
        }
    }
    notices
}
