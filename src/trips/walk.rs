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

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::question::{Found, Question, Reach, Way};
use super::room::{END, Room};
use super::stands::{Aboard, Cost, Stand, Stands};
use super::{Ban, Hindrance};
use crate::ids::{CallIx, Ix, IxVec, JobIx, PlaceIx, SpotIx, TrackIx};
use crate::network::{Network, passes};
use crate::traffic::Purpose;

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
            self.on_board(question, step, reach, &mut on_board);
            for aboard in on_board.drain(..) {
                let way = (step / calls, aboard.cost, step);
                if found.is_some_and(|best| best.key <= way) {
                    continue; // nothing that comes of it can be better
                }
                let (arrival, beside) = self.arrive(question, aboard);
                for (best, new) in [(&mut found, arrival), (&mut near, beside)] {
                    if new.is_some_and(|new| best.is_none_or(|best| new.key < best.key)) {
                        *best = new;
                    }
                }
                self.wait_here(question, aboard, reach);
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
        self.touched.push(place);
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
    /// cheapest for each number of stages done.
    fn on_board(&mut self, question: &mut Question<'_>, step: usize, reach: Reach, ways: &mut Vec<Aboard>) {
        let call = self.call(step);
        let here = &self.network.calls()[call];
        std::mem::swap(ways, &mut self.aboard[here.job]);
        if let Some(why) = self.ban(question, step) {
            question.hindered(Hindrance::Banned(call, why));
            return;
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
    }

    fn ban(&self, question: &Question<'_>, step: usize) -> Option<Ban> {
        let bans = question.bans.filter(|_| self.tonight(step))?;
        bans.at_call(question.car, self.call(step)).cloned()
    }

    /// Whether a car may be left on a track where it is on board.
    fn may_stand(&self, question: &mut Question<'_>, aboard: &Aboard, track: TrackIx) -> bool {
        let here = (self.call(aboard.at), self.tonight(aboard.at));
        let from = (aboard.pulled == aboard.at).then(|| self.stands[aboard.from].track);
        question.may_be_left(self.network, here, from, track)
    }

    /// Where the stage can be done at this call: with the last stage done it is there, or near; with
    /// another it goes on from there.
    fn arrive(&mut self, question: &mut Question<'_>, aboard: Aboard) -> (Option<Found>, Option<Found>) {
        let stage = self.stands[aboard.from].stage;
        let (call, tonight) = (self.call(aboard.at), self.tonight(aboard.at));
        let place = self.network.calls()[call].place;
        let goals = question.goals[stage];
        if goals.at(place).is_empty() || self.ban(question, aboard.at).is_some() {
            return (None, None);
        }
        let last = stage + 1 == question.stages.len();
        let kept_off = question.kept_off.filter(|_| last && tonight);
        let (mut found, mut full): (Option<Found>, Option<Hindrance>) = (None, None);
        for target in goals.at(place) {
            let (track, spot) = (self.network.layout().track_of(*target), target.spot());
            if !self.may_stand(question, &aboard, track)
                || !self.network.may_serve(call, track, spot)
                || (self.stands[aboard.from].track, self.stands[aboard.from].spot) == (track, spot)
            {
                continue;
            }
            if let Some(why) = kept_off {
                full.get_or_insert(Hindrance::KeptOff(why));
                continue;
            }
            let stands = self.stands_at(question, &aboard, (track, spot), stage + 1);
            for stand in stands.into_iter().flatten() {
                if !last {
                    self.stand(stand);
                } else if stand.until == END && found.is_none_or(|found| stand.cost < found.key.1) {
                    let key = (aboard.at / self.network.calls().len(), stand.cost, aboard.at);
                    found = Some(Found { stand: self.stands.push(stand), off_spot: false, key });
                }
            }
            let free = stands.iter().flatten().any(|stand| stand.until == END || !last);
            full = full.or((!free).then_some(Hindrance::Full(track)));
        }
        let Some(full) = full.filter(|_| found.is_none() && tonight) else { return (found, None) };
        question.hindered(full);
        let near = if last { self.off_spot(question, aboard) } else { None };
        (None, near)
    }

    /// The ways to stand on a track from this call on: as long as there is room, and for good if
    /// others can be made to leave.
    fn stands_at(
        &self,
        question: &Question<'_>,
        aboard: &Aboard,
        (track, spot): (TrackIx, Option<SpotIx>),
        stage: usize,
    ) -> [Option<Stand>; 2] {
        let goal = stage > self.stands[aboard.from].stage;
        let mut cost = Cost { discomfort: (0, 0), ..aboard.cost };
        let mut stand = Stand {
            stage,
            track,
            spot,
            since: Some(aboard.at),
            until: END,
            pulled: aboard.pulled,
            before: Some(aboard.from),
            cost,
        };
        if !self.tonight(aboard.at) {
            stand.cost = Cost { later: cost.later + 1, undone: cost.undone + u32::from(goal), ..cost };
            return [Some(stand), None];
        }
        let slot = question.room.rank(self.call(aboard.at)) + 1;
        cost.beyond += u32::from(question.room.beyond(self.network, track, question.car, slot));
        if !goal {
            cost.discomfort = question.room.discomfort(self.network, track, question.car, slot);
        }
        stand.cost = cost;
        let until = question.room.until(self.network, (track, spot), question.car, slot);
        let while_free = (until > slot).then_some(Stand { until, ..stand });
        if until == END {
            return [while_free, None];
        }
        let room_can_be_made = question.movable.is_some_and(|movable| {
            Room::could(self.network, track, spot, question.car) && question.room.on(track, slot).any(movable)
        });
        let ousted = Cost { ousted: cost.ousted + 1, ..cost };
        [while_free, room_can_be_made.then_some(Stand { cost: ousted, ..stand })]
    }

    /// A track near the spot on which a car may wait for it.
    fn off_spot(&mut self, question: &mut Question<'_>, aboard: Aboard) -> Option<Found> {
        let stage = self.stands[aboard.from].stage;
        if question.movable.is_some()
            || !matches!(question.stages[stage].purpose, Purpose::Load | Purpose::Unload)
        {
            return None;
        }
        let layout = self.network.layout();
        let call = self.call(aboard.at);
        let place = self.network.calls()[call].place;
        if self.stands.place(self.network, aboard.from) == place {
            return None; // it stands near already
        }
        let mut near: Option<Stand> = None;
        for track in &layout.places()[place].tracks {
            if !question.room.may_wait_off_spot(layout, *track) || !self.may_stand(question, &aboard, *track)
            {
                continue;
            }
            let [stand, _] = self.stands_at(question, &aboard, (*track, None), stage);
            if let Some(stand) = stand.filter(|stand| stand.until == END)
                && near.is_none_or(|near| stand.cost.beyond < near.cost.beyond)
            {
                near = Some(stand);
            }
        }
        let stand = near?;
        let key = (0, stand.cost, aboard.at);
        Some(Found { stand: self.stands.push(stand), off_spot: true, key })
    }

    /// Leaves the car, in thought, on every track of the place where it may wait for another job.
    fn wait_here(&mut self, question: &mut Question<'_>, aboard: Aboard, reach: Reach) {
        if self.ban(question, aboard.at).is_some() || aboard.cost.legs >= reach.legs {
            return;
        }
        let layout = self.network.layout();
        let call = self.call(aboard.at);
        let from = self.stands[aboard.from];
        let pulled_here = aboard.pulled == aboard.at;
        let (mut full, mut waits) = (None, false);
        for track in &layout.places()[self.network.calls()[call].place].tracks {
            let described = &layout.tracks()[*track];
            // A car that must make room may wait beside the spots as well.
            let waits_there = described.usage.keeps_cars() || described.off_spot && from.until != END;
            if !waits_there
                || from.track == *track
                || (pulled_here && from.until == END && !self.network.opens_calls(*track, from.track))
                || !self.may_stand(question, &aboard, *track)
            {
                continue;
            }
            let stands = self.stands_at(question, &aboard, (*track, None), from.stage);
            let room = stands.iter().flatten().any(|stand| stand.until == END);
            for stand in stands.into_iter().flatten() {
                self.stand(stand);
            }
            waits |= room;
            full = full.or((!room).then_some(*track));
        }
        if let Some(track) = full.filter(|_| !waits && !pulled_here && self.tonight(aboard.at)) {
            question.hindered(Hindrance::YardFull(track, call));
        }
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
