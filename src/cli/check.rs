//! `setout check`: all faults of the description, or a page of what it holds.

use serde_json::json;

use super::args::{Check, Form};
use super::screen::Screen;
use super::{Outcome, folder, told};
use crate::diag::{Diagnostics, render};
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::ledger::Ledger;
use crate::study::summary;

/// Reads the folder and tells what is wrong with it, or what it holds.
pub(super) fn run(asked: &Check, screen: &mut Screen) -> Result<Outcome> {
    match folder::sound(&asked.at.folder) {
        Ok((layout, warnings)) => clean(asked, screen, &layout, &warnings),
        Err(Error::Faults(faults)) => faulty(asked, screen, faults),
        Err(error) => Err(error),
    }
}

fn clean(asked: &Check, screen: &mut Screen, layout: &Layout, warnings: &Diagnostics) -> Result<Outcome> {
    if asked.form == Form::Text {
        // Said first: a ledger that does not fit must not hide them.
        screen.faults(warnings);
    }
    let (standing, adrift) = Ledger::open(&asked.at.folder)?.standing_told(layout)?.unzip();
    let adrift = adrift.unwrap_or_default();
    let summary = summary::summary(layout, standing.as_ref());
    match asked.form {
        Form::Text => {
            for change in &adrift {
                screen.say(&told::change(change).text);
            }
            screen.answer(&summary::text(&summary))?;
        }
        Form::Json => {
            let mut answer = render::json(warnings);
            answer["summary"] = json!(summary);
            answer["adrift"] = json!(adrift);
            answer["ways"] = json!(summary::ways(layout, summary.date));
            screen.data(&answer)?;
        }
    }
    Ok(Outcome::Done)
}

/// Faults are what `check` is asked for: as data they are its answer.
fn faulty(asked: &Check, screen: &mut Screen, faults: Box<Diagnostics>) -> Result<Outcome> {
    match asked.form {
        Form::Text => Err(Error::Faults(faults)),
        Form::Json => {
            screen.data(&render::json(&faults))?;
            Ok(Outcome::Faulty)
        }
    }
}
