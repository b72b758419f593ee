//! Where a car that is in a train can be left at a call: where it is bound, near its spot, or where it waits for
//! another train.

use super::super::Hindrance;
use super::super::question::{Found, Question, Reach};
use super::super::room::{END, Room};
use super::super::stands::{Aboard, Cost, Stand};
use super::Walk;
use crate::ids::{IxVec, PlaceIx, SpotIx, TrackIx};
use crate::network::Network;
use crate::traffic::Purpose;

impl Walk<'_> {
    /// Whether a car may be left on a track where it is on board.
    fn may_stand(&self, question: &mut Question<'_>, aboard: &Aboard, track: TrackIx) -> bool {
        let here = (self.call(aboard.at), self.tonight(aboard.at));
        let from = (aboard.pulled == aboard.at).then(|| self.stands[aboard.from].track);
        question.may_be_left(self.network, here, from, track)
    }

    /// Where the stage can be done at this call: with the last stage done it is there, or near; with
    /// another it goes on from there.
    pub(super) fn arrive(
        &mut self,
        question: &mut Question<'_>,
        aboard: Aboard,
    ) -> (Option<Found>, Option<Found>) {
        let stage = self.stands[aboard.from].stage;
        let (call, tonight) = (self.call(aboard.at), self.tonight(aboard.at));
        let place = self.network.calls()[call].place;
        let goals = question.goals[stage];
        if goals.at(place).is_empty() {
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
    pub(super) fn wait_here(&mut self, question: &mut Question<'_>, aboard: Aboard, reach: Reach) {
        if aboard.cost.legs >= reach.legs {
            return;
        }
        let call = self.call(aboard.at);
        let from = self.stands[aboard.from];
        let pulled_here = aboard.pulled == aboard.at;
        let (mut full, mut waits) = (None, false);
        let place = self.network.calls()[call].place;
        for at in 0..self.waiting[place].len() {
            let (track, keeps_cars) = self.waiting[place][at];
            // A car that must make room may wait beside the spots as well.
            if !(keeps_cars || from.until != END)
                || from.track == track
                || (pulled_here && from.until == END && !self.network.opens_calls(track, from.track))
                || !self.may_stand(question, &aboard, track)
            {
                continue;
            }
            let stands = self.stands_at(question, &aboard, (track, None), from.stage);
            let room = stands.iter().flatten().any(|stand| stand.until == END);
            for stand in stands.into_iter().flatten() {
                self.stand(stand);
            }
            waits |= room;
            full = full.or((!room).then_some(track));
        }
        if let Some(track) = full.filter(|_| !waits && !pulled_here && self.tonight(aboard.at)) {
            question.hindered(Hindrance::YardFull(track, call));
        }
    }
}

/// By place, the tracks on which cars may wait, and whether they keep cars or only have room beside their spots.
pub(super) fn waiting(network: &Network<'_>) -> IxVec<PlaceIx, Vec<(TrackIx, bool)>> {
    let tracks = network.layout().tracks();
    let of = |track: &TrackIx| {
        let keeps_cars = tracks[*track].usage.keeps_cars();
        (keeps_cars || tracks[*track].off_spot).then_some((*track, keeps_cars))
    };
    network.layout().places().values().map(|place| place.tracks.iter().filter_map(of).collect()).collect()
}
