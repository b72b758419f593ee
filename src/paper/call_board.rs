//! The call board: who takes which job, from which minute to which, drawn as bars.

use crate::session::plan::{CrewJob, Crews};

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Bar, Block, Sheet};

/// Room for a name, in letters.
const NAME: u32 = 22;

/// The call board.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let mut sheet = super::sheet("call-board", "Call board", names);
    match &names.plan.crews {
        Some(crews) => people(names, crews, &mut sheet),
        None => in_order(names, &mut sheet),
    }
    for dropped in &names.plan.dropped {
        sheet.blocks.push(Block::Say(
            Phrase::strong(names.job_name(&dropped.job)).then(format!(" does not run: {}", dropped.why)),
        ));
    }
    sheet
}

/// A bar for each job of each person.
fn people(names: &Names<'_>, crews: &Crews, sheet: &mut Sheet) {
    let whole = crews.jobs.iter().map(|job| job.ends).chain([crews.minutes]).max().unwrap_or(0);
    sheet.blocks.push(Block::Say(Phrase::of(format!(
        "Every line is {whole} minutes of the session, from left to right. Begin when the jobs that your list names are done, \
         not by the clock."
    ))));
    for number in 1..=crews.people {
        let mut own: Vec<&CrewJob> = crews.jobs.iter().filter(|job| job.people.contains(&number)).collect();
        own.sort_by_key(|job| (job.begins, &job.job));
        let words = Phrase::of(format!("Person {number} ")).then(Piece::Room(NAME));
        sheet.blocks.push(Block::Heading { words, aside: Phrase::default(), note: Phrase::default() });
        if own.is_empty() {
            sheet.blocks.push(Block::Say(Phrase::of("No job.")));
            continue;
        }
        let bars = own.into_iter().map(|job| {
            let with = job
                .people
                .iter()
                .filter(|other| **other != number)
                .map(|other| format!(", with person {other}"));
            Bar {
                words: Phrase::strong(names.job_name(&job.job)).then(format!(
                    ": minute {} to {}{}",
                    job.begins,
                    job.ends,
                    with.collect::<String>()
                )),
                from: job.begins,
                to: job.ends,
                whole,
            }
        });
        sheet.blocks.push(Block::Bars(bars.collect()));
    }
}

/// The jobs in the order in which they begin, where nobody counted people.
fn in_order(names: &Names<'_>, sheet: &mut Sheet) {
    sheet.blocks.push(Block::Say(Phrase::of(
        "The jobs in the order in which they begin. A bar is the minutes of a job beside those of the longest.",
    )));
    let whole = names.plan.minutes.iter().map(|job| job.seconds.rounded_up()).max().unwrap_or(0);
    let bars = names.plan.minutes.iter().map(|told| {
        let minutes = told.seconds.rounded_up();
        let job = names.plan.world.jobs.iter().find(|job| job.id == told.job);
        let mut words = Phrase::strong(names.job_name(&told.job)).then(format!(": about {minutes} minutes"));
        if let Some(time) = job.and_then(|job| job.on_duty) {
            words = words.then(format!(", on duty {time}"));
        }
        if let Some(job) = job.filter(|job| !job.after.is_empty()) {
            let after: Vec<String> = job.after.iter().map(|job| names.job_name(job)).collect();
            words = words.then(format!(", after {}", super::words::list(&after)));
        }
        Bar { words: words.then("  crew ").then(Piece::Room(NAME)), from: 0, to: minutes, whole }
    });
    sheet.blocks.push(Block::Bars(bars.collect()));
}
