//! One place while a crew works it: the rows of its tracks, the engine's cut, and the two movements
//! there are.
//!
//! [`Site::couple`] and [`Site::leave`] refuse what cannot be done on the real track: the wrong end,
//! cars in the way, no room, a lead too short. Every way of working is a sequence of the two, so
//! nothing that comes out of this module can break rules 2, 3 (leads) and 4. What was tried is taken back
//! ([`Site::take_back`]) and can be made once more.

use std::rc::Rc;

use crate::ids::{CallIx, CarIx, IxVec, SpotIx, TrackIx};
use crate::layout::{End, Opens, TrackUse};
use crate::network::Network;
use crate::units::{Length, Tons};

use super::Cut;

/// A car on a track, at one of its spots or at none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OnTrack {
    /// The car.
    pub car: CarIx,
    /// The spot.
    pub spot: Option<SpotIx>,
}

/// The cars on a track, from west to east. Copies of a place share the rows that are alike.
pub type Row = Rc<Vec<OnTrack>>;

/// One movement of the engine with a cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Handling {
    /// What is done.
    pub movement: Movement,
    /// The track.
    pub track: TrackIx,
    /// The end at which the engine works.
    pub end: End,
    /// The cars, from west to east.
    pub cars: Vec<OnTrack>,
}

/// What a handling does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Movement {
    /// Couples cars and draws them out.
    Couple,
    /// Shoves cars in and uncouples.
    Leave,
}

/// What stops a movement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The track does not open at that end.
    WrongEnd(TrackIx),
    /// The job may not switch the track.
    NotIts(TrackIx),
    /// The track is reached only through another, on which cars stand.
    Behind(TrackIx),
    /// The track has no room for the cut.
    NoRoom(TrackIx),
    /// The cut does not fit the lead at that end.
    Lead(End),
    /// No track at the place can take the cars that stand in the way for a moment.
    NoParking,
    /// The engine cannot get to the other end of its cars.
    NoRunAround,
    /// The car cannot be got at from either end.
    NotReached(CarIx),
    /// The placarded car cannot ride in the train where the layout's table lets it.
    Placarded(CarIx),
}

/// A place while a crew works it.
#[derive(Clone, Debug)]
pub(super) struct Site<'a> {
    network: &'a Network<'a>,
    weights: &'a IxVec<CarIx, Tons>,
    call: CallIx,
    rows: Vec<(TrackIx, Row)>,
    cut: Cut,
    log: Vec<Rc<Handling>>,
    /// A cut was drawn out that only fits because it goes away at once: nothing may follow.
    going: Option<(TrackIx, End)>,
}

impl<'a> Site<'a> {
    /// A place as a crew finds it.
    pub(super) fn new(
        network: &'a Network<'a>,
        weights: &'a IxVec<CarIx, Tons>,
        call: CallIx,
        rows: &IxVec<TrackIx, Row>,
        cut: Cut,
    ) -> Self {
        let place = &network.layout().places()[network.calls()[call].place];
        let built = place.tracks.iter().filter(|track| network.has_track(**track));
        let rows = built.map(|track| (*track, Rc::clone(&rows[*track]))).collect();
        Site { network, weights, call, rows, cut, log: Vec::new(), going: None }
    }

    /// The tracks of the place, with the cars on them from west to east.
    pub(super) fn rows(&self) -> &[(TrackIx, Row)] {
        &self.rows
    }

    /// The cars on a track, from west to east.
    pub(super) fn row(&self, track: TrackIx) -> &[OnTrack] {
        self.rows.iter().find(|(known, _)| *known == track).map_or(&[], |(_, row)| row.as_slice())
    }

    /// The engine's cut.
    pub(super) const fn cut(&self) -> &Cut {
        &self.cut
    }

    /// The movements so far.
    pub(super) fn log(&self) -> &[Rc<Handling>] {
        &self.log
    }

    /// Hands the result over.
    pub(super) fn into_parts(self) -> (Vec<Handling>, Cut, Vec<(TrackIx, Row)>) {
        (self.log.into_iter().map(Rc::unwrap_or_clone).collect(), self.cut, self.rows)
    }

    /// The network, for questions about tracks.
    pub(super) const fn network(&self) -> &'a Network<'a> {
        self.network
    }

    /// The call.
    pub(super) const fn call(&self) -> CallIx {
        self.call
    }

    /// How many cars on a track, from the far end on, stand there as wanted.
    pub(super) fn right(&self, track: TrackIx, end: End, wanted: &[OnTrack]) -> usize {
        let row = self.row(track).iter();
        match end {
            End::West => row.rev().zip(wanted.iter().rev()).take_while(|(is, shall)| is == shall).count(),
            End::East => row.zip(wanted).take_while(|(is, shall)| is == shall).count(),
        }
    }

    /// Couples so many cars at an end of a track and draws them out.
    pub(super) fn couple(&mut self, track: TrackIx, end: End, count: usize) -> Result<(), Trouble> {
        self.reach(track, end)?;
        if self.goes_round(track, end)
            && (!self.can_pass(track) || self.left_beside_others(track, end, count))
        {
            return Err(Trouble::NoRunAround);
        }
        let row = self.row(track);
        assert!(count <= row.len(), "asked for cars that are not there");
        let taken = if end == End::West { &row[..count] } else { &row[row.len() - count..] };
        let cars = taken.to_vec();
        self.make(Rc::new(Handling { movement: Movement::Couple, track, end, cars }));
        Ok(())
    }

    /// Leaves the outermost cars of the cut at an end of a track, the outermost at the far end. A
    /// car's spot is what `spot` says of it.
    pub(super) fn leave(
        &mut self,
        track: TrackIx,
        end: End,
        count: usize,
        spot: impl Fn(CarIx) -> Option<SpotIx>,
    ) -> Result<(), Trouble> {
        self.reach(track, end)?;
        assert!(count <= self.cut.cars.len(), "asked to leave cars that are not there");
        let described = &self.network.layout().tracks()[track];
        let straight_in = self.log.is_empty()
            && self.came_in().is_some_and(|from| described.opens == Opens::Both || from == end);
        if !straight_in && !self.fits_lead(end) {
            return Err(Trouble::Lead(end));
        }
        let left = &self.cut.cars[self.cut.cars.len() - count..];
        if self.length_of(left) > self.room(track) || left.iter().any(|car| !self.takes(track, *car)) {
            return Err(Trouble::NoRoom(track));
        }
        // The cut's outermost car goes furthest in: seen from the end, the cut keeps its order.
        let mut cars: Vec<OnTrack> = left.iter().map(|car| OnTrack { car: *car, spot: spot(*car) }).collect();
        if end == End::East {
            cars.reverse();
        }
        self.make(Rc::new(Handling { movement: Movement::Leave, track, end, cars }));
        Ok(())
    }

    /// Takes back all movements but the first ones, so many; gives them, to be made once more.
    pub(super) fn take_back(&mut self, but: usize) -> Vec<Rc<Handling>> {
        let back = self.log.split_off(but);
        for done in back.iter().rev() {
            match done.movement {
                Movement::Couple => self.shove_in(done),
                Movement::Leave => self.draw_out(done),
            }
            self.going = None;
        }
        back
    }

    /// Makes a movement that can be made.
    pub(super) fn make(&mut self, done: Rc<Handling>) {
        match done.movement {
            Movement::Couple => {
                self.draw_out(&done);
                if !self.fits_lead(done.end) {
                    self.going = Some((done.track, done.end));
                }
            }
            Movement::Leave => self.shove_in(&done),
        }
        self.log.push(done);
    }

    /// Brings cars from their track onto the cut.
    fn draw_out(&mut self, handled: &Handling) {
        let row = self.row_mut(handled.track);
        let inward = handled.cars.iter().map(|on| on.car);
        match handled.end {
            End::West => {
                row.drain(..handled.cars.len());
                self.cut.cars.extend(inward);
            }
            End::East => {
                row.truncate(row.len() - handled.cars.len());
                self.cut.cars.extend(inward.rev());
            }
        }
        self.cut.end = Some(handled.end);
    }

    /// Brings the outermost cars of the cut onto their track.
    fn shove_in(&mut self, handled: &Handling) {
        let row = self.row_mut(handled.track);
        row.extend_from_slice(&handled.cars);
        if handled.end == End::West {
            row.rotate_right(handled.cars.len());
        }
        self.cut.cars.truncate(self.cut.cars.len() - handled.cars.len());
        if self.cut.cars.is_empty() {
            self.cut.end = None;
        }
    }

    /// Does a movement of another way once more, with so many of its outermost cars.
    pub(super) fn redo(&mut self, done: &Handling, count: usize) -> Result<(), Trouble> {
        let spot = |car: CarIx| done.cars.iter().find(|on| on.car == car).and_then(|on| on.spot);
        match done.movement {
            Movement::Couple => self.couple(done.track, done.end, count),
            Movement::Leave => self.leave(done.track, done.end, count, spot),
        }
    }

    /// Whether the train can go on as it is: a cut that outgrew its lead must go out the way it
    /// was drawn.
    pub(super) fn may_go(&self) -> Result<(), Trouble> {
        let Some((track, end)) = self.going else { return Ok(()) };
        let leaves = self.network.calls()[self.call].ride.as_ref().map(|ride| ride.leaves);
        let through = self.network.layout().tracks()[track].opens == Opens::Both;
        match leaves {
            Some(leaves) if through || leaves == end => Ok(()),
            _ => Err(Trouble::Lead(end)),
        }
    }

    /// The room left on a track.
    pub(super) fn room(&self, track: TrackIx) -> Length {
        self.network.layout().tracks()[track].length.less(self.length_on(track))
    }

    /// The length of cars over couplers.
    pub(super) fn length_of(&self, cars: &[CarIx]) -> Length {
        cars.iter().map(|car| self.network.layout().cars()[*car].length).sum()
    }

    /// Whether a car may stand on a track at all.
    pub(super) fn takes(&self, track: TrackIx, car: CarIx) -> bool {
        self.network.takes(track, car, self.weights[car])
    }

    /// Whether an engine that left cars on this track can get past them to their other end.
    pub(super) fn can_pass(&self, track: TrackIx) -> bool {
        let tracks = self.network.layout().tracks();
        matches!(tracks[track].usage, TrackUse::RunAround | TrackUse::Main)
            || self
                .rows
                .iter()
                .any(|(other, row)| *other != track && tracks[*other].opens == Opens::Both && row.is_empty())
    }

    /// Whether the engine can work an end of a track now.
    fn reach(&self, track: TrackIx, end: End) -> Result<(), Trouble> {
        if let Some((_, lead)) = self.going {
            return Err(Trouble::Lead(lead));
        }
        let described = &self.network.layout().tracks()[track];
        if !described.opens.at(end) || self.cut.end.is_some_and(|works| works != end) {
            return Err(Trouble::WrongEnd(track));
        }
        if !self.network.may_switch(self.call, track) {
            return Err(Trouble::NotIts(track));
        }
        match described.behind {
            Some(before) if !self.row(before).is_empty() => Err(Trouble::Behind(before)),
            _ => Ok(()),
        }
    }

    /// Whether coupling at this end takes cars that this crew left at the other end.
    fn goes_round(&self, track: TrackIx, end: End) -> bool {
        let left = self.log.iter().rev().find(|handling| handling.track == track);
        left.is_some_and(|handling| handling.movement == Movement::Leave && handling.end != end)
    }

    /// Whether the crew would go round the cars that it has just left beside others, to couple to them again.
    fn left_beside_others(&self, track: TrackIx, end: End, count: usize) -> bool {
        let left = |handling: &&Rc<Handling>| handling.movement == Movement::Leave;
        let last = self.log.last().filter(|last| left(last) && last.track == track);
        let has = |handling: &Handling, car: CarIx| handling.cars.iter().any(|on| on.car == car);
        let row = self.row(track);
        let coupled = if end == End::West { &row[..count] } else { &row[row.len() - count..] };
        last.is_some_and(|last| coupled.iter().any(|on| has(last, on.car)))
            && row.iter().any(|on| !self.log.iter().filter(left).any(|handling| has(handling, on.car)))
    }

    fn fits_lead(&self, end: End) -> bool {
        let layout = self.network.layout();
        let call = &self.network.calls()[self.call];
        let train = layout.jobs()[call.job].power.length + self.length_of(&self.cut.cars);
        layout.places()[call.place].lead.at(end).is_none_or(|lead| train <= lead)
    }

    fn came_in(&self) -> Option<End> {
        let previous = self.network.calls()[self.call].previous?;
        self.network.calls()[previous].ride.as_ref().map(|ride| ride.comes_in)
    }

    fn length_on(&self, track: TrackIx) -> Length {
        self.row(track).iter().map(|on| self.network.layout().cars()[on.car].length).sum()
    }

    fn row_mut(&mut self, track: TrackIx) -> &mut Vec<OnTrack> {
        let row = self.rows.iter_mut().find(|(known, _)| *known == track);
        Rc::make_mut(&mut row.expect("a job switches only tracks of the place it calls at").1)
    }
}
