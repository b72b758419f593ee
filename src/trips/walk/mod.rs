//! The walk of one car through the calls of the session.
//!
//! The calls that can matter are met in the order of events. At each the car may be pulled from a track
//! where it can stand by then, left on a track with room, or ride on. Of two ways to stand on one
//! track with as many stages done the cheaper is kept ([`Cost`]), and both if the dearer may stay
//! longer. Room is asked only tonight: what comes out for the sessions after is when the car will
//! arrive as things stand.
//!
//! Complexity: O(log calls) for each call at a place that the car reaches and from which it can still
//! get to its goal in as many legs as are allowed, times the tracks there.

mod halt;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::question::{Found, Question, Reach, Way};
use super::reach::Goals;
use super::room::END;
use super::stands::{Aboard, Cost, Stand, Stands};
use super::{Ban, Hindrance};
use crate::ids::{CallIx, Ix, IxVec, JobIx, PlaceIx, TrackIx};
use crate::network::{Network, passes};

/// Walks.
#[derive(Debug)]
pub(super) struct Walk<'a> {
    network: &'a Network<'a>,
    stands: Stands,
    /// By place, the stands that are alive there.
    alive: IxVec<PlaceIx, Vec<usize>>,
    touched: Vec<PlaceIx>,
    /// By job, the ways to be in its train.
    aboard: IxVec<JobIx, Vec<Aboard>>,
    /// The steps that are to be looked at.
    steps: BinaryHeap<Reverse<usize>>,
    /// By place, the tracks on which cars wait, and those beside whose spots they may if they must make room.
    waiting: IxVec<PlaceIx, Vec<(TrackIx, bool)>>,
}

impl<'a> Walk<'a> {
    pub(super) fn new(network: &'a Network<'a>) -> Self {
        Walk {
            network,
            stands: Stands::default(),
            alive: IxVec::filled(Vec::new(), network.layout().places().len()),
            touched: Vec::new(),
            aboard: IxVec::filled(Vec::new(), network.layout().jobs().len()),
            steps: BinaryHeap::new(),
            waiting: halt::waiting(network),
        }
    }

    /// The best way from where a car stands, with all its stages.
    pub(super) fn walk(&mut self, question: &mut Question<'_>, reach: Reach) -> Option<Way> {
        self.reset();
        self.start(question);
        let calls = self.network.calls().len();
        let (mut found, mut near): (Option<Found>, Option<Found>) = (None, None);
        let mut last = None;
        let mut on_board = Vec::new();
        while let Some(Reverse(step)) = self.steps.pop() {
            if last.replace(step) == Some(step) {
                continue;
            }
            if found.or(near).is_some_and(|found| found.key.0 < step / calls) {
                break;
            }
            let touches = self.on_board(question, step, reach, &mut on_board);
            for aboard in on_board.drain(..) {
                let way = (step / calls, aboard.cost, step);
                if found.is_some_and(|best| best.key <= way) {
                    continue; // nothing that comes of it can be better
                }
                if touches {
                    let (arrival, beside) = self.arrive(question, aboard);
                    for (best, new) in [(&mut found, arrival), (&mut near, beside)] {
                        if new.is_some_and(|new| best.is_none_or(|best| new.key < best.key)) {
                            *best = new;
                        }
                    }
                    self.wait_here(question, aboard, reach);
                }
                self.ride_on(question, aboard, reach);
            }
            self.look_again(question, step, reach);
        }
        let found = found.or(near)?;
        Some(Way {
            legs: self.stands.legs(self.network, found.stand),
            session: found.key.0,
            off_spot: found.off_spot,
            cost: found.key.1,
            told: question.hindrance(|met| self.stands.meet(self.network, found.stand, met)),
            onward: self.stands.onward(self.network, found.stand),
        })
    }

    fn reset(&mut self) {
        self.stands.clear();
        self.steps.clear();
        for place in self.touched.drain(..) {
            self.alive[place].clear();
        }
        self.aboard.values_mut().for_each(Vec::clear);
    }

    fn start(&mut self, question: &Question<'_>) {
        let (track, spot) = question.start;
        let until = match question.room.until(self.network, (track, spot), question.car, 0) {
            0 => END, // it stood over-full before the session
            until => until,
        };
        let start = Stand {
            stage: 0,
            track,
            spot,
            since: None,
            until,
            pulled: 0,
            before: None,
            cost: Cost::default(),
        };
        self.stand(start);
        if until != END && question.movable.is_some() {
            self.stand(Stand { until: END, cost: Cost { ousted: 1, ..start.cost }, ..start });
        }
        let place = self.network.layout().tracks()[track].place;
        if let Some(first) = question.room.calls_at(place).first() {
            self.steps.push(Reverse(first.place()));
        }
    }

    /// Adds a stand from which a train may take the car later.
    fn stand(&mut self, stand: Stand) {
        let place = self.network.layout().tracks()[stand.track].place;
        if self.alive[place].is_empty() {
            self.touched.push(place);
        }
        self.stands.add(&mut self.alive[place], stand);
    }

    /// Looks at the place again at its next call, if the car can stand there by then.
    fn look_again(&mut self, question: &Question<'_>, step: usize, reach: Reach) {
        let calls = self.network.calls().len();
        let call = self.call(step);
        let place = self.network.calls()[call].place;
        if self.alive[place].is_empty() {
            return;
        }
        let session = step - call.place();
        let calls_here = question.room.calls_at(place);
        let next = match calls_here.get(question.room.rank(call) + 1) {
            Some(next) => session + next.place(),
            None => session + calls + calls_here[0].place(),
        };
        if next < calls * reach.sessions {
            self.steps.push(Reverse(next));
        }
    }

    fn tonight(&self, step: usize) -> bool {
        step < self.network.calls().len()
    }

    fn call(&self, step: usize) -> CallIx {
        CallIx::new(step % self.network.calls().len())
    }

    /// The ways to have the car in the train at a step: it came along, or it is pulled here; the
    /// cheapest for each number of stages done. Whether the crew may touch it there.
    fn on_board(
        &mut self,
        question: &mut Question<'_>,
        step: usize,
        reach: Reach,
        ways: &mut Vec<Aboard>,
    ) -> bool {
        let call = self.call(step);
        let here = &self.network.calls()[call];
        std::mem::swap(ways, &mut self.aboard[here.job]);
        if let Some(why) = self.ban(question, step) {
            question.hindered(Hindrance::Banned(call, why));
            return false;
        }
        // From most calls no stage leads on in so few legs, wherever the car stands.
        let leads_on =
            |goals: &&Goals| goals.further(step, reach.sessions).is_some_and(|further| further < reach.legs);
        if !question.goals.iter().any(leads_on) {
            return true;
        }
        let (rank, tonight) = (question.room.rank(call), self.tonight(step));
        for from in &self.alive[here.place] {
            let stand = &self.stands[*from];
            let legs = stand.cost.legs + 1;
            let cost = Cost { legs, ..stand.cost };
            let known = ways.iter_mut().find(|known| self.stands[known.from].stage == stand.stage);
            if known.as_ref().is_some_and(|known| known.cost <= cost)
                || stand.since.is_some_and(|since| since >= step)
                || !stand.waits_for(rank, tonight)
            {
                continue;
            }
            let leads_on = question.goals[stand.stage].further(step, reach.sessions);
            if leads_on.is_none_or(|further| legs + further > reach.legs)
                || !self.network.may_switch(call, stand.track)
                || !self.network.may_serve(call, stand.track, stand.spot)
            {
                continue;
            }
            let way = Aboard { at: step, from: *from, pulled: step, cost };
            match known {
                Some(known) => *known = way,
                None => ways.push(way),
            }
        }
        true
    }

    fn ban(&self, question: &Question<'_>, step: usize) -> Option<Ban> {
        let bans = question.bans.filter(|_| self.tonight(step))?;
        bans.at_call(question.car, self.call(step)).cloned()
    }

    /// Takes the car along to the job's next call, if it may go there and the train has room.
    fn ride_on(&mut self, question: &mut Question<'_>, mut aboard: Aboard, reach: Reach) {
        let call = self.call(aboard.at);
        let here = &self.network.calls()[call];
        let (Some(ride), Some(next)) = (&here.ride, here.next) else { return };
        let step = aboard.at - call.place() + next.place();
        let stage = self.stands[aboard.from].stage;
        let leads_on = question.goals[stage].further(step, reach.sessions);
        if leads_on.is_none_or(|further| aboard.cost.legs + further > reach.legs) {
            return;
        }
        let place = self.network.calls()[next].place;
        let limits = self.network.layout().places()[place].limits;
        if self.stands.was_at(self.network, &aboard, place) {
            return;
        }
        if !passes(ride.limits, &question.passing) || !passes(limits, &question.passing) {
            question.hindered(Hindrance::TooLarge(place));
            return;
        }
        if self.tonight(aboard.at) && !question.room.rides(self.network, call, question.car) {
            let makes_room = question.movable.is_some_and(|movable| {
                question.room.could_ride(self.network, call, question.car)
                    && question.room.riders(call).iter().any(|car| movable(*car))
            });
            if !makes_room {
                question.hindered(Hindrance::TrainFull(here.job));
                return;
            }
            aboard.cost.ousted += 1;
        }
        aboard.cost.rides += 1;
        aboard.at = step;
        self.aboard[here.job].push(aboard);
        self.steps.push(Reverse(step));
    }
}
