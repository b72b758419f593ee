//! What stands on the tracks of a yard after every call, and what would stand there if nobody had
//! been refused for want of room.

use std::collections::BTreeMap;

use crate::ids::{CallIx, CarIx, IxVec, PlaceIx, TrackIx};
use crate::layout::Layout;
use crate::trips::Hindrance;
use crate::units::Length;

use super::Made;

/// Cars, and their scale inches over couplers; below nothing where more go than come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Load {
    pub(super) cars: i64,
    pub(super) inches: i64,
}

impl Load {
    pub(super) fn of(layout: &Layout, car: CarIx) -> Self {
        Load { cars: 1, inches: inches(layout.cars()[car].length) }
    }

    pub(super) const fn plus(self, other: Load) -> Self {
        Load { cars: self.cars + other.cars, inches: self.inches + other.inches }
    }

    const fn minus(self, other: Load) -> Self {
        Load { cars: self.cars - other.cars, inches: self.inches - other.inches }
    }
}

/// A length as it is summed up here.
pub(super) fn inches(length: Length) -> i64 {
    i64::from(length.whole_scale_inches())
}

/// What one call changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Change {
    pub(super) call: CallIx,
    /// What comes, less what goes.
    pub(super) net: Load,
    /// What would have come, had there been room.
    pub(super) refused: Load,
}

/// The course of a session on some tracks of a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Course {
    pub(super) start: Load,
    /// The calls that change something, in the order of events.
    pub(super) changes: Vec<Change>,
}

impl Course {
    /// The same as it is run: nobody comes who was refused.
    pub(super) fn without_refused(mut self) -> Self {
        for change in &mut self.changes {
            change.refused = Load::default();
        }
        self
    }

    /// What stands there after every change, those that were refused counted.
    pub(super) fn stands(&self) -> impl Iterator<Item = Load> {
        self.changes.iter().scan(self.start, |stands, change| {
            *stands = stands.plus(change.net).plus(change.refused);
            Some(*stands)
        })
    }
}

/// A car that comes onto a track or goes from it.
#[derive(Clone, Copy, Debug)]
struct Move {
    call: CallIx,
    track: TrackIx,
    car: CarIx,
    comes: bool,
}

/// All that moves in a session, by place.
#[derive(Debug)]
pub(super) struct Moves {
    moves: IxVec<PlaceIx, Vec<Move>>,
    /// The cars for which a yard had no room, by the place and the call at which they would have come.
    refused: BTreeMap<PlaceIx, BTreeMap<CallIx, Vec<CarIx>>>,
}

impl Moves {
    pub(super) fn new(made: &Made<'_>) -> Self {
        let layout = made.network.layout();
        let mut moves = IxVec::filled(Vec::new(), layout.places().len());
        let mut refused: BTreeMap<PlaceIx, BTreeMap<CallIx, Vec<CarIx>>> = BTreeMap::new();
        for (wish, trip) in made.demand.wishes.iter().zip(&made.trips.trips) {
            let car = wish.car;
            for leg in &trip.legs {
                for (call, track, comes) in [(leg.from, leg.from_track, false), (leg.to, leg.track, true)] {
                    moves[layout.tracks()[track].place].push(Move { call, track, car, comes });
                }
            }
            if let Some(Hindrance::YardFull(_, call)) = trip.told {
                let here = refused.entry(made.network.calls()[call].place).or_default();
                here.entry(call).or_default().push(car);
            }
        }
        Moves { moves, refused }
    }

    /// The calls that could not leave cars for want of room.
    pub(super) fn refusing(&self) -> impl Iterator<Item = CallIx> {
        self.refused.values().flat_map(BTreeMap::keys).copied()
    }

    /// The course on some tracks of a place; a car is refused if its call may leave it on them.
    pub(super) fn course(&self, made: &Made<'_>, place: PlaceIx, tracks: &[TrackIx]) -> Course {
        let layout = made.network.layout();
        let standing = &made.demand.standing;
        let start = tracks.iter().flat_map(|track| standing.on(*track));
        let start = start.fold(Load::default(), |sum, car| sum.plus(Load::of(layout, *car)));
        let mut changes: BTreeMap<CallIx, (Load, Load)> = BTreeMap::new();
        for moved in self.moves[place].iter().filter(|moved| tracks.contains(&moved.track)) {
            let (net, _) = changes.entry(moved.call).or_default();
            let load = Load::of(layout, moved.car);
            *net = if moved.comes { net.plus(load) } else { net.minus(load) };
        }
        for (call, cars) in self.refused.get(&place).into_iter().flatten() {
            if room_for(made, *call) == tracks {
                let (_, refused) = changes.entry(*call).or_default();
                *refused = cars.iter().fold(*refused, |sum, car| sum.plus(Load::of(layout, *car)));
            }
        }
        let changes = changes.into_iter().map(|(call, (net, refused))| Change { call, net, refused });
        let nothing = Load::default();
        Course {
            start,
            changes: changes.filter(|change| (change.net, change.refused) != (nothing, nothing)).collect(),
        }
    }
}

/// The tracks on which the job of a call may leave cars for another job.
pub(super) fn room_for(made: &Made<'_>, call: CallIx) -> Vec<TrackIx> {
    let layout = made.network.layout();
    let place = &layout.places()[made.network.calls()[call].place];
    let keeps =
        |track: &TrackIx| layout.tracks()[*track].usage.keeps_cars() && made.network.may_switch(call, *track);
    place.tracks.iter().copied().filter(keeps).collect()
}
