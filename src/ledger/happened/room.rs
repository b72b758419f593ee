//! Whether the cars of a row find room on their track.

use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::Layout;
use crate::units::{Cars, Length};

/// Cars on a track from west to east, each with the spot it stands at.
pub(in crate::ledger) type Row = Vec<(CarIx, Option<SpotIx>)>;

/// Whether a track takes a row: its length, its kinds of car and their number, and its spots, in order.
pub(in crate::ledger) fn fits(layout: &Layout, track: TrackIx, row: &Row) -> bool {
    let described = &layout.tracks()[track];
    let length = |car: CarIx| layout.cars()[car].length;
    let whole: Length = row.iter().map(|(car, _)| length(*car)).sum();
    let count = |cars: usize| Cars::new(u32::try_from(cars).unwrap_or(u32::MAX));
    let holds = |car: CarIx| described.holds.is_empty() || described.holds.contains(&layout.cars()[car].kind);
    let spots: Vec<SpotIx> = row.iter().filter_map(|(_, spot)| *spot).collect();
    whole <= described.length
        && described.limits.at_once.is_none_or(|most| count(row.len()) <= most)
        && row.iter().all(|(car, _)| holds(*car))
        && spots.is_sorted()
        && described.spots.iter().all(|spot| {
            let at: Vec<CarIx> =
                row.iter().filter(|(_, other)| *other == Some(*spot)).map(|(car, _)| *car).collect();
            let spot = &layout.spots()[*spot];
            spot.cars.is_none_or(|most| count(at.len()) <= most)
                && spot.length.is_none_or(|most| at.iter().map(|car| length(*car)).sum::<Length>() <= most)
        })
}

/// The place in a row for one more car: by its spot, or at the east end.
pub(in crate::ledger) fn slot(row: &Row, spot: Option<SpotIx>) -> usize {
    let beyond = |other: Option<SpotIx>| other.zip(spot).is_some_and(|(other, spot)| other > spot);
    row.iter().position(|(_, other)| beyond(*other)).unwrap_or(row.len())
}
