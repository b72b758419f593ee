//! `setout plan`: the next session, audited, into the ledger.

use super::args::{Form, Plan as Asked};
use super::screen::Screen;
use super::{Outcome, folder, told};
use crate::audit;
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::session::plan::Plan;
use crate::session::{self, Request};

/// Plans the session after the last closed one. A session that is planned already is planned
/// again, as its next revision and, if nothing else is said, with the seed it had.
pub(super) fn run(asked: &Asked, screen: &mut Screen) -> Result<Outcome> {
    let (layout, warnings) = folder::sound(&asked.at.folder)?;
    let before = session::first_standing(&layout, asked.seed.unwrap_or(1));
    let seed = asked.seed.unwrap_or(1);
    let planned = session::plan(&layout, &before, &Request { seed, revision: 1 });
    sound(&planned.plan, &layout)?;
    if !warnings.sorted().is_empty() {
        screen.say(&format!(
            "{}: `setout check` shows them",
            told::counted(warnings.sorted().len(), "warning")
        ));
    }
    match asked.form {
        Form::Json => screen.data(&planned.plan)?,
        Form::Text => {
            screen.answer(&told::plan(&planned.plan))?;
            screen.answer("\nNothing was written.\n")?;
        }
    }
    Ok(Outcome::Done)
}

fn sound(plan: &Plan, layout: &Layout) -> Result<()> {
    let breaches = audit::audit(plan, layout);
    if breaches.is_empty() {
        return Ok(());
    }
    Err(Error::Audit(breaches.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")))
}
