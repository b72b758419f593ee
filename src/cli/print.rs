//! `setout print`: the paper of a session once more.

use std::fs;
use std::path::Path;
use std::thread;

use super::args::{Paper, Print};
use super::screen::Screen;
use super::{Outcome, folder};
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::ledger::{Ledger, store};
use crate::paper::{self, Format, Look, Press, Sheet, Size, Words};
use crate::session::plan::Plan;

/// Columns of text that are not too few for a table.
const NARROWEST: usize = 40;

/// Shows the sheets asked for, or writes them into a folder.
pub(super) fn run(asked: &Print, screen: &mut Screen) -> Result<Outcome> {
    if asked.words {
        screen.answer(&words(&asked.at.folder)?.toml())?;
        return Ok(Outcome::Done);
    }
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    let plan = match asked.session {
        Some(session) => ledger.plan_of(session)?,
        None => ledger.open_plan()?,
    };
    let Some(plan) = plan else {
        screen.say(&match asked.session {
            Some(session) => format!("session {session} was never planned"),
            None => {
                "no session is planned: `setout plan` plans one, `--session N` prints an old one".to_owned()
            }
        });
        return Ok(Outcome::No);
    };
    let press = press(&asked.at.folder, look(asked)?, &plan, &layout)?;
    let mut sheets = chosen(asked, &plan, paper::sheets_in(press.words(), &plan, &layout))?;
    if asked.short_numbers {
        paper::shorten(&mut sheets, press.words(), &plan, &layout);
    }
    if asked.show_values {
        for sheet in &sheets {
            screen.data(&press.values(sheet, &plan, &layout))?;
        }
        return Ok(Outcome::Done);
    }
    match &asked.out {
        Some(out) => write(out, &press, &sheets, screen)?,
        None => {
            for (place, sheet) in sheets.iter().enumerate() {
                screen.answer(if place > 0 { "\n" } else { "" })?;
                screen.answer(&lay(&press, sheet, Format::Text)?)?;
            }
        }
    }
    Ok(Outcome::Done)
}

/// A press with the host's own forms, if there are any in the folder.
pub(super) fn press(folder: &Path, look: Look, plan: &Plan, layout: &Layout) -> Result<Press> {
    let forms = folder::forms(folder)?;
    Press::with(look, forms, plan, layout).map_err(|faults| Error::Faults(Box::new(faults)))
}

/// The built-in words with the host's own in their place.
fn words(folder: &Path) -> Result<Words> {
    Words::read(&folder::forms(folder)?).map_err(|faults| Error::Faults(Box::new(faults)))
}

/// Every sheet twice, by the names of their files: as text and, at the same time, as a page for the printer.
pub(super) fn both(press: &Press, sheets: &[Sheet]) -> Result<Vec<(String, String)>> {
    let all = |format| -> Vec<_> { sheets.iter().map(|sheet| file(press, sheet, format)).collect() };
    let (texts, pages) = thread::scope(|scope| {
        let pages = scope.spawn(|| all(Format::Html));
        (all(Format::Text), pages.join().expect("a sheet that is text is a page, too"))
    });
    texts.into_iter().zip(pages).flat_map(|(text, page)| [text, page]).collect()
}

/// A sheet as text and as a page.
pub(super) fn twice(press: &Press, sheet: &Sheet) -> Result<[(String, String); 2]> {
    Ok([file(press, sheet, Format::Text)?, file(press, sheet, Format::Html)?])
}

fn file(press: &Press, sheet: &Sheet, format: Format) -> Result<(String, String)> {
    Ok((format!("{}.{}", sheet.name, format.ending()), lay(press, sheet, format)?))
}

fn lay(press: &Press, sheet: &Sheet, format: Format) -> Result<String> {
    press.lay(sheet, format).map_err(|faults| Error::Faults(Box::new(faults)))
}

fn look(asked: &Print) -> Result<Look> {
    let columns = asked.columns.unwrap_or(Look::default().columns);
    if columns < NARROWEST {
        return Err(Error::Asked(format!("expected at least {NARROWEST} columns, found {columns}")));
    }
    let size = match asked.paper {
        None => Size::Any,
        Some(Paper::Letter) => Size::Letter,
        Some(Paper::A4) => Size::A4,
        Some(Paper::Half) => Size::Half,
        Some(Paper::FourBySix) => Size::FourBySix,
        Some(Paper::ThreeByFive) => Size::ThreeByFive,
    };
    Ok(Look { size, large: asked.large, duplex: asked.duplex, columns, ascii: asked.ascii })
}

/// The sheets of one form, of one job, or both.
fn chosen(asked: &Print, plan: &Plan, sheets: Vec<Sheet>) -> Result<Vec<Sheet>> {
    let mut left = sheets;
    if let Some(form) = &asked.form {
        if !paper::FORMS.contains(&form.as_str()) {
            return Err(Error::Asked(format!(
                "no form is called `{form}`; there are: {}",
                paper::FORMS.join(", ")
            )));
        }
        left.retain(|sheet| sheet.form == form);
    }
    if let Some(job) = &asked.job {
        let jobs = &plan.world.jobs;
        let Some(known) = jobs.iter().find(|known| known.id.as_str() == job) else {
            let ids: Vec<&str> = jobs.iter().map(|job| job.id.as_str()).collect();
            return Err(Error::Asked(format!(
                "no job `{job}` runs in this session; there are: {}",
                ids.join(", ")
            )));
        };
        left.retain(|sheet| sheet.job.as_ref() == Some(&known.id));
    }
    Ok(left)
}

fn write(out: &Path, press: &Press, sheets: &[Sheet], screen: &mut Screen) -> Result<()> {
    fs::create_dir_all(out).map_err(|cause| Error::Write { path: out.to_owned(), cause })?;
    for (name, text) in both(press, sheets)? {
        let path = out.join(name);
        store::write_paper(&path, &text)?;
        screen.answer(&format!("{}\n", path.display()))?;
    }
    Ok(())
}
