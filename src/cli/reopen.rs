//! `setout reopen`: the session that was closed last is open again.

use super::args::Reopen;
use super::screen::Screen;
use super::{Outcome, folder};
use crate::error::Result;
use crate::ledger::Ledger;

/// Takes the last close back.
pub(super) fn run(asked: &Reopen, screen: &mut Screen) -> Result<Outcome> {
    folder::read(&asked.at.folder)?;
    let Some(reopened) = Ledger::open(&asked.at.folder)?.reopen()? else {
        screen.say("no session was closed yet");
        return Ok(Outcome::No);
    };
    let session = reopened.session;
    screen.answer(&format!(
        "Session {session} is open again, and every car stands where it stood before it.\n"
    ))?;
    if let Some(next) = reopened.unplanned {
        screen.answer(&format!("Session {next} had a plan; it starts from what is no longer so.\n"))?;
    }
    screen.answer("`setout close` closes it again; `setout plan` plans it anew.\n")?;
    Ok(Outcome::Done)
}
