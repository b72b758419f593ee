//! `setout roster out`: all cars as a table for a spreadsheet.

use std::collections::BTreeMap;

use super::args::Out;
use crate::cli::args::Form;
use crate::cli::screen::Screen;
use crate::cli::{Outcome, folder, told};
use crate::error::{Error, Result};
use crate::ledger::store;
use crate::roster;

/// Writes all cars, whatever file of the description they stand in.
pub(super) fn run(asked: &Out, screen: &mut Screen) -> Result<Outcome> {
    // A roster with faults could lose what is at fault.
    folder::sound(&asked.at.folder)?;
    let sources = folder::read(&asked.at.folder)?;
    if asked.form == Form::Json {
        let cards = roster::cards(&sources);
        let cars: Vec<BTreeMap<&str, &str>> = cards
            .iter()
            .map(|card| card.says.iter().map(|(key, said)| (*key, &*said.words)).collect())
            .collect();
        screen.data(&cars)?;
        return Ok(Outcome::Done);
    }
    let text = roster::bring_out(&sources, asked.separator.sign());
    let Some(path) = &asked.into else {
        screen.answer(&text)?;
        return Ok(Outcome::Done);
    };
    let shown = told::path(path);
    if path.exists() && !asked.replace {
        return Err(Error::Asked(format!(
            "`{shown}` is there already: name another file, or say `--replace`"
        )));
    }
    store::write_whole(path, &text)?;
    let cars = told::counted(roster::cards(&sources).len(), "car");
    screen.answer(&format!("{cars} written into `{shown}`.\n"))?;
    Ok(Outcome::Done)
}
