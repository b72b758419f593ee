//! `setout plan`: the next session, audited, into the ledger.

use std::thread;

use super::args::{Form, Plan as Asked};
use super::revised::{self, Papers};
use super::screen::Screen;
use super::{Outcome, folder, pace, print, told};
use crate::audit;
use crate::crews::People;
use crate::error::{Error, Result};
use crate::layout::{Layout, Pace};
use crate::ledger::{Ledger, idle};
use crate::paper::{self, Look};
use crate::session::plan::Plan;
use crate::session::{self, Planned, Request};
use crate::standing::Standing;
use crate::study::balance;

/// Plans the session after the last closed one. A session that is planned already is planned
/// again, as its next revision and, if nothing else is said, with the seed it had.
pub(super) fn run(asked: &Asked, screen: &mut Screen) -> Result<Outcome> {
    let (layout, warnings) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    let (standing, adrift) = ledger.standing_told(&layout)?.unzip();
    let session = standing.as_ref().map_or(0, |standing| standing.session) + 1;
    let open = ledger.open_request()?;
    let seed = asked.seed.or(open.map(|open| open.seed));
    let seed = seed.unwrap_or_else(|| u64::from(session.unsigned_abs()));
    let (pace, learned) = pace::of_tonight(&layout, &ledger, asked.pace)?;
    let wanted = wanted(asked, &layout, pace)?;
    let revision = ledger.next_revision(open)?;
    let mut best: Option<Tried> = None;
    for seed in (seed..).take(usize::try_from(asked.tries.unwrap_or(1)).unwrap_or(1)) {
        let first = standing.is_none().then(|| session::first_standing(&layout, seed));
        let before = first.as_ref().or(standing.as_ref()).expect("where there is none, a first one is made");
        let planned = session::plan_asked(&layout, before, &Request { seed, revision }, &wanted);
        let rank = balance::rank(&planned.plan);
        if best.as_ref().is_none_or(|best| rank < best.rank) {
            best = Some(Tried { rank, planned, first });
        }
    }
    let Tried { rank: _, mut planned, first } = best.expect("one seed is always tried");
    planned.plan.notices.splice(0..0, adrift.iter().flatten().map(told::change));
    if let Some(standing) = &standing {
        planned.plan.notices.extend(told::long_idle(&layout, &idle(&layout, standing, Some(&planned.plan))));
    }
    // The audit and the paper ask nothing of each other; nothing is written of a plan that is not sound.
    let (audited, papers) = thread::scope(|scope| {
        let audited = scope.spawn(|| sound(&planned.plan, &layout));
        let papers = (!asked.dry_run).then(|| papers(asked, &ledger, &planned.plan, &layout));
        (audited.join().expect("an audit tells what it finds"), papers)
    });
    audited?;
    let mut changed = None;
    if let Some(papers) = papers.transpose()? {
        ledger.write_plan(&layout, &planned.plan, &planned.after, first.as_ref(), &papers.files)?;
        changed = papers.changed;
    }
    if !warnings.sorted().is_empty() {
        screen.say(&format!(
            "{}: `setout check` shows them",
            told::counted(warnings.sorted().len(), "warning")
        ));
    }
    match asked.form {
        Form::Json => screen.data(&planned.plan)?,
        Form::Text => {
            screen.answer(&told::plan(
                &planned.plan,
                &paper::notices(&planned.plan, &layout),
                learned.as_deref(),
            ))?;
            screen.answer(&if asked.dry_run {
                "\nNothing was written.\n".to_owned()
            } else {
                format!("\nThe paper lies in `{}`.\n", told::path(&ledger.paper(planned.plan.session)))
            })?;
            screen.answer(&changed.map_or(String::new(), |changed| told::changed(&changed)))?;
        }
    }
    Ok(Outcome::Done)
}

/// A seed that was tried.
struct Tried {
    rank: balance::Rank,
    planned: Planned,
    first: Option<Standing>,
}

/// What the host asks for besides the seed.
fn wanted(asked: &Asked, layout: &Layout, pace: Option<Pace>) -> Result<session::Asked> {
    let people = asked.crew.map(|count| People {
        count,
        hours: asked.hours.unwrap_or(layout.settings().hours),
        clock: asked.clock,
    });
    let jobs = layout.jobs();
    let without = asked.without.iter().map(|id| {
        let found = jobs.iter().find(|(_, job)| job.id.as_str() == id);
        found.map(|(ix, _)| ix).ok_or_else(|| {
            let ids: Vec<&str> = jobs.values().map(|job| job.id.as_str()).collect();
            Error::Asked(format!("no job is called `{id}`; there are: {}", ids.join(", ")))
        })
    });
    Ok(session::Asked { pace, without: without.collect::<Result<_>>()?, people, thorough: asked.thorough })
}

fn papers(asked: &Asked, ledger: &Ledger, plan: &Plan, layout: &Layout) -> Result<Papers> {
    let press = print::press(&asked.at.folder, Look::default(), plan, layout)?;
    let sheets = paper::sheets_in(press.words(), plan, layout);
    revised::papers(&press, ledger, plan, sheets, asked.now)
}

fn sound(plan: &Plan, layout: &Layout) -> Result<()> {
    let breaches = audit::audit(plan, layout);
    if breaches.is_empty() {
        return Ok(());
    }
    Err(Error::Audit(breaches.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")))
}
