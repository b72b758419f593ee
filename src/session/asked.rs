//! What a host asks of a session besides its seed, and what a session is shaped by.

use std::collections::BTreeSet;

use crate::crews::People;
use crate::ids::{CarIx, JobIx};
use crate::layout::Pace;
use crate::network::{Network, Runs};
use crate::traffic::Leans;
use crate::trips::{Ban, Bans};

/// What a host asks of a session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The minutes that work takes; the layout's, if nothing is said.
    pub pace: Option<Pace>,
    /// Jobs that shall not run.
    pub without: Vec<JobIx>,
    /// The people who come; nothing if jobs are not to be handed out.
    pub people: Option<People>,
    /// Whether calls are searched much longer for fewer handlings, and all other tracks for cars that wait are tried.
    pub thorough: bool,
}

/// What shapes a session, besides the seed and the standing.
#[derive(Clone, Debug, Default)]
pub(super) struct Shape {
    /// Which jobs run, and in which order.
    pub(super) runs: Runs,
    /// The lanes whose orders are held back or drawn forward.
    pub(super) leans: Leans,
    /// Cars that a job does not take because it has no time.
    pub(super) held: BTreeSet<(CarIx, JobIx)>,
    /// Jobs that do not run for want of people, with the reason.
    pub(super) dropped: Vec<(JobIx, Dropped)>,
    /// Those of them that do not run because the session is too short for all, the best first, with the
    /// minutes they would take.
    pub(super) left_out: Vec<(JobIx, u32)>,
    /// Whether yard jobs make up trains where that pays.
    pub(super) made_up: bool,
}

/// Why a job does not run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dropped {
    /// The host leaves it out.
    ByTheHost,
    /// There are not enough people for it.
    TooFewPeople,
    /// The session is too short for it.
    TooShort,
    /// The session is so short that it has nothing to do.
    NoCars,
}

impl Shape {
    /// The calls at which cars are not touched because they are held back.
    pub(super) fn bans(&self, network: &Network<'_>) -> Bans {
        let mut bans = Bans::new();
        for (car, job) in &self.held {
            for (call, _) in network.calls().iter().filter(|(_, call)| call.job == *job) {
                bans.keep(*car, call, &Ban::Held);
            }
        }
        bans
    }

    /// Leaves a job out because the session is too short for it.
    pub(super) fn leave_out(&mut self, job: JobIx, minutes: u32) {
        self.drop(job, Dropped::TooShort);
        self.left_out.push((job, minutes));
    }

    /// Takes a job in again that was left out. The row no longer knows it, and is made anew.
    pub(super) fn take_in(&mut self, job: JobIx) {
        self.runs.without.retain(|other| *other != job);
        self.runs.row.clear();
        self.dropped.retain(|(other, _)| *other != job);
        self.left_out.retain(|(other, _)| *other != job);
    }

    /// Leaves a job out.
    pub(super) fn drop(&mut self, job: JobIx, why: Dropped) {
        self.runs.without.push(job);
        self.runs.row.retain(|(other, _)| *other != job);
        self.dropped.push((job, why));
    }
}
