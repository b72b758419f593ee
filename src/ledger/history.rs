//! What closed sessions did: kept in `recorded.toml` when a session is closed, and read again from there, so
//! that nobody has to go through hundreds of plans.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;
use toml::de::{DeTable, DeValue};

use super::facts::place_words;
use super::names::Names;
use super::write::{key, quoted, word};
use super::{CURRENT, Ledger, read, store};
use crate::error::Result;
use crate::ids::{Id, TrackIx};
use crate::layout::{Layout, SpotTarget};
use crate::session::plan::Plan;
use crate::standing::Standing;

/// The heading of the cars that a session moved, or did something to.
const HEADING: &str = "[cars]";

/// What a session did, in a line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Evening {
    /// Its number.
    pub session: i32,
    /// The cars that are elsewhere after it than before.
    pub moved: usize,
    /// Those of them that came where their order wanted them.
    pub delivered: usize,
    /// What happened otherwise, in the words of a record.
    pub otherwise: Vec<String>,
    /// Whether it was closed before cars were kept; then none are counted.
    pub unknown: bool,
}

/// What a session did to one car.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Step {
    /// The session.
    pub session: i32,
    /// The car.
    pub car: String,
    /// Where it was before.
    pub from: String,
    /// Where it was afterwards.
    pub to: String,
    /// The jobs that moved it, as planned; none where it came there otherwise.
    pub by: Vec<String>,
    /// What it was about afterwards: `loaded`, `unloading`, …
    pub is: String,
    /// The order that it served, if any.
    pub order: Option<String>,
}

/// Everything that a session did, as text for its record.
pub(super) fn text(layout: &Layout, plan: &Plan, after: &Standing) -> String {
    let stood = stood(plan);
    let trips: BTreeMap<&str, _> = plan.trips.iter().map(|trip| (trip.car.as_str(), trip)).collect();
    let (mut lines, mut moved, mut delivered) = (String::new(), 0, 0);
    for (car, state) in after.cars() {
        let id = &layout.cars()[car].id;
        let to = place_words(layout, state.whereabouts());
        let from = stood.get(id.as_str()).copied().unwrap_or("shelf");
        let same_place = from == to;
        if same_place && state.since != plan.session {
            continue;
        }
        let known = trips.get(id.as_str());
        let trip = known.filter(|trip| {
            let end = trip.legs.last().map(|leg| leg.spot.as_ref().unwrap_or(&leg.to).as_str());
            !same_place && end == Some(&*to)
        });
        moved += usize::from(!same_place);
        delivered += usize::from(trip.is_some_and(|trip| trip.arrives && trip.order.is_some()));
        let mut line = format!("{} = {{ from = {}, to = {}", key(id.as_str()), quoted(from), quoted(&to));
        let jobs = trip.into_iter().flat_map(|trip| &trip.legs).map(|leg| quoted(leg.job.as_str()));
        let by: Vec<String> = jobs.map(|job| job.to_string()).collect();
        if !by.is_empty() {
            write!(line, ", by = [{}]", by.join(", ")).expect("writing to text does not fail");
        }
        write!(line, ", is = \"{}\"", word(&state.condition)).expect("writing to text does not fail");
        let order = state.condition.order().or(known.and_then(|trip| trip.order.as_ref()));
        if let Some(order) = order {
            write!(line, ", order = {}", quoted(order.as_str())).expect("writing to text does not fail");
        }
        lines += &(line + " }\n");
    }
    format!(
        "\n# Cars that are elsewhere than before, or about something else.\n[count]\nmoved = {moved}\n\
         delivered = {delivered}\n\n{HEADING}\n{lines}"
    )
}

/// By car, where it stood before the session.
fn stood(plan: &Plan) -> BTreeMap<&str, &str> {
    let on = plan.before.tracks.iter().chain(&plan.before.beyond);
    let on = on.flat_map(|(place, row)| row.iter().map(move |car| (car, place)));
    on.map(|(car, place)| (car.car.as_str(), car.spot.as_ref().unwrap_or(place).as_str())).collect()
}

impl Ledger {
    /// What the last so many sessions did, the earliest first.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn evenings(&self, layout: &Layout, last: usize) -> Result<Vec<Evening>> {
        let closed = self.closed()?.unwrap_or(0);
        let first = closed.saturating_sub(i32::try_from(last).unwrap_or(i32::MAX).saturating_sub(1)).max(1);
        let mut evenings = Vec::new();
        for session in first..=closed {
            evenings.push(evening(session, &self.whole_record(layout, session)?));
        }
        Ok(evenings)
    }

    /// What all sessions did, as far as `wanted` is true of it. Only lines with one of the words in them are
    /// looked at.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn steps(
        &self,
        layout: &Layout,
        words: &[&str],
        wanted: impl Fn(&Step) -> bool,
    ) -> Result<Vec<Step>> {
        let mut steps = Vec::new();
        for session in 1..=self.closed()?.unwrap_or(0) {
            let text = self.whole_record(layout, session)?;
            let lines = lines(&text).filter(|line| words.iter().any(|word| line.contains(word)));
            steps.extend(lines.filter_map(|line| step(session, line)).filter(&wanted));
        }
        Ok(steps)
    }

    /// What was said of a car, job or place in all sessions, in the words of a record.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn said_of(&self, name: &str) -> Result<Vec<(i32, String)>> {
        let mut said = Vec::new();
        for session in 1..=self.closed()?.unwrap_or(0) {
            let facts = evening(session, &self.recorded(session)?).otherwise;
            let of = |words: &String| format!("{words} ").contains(&format!("{name} "));
            said.extend(facts.into_iter().filter(of).map(|words| (session, words)));
        }
        Ok(said)
    }

    /// The number of the session that was closed last; 0 before the first.
    ///
    /// # Errors
    /// When the ledger cannot be read.
    pub fn last_closed(&self) -> Result<i32> {
        Ok(self.closed()?.unwrap_or(0))
    }

    /// The record of a session. One that was closed before cars were kept in it gets them from its plan and the standing
    /// that it left, as far as these are there and fit today's layout.
    fn whole_record(&self, layout: &Layout, session: i32) -> Result<String> {
        let text = self.recorded(session)?;
        if text.is_empty() || text.lines().any(|line| line == HEADING) {
            return Ok(text);
        }
        let path = self.of(session).join(CURRENT);
        let (Ok(Some(plan)), Some(left)) = (self.plan_of(session), store::read(&path)?) else {
            return Ok(text);
        };
        let left = read::untouched(&path, &left, layout);
        Ok(left.map(|(left, _)| text.clone() + &self::text(layout, &plan, &left)).unwrap_or(text))
    }

    fn recorded(&self, session: i32) -> Result<String> {
        Ok(store::read(&self.of(session).join("recorded.toml"))?.unwrap_or_default())
    }
}

/// The lines of the cars of a record.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    let lines = text.lines().skip_while(|line| *line != HEADING).skip(1);
    lines.take_while(|line| !line.starts_with('['))
}

/// A record's count and facts; a line that somebody spoiled counts for nothing.
fn evening(session: i32, text: &str) -> Evening {
    let mut evening = Evening { session, unknown: true, ..Evening::default() };
    for line in text.lines().take_while(|line| *line != HEADING) {
        let number = |word: &str| line.strip_prefix(word).and_then(|count| count.trim().parse().ok());
        if let Some(moved) = number("moved = ") {
            (evening.moved, evening.unknown) = (moved, false);
        } else if let Some(delivered) = number("delivered = ") {
            evening.delivered = delivered;
        } else if let Some(fact) = line.strip_prefix("  \"").and_then(|line| line.strip_suffix("\",")) {
            evening.otherwise.push(fact.replace("\\\"", "\"").replace("\\\\", "\\"));
        }
    }
    evening
}

fn step(session: i32, line: &str) -> Option<Step> {
    let table = DeTable::parse(line).ok()?;
    let (car, value) = table.get_ref().iter().next()?;
    let DeValue::Table(about) = value.get_ref() else { return None };
    let text = |name: &str| match about.get(name).map(toml::Spanned::get_ref) {
        Some(DeValue::String(text)) => Some(text.to_string()),
        _ => None,
    };
    let by = match about.get("by").map(toml::Spanned::get_ref) {
        Some(DeValue::Array(jobs)) => jobs
            .iter()
            .filter_map(|job| match job.get_ref() {
                DeValue::String(job) => Some(job.to_string()),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    };
    let (from, to, is) = (text("from")?, text("to")?, text("is")?);
    Some(Step { session, car: car.get_ref().to_string(), from, to, by, is, order: text("order") })
}

/// The ids of the spots and tracks of a customer, also those that they had before.
pub fn doors(layout: &Layout, customer: &Id) -> Option<Vec<String>> {
    let industry = layout.industries().values().find(|known| known.id == *customer)?;
    let targets = industry.ships.iter().chain(&industry.receives).flat_map(|(_, targets)| targets);
    let names = Names::new(layout);
    let tracks = |wanted: TrackIx| names.tracks.iter().filter(move |(_, track)| **track == wanted);
    let mut doors: Vec<String> = Vec::new();
    for target in targets {
        match target {
            SpotTarget::Track(track) => doors.extend(tracks(*track).map(|(id, _)| id.to_string())),
            SpotTarget::Spot(spot) => {
                let today = &layout.spots()[*spot];
                let former = layout.former().spots.iter().filter(|(_, bearer)| bearer == spot);
                let spots: Vec<&str> = former.map(|(id, _)| id.as_str()).chain([&*today.name]).collect();
                for (track, _) in tracks(today.track) {
                    doors.extend(spots.iter().map(|spot| format!("{track}/{spot}")));
                }
            }
        }
    }
    doors.sort();
    doors.dedup();
    Some(doors)
}
