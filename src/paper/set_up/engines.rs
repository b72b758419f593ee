//! Where engines and cabooses stand when the session begins, for which jobs.
//!
//! A caboose stands with the engine of its job. Engines take the engine tracks of the place, in the order of
//! their jobs, while there is room; the others stand on its run-around, or on the main.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::{Event, WorldJob};
use crate::units::Length;

use super::super::names::Names;
use super::super::phrase::{Phrase, Piece};
use super::super::sheet::{Column, Row, Table};

/// The word that a plan has for the use of a track where engines stand.
const ENGINE: &str = "engine";

/// The words for the uses of tracks where engines may stand besides.
const RUN_AROUND: &str = "runaround";
const MAIN: &str = "main";

/// An engine, and what it is there for.
#[derive(Debug)]
struct Stand<'a> {
    engine: Option<&'a str>,
    place: &'a Id,
    /// The engine track, if there is room on one.
    track: Option<&'a Id>,
    jobs: String,
    caboose: Option<Caboose<'a>>,
}

/// The caboose of an engine's jobs.
#[derive(Debug)]
struct Caboose<'a> {
    /// Where the first job that has it begins.
    place: &'a Id,
    jobs: String,
}

/// Every engine with its caboose, by the first job that has it, and which jobs have it later.
pub(super) fn table(names: &Names<'_>) -> Table {
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let mut rows = Vec::new();
    for stand in stands(names) {
        let engine = stand
            .engine
            .map_or_else(|| Phrase::of(words.an_engine()), |engine| Phrase::strong(engine.to_owned()));
        let mut row = |what: Phrase, at: Phrase| rows.push(Row::new([Phrase::of(Piece::Tick), what, at]));
        row(engine.clone(), words.engine_for(at(names, stand.place, stand.track), stand.jobs));
        let Some(caboose) = stand.caboose else { continue };
        let at = if caboose.place == stand.place {
            words.caboose_for(at(names, stand.place, stand.track), engine, caboose.jobs)
        } else {
            words.engine_for(at(names, caboose.place, None), caboose.jobs)
        };
        row(Phrase::strong(shared.caboose()), at);
    }
    Table::plain(
        vec![Column::fit(""), Column::fit(words.head_engine()), Column::rest(shared.head_where())],
        rows,
    )
}

fn stands<'a>(names: &Names<'a>) -> Vec<Stand<'a>> {
    let words = &names.words.set_up;
    let mut taken: BTreeMap<&Id, Length> = BTreeMap::new();
    let mut stands: Vec<Stand<'_>> = Vec::new();
    for event in &names.plan.events {
        let Event::Starts { job, place } = event else { continue };
        let Some(job) = names.plan.world.jobs.iter().find(|known| known.id == *job) else { continue };
        let (engine, name) = (job.engine.as_deref(), names.job_name(&job.id));
        let then = |jobs: &mut String| *jobs = words.then_for(&**jobs, &*name).text();
        let new = || Caboose { place, jobs: name.clone() };
        if let Some(stand) = stands.iter_mut().find(|known| engine.is_some() && known.engine == engine) {
            then(&mut stand.jobs);
            match &mut stand.caboose {
                Some(caboose) if job.caboose => then(&mut caboose.jobs),
                caboose if job.caboose => *caboose = Some(new()),
                _ => {}
            }
        } else {
            let (track, caboose) = (room(names, job, place, &mut taken), job.caboose.then(new));
            stands.push(Stand { engine, place, track, jobs: name.clone(), caboose });
        }
    }
    stands
}

/// The first engine track of a place with room for the power of a job, which is taken then.
fn room<'a>(
    names: &Names<'a>,
    job: &WorldJob,
    place: &Id,
    taken: &mut BTreeMap<&'a Id, Length>,
) -> Option<&'a Id> {
    let mut tracks = names.plan.world.tracks.iter().filter(|track| {
        track.place == *place && &*track.usage == ENGINE && track.worked_by.contains(&job.railroad)
    });
    tracks.find_map(|track| {
        let stands = taken.get(&track.id).copied().unwrap_or_default() + job.power;
        (stands <= track.length).then(|| {
            taken.insert(&track.id, stands);
            &track.id
        })
    })
}

/// A place, and where engines stand there.
fn at(names: &Names<'_>, place: &Id, track: Option<&Id>) -> String {
    let of = |usage: &str| {
        let mut tracks = names.plan.world.tracks.iter();
        tracks.find(|track| track.place == *place && &*track.usage == usage).map(|track| &track.id)
    };
    let running = || names.words.set_up.running_track().into_owned();
    let track = track.or_else(|| of(RUN_AROUND)).or_else(|| of(MAIN));
    let track = track.map_or_else(running, |track| names.track_name(track).into_owned());
    format!("{}, {track}", names.place_title(place))
}
