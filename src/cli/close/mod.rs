//! `setout close`: what happened in the planned session.

mod answer;
mod args;

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::screen::Screen;
use super::{Outcome, folder, told};
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::ledger::facts::{Said, lines};
use crate::ledger::{Ledger, store};
use crate::paper;
use crate::roster::decode;
pub(super) use args::CloseArgs;

/// Closes the open session, so that the next one starts from what it left.
pub(super) fn run(asked: &CloseArgs, screen: &mut Screen) -> Result<Outcome> {
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    if !ledger.is_open()? {
        screen.say("no session is planned: `setout plan` plans the next one");
        return Ok(Outcome::No);
    }
    if asked.page {
        return page(&layout, &ledger, asked.into.as_deref(), screen);
    }
    if asked.sheet {
        return to_fill_in("sheet", "says what happened", ledger.sheet()?, asked.into.as_deref(), screen);
    }
    if asked.walk {
        let list = ledger.walk_list(&layout)?;
        return to_fill_in("list", "is what you see", list, asked.into.as_deref(), screen);
    }
    let closed = ledger.close(&layout, &said(asked)?)?;
    if !closed.adrift.is_empty() {
        screen.say("the layout changed since this session was planned:");
    }
    for change in &closed.adrift {
        screen.say(&told::change(change).text);
    }
    screen.answer(&answer::closed(&closed))?;
    Ok(Outcome::Done)
}

/// Writes the page to carry round the layout. Nothing is entered in the file itself, so that one that
/// lies there is written anew.
fn page(layout: &Layout, ledger: &Ledger, file: Option<&Path>, screen: &mut Screen) -> Result<Outcome> {
    let Some(plan) = ledger.open_plan()? else { return Ok(Outcome::No) };
    let path = match file {
        Some(file) => file.to_owned(),
        None => ledger.sheet()?.0.with_extension("html"),
    };
    store::write_whole(&path, &paper::walk_page(&plan, layout))?;
    screen.answer(&format!(
        "The page lies in `{}`. Open it on the device that you carry; give the record that it saves to \
         `setout close --record FILE`.\n",
        told::path(&path)
    ))?;
    Ok(Outcome::Done)
}

/// Writes a file to fill in; one that lies there may be filled in already, and stays.
fn to_fill_in(
    what: &str,
    filled: &str,
    (usual, text): (PathBuf, String),
    file: Option<&Path>,
    screen: &mut Screen,
) -> Result<Outcome> {
    let path: PathBuf = file.map_or(usual, Path::to_owned);
    let shown = told::path(&path);
    if path.exists() {
        return Err(Error::Asked(format!(
            "`{shown}` is there already and may be filled in: take it away, or name another with `--into FILE`"
        )));
    }
    store::write_whole(&path, &text)?;
    screen.answer(&format!(
        "The {what} lies in `{shown}`. When it {filled}: `setout close --record \"{shown}\"`.\n"
    ))?;
    Ok(Outcome::Done)
}

/// Everything that the command line says of the session, in the words of a record.
fn said(asked: &CloseArgs) -> Result<Vec<Said>> {
    let mut said = Vec::new();
    if let Some(path) = &asked.record {
        said = lines(&path.display().to_string(), &record(path)?);
    }
    let mut add = |option: &str, words: String| said.push(Said { origin: option.to_owned(), words });
    for car in &asked.left {
        add("--left", format!("{car} left"));
    }
    for car in &asked.loaded {
        add("--loaded", format!("{car} loaded"));
    }
    for car in &asked.empty {
        add("--empty", format!("{car} empty"));
    }
    for car in &asked.bad_order {
        add("--bad-order", format!("{car} bad order"));
    }
    for job in &asked.not_run {
        add("--not-run", format!("job {job} not run"));
    }
    for (option, values, example, before, between) in [
        ("--at", &asked.is_at, "CHT 1234=mill/door 1", "", "at"),
        ("--ran-to", &asked.ran_to, "drill=2", "job ", "ran to"),
        ("--minutes", &asked.minutes, "drill=75", "job ", "took"),
    ] {
        for value in values {
            let Some((what, told)) = value.split_once('=') else {
                return Err(Error::Asked(format!("{option}: `{value}` has no `=`; expected `{example}`")));
            };
            add(option, format!("{before}{} {between} {}", what.trim(), told.trim()));
        }
    }
    Ok(said)
}

fn record(path: &Path) -> Result<String> {
    let fail = |cause| Error::Read { path: path.to_owned(), cause };
    let bytes = if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        std::io::stdin().read_to_end(&mut bytes).map_err(fail)?;
        bytes
    } else {
        fs::read(path).map_err(fail)?
    };
    // Whatever an editor saved it as: a record is words alone.
    Ok(decode::decode(&bytes).text)
}
