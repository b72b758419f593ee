//! `setout pace`: how fast the crews are, as learned from the minutes that jobs took.

use super::args::{Form, PaceOf};
use super::screen::Screen;
use super::told::counted;
use super::{Outcome, folder};
use crate::error::Result;
use crate::layout::{Layout, Pace};
use crate::ledger::Ledger;
use crate::study::pace::{Evening, Learned, Trust, learned};
use crate::study::table::{Column, PAGE, table, wrap};

/// Shows the pace and how far it can be trusted.
pub(super) fn run(asked: &PaceOf, screen: &mut Screen) -> Result<Outcome> {
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    let found = learned(layout.pace(), &ledger.timed()?);
    match asked.form {
        Form::Json => screen.data(&found)?,
        Form::Text => screen.answer(&page(&found, &layout))?,
    }
    Ok(Outcome::Done)
}

/// The pace that plans use, the factor of tonight's crews in it, and where it comes from; nothing where
/// it is the layout's own.
pub(super) fn of_tonight(
    layout: &Layout,
    ledger: &Ledger,
    crew: Option<u32>,
) -> Result<(Option<Pace>, Option<String>)> {
    let timed = if layout.learns() { ledger.timed()? } else { Vec::new() };
    let (mut pace, mut told) = (*layout.pace(), None);
    if !timed.is_empty() {
        let found = learned(&pace, &timed);
        pace = found.pace;
        told = Some(format!(
            "Minutes at a pace learned from {} of {}: `setout pace` shows it.\n",
            counted(found.jobs, "job"),
            counted(found.evenings.len(), "evening")
        ));
    }
    pace.crew = crew.unwrap_or(pace.crew);
    Ok(((pace != *layout.pace()).then_some(pace), told))
}

fn page(found: &Learned, layout: &Layout) -> String {
    if found.trust == Trust::Nothing {
        return "No minutes are recorded: plans use the pace of the layout. `setout close --minutes \"JOB=75\"`\n\
                says how long a job really took.\n"
            .to_owned();
    }
    let mut page = format!(
        "The pace of {}, learned from {} of {}\n\n",
        layout.settings().name,
        counted(found.jobs, "job"),
        counted(found.evenings.len(), "evening")
    );
    page.push_str(&deeds(found));
    page.push('\n');
    page.push_str(&evenings(&found.evenings));
    page.push('\n');
    for line in [spread(found), trust(found), use_of(found, layout)] {
        page.extend([wrap(&line, PAGE).join("\n"), "\n".to_owned()]);
    }
    page
}

fn deeds(found: &Learned) -> String {
    let columns = [
        Column::Words("seconds for"),
        Column::Numbers("given"),
        Column::Numbers("learned"),
        Column::Numbers("give or take"),
        Column::Numbers("recorded"),
        Column::Numbers("known from records"),
    ];
    let rows = found.deeds.iter().map(|deed| {
        vec![
            deed.deed.replace('_', "-"),
            deed.given_seconds.to_string(),
            deed.learned_seconds.to_string(),
            deed.error_seconds.to_string(),
            deed.recorded.to_string(),
            format!("{} %", deed.told),
        ]
    });
    table(&columns, &rows.collect::<Vec<_>>())
}

fn evenings(evenings: &[Evening]) -> String {
    let columns = [
        Column::Words("session"),
        Column::Numbers("jobs"),
        Column::Numbers("minutes taken"),
        Column::Numbers("at this pace"),
        Column::Numbers("counts"),
    ];
    let rows = evenings.iter().map(|evening| {
        vec![
            evening.session.to_string(),
            evening.jobs.to_string(),
            evening.took.to_string(),
            evening.at_pace.to_string(),
            format!("{} %", evening.counts),
        ]
    });
    table(&columns, &rows.collect::<Vec<_>>())
}

fn spread(found: &Learned) -> String {
    format!("Half of the jobs took within {} % of their minutes at this pace.", found.spread)
}

fn trust(found: &Learned) -> String {
    let error = found.standard_error.map_or_else(String::new, |error| {
        format!(" The minutes of a whole evening are known to within {error} %, two times in three.")
    });
    let word = match found.trust {
        Trust::Nothing | Trust::Guess => {
            "A first guess: it takes three evenings and eight jobs to tell a crew from its evening."
        }
        Trust::Rough => "Rough: the evenings differ much from each other. More of them would help.",
        Trust::Fair => "Fair: good enough to size a session by.",
        Trust::Good => "Good.",
    };
    format!("{word}{error}")
}

fn use_of(found: &Learned, layout: &Layout) -> String {
    let crew = match found.pace.crew {
        100 => String::new(),
        crew => format!(" The layout's factor for its crews, {crew} %, comes on top of it."),
    };
    if layout.learns() {
        format!("Plans use it.{crew}")
    } else {
        format!("Plans do not use it: `[pace]` says `learn = false`.{crew}")
    }
}
