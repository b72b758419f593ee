//! `setout ledger`: what closed sessions did, to everything or to one car, customer or job.

use clap::Args;
use serde::Serialize;

use super::args::{Folder, Form};
use super::screen::Screen;
use super::{Outcome, folder};
use crate::error::{Error, Result};
use crate::ids::Id;
use crate::layout::Layout;
use crate::ledger::facts::names::{self, Known};
use crate::ledger::facts::place_words;
use crate::ledger::{Evening, Idle, Ledger, Step, doors, idle};
use crate::session::plan::OnHandLine;
use crate::standing::Standing;
use crate::study::table::{Column, table};

/// `setout ledger`
#[derive(Debug, Args)]
pub(super) struct LedgerArgs {
    #[command(flatten)]
    at: Folder,
    /// Everything that happened to this car
    #[arg(long, value_name = "CAR", group = "whose")]
    car: Option<String>,
    /// The cars that came to this customer and went from it
    #[arg(long, value_name = "ID", group = "whose")]
    customer: Option<String>,
    /// The cars that this job moved
    #[arg(long, value_name = "ID", group = "whose")]
    job: Option<String>,
    /// Show so many of the last sessions
    #[arg(long, value_name = "N", default_value_t = 12, conflicts_with = "whose")]
    sessions: usize,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    form: Form,
}

/// What is known of everything.
#[derive(Debug, Serialize)]
struct Overview {
    sessions: Vec<Evening>,
    /// Cars at their customers' disposal, and for how many sessions.
    on_hand: Vec<OnHand>,
    /// Cars kept beyond their free time, by the last plan.
    overdue: Vec<OnHandLine>,
    /// Cars that no order and no trip has use for.
    idle: Vec<Idle>,
    /// How many orders each car has served.
    loads: Vec<Used>,
}

#[derive(Debug, Serialize)]
struct OnHand {
    car: Id,
    /// Its spot.
    at: String,
    /// The session in which it was spotted.
    since: i32,
    /// The day of that session.
    date: String,
    /// The days since, of which every session is one.
    sessions: i32,
}

#[derive(Debug, Serialize)]
struct Used {
    car: Id,
    kind: Id,
    loads: u32,
}

/// What is known of one thing.
#[derive(Debug, Serialize)]
struct History {
    steps: Vec<Step>,
    said: Vec<(i32, String)>,
}

/// Shows what the ledger keeps.
pub(super) fn run(asked: &LedgerArgs, screen: &mut Screen) -> Result<Outcome> {
    let (layout, _) = folder::sound(&asked.at.folder)?;
    let ledger = Ledger::open(&asked.at.folder)?;
    if ledger.last_closed()? == 0 {
        screen.say("no session is closed yet: there is nothing to tell");
        return Ok(Outcome::No);
    }
    if let Some(history) = history(asked, &layout, &ledger)? {
        match asked.form {
            Form::Json => screen.data(&history)?,
            Form::Text => screen.answer(&history_page(&layout, &history))?,
        }
        return Ok(Outcome::Done);
    }
    let Some(standing) = ledger.standing(&layout)? else { return Ok(Outcome::No) };
    let overview = overview(&layout, &ledger, &standing, asked.sessions)?;
    match asked.form {
        Form::Json => screen.data(&overview)?,
        Form::Text => screen.answer(&overview_page(&layout, &overview))?,
    }
    Ok(Outcome::Done)
}

fn history(asked: &LedgerArgs, layout: &Layout, ledger: &Ledger) -> Result<Option<History>> {
    let find = |said: &Option<String>, find: fn(&Layout, &str) -> std::result::Result<Known, String>| {
        said.as_ref().map(|said| find(layout, said).map_err(Error::Asked)).transpose()
    };
    if let Some(car) = find(&asked.car, names::car)? {
        return of(layout, ledger, &car, |step| car.ids.iter().any(|id| step.car == id.as_str())).map(Some);
    }
    if let Some(customer) = find(&asked.customer, names::customer)? {
        let doors = doors(layout, &customer.id).unwrap_or_default();
        let words: Vec<&str> = doors.iter().map(String::as_str).collect();
        let here =
            |step: &Step| step.from != step.to && [&step.from, &step.to].iter().any(|at| doors.contains(at));
        let steps = ledger.steps(layout, &words, here)?;
        return Ok(Some(History { steps, said: Vec::new() }));
    }
    if let Some(job) = find(&asked.job, names::job)? {
        let by = |step: &Step| step.by.iter().any(|by| job.ids.iter().any(|id| by == id.as_str()));
        return of(layout, ledger, &job, by).map(Some);
    }
    Ok(None)
}

/// What sessions did to a thing, and what was said of it, under all its ids.
fn of(layout: &Layout, ledger: &Ledger, known: &Known, wanted: impl Fn(&Step) -> bool) -> Result<History> {
    let words: Vec<&str> = known.ids.iter().map(Id::as_str).collect();
    let mut said = Vec::new();
    for id in &words {
        said.extend(ledger.said_of(id)?);
    }
    said.sort();
    said.dedup();
    Ok(History { steps: ledger.steps(layout, &words, wanted)?, said })
}

fn overview(layout: &Layout, ledger: &Ledger, standing: &Standing, last: usize) -> Result<Overview> {
    let id = |car| layout.cars()[car].id.clone();
    let session = standing.session;
    let on_hand = standing.cars().filter_map(|(car, state)| {
        let since = state.placed?;
        let at = place_words(layout, state.whereabouts());
        Some(OnHand { car: id(car), at, since, date: date(layout, since), sessions: session - since })
    });
    let mut on_hand: Vec<OnHand> = on_hand.collect();
    on_hand.sort_by_key(|car| car.since);
    let loads = standing.cars().map(|(car, state)| {
        let kind = layout.types()[layout.cars()[car].kind].code.clone();
        Used { car: id(car), kind, loads: state.loads }
    });
    let plan = match ledger.open_plan()? {
        Some(plan) => Some(plan),
        None => ledger.plan_of(session)?,
    };
    Ok(Overview {
        sessions: ledger.evenings(layout, last)?,
        on_hand,
        overdue: plan.as_ref().map_or_else(Vec::new, |plan| plan.on_hand.clone()),
        idle: idle(layout, standing, plan.as_ref()),
        loads: loads.collect(),
    })
}

fn history_page(layout: &Layout, history: &History) -> String {
    let columns = [
        Column::Numbers("session"),
        Column::Words("date"),
        Column::Words("car"),
        Column::Words("is then"),
        Column::Words("what"),
    ];
    let rows = history.steps.iter().map(|step| {
        let Step { session, car, from, to, by, is, order } = step;
        let mut what = if from == to { format!("stayed at {to}") } else { format!("from {from} to {to}") };
        if !by.is_empty() {
            what.extend([" by ", &by.join(", ")]);
        }
        if let Some(order) = order {
            what.extend([" for ", order]);
        }
        vec![session.to_string(), date(layout, *session), car.clone(), is.clone(), what]
    });
    let rows: Vec<_> = rows.collect();
    let mut page =
        if rows.is_empty() { "Nothing is kept of it.\n".to_owned() } else { table(&columns, &rows) };
    if !history.said.is_empty() {
        let rows = history.said.iter().map(|(session, words)| vec![session.to_string(), words.clone()]);
        let columns = [Column::Numbers("session"), Column::Words("otherwise than planned")];
        page.extend(["\n", &table(&columns, &rows.collect::<Vec<_>>())]);
    }
    page
}

fn date(layout: &Layout, session: i32) -> String {
    layout.settings().days.of_session(session).to_string()
}

/// How many cars each list of the overview shows; as data there are all.
const SHOWN: usize = 12;

fn overview_page(layout: &Layout, overview: &Overview) -> String {
    let columns = [
        Column::Numbers("session"),
        Column::Words("date"),
        Column::Numbers("cars moved"),
        Column::Numbers("delivered"),
        Column::Numbers("otherwise"),
        Column::Words(""),
    ];
    let rows = overview.sessions.iter().map(|evening| {
        let kept = |count: usize| if evening.unknown { "-".to_owned() } else { count.to_string() };
        let (session, date) = (evening.session.to_string(), date(layout, evening.session));
        let otherwise = evening.otherwise.len().to_string();
        vec![session, date, kept(evening.moved), kept(evening.delivered), otherwise, String::new()]
    });
    let mut page = table(&columns, &rows.collect::<Vec<_>>());
    let overdue = overview.overdue.iter().map(|car| {
        vec![car.car.to_string(), car.customer.to_string(), car.days.to_string(), car.over.to_string()]
    });
    let columns = [
        Column::Words("kept too long"),
        Column::Words("by"),
        Column::Numbers("days"),
        Column::Numbers("over"),
    ];
    page += &some(&columns, &overdue.collect::<Vec<_>>());
    let on_hand = overview
        .on_hand
        .iter()
        .map(|car| vec![car.car.to_string(), car.at.clone(), car.date.clone(), car.sessions.to_string()]);
    let columns = [
        Column::Words("with a customer"),
        Column::Words("stands at"),
        Column::Words("since"),
        Column::Numbers("days"),
    ];
    page += &some(&columns, &on_hand.collect::<Vec<_>>());
    let idle =
        overview.idle.iter().map(|car| vec![car.car.to_string(), car.at.clone(), car.sessions.to_string()]);
    let columns =
        [Column::Words("no order, no trip"), Column::Words("stands at"), Column::Numbers("sessions")];
    page += &some(&columns, &idle.collect::<Vec<_>>());
    let mut loads: Vec<&Used> = overview.loads.iter().collect();
    loads.sort_by_key(|car| std::cmp::Reverse(car.loads));
    let loads = loads.into_iter().filter(|car| car.loads > 0);
    let loads = loads.map(|car| vec![car.car.to_string(), car.kind.to_string(), car.loads.to_string()]);
    let columns = [Column::Words("used most"), Column::Words("kind"), Column::Numbers("orders served")];
    page + &some(&columns, &loads.collect::<Vec<_>>())
}

/// The first rows of a list; nothing where there are none.
fn some(columns: &[Column], rows: &[Vec<String>]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let shown = &rows[..rows.len().min(SHOWN)];
    let more = rows.len() - shown.len();
    let more =
        if more == 0 { String::new() } else { format!("  and {more} more: `--as json` has them all\n") };
    format!("\n{}{more}", table(columns, shown))
}
