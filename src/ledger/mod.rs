//! The ledger: every session so far, as plain text beside the description.
//!
//! Takes a folder, and keeps in its `ledger/` what happened, never a seed to draw it again from:
//!
//! ```text
//! ledger/standing.toml        the standing that the next session starts from
//! ledger/first.toml           the standing that the first session started from
//! ledger/0012/plan.json       the plan; earlier revisions stay as plan-1.json, plan-2.json, …
//! ledger/0012/expected.toml   the standing that it leaves if all goes as planned
//! ledger/0012/paper/          what was printed
//! ledger/0012/record.txt      the sheet on which the host writes what happened, if asked for
//! ledger/0012/walk.txt        the list for a walk round the layout, if asked for
//! ledger/0012/recorded.toml   after the session: what really happened
//! ledger/0012/before.toml     after the session: the standing it began from
//! ledger/0012/standing.toml   after the session: the standing it left
//! ```
//!
//! Upholds rule 8 across sessions: nothing is lost between them. Every file is written whole or not
//! at all, the files of one deed (a plan, a close, a reopen) all at once, and one program at a time works
//! on a ledger.
//!
//! `write` and `read` are the text of a standing, both ways; [`facts`] are the host's words for what
//! happened otherwise than planned, and [`happened`] is what became of the standing then; only [`store`]
//! touches the disk.

pub mod facts;
pub mod happened;
pub mod store;

mod close;
mod history;
mod idle;
mod minutes;
mod names;
mod read;
mod sheet;
mod walk;
mod walk_list;
mod write;

#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

pub use close::{Closed, Reopened};
pub use history::{Evening, Step, doors};
pub use idle::{Idle, LONG_IDLE, idle};
pub use minutes::Timed;
pub use read::{Adrift, Change, Ended};

use serde::de::DeserializeOwned;

use crate::error::{Error, Result};
use crate::layout::{Layout, unsettled};
use crate::session::Request;
use crate::session::plan::{self, Plan};
use crate::standing::Standing;

/// The ledger of one layout. While it is open, no other program works on it.
#[derive(Debug)]
pub struct Ledger {
    folder: PathBuf,
    _lock: store::Lock,
}

impl Ledger {
    /// The ledger in the folder of a description; it need not exist yet. Waits while another program
    /// has it open, and ends what one that was cut short began.
    ///
    /// # Errors
    /// When the folder has a file named `ledger`, or another program does not let go of it.
    pub fn open(folder: &Path) -> Result<Ledger> {
        let lock = store::lock(folder)?;
        // Told without the dot of the current folder.
        let folder = folder.strip_prefix(".").unwrap_or(folder).join("ledger");
        // A file in its place is told now, not when the evening's plan is to be written.
        store::names(&folder)?;
        store::finish(&folder)?;
        Ok(Ledger { folder, _lock: lock })
    }

    /// The standing that the next session starts from; nothing before the first plan.
    ///
    /// # Errors
    /// When it cannot be read, or does not fit the layout.
    pub fn standing(&self, layout: &Layout) -> Result<Option<Standing>> {
        Ok(self.standing_told(layout)?.map(|(standing, _)| standing))
    }

    /// The same, and what became of the cars whose place, and the orders whose lane, the layout no longer has. A file that was changed by
    /// hand must fit the layout, so that a slip is not taken for a change of the layout.
    ///
    /// # Errors
    /// As above.
    pub fn standing_told(&self, layout: &Layout) -> Result<Option<(Standing, Vec<Change>)>> {
        let path = self.current();
        let Some(text) = store::read(&path)? else { return Ok(None) };
        let closed = self.closed().ok().flatten();
        let kept = closed.map(|session| match session {
            0 => self.folder.join(FIRST),
            session => self.of(session).join(CURRENT),
        });
        let written = kept.as_deref().map(store::read).transpose()?.flatten();
        let read = if written.as_ref() == Some(&text) {
            read::untouched(&path, &text, layout)
        } else {
            read::standing(&path, &text, layout).map(|standing| (standing, Vec::new()))
        };
        read.map(Some).map_err(|fault| match (fault, &written, &kept) {
            (Error::Ledger { path, what }, Some(written), Some(kept)) if *written != text => {
                let kept = kept.display();
                Error::Ledger { path, what: format!("{what}\n`{kept}` is how setout wrote it") }
            }
            (fault, ..) => fault,
        })
    }

    /// The plan of the session that is planned and not yet closed.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn open_plan(&self) -> Result<Option<Plan>> {
        match self.closed()? {
            Some(closed) => self.plan_of(closed + 1),
            None => Ok(None),
        }
    }

    /// What that plan was made with; all else in it is passed over.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn open_request(&self) -> Result<Option<Request>> {
        let Some(closed) = self.closed()? else { return Ok(None) };
        let path = self.of(closed + 1).join("plan.json");
        let head =
            store::read(&path)?.map(|text| parse::<Head>(&path, &text, |head| head.format)).transpose()?;
        Ok(head.map(|Head { seed, revision, .. }| Request { seed, revision }))
    }

    /// Whether a session is planned and not yet closed, without reading its plan.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn is_open(&self) -> Result<bool> {
        let Some(closed) = self.closed()? else { return Ok(false) };
        Ok(store::names(&self.of(closed + 1))?.iter().any(|name| name == "plan.json"))
    }

    /// The plan of a session, in its last revision.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn plan_of(&self, session: i32) -> Result<Option<Plan>> {
        let path = self.of(session).join("plan.json");
        store::read(&path)?.map(|text| parse(&path, &text, |plan: &Plan| plan.format)).transpose()
    }

    /// The revision that the next plan of the open session has, whose last plan was made with this.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn next_revision(&self, open: Option<Request>) -> Result<u32> {
        let session = self.closed()?.unwrap_or(0) + 1;
        let kept = store::names(&self.of(session))?;
        let number = |name: &String| name.strip_prefix("plan-")?.strip_suffix(".json")?.parse::<u32>().ok();
        let kept = kept.iter().filter_map(number).max().unwrap_or(0);
        Ok(kept.max(open.map_or(0, |open| open.revision)) + 1)
    }

    /// Where the paper of a session lies.
    pub fn paper(&self, session: i32) -> PathBuf {
        self.of(session).join("paper")
    }

    /// Writes the plan of the next session, the standing it leaves if all goes as planned, and its
    /// paper. The first plan brings the first standing, so that another revision starts from the
    /// same cars. An earlier revision is kept.
    ///
    /// # Errors
    /// When the disk refuses, or the plan is not for the next session.
    pub fn write_plan(
        &self,
        layout: &Layout,
        plan: &Plan,
        after: &Standing,
        first: Option<&Standing>,
        papers: &[(String, String)],
    ) -> Result<()> {
        let next = self.closed()?.unwrap_or(0) + 1;
        if plan.session != next {
            return Err(Error::Asked(format!(
                "session {} is closed or too far ahead: `setout plan` plans session {next}",
                plan.session
            )));
        }
        let mut text = serde_json::to_string_pretty(plan)
            .map_err(|fault| Error::Write { path: self.of(next).join("plan.json"), cause: fault.into() })?;
        text.push('\n');
        let mut deed = store::Deed::new(&self.folder);
        if let Some(first) = first {
            // A second copy tells later whether somebody changed the first one by hand.
            let text = write::text(first, layout);
            deed.file(FIRST, text.clone());
            deed.file(CURRENT, text);
        }
        if let Some(old) = self.plan_of(next)? {
            self.keep_plan(&mut deed, &old)?;
        }
        deed.file(name(next, "expected.toml"), write::text(after, layout));
        deed.folder(name(next, "paper"), papers);
        deed.file(name(next, "plan.json"), text);
        deed.done()
    }

    /// A plan that no longer holds stays under the number of its revision.
    fn keep_plan(&self, deed: &mut store::Deed<'_>, plan: &Plan) -> Result<()> {
        if let Some(text) = store::read(&self.of(plan.session).join("plan.json"))? {
            deed.file(name(plan.session, &format!("plan-{}.json", plan.revision)), text);
        }
        Ok(())
    }

    /// The sheet of the open session, on which a host writes what happened, and where it belongs.
    ///
    /// # Errors
    /// When no session is open.
    pub fn sheet(&self) -> Result<(PathBuf, String)> {
        let plan = self.open_plan()?;
        let plan = plan.ok_or_else(|| {
            Error::Asked("no session is planned: `setout plan` plans the next one".to_owned())
        })?;
        Ok((self.of(plan.session).join("record.txt"), sheet::text(&plan)))
    }

    /// The list of the open session for a walk round the layout, and where it belongs.
    ///
    /// # Errors
    /// When no session is open.
    pub fn walk_list(&self, layout: &Layout) -> Result<(PathBuf, String)> {
        let plan = self.open_plan()?;
        let plan = plan.ok_or_else(|| {
            Error::Asked("no session is planned: `setout plan` plans the next one".to_owned())
        })?;
        Ok((self.of(plan.session).join("walk.txt"), walk_list::text(&plan, layout)))
    }

    fn current(&self) -> PathBuf {
        self.folder.join(CURRENT)
    }

    fn of(&self, session: i32) -> PathBuf {
        self.folder.join(of(session))
    }

    /// The last session that was closed, from the head of the standing alone; nothing before the
    /// first plan.
    fn closed(&self) -> Result<Option<i32>> {
        let path = self.current();
        let Some(text) = store::read(&path)? else { return Ok(None) };
        let mut lines = text.lines();
        let found = lines.find_map(|line| {
            let (key, value) = line.split_once('=')?;
            let value = value.split('#').next().unwrap_or_default();
            (key.trim() == "session").then(|| value.trim().parse().ok())
        });
        let what = "no line `session = N` says which session was closed last: put it back".to_owned();
        found.flatten().map(Some).ok_or(Error::Ledger { path, what })
    }
}

/// The file that says where every car is now.
const CURRENT: &str = "standing.toml";

/// The file that says where every car was before the first session.
const FIRST: &str = "first.toml";

/// The folder of a session, by its name in the ledger.
fn of(session: i32) -> String {
    format!("{session:04}")
}

/// A file of a session, by its name in the ledger.
fn name(session: i32, file: &str) -> String {
    format!("{}/{file}", of(session))
}

/// What a plan begins with.
#[derive(serde::Deserialize)]
struct Head {
    format: u32,
    seed: u64,
    revision: u32,
}

/// A plan, or the part of it that is asked for, and its format.
fn parse<T: DeserializeOwned>(path: &Path, text: &str, format: impl Fn(&T) -> u32) -> Result<T> {
    /// Of a plan that is not understood: a newer one is told by name, not by its first strange field.
    #[derive(serde::Deserialize)]
    struct Format {
        format: u32,
    }
    let unsound = |what: String| Error::Ledger { path: path.to_owned(), what };
    let newer = |format: u32| {
        let known = plan::FORMAT;
        unsound(format!("format {format} is newer than this setout, which reads {known}: use a newer setout"))
    };
    let parsed: serde_json::Result<T> = serde_json::from_str(text);
    match parsed {
        Ok(parsed) if format(&parsed) > plan::FORMAT => Err(newer(format(&parsed))),
        Ok(parsed) => Ok(parsed),
        Err(fault) => Err(match (unsettled(text), serde_json::from_str::<Format>(text)) {
            (Some(marked), _) => {
                let line = text[..marked.start].lines().count() + 1;
                unsound(format!("line {line}: {}", walk::UNSETTLED))
            }
            (None, Ok(Format { format })) if format > plan::FORMAT => newer(format),
            _ => unsound(format!("{fault}: restore the file, or plan the session again")),
        }),
    }
}
