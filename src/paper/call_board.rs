//! The call board: who takes which job, from which minute to which, drawn as bars.

use crate::ids::Id;
use crate::session::plan::{CrewJob, Crews};

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Bar, Block, Sheet};
use super::waits::{self, Wait, Waits};
use super::words::capital;

/// Room for a name, in letters.
const NAME: u32 = 22;

/// The call board.
pub(super) fn sheet(names: &Names<'_>, waits: &Waits<'_>) -> Sheet {
    let words = &names.words.call_board;
    let mut sheet = super::sheet("call-board", &names.words.forms.call_board(), names);
    match &names.plan.crews {
        Some(crews) => people(names, crews, &mut sheet),
        None => in_order(names, waits, &mut sheet),
    }
    for dropped in &names.plan.dropped {
        let why = names.said(dropped.told.as_ref(), &dropped.why);
        sheet.blocks.push(Block::Say(words.does_not_run(names.job_name(&dropped.job), why)));
    }
    sheet
}

/// A bar for each job of each person.
fn people(names: &Names<'_>, crews: &Crews, sheet: &mut Sheet) {
    let said = &names.words.call_board;
    let whole = crews.jobs.iter().map(|job| job.ends).chain([crews.minutes]).max().unwrap_or(0);
    let line = if crews.clock.is_some() { said.line_by_clock(whole) } else { said.line(whole) };
    sheet.blocks.push(Block::Say(line));
    for number in 1..=crews.people {
        let mut own: Vec<&CrewJob> = crews.jobs.iter().filter(|job| job.people.contains(&number)).collect();
        own.sort_by_key(|job| (job.begins, &job.job));
        let person = names.words.shared.person(number).text();
        let words = Phrase::of(capital(&person)).then("\u{a0}").then(Piece::Room(NAME));
        sheet.blocks.push(Block::Heading { words, aside: Phrase::default(), note: Phrase::default() });
        if own.is_empty() {
            sheet.blocks.push(Block::Say(names.words.shared.no_job()));
            continue;
        }
        let bars = own.into_iter().map(|job| {
            let name = names.job_name(&job.job);
            let others: Vec<String> =
                job.people.iter().filter(|other| **other != number).map(u32::to_string).collect();
            let words = if others.is_empty() {
                said.minutes(name, job.begins, job.ends)
            } else {
                said.minutes_with(name, job.begins, job.ends, names.words.list(&others))
            };
            let words = Phrase::row([words, light(names, &job.job), waiting(names, job)], "; ");
            Bar { words, from: job.begins, to: job.ends, whole }
        });
        sheet.blocks.push(Block::Bars(bars.collect()));
    }
}

/// Where a job's engine must be brought from first.
fn light(names: &Names<'_>, job: &Id) -> Phrase {
    names.engine_before(job).map_or_else(Phrase::default, |light| {
        let [from, to] = [&light.run.from, &light.run.to].map(|place| names.place_title(place));
        let light_run = names.words.call_board.light(light.engine.to_owned(), from, to);
        Phrase::row([light_run, names.light_time(light)], ", ")
    })
}

/// Where a job waits, and how long.
fn waiting(names: &Names<'_>, taken: &CrewJob) -> Phrase {
    let Some(job) = names.plan.world.jobs.iter().find(|job| job.id == taken.job) else {
        return Phrase::default();
    };
    let waits = waits::minutes(names, job, taken).into_iter().map(|(call, minutes)| {
        let place = job.calls.get(call).map_or_else(String::new, |place| names.place_title(place));
        names.words.call_board.waits(names.whole(minutes), place, (call + 1).to_string())
    });
    Phrase::row(waits, "; ")
}

/// What a job waits for before it begins, as its list has it.
fn after(names: &Names<'_>, wait: &Wait<'_>, place: Option<&Id>) -> Phrase {
    let said = &names.words.call_board;
    let (done, clear) = (wait.once_done(names), wait.once_clear(names));
    let done = (!done.is_empty()).then(|| said.wait_all(done));
    let clear = (!clear.is_empty()).then(|| {
        let place = place.map_or_else(String::new, |place| names.place_title(place));
        said.wait_at(place, clear)
    });
    Phrase::row(done.into_iter().chain(clear), "; ")
}

/// The jobs in the order in which they begin, where nobody counted people.
fn in_order(names: &Names<'_>, waits: &Waits<'_>, sheet: &mut Sheet) {
    let said = &names.words.call_board;
    sheet.blocks.push(Block::Say(said.in_order()));
    let whole = names.plan.minutes.iter().map(|job| job.seconds.rounded_up()).max().unwrap_or(0);
    let bars = names.plan.minutes.iter().map(|told| {
        let minutes = told.seconds.rounded_up();
        let job = names.plan.world.jobs.iter().find(|job| job.id == told.job);
        let time = job.and_then(|job| job.on_duty).map(|time| said.on_duty(time.to_string()));
        let after =
            waits.of(&told.job, 1).map(|wait| after(names, wait, job.and_then(|job| job.calls.first())));
        let about = said.about(names.job_name(&told.job), minutes);
        let words = Phrase::row([Some(about), time].into_iter().flatten(), ", ");
        let words =
            Phrase::row([Some(words), Some(light(names, &told.job)), after].into_iter().flatten(), "; ");
        let words = said.crew(Piece::Room(NAME)).then("  ").followed_by(words);
        Bar { words, from: 0, to: minutes, whole }
    });
    sheet.blocks.push(Block::Bars(bars.collect()));
}
