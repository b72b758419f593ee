//! `setout close`: the planned session happened as planned.

use super::args::Close;
use super::screen::Screen;
use super::{Outcome, folder};
use crate::error::Result;
use crate::ledger::Ledger;

/// Closes the open session, so that the next one starts from what it left.
pub(super) fn run(asked: &Close, screen: &mut Screen) -> Result<Outcome> {
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    if ledger.open_plan()?.is_none() {
        screen.say("no session is planned: `setout plan` plans the next one");
        return Ok(Outcome::No);
    }
    let session = ledger.close_as_planned(&layout)?;
    screen.answer(&format!("Session {session} is closed: everything happened as planned.\n"))?;
    Ok(Outcome::Done)
}
