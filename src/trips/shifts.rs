//! Cars that wait, or are at their gateway, left on another track of the place than each has found for itself.
//!
//! A car chooses its track by what stands there when it comes. How many handlings that makes, for the crew that
//! leaves it and for those that work there afterwards, only working the calls can tell. So there are [`Shift`]s:
//! the cars that a call leaves on one track, all of them or those that one later call takes on, and another track on
//! which each of them may stand as well. Here it is seen to that the track suits them and has the room, below its
//! working limit.
//!
//! Cost: for each call the tracks of its place, times the cars that are left.

use super::draft::Draft;
use super::elsewhere::{Left, left_on_tracks, may_be_left};
use super::{Bans, Trip};
use crate::ids::{CallIx, CarIx, TrackIx};
use crate::layout::TrackUse;

/// Cars that a call might leave on another track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shift {
    /// The call at which they are left.
    pub call: CallIx,
    /// The last call tonight that takes any of them on; nothing if they stay.
    pub last: Option<CallIx>,
    /// Where they are left as it is.
    pub from: TrackIx,
    /// Where they might be left.
    pub track: TrackIx,
    /// The cars.
    pub cars: Vec<CarIx>,
    /// The places of their wishes.
    places: Vec<usize>,
}

/// A car that is left, and the place of its wish.
type OfWish<'d> = (usize, Left<'d>);

impl Draft<'_> {
    /// All shifts, in the order of the calls.
    pub(super) fn shifts(&self, bans: &Bans) -> Vec<Shift> {
        let both = self.wishes().iter().zip(self.trips()).enumerate();
        let mut left: Vec<OfWish<'_>> = both
            .flat_map(|(place, (wish, trip))| left_on_tracks(wish, trip).map(move |left| (place, left)))
            .collect();
        let taken_on = |left: &Left<'_>| left.next.map(|next| next.from);
        let there = |left: &Left<'_>| (left.leg.to, left.leg.track);
        left.sort_by_key(|(_, left)| (there(left), taken_on(left)));
        let mut shifts = Vec::new();
        for all in left.chunk_by(|(_, one), (_, other)| there(one) == there(other)) {
            let parties = || all.chunk_by(|(_, one), (_, other)| taken_on(one) == taken_on(other));
            let whole = (parties().count() > 1).then_some(all);
            for cars in whole.into_iter().chain(parties()) {
                shifts.extend(self.shifts_of(cars, bans));
            }
        }
        shifts
    }

    /// The other tracks on which cars that are left together may stand.
    fn shifts_of(&self, left: &[OfWish<'_>], bans: &Bans) -> Vec<Shift> {
        let (network, leg) = (self.network(), left[0].1.leg);
        let tracks = network.layout().tracks();
        // A track that is meant for something else is no better than where they are.
        let meant = |track: &TrackIx| {
            tracks[*track].usage == tracks[leg.track].usage
                || tracks[*track].usage == TrackUse::Yard && tracks[*track].offers.is_empty()
        };
        let all_may = |track: &TrackIx| {
            *track != leg.track
                && left.iter().all(|(_, left)| may_be_left(network, &self.room, bans, left, *track))
        };
        let shift = |track: TrackIx| Shift {
            call: leg.to,
            last: left.iter().filter_map(|(_, left)| Some(left.next?.from)).max(),
            from: leg.track,
            track,
            cars: left.iter().map(|(_, left)| left.wish.car).collect(),
            places: left.iter().map(|(place, _)| *place).collect(),
        };
        let others = network.layout().places()[tracks[leg.track].place].tracks.iter().copied();
        others.filter(|track| meant(track) && all_may(track)).map(shift).collect()
    }

    /// Makes a shift, and gives the trips that were there before; nothing, and nothing changes, if there is no room,
    /// or the cars have gone elsewhere meanwhile.
    pub(super) fn shift(&mut self, shift: &Shift) -> Option<Vec<Trip>> {
        let mut trips = self.trips().to_vec();
        for place in &shift.places {
            let trip = &mut trips[*place];
            let at = trip.legs.iter().position(|leg| (leg.to, leg.track) == (shift.call, shift.from))?;
            trip.leave_on(at, shift.track);
        }
        let first = self.room.rank(shift.call) + 1;
        let until = shift.last.map_or(first, |last| self.room.rank(last));
        self.change_to(&trips, &shift.places, (shift.track, first..=until))
    }
}
