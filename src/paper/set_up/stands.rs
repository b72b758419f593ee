//! Where every engine and caboose stands until the first job that has it begins.
//!
//! An engine takes a track of the place where its first job begins: one that nobody else needs before it leaves, for
//! cars, for trains that pass or to run round them. An engine track comes first, then the run-around, the main, and the
//! tracks where cars wait. A caboose stands with its engine where both begin together, else by itself.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::layout::{End, Opens};
use crate::session::plan::{Event, Plan, WorldJob, WorldTrack};
use crate::units::Length;

/// The words that a plan has for the uses of tracks where an engine may stand, the best first.
const ENGINE: &str = "engine";
const RUN_AROUND: &str = "runaround";
const MAIN: &str = "main";
const USES: [&str; 6] = [ENGINE, RUN_AROUND, MAIN, "storage", "yard", "staging"];

/// So many of them are no place for an engine where cars stand, too.
const KEPT_CLEAR: usize = 3;

/// An engine with its caboose, or a caboose by itself.
#[derive(Debug)]
pub(super) struct Stand<'a> {
    pub(super) what: What<'a>,
    pub(super) place: &'a Id,
    /// The track; nothing where all are needed before it leaves.
    pub(super) track: Option<&'a WorldTrack>,
    /// The jobs that have it, in turn.
    pub(super) jobs: Vec<&'a Id>,
    /// The jobs that have its caboose, if one is coupled to it.
    pub(super) caboose: Vec<&'a Id>,
}

/// What stands there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What<'a> {
    /// An engine, with its name if it has one.
    Engine(Option<&'a str>),
    /// The caboose of a job, which the engine comes for.
    Caboose,
}

/// All of them, in the order in which they leave.
pub(super) fn stands<'a>(plan: &'a Plan, rows: &BTreeMap<&'a Id, Vec<&'a Id>>) -> Vec<Stand<'a>> {
    let mut yards = Yards::new(plan, rows);
    let mut stands: Vec<Stand<'a>> = Vec::new();
    let mut needed = Needed::default();
    for event in &plan.events {
        needed.note(event);
        let Event::Starts { job, place } = event else { continue };
        let Some(job) = plan.world.jobs.iter().find(|known| known.id == *job) else { continue };
        let engine = job.engine.as_deref();
        let known = |stand: &Stand<'_>| engine.is_some() && stand.what == What::Engine(engine);
        let Some(first) = stands.iter().position(known) else {
            let track = yards.room(job, place, &needed);
            let caboose = if job.caboose { vec![&job.id] } else { Vec::new() };
            stands.push(Stand { what: What::Engine(engine), place, track, jobs: vec![&job.id], caboose });
            continue;
        };
        stands[first].jobs.push(&job.id);
        if !job.caboose {
            continue;
        }
        let of_engine =
            |stand: &Stand<'_>| stand.what == What::Caboose && stands[first].jobs.contains(&stand.jobs[0]);
        if !stands[first].caboose.is_empty() {
            stands[first].caboose.push(&job.id);
        } else if let Some(own) = stands.iter().position(of_engine) {
            stands[own].jobs.push(&job.id);
        } else {
            let track = yards.room(job, place, &needed);
            stands.push(Stand {
                what: What::Caboose,
                place,
                track,
                jobs: vec![&job.id],
                caboose: Vec::new(),
            });
        }
    }
    stands
}

/// What jobs need of tracks and places, so far.
#[derive(Debug, Default)]
struct Needed<'a> {
    /// The jobs that couple or leave cars on each track.
    handled: BTreeMap<&'a Id, BTreeSet<&'a Id>>,
    /// The jobs that come into each place, pass through it or leave it.
    passed: BTreeMap<&'a Id, BTreeSet<&'a Id>>,
    /// The calls in which an engine changes its end, by the track that it works then.
    rounded: BTreeMap<&'a Id, BTreeSet<&'a Id>>,
    /// The end at which every call worked last.
    ends: BTreeMap<(&'a Id, u32), End>,
}

impl<'a> Needed<'a> {
    fn note(&mut self, event: &'a Event) {
        match event {
            Event::Couple { job, call, track, end, .. } | Event::Leave { job, call, track, end, .. } => {
                self.handled.entry(track).or_default().insert(job);
                if self.ends.insert((job, *call), *end).is_some_and(|before| before != *end) {
                    self.rounded.entry(track).or_default().insert(job);
                }
            }
            Event::Goes { job, way, .. } => {
                for place in way {
                    self.passed.entry(place).or_default().insert(job);
                }
            }
            _ => {}
        }
    }

    /// Whether any of the jobs that count needs a track.
    fn needs(&self, plan: &'a Plan, track: &WorldTrack, counts: impl Fn(&Id) -> bool) -> bool {
        let any = |jobs: Option<&BTreeSet<&Id>>| jobs.is_some_and(|jobs| jobs.iter().any(|job| counts(job)));
        let round = || {
            let mut here = plan.world.tracks.iter().filter(|other| other.place == track.place);
            here.any(|other| any(self.rounded.get(&other.id)))
        };
        any(self.handled.get(&track.id))
            || match &*track.usage {
                MAIN => round() || any(self.passed.get(&track.place)),
                RUN_AROUND => round(),
                _ => false,
            }
    }
}

/// How much room the tracks have.
struct Yards<'r, 'a> {
    plan: &'a Plan,
    rows: &'r BTreeMap<&'a Id, Vec<&'a Id>>,
    /// How long the cars are that stand on each track, and the engines that were put there.
    taken: BTreeMap<&'a Id, Length>,
    /// What all jobs need in the whole session.
    whole: Needed<'a>,
}

impl<'r, 'a> Yards<'r, 'a> {
    fn new(plan: &'a Plan, rows: &'r BTreeMap<&'a Id, Vec<&'a Id>>) -> Self {
        let long: BTreeMap<&Id, Length> = plan.world.cars.iter().map(|car| (&car.id, car.length)).collect();
        let sum = |row: &Vec<&Id>| row.iter().filter_map(|car| long.get(car).copied()).sum();
        let taken = rows.iter().map(|(track, row)| (*track, sum(row))).collect();
        let mut whole = Needed::default();
        for event in &plan.events {
            whole.note(event);
        }
        Yards { plan, rows, taken, whole }
    }

    /// The best track of a place for the engine or the caboose of a job, which is taken then. What others have needed
    /// so far is needed before it leaves, and what those need who begin sooner.
    fn room(&mut self, job: &'a WorldJob, place: &Id, needed: &Needed<'a>) -> Option<&'a WorldTrack> {
        let (plan, whole) = (self.plan, &self.whole);
        let begins = |job: &Id| {
            let crews = plan.crews.as_ref()?;
            crews.jobs.iter().find(|taken| taken.job == *job).map(|taken| taken.begins)
        };
        let own = begins(&job.id);
        let sooner = |other: &Id| begins(other).is_some_and(|begins| own.is_some_and(|own| begins < own));
        let reached = |track: &WorldTrack| track.behind.is_none() || &*track.usage == ENGINE;
        let fits = |track: &WorldTrack| {
            self.taken.get(&track.id).copied().unwrap_or_default() + job.power <= track.length
        };
        let clear = |track: &WorldTrack| self.rows.get(&track.id).is_none_or(Vec::is_empty);
        let tracks = plan.world.tracks.iter().filter(|track| {
            track.place == *place && track.worked_by.contains(&job.railroad) && reached(track) && fits(track)
        });
        let free = tracks.filter(|track| {
            !needed.needs(plan, track, |other| *other != job.id)
                && !whole.needs(plan, track, |other| *other != job.id && sooner(other))
        });
        let ranked = free.filter_map(|track| {
            let rank = USES.iter().position(|usage| *usage == &*track.usage)?;
            // An engine waits before cars only where cars wait.
            let cars_wait = rank >= KEPT_CLEAR;
            (clear(track) || cars_wait).then_some(((rank, !clear(track)), track))
        });
        let (_, track) = ranked.min_by_key(|(rank, _)| *rank)?;
        let taken = self.taken.entry(&track.id).or_default();
        *taken = *taken + job.power;
        Some(track)
    }
}

/// The end at which what leaves first must stand, where a track has a switch at one end only.
pub(super) const fn switch(track: &WorldTrack) -> Option<End> {
    match track.opens {
        Opens::West => Some(End::West),
        Opens::East => Some(End::East),
        Opens::Both => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// A yard with a shed for one engine, a loop and two tracks. Three jobs begin here with two engines; the first of
    /// them works these ends of tracks before the others begin.
    fn plan(worked: &[(&str, &str)], caboose: bool) -> Plan {
        let track = |(name, usage, opens): (&str, &str, &str)| {
            json!({ "id": format!("yard/{name}"), "place": "yard", "use": usage, "length": 1000, "working": 1000,
                "opens": opens, "worked_by": ["CHT"], "limits": {} })
        };
        let job = |id: &str, engine: &str, caboose: bool| {
            json!({ "id": id, "name": id, "railroad": "CHT", "calls": ["yard"], "power": 600, "engine": engine,
                "caboose": caboose })
        };
        let starts = |job: &str| json!({ "event": "starts", "job": job, "place": "yard" });
        let couple = |(track, end): &(&str, &str)| json!({ "event": "couple", "job": "drill", "call": 1, "track": format!("yard/{track}"), "end": end, "cars": [] });
        let tracks = [
            ("shed", "engine", "east"),
            ("loop", "runaround", "both"),
            ("1", "yard", "both"),
            ("2", "yard", "west"),
        ];
        let events = std::iter::once(starts("drill"))
            .chain(worked.iter().map(couple))
            .chain(["turn", "extra"].map(starts));
        let plan = json!({
            "format": 2, "layout": "Yard", "session": 1, "revision": 1, "seed": 1, "date": "1978-10-02",
            "world": {
                "places": [{ "id": "yard", "title": "Yard", "limits": {} }],
                "tracks": tracks.map(track), "links": [], "cars": [],
                "jobs": [job("drill", "CHT 1", false), job("turn", "CHT 2", false), job("extra", "CHT 1", caboose)]
            },
            "before": { "tracks": {}, "beyond": {}, "shelf": [] }, "after": { "tracks": {}, "beyond": {}, "shelf": [] },
            "events": events.collect::<Vec<_>>(), "work": [], "orders": [], "trips": [], "notices": []
        });
        serde_json::from_value(plan).unwrap()
    }

    fn told(plan: &Plan) -> Vec<String> {
        let name = |stand: &Stand<'_>| match stand.what {
            What::Engine(engine) => engine.unwrap_or("an engine").to_owned(),
            What::Caboose => "caboose".to_owned(),
        };
        let at = |stand: &Stand<'_>| stand.track.map_or("nowhere", |track| track.id.as_str()).to_owned();
        stands(plan, &BTreeMap::new()).iter().map(|stand| format!("{} {}", name(stand), at(stand))).collect()
    }

    #[test]
    fn an_engine_stands_where_nobody_works_before_it_leaves() {
        // The shed has room for one. The other one takes the loop, unless the drill needs it: for cars, or to get
        // round them. Then it takes the first track where cars wait that the drill leaves alone.
        assert_eq!(told(&plan(&[("1", "west")], false)), ["CHT 1 yard/shed", "CHT 2 yard/loop"]);
        assert_eq!(told(&plan(&[("loop", "west")], false)), ["CHT 1 yard/shed", "CHT 2 yard/1"]);
        assert_eq!(told(&plan(&[("1", "west"), ("1", "east")], false)), ["CHT 1 yard/shed", "CHT 2 yard/2"]);
        assert_eq!(
            told(&plan(&[("1", "west"), ("loop", "west"), ("2", "west")], false)),
            ["CHT 1 yard/shed", "CHT 2 nowhere"]
        );
    }

    #[test]
    fn a_caboose_of_a_later_job_stands_by_itself() {
        // Its engine begins without it. Loop and track 1 are needed before.
        let plan = plan(&[("1", "west"), ("1", "east")], true);
        assert_eq!(told(&plan), ["CHT 1 yard/shed", "CHT 2 yard/2", "caboose nowhere"]);
    }

    #[test]
    fn whoever_begins_sooner_by_the_call_board_is_minded_too() {
        let mut plan = plan(&[("1", "west")], false);
        let taken = |job: &str, begins: u32| json!({ "job": job, "people": [1], "begins": begins, "ends": begins + 9, "calls": [] });
        plan.events.push(Event::Couple {
            job: Id::from("extra"),
            call: 1,
            track: Id::from("yard/loop"),
            end: End::West,
            cars: Vec::new(),
        });
        assert_eq!(told(&plan), ["CHT 1 yard/shed", "CHT 2 yard/loop"]);
        let crews = json!({ "people": 1, "minutes": 180, "proved": false,
            "jobs": [taken("drill", 0), taken("turn", 40), taken("extra", 20)] });
        plan.crews = Some(serde_json::from_value(crews).unwrap());
        assert_eq!(told(&plan), ["CHT 1 yard/shed", "CHT 2 yard/2"]);
    }
}
