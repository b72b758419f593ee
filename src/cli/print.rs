//! `setout print`: the paper of a session once more.

use std::fs;
use std::path::Path;

use super::args::Print;
use super::screen::Screen;
use super::{Outcome, folder};
use crate::error::{Error, Result};
use crate::ledger::{Ledger, store};
use crate::paper::{self, Sheet};
use crate::session::plan::Plan;

/// Shows the sheets asked for, or writes them into a folder.
pub(super) fn run(asked: &Print, screen: &mut Screen) -> Result<Outcome> {
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
    let sheets = chosen(asked, &plan, paper::sheets(&plan, &layout))?;
    match &asked.out {
        Some(out) => write(out, &sheets, screen)?,
        None => {
            for (place, sheet) in sheets.iter().enumerate() {
                screen.answer(if place > 0 { "\n" } else { "" })?;
                screen.answer(&paper::text(sheet))?;
            }
        }
    }
    Ok(Outcome::Done)
}

/// The sheets of one form, of one job, or both.
fn chosen(asked: &Print, plan: &Plan, sheets: Vec<Sheet>) -> Result<Vec<Sheet>> {
    let mut left = sheets;
    if let Some(form) = &asked.form {
        let mut forms: Vec<&str> = left.iter().map(|sheet| sheet.form).collect();
        forms.dedup();
        if !forms.contains(&form.as_str()) {
            return Err(Error::Asked(format!("no form is called `{form}`; there are: {}", forms.join(", "))));
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

fn write(out: &Path, sheets: &[Sheet], screen: &mut Screen) -> Result<()> {
    fs::create_dir_all(out).map_err(|cause| Error::Write { path: out.to_owned(), cause })?;
    for sheet in sheets {
        for (ending, text) in [("txt", paper::text(sheet)), ("html", paper::html(sheet))] {
            let path = out.join(format!("{}.{ending}", sheet.name));
            store::write_whole(&path, &text)?;
            screen.answer(&format!("{}\n", path.display()))?;
        }
    }
    Ok(())
}
