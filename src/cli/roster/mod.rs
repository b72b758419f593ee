//! `setout roster`: in from a spreadsheet, out to one, and whether it is in order.

mod args;
mod bring_out;
mod read;
mod take_in;

pub(super) use args::RosterArgs;

use serde_json::json;

use super::args::Form;
use super::screen::Screen;
use super::{Outcome, folder};
use crate::diag::render;
use crate::error::Result;
use crate::roster;
use args::{Check, Deed};

/// Does what is asked of the roster.
pub(super) fn run(asked: &RosterArgs, screen: &mut Screen) -> Result<Outcome> {
    match &asked.deed {
        Deed::In(asked) => take_in::run(asked, screen),
        Deed::Out(asked) => bring_out::run(asked, screen),
        Deed::Check(asked) => check(asked, screen),
    }
}

/// Tells what is wrong with the roster, and what is odd about it.
fn check(asked: &Check, screen: &mut Screen) -> Result<Outcome> {
    let sources = folder::read(&asked.at.folder)?;
    let cars = roster::cards(&sources).len();
    let (found, elsewhere) = roster::check(&sources);
    let clean = found.sorted().is_empty();
    match asked.form {
        Form::Json => {
            let mut answer = render::json(&found);
            answer["cars"] = json!(cars);
            answer["elsewhere"] = json!(elsewhere);
            screen.data(&answer)?;
        }
        Form::Text => {
            screen.faults(&found);
            if clean {
                let cars = super::told::counted(cars, "car");
                screen.answer(&format!("{cars}: nothing is odd about the roster.\n"))?;
            }
        }
    }
    if elsewhere > 0 && asked.form == Form::Text {
        let faults = super::told::counted(elsewhere, "fault");
        screen.say(&format!(
            "the description has {faults} of its own, so not everything could be looked at: `setout check`"
        ));
    }
    let outcome = if clean { Outcome::Done } else { Outcome::No };
    Ok(if found.has_errors() { Outcome::Faulty } else { outcome })
}
