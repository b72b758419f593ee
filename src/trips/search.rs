//! The best way for one car through the calls of the session.
//!
//! The row of calls is walked once in order. At every call the car may be pulled from a track where
//! it can stand by then, left on a track with room, or ride on. Of two ways to stand on one track
//! the one with fewer legs is kept, then the one with fewer rides, then the less crowded one. When
//! the row ends without an arrival it is walked again, and once more, for the sessions after: room
//! is not asked there, so what comes out is when the car will arrive as things stand.
//!
//! Complexity: O(calls × tracks at a place) for each stage of a wish.

use super::aside::{self, Wanted};
use super::question::Question;
use super::room::Room;
use super::stands::{Aboard, Cost, Stand, Stands};
use super::{Bans, Hindrance, Leg, Trip};
use crate::ids::{CallIx, CarIx, Ix, IxVec, JobIx, SpotIx, TrackIx};
use crate::network::{Network, passes};
use crate::traffic::{Demand, Purpose, Stage, Wish};

/// How many sessions are looked ahead, tonight's included.
const SESSIONS: usize = 3;

/// Finds trips.
#[derive(Debug)]
pub(super) struct Search<'a> {
    network: &'a Network<'a>,
    demand: &'a Demand,
    bans: &'a Bans,
    wanted: Wanted,
    stands: Stands,
    best: IxVec<TrackIx, Option<usize>>,
    aboard: IxVec<JobIx, Option<Aboard>>,
}

/// A way to where a stage can be done.
#[derive(Clone, Copy, Debug)]
struct Found {
    stand: usize,
    off_spot: bool,
    key: (bool, u32, u32, usize),
}

impl<'a> Search<'a> {
    pub(super) fn new(network: &'a Network<'a>, demand: &'a Demand, bans: &'a Bans) -> Self {
        let layout = network.layout();
        Search {
            network,
            demand,
            bans,
            wanted: Wanted::new(layout, demand),
            stands: Stands::default(),
            best: IxVec::filled(None, layout.tracks().len()),
            aboard: IxVec::filled(None, layout.jobs().len()),
        }
    }

    /// How far a car gets. One that is kept off its own spot at least leaves a spot
    /// that others wait for: two cars that wait for each other's spots would wait for ever.
    pub(super) fn trip(&mut self, room: &Room, wish: &Wish) -> Trip {
        let mut trip = self.forward(room, wish);
        let kept_off = matches!(trip.hindrance, Some(Hindrance::Full(_) | Hindrance::Banned(..)));
        if trip.legs.is_empty()
            && (kept_off || trip.sessions.is_none())
            && self.wanted.stands_in_the_way(wish.car)
        {
            trip.legs = self.aside(room, wish.car);
            trip.aside = !trip.legs.is_empty();
        }
        trip
    }

    /// Tonight's way for a car to a track where it may wait.
    fn aside(&mut self, room: &Room, car: CarIx) -> Vec<Leg> {
        let layout = self.network.layout();
        let state = self.demand.standing.car(car);
        let Some(track) = state.track() else { return Vec::new() };
        let stage = Stage { purpose: Purpose::Wait, goals: aside::tracks(layout) };
        let weight = self.demand.standing.weight(layout, car);
        let mut question = Question::new(room, car, weight, &stage);
        let found = self.walk(&mut question, track, state.spot(), 0);
        let tonight =
            found.filter(|found| self.stands[found.stand].since.is_some_and(|step| self.tonight(step)));
        let mut legs = tonight.map_or(Vec::new(), |found| self.stands.legs(self.network, found.stand, 0));
        for leg in &mut legs {
            leg.ends_stage = None;
        }
        legs
    }

    fn forward(&mut self, room: &Room, wish: &Wish) -> Trip {
        let mut trip = Trip::default();
        let standing = &self.demand.standing;
        let Some(mut track) = standing.car(wish.car).track() else { return trip };
        let mut spot = standing.car(wish.car).spot();
        let mut next_call = 0;
        for (number, stage) in wish.stages.iter().enumerate() {
            let weight = standing.weight(self.network.layout(), wish.car);
            let mut question = Question::new(room, wish.car, weight, stage);
            question.kept_off = wish.kept_off.as_deref().filter(|_| number + 1 == wish.stages.len());
            let found = self.walk(&mut question, track, spot, next_call);
            let calls = self.network.calls().len();
            let Some(found) = found else {
                let hindrance = question.hindrance(|_| true);
                trip.told = Some(hindrance.clone());
                trip.hindrance = Some(hindrance);
                return trip;
            };
            let arrives = self.stands[found.stand].since.map_or(0, |step| step / calls);
            let legs = self.stands.legs(self.network, found.stand, number);
            trip.legs.extend(legs);
            if arrives > 0 || found.off_spot {
                trip.sessions = u32::try_from(arrives).ok().filter(|_| !found.off_spot);
                trip.off_spot = found.off_spot;
                trip.hindrance = Some(question.hindrance(|_| true));
                trip.told = Some(question.hindrance(|met| self.on_the_way(met, found.stand)));
                trip.onward = self.stands.onward(self.network, found.stand);
                if let Some(last) = trip.legs.last_mut().filter(|_| found.off_spot) {
                    last.ends_stage = None;
                }
                return trip;
            }
            trip.stages = number + 1;
            let stand = &self.stands[found.stand];
            (track, spot) = (stand.track, stand.spot);
            next_call = stand.since.map_or(next_call, |step| step + 1);
        }
        trip.sessions = Some(0);
        trip
    }

    /// Whether a hindrance lies on the way that the car will go, and not only on one that was tried.
    fn on_the_way(&self, met: &Hindrance, stand: usize) -> bool {
        let calls = self.network.calls();
        let tracks = self.network.layout().tracks();
        let comes_to = |place| self.stands.way(stand).any(|here| tracks[here.track].place == place);
        match met {
            Hindrance::YardFull(track, _) => comes_to(tracks[*track].place),
            Hindrance::TooLarge(place) => comes_to(*place),
            Hindrance::TrainFull(job) => self
                .stands
                .way(stand)
                .filter_map(|here| here.since)
                .any(|step| step >= calls.len() && calls[CallIx::new(step % calls.len())].job == *job),
            Hindrance::NoGoal
            | Hindrance::Full(_)
            | Hindrance::KeptOff(_)
            | Hindrance::Banned(..)
            | Hindrance::NoConnection => true,
        }
    }

    /// Walks the calls from one on.
    fn walk(
        &mut self,
        question: &mut Question<'_>,
        track: TrackIx,
        spot: Option<SpotIx>,
        first: usize,
    ) -> Option<Found> {
        if question.stage.goals.is_empty() {
            question.hindered(Hindrance::NoGoal);
            return None;
        }
        self.reset(track, spot);
        let calls = self.network.calls().len();
        let mut found: Option<Found> = None;
        for step in first..calls * SESSIONS {
            if step % calls == 0 {
                self.aboard.values_mut().for_each(|aboard| *aboard = None);
                if found.is_some() {
                    break;
                }
            }
            let call = CallIx::new(step % calls);
            let Some(aboard) = self.on_board(question, call, step) else { continue };
            if found.is_some_and(|best| best.key <= (false, aboard.cost.legs, aboard.cost.rides, step)) {
                continue; // nothing that comes of it can be better
            }
            let arrival = self.arrival(question, call, step, &aboard);
            if let Some(arrival) = arrival.filter(|new| found.is_none_or(|best| new.key < best.key)) {
                found = Some(arrival);
            }
            self.wait_here(question, call, step, &aboard);
            self.ride_on(question, call, step, aboard);
        }
        found
    }

    fn reset(&mut self, track: TrackIx, spot: Option<SpotIx>) {
        self.stands.clear();
        self.best.values_mut().for_each(|best| *best = None);
        self.aboard.values_mut().for_each(|aboard| *aboard = None);
        let start = Stand { track, spot, since: None, pulled: 0, before: None, cost: Cost::default() };
        self.stands.push(start);
        self.best[track] = Some(0);
    }

    fn tonight(&self, step: usize) -> bool {
        step < self.network.calls().len()
    }

    /// The car in the train at a call: it came along, or it is pulled here, whichever costs less.
    fn on_board(&mut self, question: &mut Question<'_>, call: CallIx, step: usize) -> Option<Aboard> {
        let here = &self.network.calls()[call];
        let mut best = self.aboard[here.job].take();
        if let Some(why) = self.bans.get(&(question.car, call)).filter(|_| self.tonight(step)) {
            question.hindered(Hindrance::Banned(call, why.clone()));
            return best;
        }
        for track in &self.network.layout().places()[here.place].tracks {
            let Some(from) = self.best[*track] else { continue };
            let stand = &self.stands[from];
            let waits = stand.since.is_none_or(|since| since < step);
            if !waits
                || !self.network.may_switch(call, *track)
                || !self.network.may_serve(call, *track, stand.spot)
            {
                continue;
            }
            let cost = Cost { legs: stand.cost.legs + 1, ..stand.cost };
            if best.as_ref().is_none_or(|best| cost < best.cost) {
                best = Some(Aboard { from, pulled: step, cost });
            }
        }
        best
    }

    /// Where the stage can be done at this call.
    fn arrival(
        &mut self,
        question: &mut Question<'_>,
        call: CallIx,
        step: usize,
        aboard: &Aboard,
    ) -> Option<Found> {
        if self.banned(question, call, step) {
            return None;
        }
        let layout = self.network.layout();
        let place = self.network.calls()[call].place;
        let mut full = None;
        for target in &question.stage.goals {
            let (track, spot) = (layout.track_of(*target), target.spot());
            if layout.tracks()[track].place != place
                || !self.may_stand(question, call, track)
                || !self.network.may_serve(call, track, spot)
                || (self.stands[aboard.from].track, self.stands[aboard.from].spot) == (track, spot)
            {
                continue;
            }
            if self.tonight(step) {
                if let Some(why) = question.kept_off {
                    full.get_or_insert_with(|| Hindrance::KeptOff(why.into()));
                    continue;
                }
                if !question.room.has(self.network, track, spot, question.car, call) {
                    full.get_or_insert(Hindrance::Full(track));
                    continue;
                }
            }
            // Goals stand in order of preference.
            return Some(self.found(question, step, aboard, (track, spot), false));
        }
        question.hindered(full?);
        self.off_spot(question, call, step, aboard)
    }

    /// A track near the spot on which a car may wait for it.
    fn off_spot(
        &mut self,
        question: &Question<'_>,
        call: CallIx,
        step: usize,
        aboard: &Aboard,
    ) -> Option<Found> {
        if !matches!(question.stage.purpose, Purpose::Load | Purpose::Unload) || !self.tonight(step) {
            return None;
        }
        let layout = self.network.layout();
        let place = self.network.calls()[call].place;
        if self.stands.place(self.network, aboard.from) == place {
            return None; // it stands near already
        }
        let near = layout.places()[place].tracks.iter().copied().find(|track| {
            layout.tracks()[*track].off_spot
                && self.may_stand(question, call, *track)
                && question.room.has(self.network, *track, None, question.car, call)
        })?;
        Some(self.found(question, step, aboard, (near, None), true))
    }

    fn found(
        &mut self,
        question: &Question<'_>,
        step: usize,
        aboard: &Aboard,
        (track, spot): (TrackIx, Option<SpotIx>),
        off_spot: bool,
    ) -> Found {
        let stand = self.stand(question, step, aboard, track, spot);
        let cost = aboard.cost;
        Found { stand: self.stands.push(stand), off_spot, key: (off_spot, cost.legs, cost.rides, step) }
    }

    /// Leaves the car, in thought, on every track of the place where it may wait for another job.
    fn wait_here(&mut self, question: &mut Question<'_>, call: CallIx, step: usize, aboard: &Aboard) {
        if self.banned(question, call, step) {
            return;
        }
        let layout = self.network.layout();
        let place = self.network.calls()[call].place;
        let (mut full, mut waits) = (None, false);
        for track in &layout.places()[place].tracks {
            if !layout.tracks()[*track].usage.keeps_cars()
                || self.stands[aboard.from].track == *track
                || (aboard.pulled == step
                    && !self.network.opens_calls(*track, self.stands[aboard.from].track))
                || !self.may_stand(question, call, *track)
            {
                continue;
            }
            let known = self.best[*track].map(|best| self.stands[best].cost);
            if known.is_some_and(|known| (known.legs, known.rides) < (aboard.cost.legs, aboard.cost.rides)) {
                waits = true;
                continue;
            }
            if self.tonight(step) && !question.room.has(self.network, *track, None, question.car, call) {
                full = full.or(Some(*track));
                continue;
            }
            waits = true;
            let stand = self.stand(question, step, aboard, *track, None);
            if known.is_none_or(|known| stand.cost < known) {
                self.best[*track] = Some(self.stands.push(stand));
            }
        }
        if let Some(track) = full.filter(|_| !waits && aboard.pulled != step) {
            question.hindered(Hindrance::YardFull(track, call));
        }
    }

    fn stand(
        &self,
        question: &Question<'_>,
        step: usize,
        aboard: &Aboard,
        track: TrackIx,
        spot: Option<SpotIx>,
    ) -> Stand {
        let call = CallIx::new(step % self.network.calls().len());
        let discomfort = if self.tonight(step) {
            question.room.discomfort(self.network, track, question.car, call)
        } else {
            (0, 0)
        };
        Stand {
            track,
            spot,
            since: Some(step),
            pulled: aboard.pulled,
            before: Some(aboard.from),
            cost: Cost { discomfort, ..aboard.cost },
        }
    }

    /// Takes the car along to the job's next call, if it may go there and the train has room.
    fn ride_on(&mut self, question: &mut Question<'_>, call: CallIx, step: usize, mut aboard: Aboard) {
        let here = &self.network.calls()[call];
        let (Some(ride), Some(next)) = (&here.ride, here.next) else { return };
        let place = self.network.calls()[next].place;
        let passing = self.network.passing(question.car, question.weight);
        let limits = self.network.layout().places()[place].limits;
        if self.stands.was_at(self.network, &aboard, call, place) {
            return;
        }
        if !passes(ride.limits, &passing) || !passes(limits, &passing) {
            question.hindered(Hindrance::TooLarge(place));
            return;
        }
        if self.tonight(step) && !question.room.rides(self.network, call, question.car, question.weight) {
            question.hindered(Hindrance::TrainFull(here.job));
            return;
        }
        aboard.cost.rides += 1;
        self.aboard[here.job] = Some(aboard);
    }

    fn may_stand(&self, question: &Question<'_>, call: CallIx, track: TrackIx) -> bool {
        self.network.may_switch(call, track) && self.network.takes(track, question.car, question.weight)
    }

    fn banned(&self, question: &Question<'_>, call: CallIx, step: usize) -> bool {
        self.tonight(step) && self.bans.contains_key(&(question.car, call))
    }
}
