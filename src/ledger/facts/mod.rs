//! What happened otherwise than planned: one fact a line, in the words of a host.
//!
//! ```text
//! CHT 1234 left                         no crew touched it
//! CHT 1240 at northgate/mill/door 2     this is where it is; also a gateway, or `shelf`
//! 1251 loaded                           its load is in it, or it is empty: `1251 empty`
//! 1250 bad order                        a shortened number, where it is the only one
//! job drill not run
//! job turn ran to 2                     it did the work of its calls 1 and 2
//! job turn took 75                      minutes, without waiting for others
//! track harbor/2 from west: 7; 9        what stands on a whole track, also with a line for each car: [`rows`]
//! ```
//!
//! What is not mentioned went as planned. Everything that cannot be understood is told at once,
//! each with the words at fault and the nearest that would do.

pub mod names;
mod rows;

use std::collections::BTreeMap;

use crate::ids::{CarIx, Id, SpotIx, TrackIx};
use crate::layout::Layout;
use crate::session::plan::Plan;
use crate::standing::Whereabouts;
use names::Names;
use rows::Under;
pub(super) use rows::{Seen, Walked};

/// Words about one thing, and where they were said: `--left`, `record.txt, line 3`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// Where.
    pub origin: String,
    /// The words.
    pub words: String,
}

/// What happened to a car or a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Facts {
    /// Where cars really are, or that nobody touched them.
    pub(super) cars: BTreeMap<CarIx, Stays>,
    /// Whether cars were seen to be loaded, or empty.
    pub(super) loads: BTreeMap<CarIx, bool>,
    /// Cars found to need repair.
    pub(super) bad_orders: Vec<CarIx>,
    /// Jobs that did less than planned: the last call of which the work was done, 0 for none.
    pub(super) jobs: BTreeMap<Id, u32>,
    /// The minutes that jobs really took.
    pub(super) minutes: BTreeMap<Id, u32>,
    /// What was seen on tracks, before it is held against the plan.
    pub(super) walked: Walked,
    /// What stands on tracks, from west to east, where that is otherwise.
    pub(super) rows: BTreeMap<TrackIx, Vec<(CarIx, Option<SpotIx>)>>,
}

/// Where a car is after the session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stays {
    /// Where it stood before the first crew came.
    Left,
    /// There.
    At(Whereabouts),
}

/// The lines of a record, without comments and blank lines.
pub fn lines(name: &str, text: &str) -> Vec<Said> {
    let lines = text.lines().enumerate().map(|(place, line)| {
        let line = line.trim();
        // A number sign within a name is part of it.
        let end = if line.starts_with('#') { 0 } else { line.find(" #").unwrap_or(line.len()) };
        Said { origin: format!("{name}, line {}", place + 1), words: line[..end].trim().to_owned() }
    });
    lines.filter(|said| !said.words.is_empty()).collect()
}

/// Understands what is said of a session, or tells everything that cannot be.
///
/// # Errors
/// With one line for everything that is not understood.
pub fn understood(said: &[Said], layout: &Layout, plan: &Plan) -> Result<Facts, Vec<String>> {
    let (names, session) = (Names::new(layout, plan), plan.session);
    let (facts, faults, seen) = (Facts::default(), Vec::new(), BTreeMap::new());
    let mut reader = Reader { names, session, facts, faults, under: Under::Nothing, seen };
    for one in said {
        let row = reader.row(one);
        if let Err(fault) = row.unwrap_or_else(|| reader.line(&one.words)) {
            reader.faults.push(format!("{}: {fault}", one.origin));
        }
    }
    for job in reader.facts.minutes.keys().filter(|job| reader.facts.jobs.get(job) == Some(&0)) {
        reader.faults.push(format!("job `{job}` is said not to have run, and to have taken minutes"));
    }
    reader.facts.bad_orders.sort();
    reader.facts.bad_orders.dedup();
    if reader.faults.is_empty() { Ok(reader.facts) } else { Err(reader.faults) }
}

struct Reader<'l> {
    names: Names<'l>,
    session: i32,
    facts: Facts,
    faults: Vec<String>,
    /// What lines with a box belong to now.
    under: Under,
    /// Cars seen on a walk, and where the line is.
    seen: BTreeMap<CarIx, String>,
}

const EXPECTED: &str = "expected `CAR left`, `CAR at PLACE`, `CAR loaded`, `CAR empty`, `CAR bad order`, `job JOB not run`, \
                        `job JOB ran to CALL`, `job JOB took MINUTES`, or under `track TRACK from west` a line `[ ] CAR`";

/// More minutes than this no job takes: a whole day.
const MOST_MINUTES: u32 = 24 * 60;

impl Reader<'_> {
    fn line(&mut self, words: &str) -> Result<(), String> {
        if let Some(job) = words.strip_prefix("job ") {
            return self.job(job.trim());
        }
        if let Some((car, _)) = words.split_once(" planned ") {
            // What a sheet was filled in with and nobody changed: as planned.
            return self.names.car(car.trim()).map(|_| ());
        }
        if let Some((car, place)) = words.split_once(" at ") {
            let car = self.names.car(car.trim());
            let place = self.names.place(place.trim());
            return match (car, place) {
                (Ok(car), Ok(place)) => self.stays(car, Stays::At(place)),
                (Err(one), Err(other)) => Err(format!("{one}; {other}")),
                (Err(one), _) | (_, Err(one)) => Err(one),
            };
        }
        if let Some(car) = words.strip_suffix(" left") {
            let car = self.names.car(car.trim())?;
            return self.stays(car, Stays::Left);
        }
        for (word, is_loaded) in [(" loaded", true), (" empty", false)] {
            if let Some(car) = words.strip_suffix(word) {
                let car = self.names.car(car.trim())?;
                return match self.facts.loads.insert(car, is_loaded) {
                    Some(before) if before != is_loaded => Err(format!(
                        "`{}` is said to be loaded and empty: leave only the one that is true",
                        self.names.layout.cars()[car].id
                    )),
                    _ => Ok(()),
                };
            }
        }
        if let Some(car) = words.strip_suffix(" bad order") {
            let car = self.names.car(car.trim())?;
            self.facts.bad_orders.push(car);
            return Ok(());
        }
        Err(format!("`{words}` is not understood: {EXPECTED}"))
    }

    /// What a sheet was filled in with, `?`, says nothing.
    fn took(&mut self, job: &str, said: &str) -> Result<(), String> {
        let job = self.names.job(job)?.id.clone();
        if said == "?" {
            return Ok(());
        }
        let minutes = minutes(said).ok_or_else(|| {
            format!("`{said}` is no time a job takes: expected minutes from 1 to {MOST_MINUTES}, such as `75` or `1:15`")
        })?;
        match self.facts.minutes.insert(job.clone(), minutes) {
            Some(before) if before != minutes => {
                Err(format!("job `{job}` is said to take two times: leave only the one that is true"))
            }
            _ => Ok(()),
        }
    }

    fn stays(&mut self, car: CarIx, stays: Stays) -> Result<(), String> {
        match self.facts.cars.insert(car, stays) {
            Some(before) if before != stays => Err(format!(
                "`{}` is said to be in two places: leave only the one that is true",
                self.names.layout.cars()[car].id
            )),
            _ => Ok(()),
        }
    }

    fn job(&mut self, words: &str) -> Result<(), String> {
        if let Some((job, minutes)) = words.rsplit_once(" took ") {
            return self.took(job.trim(), minutes.trim());
        }
        let (job, done) = if let Some(job) = words.strip_suffix(" not run") {
            (self.names.job(job.trim())?, 0)
        } else if let Some((job, call)) = words.split_once(" ran to ") {
            let job = self.names.job(job.trim())?;
            let calls = u32::try_from(job.calls.len()).unwrap_or(u32::MAX);
            let call = call.trim().parse().ok().filter(|call| (1..=calls).contains(call));
            let call = call.ok_or_else(|| {
                format!("`{words}`: `{}` has calls 1 to {calls}; say the last whose work was done", job.id)
            })?;
            if call == calls {
                return Ok(()); // all of it
            }
            (job, call)
        } else if let Some(job) = words.strip_suffix(" ran") {
            return self.names.job(job.trim()).map(|_| ());
        } else {
            return Err(format!("`job {words}` is not understood: {EXPECTED}"));
        };
        match self.facts.jobs.insert(job.id.clone(), done) {
            Some(before) if before != done => {
                Err(format!("two things are said of job `{}`: leave only the one that is true", job.id))
            }
            _ => Ok(()),
        }
    }
}

/// Minutes as people write them: `75`, `75 min`, `1:15`.
fn minutes(words: &str) -> Option<u32> {
    let number = |text: &str| text.parse::<u32>().ok().filter(|_| text.bytes().all(|b| b.is_ascii_digit()));
    let plain =
        words.strip_suffix("minutes").or_else(|| words.strip_suffix("min")).unwrap_or(words).trim_end();
    let minutes = match plain.split_once(':') {
        Some((hours, minutes)) if minutes.len() == 2 => {
            number(hours)?.checked_mul(60)?.checked_add(number(minutes).filter(|part| *part < 60)?)?
        }
        Some(_) => return None,
        None => number(plain)?,
    };
    (1..=MOST_MINUTES).contains(&minutes).then_some(minutes)
}

impl Facts {
    /// Whether every car and job went as planned, whatever minutes the jobs took.
    pub fn none(&self) -> bool {
        self.cars.is_empty()
            && self.loads.is_empty()
            && self.bad_orders.is_empty()
            && self.jobs.is_empty()
            && self.rows.is_empty()
    }

    /// The same facts in full words, sorted, one a line.
    pub(super) fn words(&self, layout: &Layout) -> Vec<String> {
        let id = |car: CarIx| &layout.cars()[car].id;
        let cars = self.cars.iter().map(|(car, stays)| match stays {
            Stays::Left => format!("{} left", id(*car)),
            Stays::At(place) => format!("{} at {}", id(*car), place_words(layout, *place)),
        });
        let loads = self
            .loads
            .iter()
            .map(|(car, is_loaded)| format!("{} {}", id(*car), if *is_loaded { "loaded" } else { "empty" }));
        let bad = self.bad_orders.iter().map(|car| format!("{} bad order", id(*car)));
        let jobs = self.jobs.iter().map(|(job, done)| match done {
            0 => format!("job {job} not run"),
            call => format!("job {job} ran to {call}"),
        });
        let rows = self.rows.iter().map(|(track, row)| row_words(layout, *track, row));
        let mut words: Vec<String> = cars.chain(loads).chain(bad).chain(jobs).chain(rows).collect();
        words.sort();
        words
    }
}

/// What stands on a track, in one line.
fn row_words(layout: &Layout, track: TrackIx, row: &[(CarIx, Option<SpotIx>)]) -> String {
    let described = &layout.tracks()[track];
    let car = |(car, spot): &(CarIx, Option<SpotIx>)| {
        let id = &layout.cars()[*car].id;
        match spot {
            Some(spot) => format!(" {id} at {}", layout.spots()[*spot].name),
            None if described.spots.is_empty() => format!(" {id}"),
            None => format!(" {id} at no spot"),
        }
    };
    let cars: Vec<String> = row.iter().map(car).collect();
    format!("track {} from west:{}", described.id, cars.join(";"))
}

/// A place as a host writes it.
pub fn place_words(layout: &Layout, place: Whereabouts) -> String {
    match place {
        Whereabouts::Track(_, Some(spot)) => layout.spots()[spot].id.to_string(),
        Whereabouts::Track(track, None) => layout.tracks()[track].id.to_string(),
        Whereabouts::Beyond(gateway) => layout.gateways()[gateway].id.to_string(),
        Whereabouts::Shelf => "shelf".to_owned(),
    }
}
