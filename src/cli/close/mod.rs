//! `setout close`: what happened in the planned session.

mod args;

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::screen::Screen;
use super::{Outcome, folder, told};
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::ledger::facts::{Said, lines};
use crate::ledger::happened::Misplaced;
use crate::ledger::{Closed, Ledger, Timed, store};
use crate::paper;
use crate::study::table::{Column, table};
use crate::units::Minutes;
pub(super) use args::CloseArgs;

/// Closes the open session, so that the next one starts from what it left.
pub(super) fn run(asked: &CloseArgs, screen: &mut Screen) -> Result<Outcome> {
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    if ledger.open_plan()?.is_none() {
        screen.say("no session is planned: `setout plan` plans the next one");
        return Ok(Outcome::No);
    }
    if asked.page {
        return page(&layout, &ledger, asked.into.as_deref(), screen);
    }
    if asked.sheet {
        return sheet(&ledger, asked.into.as_deref(), screen);
    }
    let closed = ledger.close(&layout, &said(asked)?)?;
    screen.answer(&answer(&closed))?;
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

/// Writes the sheet to fill in; one that lies there may be filled in already, and stays.
fn sheet(ledger: &Ledger, file: Option<&Path>, screen: &mut Screen) -> Result<Outcome> {
    let (usual, text) = ledger.sheet()?;
    let path: PathBuf = file.map_or(usual, Path::to_owned);
    let shown = told::path(&path);
    if path.exists() {
        return Err(Error::Asked(format!(
            "`{shown}` is there already and may be filled in: take it away, or name another with `--into FILE`"
        )));
    }
    store::write_whole(&path, &text)?;
    screen.answer(&format!(
        "The sheet lies in `{shown}`. When it says what happened: `setout close --record \"{shown}\"`.\n"
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
    let text = if path.as_os_str() == "-" {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map_err(fail)?;
        text
    } else {
        fs::read_to_string(path).map_err(fail)?
    };
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

fn answer(closed: &Closed) -> String {
    if closed.as_planned {
        let said = format!("Session {} is closed: everything happened as planned.\n", closed.session);
        return said + &minutes(&closed.timed);
    }
    let mut page =
        format!("Session {} is closed; what was not mentioned happened as planned.\n", closed.session);
    if closed.misplaced.is_empty() {
        page.push_str("Every car is where the plan wanted it.\n");
        page.push_str(&minutes(&closed.timed));
        return page;
    }
    let columns = [
        Column::Words("misplaced"),
        Column::Words("is at"),
        Column::Words("planned"),
        Column::Words("order"),
    ];
    let rows: Vec<Vec<String>> = closed.misplaced.iter().map(row).collect();
    page.extend(["\n", &table(&columns, &rows), "\n"]);
    for car in &closed.misplaced {
        if let Some(why) = car.why {
            page.extend([car.car.as_str(), " was taken to be there: ", why, ".\n"]);
        }
    }
    page.push_str("The next plan takes each of them on from there; orders carry over.\n");
    page.push_str(&minutes(&closed.timed));
    page
}

/// The minutes that were recorded, beside those that were estimated; nothing if there are none.
fn minutes(timed: &[Timed]) -> String {
    if timed.is_empty() {
        return String::new();
    }
    let took: Minutes = timed.iter().map(|job| job.took).sum();
    let estimated: Minutes = timed.iter().map(Timed::estimated).sum();
    format!(
        "Minutes kept of {}: {} taken, {} estimated.\n",
        told::counted(timed.len(), "job"),
        took.rounded_up(),
        estimated.rounded_up()
    )
}

fn row(car: &Misplaced) -> Vec<String> {
    let order = car.order.as_ref().map_or_else(|| "-".to_owned(), ToString::to_string);
    vec![car.car.to_string(), car.at.clone(), car.planned.clone(), order]
}
