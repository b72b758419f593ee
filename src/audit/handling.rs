//! Coupling and leaving: rule 4, and what rule 3 says of the lead.
//!
//! An engine has a row of cars on its west side and one on its east side. At the west end of a
//! track it stands west of it and works with its east row; at the east end with its west row.

use super::facts::Facts;
use super::replay::{Replay, Run};
use super::room;
use super::room::inches;
use super::scene::{At, Stand};
use super::train::Consist;
use crate::ids::Id;
use crate::layout::{End, Opens};
use crate::session::plan::{LeftCar, WorldTrack};

/// Where a handling takes place.
#[derive(Clone, Copy)]
pub(super) struct Handling<'p> {
    pub(super) job: &'p Id,
    pub(super) call: u32,
    pub(super) track: &'p Id,
    pub(super) end: End,
}

/// What a job did last, where that was leaving all its cars.
#[derive(Clone, Debug)]
pub(super) struct LeftAll<'p> {
    track: &'p Id,
    end: End,
    cars: Vec<&'p Id>,
    /// Whether the track held nothing before but what the job left there on this call.
    alone: bool,
}

impl<'p> Replay<'_, 'p> {
    /// A cut is coupled and drawn out.
    pub(super) fn couple(&mut self, handling: Handling<'p>, cars: &'p [Id]) {
        let Some((mut run, track)) = self.reach(handling) else { return };
        self.outermost(handling, cars);
        self.run_around(handling, &run, track, cars);
        let was_light = run.consist.is_empty();
        let mut cut: Vec<&'p Id> = Vec::new();
        for car in cars {
            match self.scene.at(car) {
                Some(from @ At::Track(..)) => {
                    cut.push(car);
                    self.took(handling, car);
                    self.scene.away(car, At::Train(handling.job));
                    self.log.touch(
                        (handling.job, handling.call),
                        car,
                        from,
                        At::Train(handling.job),
                        self.event,
                    );
                }
                _ => {
                    self.found.say(1, format!("`{car}` is coupled on `{}` but is not there", handling.track));
                }
            }
        }
        match handling.end {
            End::West => run.consist.east.extend(cut),
            End::East => {
                run.consist.west.splice(0..0, cut);
            }
        }
        let span = self.spans.get(&(handling.job, handling.call)).copied().unwrap_or_default();
        let direct = span.last == Some(self.event)
            && span.departs.is_some_and(|departs| track.opens == Opens::Both || departs == handling.end);
        self.lead(handling, &run.consist, direct, was_light);
        run.left_all = None;
        self.runs.insert(handling.job, run);
    }

    /// A cut is shoved in and uncoupled.
    pub(super) fn leave(&mut self, handling: Handling<'p>, cars: &'p [LeftCar]) {
        let Some((mut run, track)) = self.reach(handling) else { return };
        let before = run.consist.clone();
        let alone =
            self.scene.row(handling.track).iter().all(|stand| {
                self.left_by.get(stand.car).is_some_and(|by| *by == (handling.job, handling.call))
            });
        let row = match handling.end {
            End::West => &mut run.consist.east,
            End::East => &mut run.consist.west,
        };
        let kept = row.len().saturating_sub(cars.len());
        let outer = match handling.end {
            End::West => row.split_off(kept),
            End::East => row.drain(..row.len() - kept).collect(),
        };
        if cars.is_empty() {
            self.found.say(4, format!("nothing is left on `{}`", handling.track));
        }
        if !outer.iter().copied().eq(cars.iter().map(|left| &left.car)) {
            let text =
                format!("the cars left on `{}` are not the outermost of `{}`", handling.track, handling.job);
            self.found.say(4, text);
        }
        let stands: Vec<Stand<'p>> = outer
            .iter()
            .map(|car| {
                let left = cars.iter().find(|left| left.car == **car);
                Stand { car, spot: left.and_then(|left| left.spot.as_ref()) }
            })
            .collect();
        self.scene.put(handling.track, &stands, handling.end == End::West);
        for stand in &stands {
            let to = At::Track(handling.track, stand.spot);
            let from = At::Train(handling.job);
            self.log.touch((handling.job, handling.call), stand.car, from, to, self.event);
            self.left_by.insert(stand.car, (handling.job, handling.call));
        }
        room::came(self.facts, &self.scene, handling.track, &outer, self.found);
        let span = self.spans.get(&(handling.job, handling.call)).copied().unwrap_or_default();
        let direct = span.first == Some(self.event)
            && run.came.is_some_and(|came| track.opens == Opens::Both || came == handling.end);
        let light = run.consist.is_empty();
        self.lead(handling, &before, direct, light);
        run.left_all =
            light.then_some(LeftAll { track: handling.track, end: handling.end, cars: outer, alone });
        self.runs.insert(handling.job, run);
    }

    /// Whether the engine can come to the track at that end at all; a copy of its job's state.
    fn reach(&mut self, handling: Handling<'p>) -> Option<(Run<'p>, &'p WorldTrack)> {
        let run = self.at_call(handling.job, handling.call)?;
        let job = self.facts.jobs.get(handling.job)?;
        let Some(track) = self.facts.tracks.get(handling.track).copied() else {
            self.found.say(5, format!("`{}` is not there on that day", handling.track));
            return None;
        };
        let id = handling.track;
        if track.place != *run.place {
            self.found.say(4, format!("`{id}` is not at `{}`, where the job is", run.place));
        }
        if !track.opens.at(handling.end) {
            self.found.say(4, format!("`{id}` does not open {}", handling.end.word()));
        }
        if !track.worked_by.contains(&job.railroad) {
            self.found.say(5, format!("`{}` of {} may not work `{id}`", job.id, job.railroad));
        }
        for front in in_front(self.facts, track) {
            if !self.scene.row(front).is_empty() {
                self.found.say(4, format!("cars stand on `{front}`, through which alone `{id}` is reached"));
            }
        }
        let (own, other) = match handling.end {
            End::West => (&run.consist.east, &run.consist.west),
            End::East => (&run.consist.west, &run.consist.east),
        };
        if own.is_empty() && !other.is_empty() {
            let text =
                format!("the engine has its cars on the wrong side for the {} end", handling.end.word());
            self.found.say(4, text);
        }
        Some((run, track))
    }

    /// The cars coupled are those that stand outermost.
    fn outermost(&mut self, handling: Handling<'p>, cars: &'p [Id]) {
        if cars.is_empty() {
            self.found.say(4, format!("nothing is coupled on `{}`", handling.track));
        }
        let row = self.scene.row(handling.track);
        let blocked = row.len().saturating_sub(cars.len());
        let outer = match handling.end {
            End::West => &row[..row.len() - blocked],
            End::East => &row[blocked..],
        };
        if !outer.iter().map(|stand| stand.car).eq(cars) {
            let end = handling.end.word();
            self.found
                .say(4, format!("the cars coupled are not the outermost {end} on `{}`", handling.track));
        }
    }

    /// Leaving all cars and coupling to their other end asks for a clear way past them.
    fn run_around(&mut self, handling: Handling<'p>, run: &Run<'p>, track: &WorldTrack, cars: &[Id]) {
        let Some(left) = &run.left_all else { return };
        let around = left.track == handling.track
            && left.end != handling.end
            && cars.iter().any(|car| left.cars.contains(&car));
        if !around {
            return;
        }
        if !left.alone {
            let text = format!("the engine runs round its cars on `{}`, where others stand", handling.track);
            self.found.say(4, text);
        }
        let by_itself = matches!(track.usage.as_ref(), "runaround" | "main");
        let past = self.facts.tracks_at.get(&track.place).into_iter().flatten().any(|other| {
            other.id != track.id && other.opens == Opens::Both && self.scene.row(&other.id).is_empty()
        });
        if !by_itself && !past {
            let text = format!("no clear track leads round the cars on `{}`", handling.track);
            self.found.say(4, text);
        }
    }

    /// The engine and its cut fit past the switches. A train that comes in, or goes away, straight
    /// through the switch needs no lead for what stands on the line behind or before it.
    fn lead(&mut self, handling: Handling<'p>, consist: &Consist<'p>, direct: bool, light: bool) {
        let (Some(job), Some(track)) =
            (self.facts.jobs.get(handling.job), self.facts.tracks.get(handling.track))
        else {
            return;
        };
        let Some(place) = self.facts.places.get(&track.place) else { return };
        let lead = match handling.end {
            End::West => place.lead_west,
            End::East => place.lead_east,
        };
        let Some(lead) = lead else { return };
        let needs = match (direct, light) {
            (true, true) => return,
            (true, false) => job.power,
            (false, _) => consist.length(self.facts, job),
        };
        if needs > lead {
            let text = format!(
                "{} must fit into the {} lead of `{}`, which has {}",
                inches(needs),
                handling.end.word(),
                place.id,
                inches(lead)
            );
            self.found.say(3, text);
        }
    }

    /// Notes who brought a car that this call takes on; who only held it has not brought it.
    fn took(&mut self, handling: Handling<'p>, car: &'p Id) {
        let Some((job, call)) = self.left_by.get(car).copied() else { return };
        let touch = self.log.calls.get(&(job, call)).and_then(|log| log.touched.get(car));
        let brought = touch.is_some_and(|touch| touch.from != touch.to);
        if job != handling.job && brought {
            self.log.calls.entry((handling.job, handling.call)).or_default().takes_from.insert(job, car);
        }
    }
}

/// The tracks that lie in front of a track, the nearest first.
fn in_front<'p>(facts: &Facts<'p>, track: &'p WorldTrack) -> Vec<&'p Id> {
    let mut front: Vec<&Id> = Vec::new();
    let mut next = track.behind.as_ref();
    while let Some(id) = next.filter(|id| !front.contains(id)) {
        front.push(id);
        next = facts.tracks.get(id).and_then(|track| track.behind.as_ref());
    }
    front
}
