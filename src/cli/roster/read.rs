//! Reads what `roster in` takes: the file of a spreadsheet, and the description it goes into.

use std::fs;
use std::io::Read as _;
use std::panic;
use std::path::Path;

use super::args::In;
use crate::cli::{folder, told};
use crate::diag::{Diagnostic, Diagnostics, Sources, Span};
use crate::error::{Error, Result};
use crate::roster::sheet::Sheet;
use crate::roster::{Asked, ROSTER, decode, may_be_roster, workbook};

/// The description, however its rosters are saved, and whether `cars.csv` begins with a mark.
pub(super) fn description(at: &Path) -> Result<(Sources, bool)> {
    let (mut sources, mut marked) = (folder::read_toml(at)?, false);
    for (name, path) in folder::files(at)?.into_iter().filter(|(name, _)| !folder::is_toml(name)) {
        let decoded = decode::decode(&bytes(&path)?);
        marked |= name.eq_ignore_ascii_case(ROSTER) && decoded.marked;
        sources.add(name, decoded.text);
    }
    Ok((sources, marked))
}

fn bytes(path: &Path) -> Result<Vec<u8>> {
    let fail = |cause| Error::Read { path: path.to_owned(), cause };
    if path.as_os_str() != "-" {
        return fs::read(path).map_err(fail);
    }
    let mut bytes = Vec::new();
    std::io::stdin().read_to_end(&mut bytes).map_err(fail)?;
    Ok(bytes)
}

/// The sheet that is the roster, and what is to be said of how it was read.
pub(super) fn sheet(asked: &In, how: &Asked) -> Result<(Sheet, Option<String>)> {
    let bytes = bytes(&asked.file)?;
    let name = told::path(&asked.file);
    if workbook::is_old_workbook(&bytes) {
        return Err(Error::Asked(format!(
            "`{name}` is a workbook of an old kind: save it as XLSX, ODS or CSV"
        )));
    }
    if workbook::is_workbook(&bytes) {
        let sheets = quietly(|| workbook::sheets(&name, &bytes)).map_err(|cause| {
            Error::Asked(format!(
                "`{name}` is no workbook that can be read ({cause}): save it as XLSX, ODS or CSV"
            ))
        })?;
        return chosen(&sheets, asked, how, &name).map(|sheet| (sheet, None));
    }
    if asked.sheet.is_some() {
        return Err(Error::Asked(format!("`{name}` is no workbook and has no sheets: leave `--sheet` out")));
    }
    let decoded = decode::decode(&bytes);
    let said = decoded.saved_as.map(|saved_as| format!("{name} is read as {saved_as}"));
    let text = decoded.text.clone();
    match Sheet::of_text(&name, decoded.text) {
        Ok(sheet) => Ok((sheet, said)),
        Err(open) => {
            let mut sources = Sources::default();
            let file = sources.add(name, text);
            let mut faults = Diagnostics::new(sources);
            let message = "a quote is opened here and never closed";
            faults.push(
                Diagnostic::error("quote-not-closed", Span::new(file, open), message)
                    .help("close it, or write the sign for inches as `in`"),
            );
            Err(Error::Faults(Box::new(faults)))
        }
    }
}

/// Does what may stop short inside, without its own words on standard error: what is wrong is told here.
fn quietly<T>(deed: impl FnOnce() -> T) -> T {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(|_| {}));
    let done = deed();
    panic::set_hook(usual);
    done
}

/// The sheet that is asked for, or the only one that may be a roster.
fn chosen(sheets: &[Sheet], asked: &In, how: &Asked, file: &str) -> Result<Sheet> {
    let short = |sheet: &Sheet| {
        sheet.name.rsplit_once(", sheet ").map_or(sheet.name.clone(), |(_, name)| name.to_owned())
    };
    let names = |sheets: &[&Sheet]| {
        sheets.iter().map(|sheet| format!("`{}`", short(sheet))).collect::<Vec<_>>().join(", ")
    };
    let all: Vec<&Sheet> = sheets.iter().collect();
    let may: Vec<&Sheet> = match &asked.sheet {
        Some(wanted) => all.iter().copied().filter(|sheet| short(sheet) == *wanted).collect(),
        None => match all[..] {
            [only] => vec![only],
            _ => all.iter().copied().filter(|sheet| may_be_roster(sheet, how)).collect(),
        },
    };
    match (&may[..], &asked.sheet) {
        ([only], _) => Ok((*only).clone()),
        ([], Some(wanted)) => Err(Error::Asked(format!(
            "`{file}` has no sheet `{wanted}` with anything in it; it has {}",
            names(&all)
        ))),
        ([], None) if all.is_empty() => Err(Error::Asked(format!("there is nothing in `{file}`"))),
        ([], None) => Err(Error::Asked(format!(
            "no sheet of `{file}` begins like a roster: say which it is with `--sheet`: {}",
            names(&all)
        ))),
        _ => Err(Error::Asked(format!(
            "several sheets of `{file}` may be the roster: say which with `--sheet`: {}",
            names(&may)
        ))),
    }
}
