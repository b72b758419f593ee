//! How long the work takes, and who does it.

use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::said::Said;
use crate::units::{Effort, Minutes};

/// How long a job takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobMinutes {
    /// The job.
    pub job: Id,
    /// All its calls and runs together, with the light run, in seconds.
    pub seconds: Minutes,
    /// How its engine is fetched, where another job leaves it elsewhere.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub light: Option<LightRun>,
    /// Its calls, in order.
    pub calls: Vec<CallMinutes>,
}

/// The run of an engine by itself from where one job leaves it to where the next one begins.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LightRun {
    /// The job that had the engine before.
    pub after: Id,
    /// Where that one ends.
    pub from: Id,
    /// Where the job begins that fetches it.
    pub to: Id,
    /// All places on its way, both ends included; none where no links join the two: it is carried over by hand.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub way: Vec<Id>,
    /// The run over the links, in seconds, as the world has them.
    pub links: Minutes,
    /// The same at the plan's pace.
    pub run: Minutes,
}

impl LightRun {
    /// What it adds to the minutes of its job.
    pub fn counted(&self) -> CallMinutes {
        let effort = Effort { links: self.links, ..Effort::default() };
        CallMinutes { run: self.run, effort, ..CallMinutes::default() }
    }
}

/// How long a call takes, and what is counted there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CallMinutes {
    /// The work, in seconds.
    pub work: Minutes,
    /// The run to the next call, in seconds.
    pub run: Minutes,
    /// What is counted.
    #[serde(flatten)]
    pub effort: Effort,
}

impl Add for CallMinutes {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        CallMinutes {
            work: self.work + other.work,
            run: self.run + other.run,
            effort: self.effort + other.effort,
        }
    }
}

impl Sum for CallMinutes {
    fn sum<I: Iterator<Item = Self>>(calls: I) -> Self {
        calls.fold(Self::default(), Add::add)
    }
}

/// Who takes which job and when; minutes from the beginning of the session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Crews {
    /// How many people came; they have numbers from 1.
    pub people: u32,
    /// How long they stay.
    pub minutes: u32,
    /// How many times faster than the real one the layout's clock runs, where jobs begin by it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub clock: Option<u32>,
    /// Whether no other way of giving these jobs to these people is better.
    pub proved: bool,
    /// The jobs, in the order of the plan's jobs.
    pub jobs: Vec<CrewJob>,
}

/// A job in hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CrewJob {
    /// The job.
    pub job: Id,
    /// Who takes it: one person or two.
    pub people: Vec<u32>,
    /// When it begins.
    pub begins: u32,
    /// When it ends.
    pub ends: u32,
    /// When the work of each of its calls begins and ends.
    pub calls: Vec<(u32, u32)>,
}

/// How many people would do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Suggestion {
    /// How many.
    pub people: u32,
    /// When the last job would then end, in minutes from the beginning.
    pub minutes: u32,
}

/// A job that could run and does not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DroppedJob {
    /// The job.
    pub job: Id,
    /// Why.
    pub why: Box<str>,
    /// The same as a saying.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<Said>,
}
