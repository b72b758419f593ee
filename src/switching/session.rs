//! A session as it is worked: one call after the other, each on what those before it left.
//!
//! What hands put onto a track stands there in an order of ours, so before a crew puts its train in order because
//! of a placarded car, other orders of what was put there are tried: the one that takes its crew the fewest
//! handlings is kept, as long as nobody has touched the track.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::make_up::{Blocks, Law, other_orders};
use super::site::{Movement, OnTrack, Row};
use super::strategy::{CallWorked, Scene, Then};
use super::{CallDone, Cut, Memory, Refusal, Trouble, Worked, runs};
use crate::ids::{CallIx, CarIx, IxVec, JobIx, TrackIx};
use crate::layout::{End, JobKind, Opens, TrackUse};
use crate::network::Network;
use crate::trips::{Task, Trips};
use crate::units::Tons;

/// The work of a call, or why it cannot be done.
type Answer = Result<CallWorked, Refusal>;

/// A session that is being worked.
pub(super) struct Session<'a> {
    pub(super) network: &'a Network<'a>,
    pub(super) trips: &'a Trips,
    pub(super) weights: &'a IxVec<CarIx, Tons>,
    pub(super) states: usize,
    pub(super) law: Option<Law>,
    /// What more each track may hold.
    pub(super) spare: runs::Room,
    /// The cars that hands put onto each track that no call has touched yet.
    pub(super) placed: BTreeMap<TrackIx, Vec<CarIx>>,
    /// Each job's train as it comes to its next call.
    pub(super) trains: IxVec<JobIx, Cut>,
    /// What is done; its rows are those of now.
    pub(super) done: Worked,
}

impl Session<'_> {
    /// Works a call.
    pub(super) fn call(&mut self, call: CallIx, memory: &mut Memory) -> Result<(), Refusal> {
        let (job, trips) = (self.network.calls()[call].job, self.trips);
        let train = std::mem::take(&mut self.trains[job]);
        let asked = &trips.tasks[call];
        let in_runs =
            runs::in_runs(self.network.layout(), (asked, trips.elsewhere(call)), &train, &mut self.spare);
        let others = in_runs
            .and_then(|task| Some((self.worked(call, &train, &task, (memory, self.states)).ok()?, task)));
        let worked = if let Some((worked, task)) = others {
            self.done.chosen.extend(runs::moved(asked, &task).map(|set| (call, set)));
            self.restaged(call, &train, (&task, Ok(worked)), memory)
        } else {
            let worked = self.worked(call, &train, asked, (memory, self.states));
            self.restaged(call, &train, (asked, worked), memory)
        };
        let worked = worked.map_err(|refusal| where_it_comes_in(self.network, &trips.tasks, refusal))?;
        let CallWorked { handlings, cut, proved, rows, .. } = worked;
        let mut found = Vec::new();
        for (track, row) in rows {
            self.placed.remove(&track);
            found.push((track, std::mem::replace(&mut self.done.rows[track], row)));
        }
        self.trains[job] = cut.clone();
        self.done.calls.push(CallDone { found, handlings, proved, train: cut });
        Ok(())
    }

    /// The work of a call on the rows of now, with so many states for a search.
    fn worked(
        &self,
        call: CallIx,
        train: &Cut,
        task: &Task,
        (memory, states): (&mut Memory, usize),
    ) -> Answer {
        let tasks = &self.trips.tasks;
        let scene = Scene {
            network: self.network,
            weights: self.weights,
            call,
            rows: &self.done.rows,
            train,
            then: next_work(self.network, tasks, &self.done.rows, call),
            law: self.law.as_ref(),
            blocks: &Blocks::ahead(self.network, tasks, call),
            states,
            begun: None,
        };
        memory.work_call(&scene, task)
    }

    /// The same with cars that hands put there in another order, where that spares the crew putting its train in order,
    /// or where it cannot.
    fn restaged(
        &mut self,
        call: CallIx,
        train: &Cut,
        (task, worked): (&Task, Answer),
        memory: &mut Memory,
    ) -> Answer {
        let hindered = match &worked {
            Ok(worked) => puts_in_order(task, worked),
            Err(refusal) => matches!(refusal.trouble, Trouble::Placarded(_)),
        };
        if self.law.is_none() || !hindered {
            return worked;
        }
        let blocks = Blocks::ahead(self.network, &self.trips.tasks, call);
        let effort = |worked: &Answer| match worked {
            Ok(worked) => worked.handlings.len() + blocks.work(worked.cut.cars.iter().copied()),
            Err(_) => usize::MAX,
        };
        // Orders are told from each other by plain work: what a search would find of each takes long.
        let mut best = effort(&self.worked(call, train, task, (memory, 0)));
        let mut changed = Vec::new();
        for track in &self.network.layout().places()[self.network.calls()[call].place].tracks {
            let Some(cars) = self.placed.get(track) else { continue };
            let minded = |car| self.law.as_ref().is_some_and(|law| law.minds(car));
            for order in other_orders(cars, minded) {
                let before = self.stand(*track, &order);
                let other = effort(&self.worked(call, train, task, (memory, 0)));
                if other < best {
                    best = other;
                    changed.push((*track, before));
                } else {
                    self.stand(*track, &before);
                }
            }
        }
        if changed.is_empty() {
            return worked;
        }
        let other = self.worked(call, train, task, (memory, self.states));
        if effort(&other) < effort(&worked) {
            return other;
        }
        for (track, before) in changed.into_iter().rev() {
            self.stand(track, &before);
        }
        worked
    }

    /// Lets cars that hands put onto a track stand there in another order; gives the one before.
    fn stand(&mut self, track: TrackIx, order: &[CarIx]) -> Vec<CarIx> {
        let row = Rc::make_mut(&mut self.done.rows[track]);
        let put: Vec<OnTrack> = row.split_off(row.len() - order.len());
        row.extend(order.iter().filter_map(|car| put.iter().find(|on| on.car == *car).copied()));
        match self.done.staged.iter_mut().find(|(staged, _)| *staged == track) {
            Some((_, cars)) => order.clone_into(cars),
            None => self.done.staged.push((track, order.to_vec())),
        }
        self.placed.insert(track, order.to_vec()).unwrap_or_default()
    }
}

/// Whether a crew leaves cars again that it has fetched here for its train.
fn puts_in_order(task: &Task, worked: &CallWorked) -> bool {
    let goes = |car: CarIx| task.pulls.contains(&car) && task.sets.iter().all(|set| set.car != car);
    let leaves = worked.handlings.iter().filter(|handling| handling.movement == Movement::Leave);
    leaves.into_iter().any(|handling| handling.cars.iter().any(|on| goes(on.car)))
}

/// A car that may not ride in a train is refused where the train takes it.
fn where_it_comes_in(network: &Network<'_>, tasks: &IxVec<CallIx, Task>, refusal: Refusal) -> Refusal {
    let Trouble::Placarded(car) = refusal.trouble else { return refusal };
    let mut calls = std::iter::successors(Some(refusal.call), |call| network.calls()[*call].previous);
    let call = calls.find(|call| tasks[*call].pulls.contains(&car));
    Refusal { call: call.expect("a car in a train was pulled by it"), ..refusal }
}

/// How a call's job should leave for its next work, if that, or most of it, lies on tracks that open
/// at one end only. Where the engine cannot turn, the cars that it fetches count as well.
fn next_work(
    network: &Network<'_>,
    tasks: &IxVec<CallIx, Task>,
    rows: &IxVec<TrackIx, Row>,
    call: CallIx,
) -> Option<Then> {
    let layout = network.layout();
    let tracks = layout.tracks();
    let mut later = std::iter::successors(network.calls()[call].next, |call| network.calls()[*call].next);
    let next = later.find(|call| !tasks[*call].cars.is_empty())?;
    let place = &layout.places()[network.calls()[next].place];
    let both = |track: &&TrackIx| tracks[**track].opens == Opens::Both && network.has_track(**track);
    // Past cars on a yard track leads only another track: the last one open at both ends turns nobody.
    let alone = place.tracks.iter().filter(both).count() < 2;
    let turns = |track: &TrackIx| {
        network.may_switch(next, *track)
            && (!alone || matches!(tracks[*track].usage, TrackUse::RunAround | TrackUse::Main))
    };
    let must = !place.tracks.iter().filter(both).any(turns);
    let task = &tasks[next];
    let stands =
        |car: &CarIx| place.tracks.iter().copied().find(|track| rows[*track].iter().any(|on| on.car == *car));
    let fetched = task.pulls.iter().filter(|_| must).filter_map(stands);
    let worked: Vec<TrackIx> = task.sets.iter().map(|set| set.track).chain(fetched).collect();
    let only = |end: End| worked.iter().filter(|track| !tracks[**track].opens.at(end.other())).count();
    let end = match only(End::West).cmp(&only(End::East)) {
        Ordering::Greater => End::West,
        Ordering::Less => End::East,
        Ordering::Equal => return None,
    };
    // Out on the road the engine leads where it can; a crew that switches one place shoves freely.
    let shoves = matches!(layout.jobs()[network.calls()[call].job].kind, JobKind::Yard | JobKind::Industry);
    (must || shoves).then_some(Then { end, must })
}
