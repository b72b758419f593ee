//! What calls came to before, so that the same work is not looked for twice.
//!
//! A session is planned again and again: after every refusal, and at every step in which it is sized to its
//! people. Most calls then find what they found before: the same cars on the same tracks, the same train, the
//! same to do. [`Asked`] is all that a call's work depends on besides the layout and the day; where it is the
//! same, so is the work, to the byte. With more states than before, what is proved is not looked for again, and what
//! is not is what a search has to beat.
//!
//! Cost: linear in the cars at the place, for each call; memory for the last few answers of each.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::make_up::{Block, Riding};
use super::site::Row;
use super::strategy::{CallWorked, Scene, Then, work_call};
use super::{Cut, Refusal};
use crate::ids::{CarIx, JobIx, TrackIx};
use crate::layout::End;
use crate::trips::Task;
use crate::units::Tons;

/// How many answers are kept for each call: steps that are taken back come upon older ones.
const KEPT: usize = 40;

/// The answers of one session, whatever jobs run in it and in which order: those of another day do not hold.
#[derive(Debug, Default)]
pub struct Memory(BTreeMap<(JobIx, usize), Vec<Kept>>);

/// What a call came to.
type Answer = Result<CallWorked, Refusal>;

/// An answer that is kept.
#[derive(Debug)]
struct Kept {
    asked: Asked,
    /// How many states a search could open for it.
    states: usize,
    answer: Answer,
}

/// All that a call's work depends on, besides how many states a search may open.
#[derive(Debug, PartialEq, Eq)]
struct Asked {
    /// The end by which the train leaves, and whether it goes to another place.
    leaves: Option<(End, bool)>,
    comes_in: Option<End>,
    then: Option<Then>,
    task: Task,
    train: Cut,
    /// The rows of all tracks of the place.
    rows: Vec<Row>,
    /// The cars that stand there and those of the train.
    cars: Vec<Seen>,
}

/// What is known of a car besides where it is.
#[derive(Debug, PartialEq, Eq)]
struct Seen {
    weight: Tons,
    riding: Riding,
    /// Which job takes it on at which of its stops, at which it leaves it, and on which track.
    block: Option<(JobIx, usize, usize, TrackIx)>,
}

impl Memory {
    /// The work of a call: as it was found before, or found now.
    pub(super) fn work_call(&mut self, scene: &Scene<'_>, task: &Task) -> Answer {
        let call = &scene.network.calls()[scene.call];
        let known = self.0.entry((call.job, call.stop)).or_default();
        let asked = Asked::new(scene, task);
        let states = scene.states;
        let mut before = known.iter().filter(|kept| kept.asked == asked && (kept.states > 0 || states == 0));
        if let Some(kept) = before.clone().find(|kept| kept.states == states || kept.is_settled()) {
            return match &kept.answer {
                Ok(worked) => Ok(worked.clone()),
                // The row may have another number of calls than when it was refused.
                Err(refusal) => Err(Refusal { call: scene.call, ..refusal.clone() }),
            };
        }
        let to_beat = before.find_map(|kept| kept.answer.as_ref().ok());
        let answer = work_call(scene, task, to_beat);
        if known.len() == KEPT {
            drop(known.remove(0));
        }
        known.push(Kept { asked, states, answer: answer.clone() });
        answer
    }
}

impl Kept {
    /// Whether more states would change nothing.
    fn is_settled(&self) -> bool {
        self.answer.as_ref().map_or(true, |worked| worked.proved && worked.more_work == 0)
    }
}

impl Asked {
    fn new(scene: &Scene<'_>, task: &Task) -> Self {
        let calls = scene.network.calls();
        let call = &calls[scene.call];
        let tracks = &scene.network.layout().places()[call.place].tracks;
        let standing = tracks.iter().flat_map(|track| scene.rows[*track].iter()).map(|on| on.car);
        let seen = |car: CarIx| Seen {
            weight: scene.weights[car],
            riding: scene.law.map(|law| law.riding(car)).unwrap_or_default(),
            block: scene.blocks.of(car).map(|Block { taken, left, track }| {
                (calls[taken].job, calls[taken].stop, calls[left].stop, track)
            }),
        };
        let comes_in = call.previous.and_then(|before| calls[before].ride.as_ref());
        Asked {
            leaves: call.ride.as_ref().map(|ride| (ride.leaves, ride.way.places.len() > 1)),
            comes_in: comes_in.map(|ride| ride.comes_in),
            then: scene.then,
            task: task.clone(),
            train: scene.train.clone(),
            rows: tracks.iter().map(|track| Rc::clone(&scene.rows[*track])).collect(),
            cars: standing.chain(scene.train.cars.iter().copied()).map(seen).collect(),
        }
    }
}
