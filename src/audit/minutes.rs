//! Whether the minutes that the plan gives are those of its events at its pace.
//!
//! Counted anew, in the words of `docs/plan-format.md`, from the events alone.

use std::collections::BTreeMap;

use super::Found;
use super::facts::Facts;
use crate::ids::Id;
use crate::layout::{End, Pace};
use crate::session::plan::{CallMinutes, Deed, Event};
use crate::units::{Effort, Minutes};

/// Rule 12: every job has its minutes, and they add up.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let counted = count(facts);
    for job in &facts.plan.world.jobs {
        let Some(told) = facts.plan.minutes.iter().find(|told| told.job == job.id) else {
            found.say(12, format!("job `{}` has no minutes", job.id));
            continue;
        };
        if told.calls.len() != job.calls.len() {
            found.say(12, format!("job `{}` has minutes for {} calls", job.id, told.calls.len()));
            continue;
        }
        let light = told.light.as_ref().map_or(Minutes::default(), |light| light.run);
        let calls: Minutes = told.calls.iter().map(|call| call.work + call.run).sum();
        if light + calls != told.seconds {
            found.say(12, format!("the minutes of job `{}` do not add up", job.id));
        }
        for (number, call) in (1..).zip(&told.calls) {
            let effort = counted.get(&(&job.id, number)).map_or(NOTHING, |tally| tally.counted);
            let pace = &facts.plan.pace;
            let own = CallMinutes { work: worth(&effort, pace), run: run(effort.links, pace), effort };
            if own != *call {
                found.say(
                    12,
                    format!("the minutes of job `{}`, call {number}, are not those of its events", job.id),
                );
            }
        }
    }
}

const NOTHING: Effort = Effort {
    handlings: 0,
    cars: 0,
    couplings: 0,
    turnouts: 0,
    spots: 0,
    run_arounds: 0,
    reading: 0,
    links: Minutes::new(0),
};

/// The last movement of a call.
#[derive(Clone, Copy)]
struct Last<'p> {
    track: &'p Id,
    end: End,
    /// What it counted, if it left cars: taken back if the engine now goes round them.
    left: Option<Effort>,
}

/// A call while it is counted.
struct Tally<'p> {
    counted: Effort,
    last: Option<Last<'p>>,
}

type Tallies<'p> = BTreeMap<(&'p Id, u32), Tally<'p>>;

fn count<'p>(facts: &Facts<'p>) -> Tallies<'p> {
    let mut on: BTreeMap<&Id, usize> =
        facts.plan.before.tracks.iter().map(|(track, row)| (track, row.len())).collect();
    let mut tallies = Tallies::new();
    for event in &facts.plan.events {
        match event {
            Event::Lifted { car: _, track, gateway: _ } => {
                let standing = on.entry(track).or_default();
                *standing = standing.saturating_sub(1);
            }
            Event::Placed { car: _, track, gateway: _, lading: _ } => *on.entry(track).or_default() += 1,
            Event::Couple { job, call, track, end, cars } => {
                let standing = on.entry(track).or_default();
                *standing = standing.saturating_sub(cars.len());
                let joints = if *standing > 0 { 2 } else { 1 };
                tally(&mut tallies, job, *call).couple(track, *end, cars.len(), joints);
            }
            Event::Leave { job, call, track, end, cars } => {
                *on.entry(track).or_default() += cars.len();
                let spots = cars.iter().filter(|car| car.spot.is_some()).count();
                tally(&mut tallies, job, *call).leave(track, *end, cars.len(), spots);
            }
            Event::Goes { job, call, way, .. } => {
                tally(&mut tallies, job, *call).counted.links = links(facts, way);
            }
            _ => {}
        }
    }
    for work in &facts.plan.work {
        let read = work.cars.iter().filter(|line| line.deed != Deed::Leave).count();
        tally(&mut tallies, &work.job, work.call).counted.reading = small(read);
    }
    tallies
}

fn tally<'t, 'p>(tallies: &'t mut Tallies<'p>, job: &'p Id, call: u32) -> &'t mut Tally<'p> {
    tallies.entry((job, call)).or_insert_with(|| Tally { counted: NOTHING, last: None })
}

impl<'p> Tally<'p> {
    fn leave(&mut self, track: &'p Id, end: End, cars: usize, spots: usize) {
        self.turn(end);
        let before = self.counted;
        self.movement(track, end, cars, 1);
        self.counted.spots += small(spots);
        self.last = Some(Last { track, end, left: Some(before) });
    }

    fn couple(&mut self, track: &'p Id, end: End, cars: usize, joints: u32) {
        let left = self.last.filter(|last| last.track == track && last.end != end).and_then(|last| last.left);
        if let Some(before) = left {
            // The engine goes round the cars it has just left: both movements are the run-around.
            self.counted = before;
            self.counted.run_arounds += 1;
        } else {
            self.turn(end);
            self.movement(track, end, cars, joints);
        }
        self.last = Some(Last { track, end, left: None });
    }

    /// The engine goes to another end than the one it worked at.
    fn turn(&mut self, end: End) {
        if self.last.is_some_and(|last| last.end != end) {
            self.counted.run_arounds += 1;
        }
    }

    fn movement(&mut self, track: &Id, end: End, cars: usize, joints: u32) {
        self.counted.handlings += 1;
        self.counted.cars += small(cars);
        self.counted.couplings += joints;
        if self.last.is_none_or(|last| last.track != track || last.end != end) {
            self.counted.turnouts += 1;
        }
    }
}

/// The minutes of a way: its links, one after the other.
fn links(facts: &Facts<'_>, way: &[Id]) -> Minutes {
    way.windows(2).filter_map(|pair| link(facts, &pair[0], &pair[1])).sum()
}

/// The minutes of the link from one place to another; nothing where none joins them.
pub(super) fn link(facts: &Facts<'_>, from: &Id, to: &Id) -> Option<Minutes> {
    let joins = |west: &Id, east: &Id| (west == from && east == to) || (west == to && east == from);
    let links = facts.plan.world.links.iter().filter(|link| joins(&link.west, &link.east));
    links.map(|link| link.seconds).min()
}

/// A run over links of so many minutes, at a pace, rounded up to the second.
pub(super) fn run(links: Minutes, pace: &Pace) -> Minutes {
    let sixtieths = u64::from(links.whole_seconds()) * u64::from(pace.running.whole_seconds());
    Minutes::seconds(u32::try_from(sixtieths.div_ceil(60)).unwrap_or(u32::MAX))
}

/// What is counted, at a pace, rounded up to the second.
fn worth(call: &Effort, pace: &Pace) -> Minutes {
    let plain = pace.handling.times(call.handlings)
        + pace.car.times(call.cars)
        + pace.coupling.times(call.couplings)
        + pace.turnout.times(call.turnouts)
        + pace.spot.times(call.spots)
        + pace.run_around.times(call.run_arounds)
        + pace.reading.times(call.reading);
    let scaled = (u64::from(plain.whole_seconds()) * u64::from(pace.crew)).div_ceil(100);
    Minutes::seconds(u32::try_from(scaled).unwrap_or(u32::MAX))
}

fn small(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
