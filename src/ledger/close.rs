//! Closing a session, and taking the last one back.

use std::collections::BTreeSet;

use super::facts::{Facts, Said, understood};
use super::happened::{Evening, Happened, Misplaced, happened, seen};
use super::{CURRENT, Change, Idle, Ledger, Timed, history, idle, minutes, name, read, store, write};
use crate::error::{Error, Result};
use crate::ids::{Id, TrackIx};
use crate::layout::Layout;
use crate::session::plan::Plan;
use crate::standing::Standing;

/// A session that was closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Closed {
    /// Its number.
    pub session: i32,
    /// Whether everything went as planned.
    pub as_planned: bool,
    /// Every car that is not where the plan wanted it.
    pub misplaced: Vec<Misplaced>,
    /// The tracks whose cars stand in another order than planned, or among others, as somebody saw.
    pub rows: Vec<Id>,
    /// How many cars should stand on tracks that nobody looked at, where somebody walked round.
    pub not_looked_at: Option<usize>,
    /// Cars that are on the layout and that no order and no trip has use for, the longest idle first.
    pub idle: Vec<Idle>,
    /// Cars that the plan left where the layout, as it is now, has no place for them, and orders of lanes that it no
    /// longer has.
    pub adrift: Vec<Change>,
    /// The jobs whose minutes were recorded.
    pub timed: Vec<Timed>,
}

/// A session that was taken back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reopened {
    /// Its number.
    pub session: i32,
    /// The session that was planned after it, whose plan no longer holds.
    pub unplanned: Option<i32>,
}

impl Ledger {
    /// Closes the open session: everything happened as planned. Gives its number.
    ///
    /// # Errors
    /// When no session is open, the standing it leaves does not fit the layout, or the disk refuses.
    pub fn close_as_planned(&self, layout: &Layout) -> Result<i32> {
        self.close(layout, &[]).map(|closed| closed.session)
    }

    /// Closes the open session: everything that is not said went as planned.
    ///
    /// # Errors
    /// As above, and when something that is said is not understood or cannot be; then nothing is
    /// written.
    pub fn close(&self, layout: &Layout, said: &[Said]) -> Result<Closed> {
        let Some(plan) = self.open_plan()? else {
            return Err(Error::Asked("no session is planned: `setout plan` plans the next one".to_owned()));
        };
        let (expected, mut adrift) = self.expected(layout, &plan)?;
        let facts = understood(said, layout, &plan).map_err(|told| faults(&told))?;
        let walked: BTreeSet<TrackIx> = facts.walked.keys().copied().collect();
        let (facts, left) = self.left(layout, &plan, expected, facts)?;
        let Happened { standing, misplaced } = left;
        // A car that the host has seen elsewhere is told as misplaced.
        adrift.retain(|change| match change {
            Change::Car(adrift) => misplaced.iter().all(|misplaced| misplaced.car != adrift.car),
            Change::Order(_) => true,
        });
        let not_looked_at = (!walked.is_empty()).then(|| {
            let on = standing.cars().filter_map(|(_, state)| state.track());
            on.filter(|track| !walked.contains(track)).count()
        });
        let timed = minutes::timed(&plan, &facts);
        let recorded = recorded(&plan, &facts, layout)
            + &minutes::text(&timed)
            + &history::text(layout, &plan, &standing);
        let name = |file: &str| name(plan.session, file);
        let mut deed = store::Deed::new(&self.folder);
        // Kept as it is, byte for byte, so that the session can be taken back.
        if let Some(before) = store::read(&self.current())? {
            deed.file(name("before.toml"), before);
        }
        // Written anew, so that cars that joined the roster since the plan are in it.
        let text = write::text(&standing, layout);
        deed.file(name("recorded.toml"), recorded);
        deed.file(name("standing.toml"), text.clone());
        deed.file(CURRENT, text);
        deed.done()?;
        Ok(Closed {
            session: plan.session,
            as_planned: facts.none(),
            misplaced,
            adrift,
            rows: facts.rows.keys().map(|track| layout.tracks()[*track].id.clone()).collect(),
            not_looked_at,
            idle: idle(layout, &standing, Some(&plan)),
            timed,
        })
    }

    /// What the session left, and the facts with what was seen on a walk among them.
    fn left(
        &self,
        layout: &Layout,
        plan: &Plan,
        expected: Standing,
        mut facts: Facts,
    ) -> Result<(Facts, Happened)> {
        if facts.none() && facts.walked.is_empty() {
            return Ok((facts, Happened { standing: expected, misplaced: Vec::new() }));
        }
        let before = self.standing(layout)?.unwrap_or_else(|| Standing::shelved(layout));
        let evening = Evening { layout, plan, before: &before, expected: &expected };
        if !facts.walked.is_empty() {
            facts = seen(&evening, &facts).map_err(|told| faults(&told))?;
        }
        if facts.none() {
            return Ok((facts, Happened { standing: expected, misplaced: Vec::new() }));
        }
        let left = happened(&evening, &facts).map_err(|told| faults(&told))?;
        Ok((facts, left))
    }

    /// The standing that a session leaves if all goes as planned.
    /// Nobody changes that file by hand: what does not fit is what the layout no longer has.
    fn expected(&self, layout: &Layout, plan: &Plan) -> Result<(Standing, Vec<Change>)> {
        let path = self.of(plan.session).join("expected.toml");
        let again = "`setout plan` plans the session again";
        let Some(text) = store::read(&path)? else {
            return Err(Error::Ledger { path, what: format!("it is missing: {again}") });
        };
        let (standing, adrift) = read::untouched(&path, &text, layout)?;
        if standing.session != plan.session {
            let what = format!("it is of session {}, not {}: {again}", standing.session, plan.session);
            return Err(Error::Ledger { path, what });
        }
        Ok((standing, adrift))
    }

    /// Takes back the session that was closed last: it is planned and open again, and the cars stand
    /// as they stood before it. Nothing if no session was closed.
    ///
    /// # Errors
    /// When the standing before it or its plan is not there, or the disk refuses.
    pub fn reopen(&self) -> Result<Option<Reopened>> {
        let Some(session) = self.closed()?.filter(|session| *session > 0) else { return Ok(None) };
        let folder = self.of(session);
        let path = folder.join("before.toml");
        // Sessions closed before it was kept: what the session before left is the same.
        let earlier = self.of(session - 1).join("standing.toml");
        let before = match store::read(&path)? {
            Some(text) => Some(text),
            None => store::read(&earlier)?,
        };
        let Some(before) = before else {
            let what = format!("it is missing, and session {session} cannot be taken back without it");
            return Err(Error::Ledger { path, what });
        };
        if self.plan_of(session)?.is_none() {
            let what = format!("it is missing, and session {session} cannot be open without it");
            return Err(Error::Ledger { path: folder.join("plan.json"), what });
        }
        let mut deed = store::Deed::new(&self.folder);
        let next = self.plan_of(session + 1)?;
        if let Some(next) = &next {
            self.keep_plan(&mut deed, next)?;
            deed.gone(name(next.session, "plan.json"));
        }
        deed.file(CURRENT, before);
        for file in ["recorded.toml", "standing.toml", "before.toml"] {
            deed.gone(name(session, file));
        }
        deed.done()?;
        Ok(Some(Reopened { session, unplanned: next.map(|next| next.session) }))
    }
}

fn faults(told: &[String]) -> Error {
    Error::Asked(told.join("\n"))
}

/// The format of `recorded.toml`.
const RECORD: i64 = 1;

/// What really happened, as text.
fn recorded(plan: &Plan, facts: &Facts, layout: &Layout) -> String {
    let head = format!("format = {RECORD}\nsession = {}\nrevision = {}\n", plan.session, plan.revision);
    if facts.none() {
        return head + "happened = \"as planned\"\n";
    }
    let lines: Vec<String> =
        facts.words(layout).iter().map(|words| format!("  {},\n", write::quoted(words))).collect();
    format!("{head}happened = \"as planned, but for these facts\"\nfacts = [\n{}]\n", lines.concat())
}
