//! A train as it leaves a place: on which side of its cars the engine is, and where its caboose rides.

use crate::layout::End;
use crate::session::plan::WorldJob;

use super::course::Departure;
use super::names::Names;
use super::phrase::Phrase;

/// Where the caboose of a train rides, if it has one: at the end of the train's row, or with an engine that has
/// no cars.
pub(super) fn caboose(job: &WorldJob, departure: &Departure<'_>) -> Option<End> {
    let behind = departure.direction.other();
    // A train that is shoved has its caboose before it: still beyond the last car from the engine.
    let row = if departure.side(behind).is_empty() { departure.direction } else { behind };
    (job.caboose && !departure.side(row).is_empty()).then_some(row)
}

/// The train from west to east, its engine and its caboose among its cars.
pub(super) fn from_west(names: &Names<'_>, job: &WorldJob, departure: &Departure<'_>) -> Phrase {
    let shared = &names.words.shared;
    let at = caboose(job, departure);
    let caboose = |end: End| (at == Some(end)).then(|| Phrase::strong(shared.caboose()));
    let cars = |end: End| Phrase::cars(departure.side(end));
    let engine = Phrase::strong(shared.engine());
    let (west, east) = (caboose(End::West), caboose(End::East));
    let row = west.into_iter().chain([cars(End::West), engine, cars(End::East)]).chain(east);
    Phrase::row(row, ", ")
}

/// Where a caboose is when its train has come into a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CabooseIn {
    /// At the end at which the train came in: it rode behind.
    Behind(End),
    /// At the other end: the engine shoved all, and it came in first.
    First(End),
}

impl CabooseIn {
    /// The end at which it is.
    pub(super) const fn end(self) -> End {
        match self {
            CabooseIn::Behind(end) | CabooseIn::First(end) => end,
        }
    }
}

/// Where the caboose of a train is when it has come into the place to which it goes: nothing where there is no run.
pub(super) fn caboose_in(names: &Names<'_>, departure: &Departure<'_>) -> Option<CabooseIn> {
    let [.., before, here] = departure.way else { return None };
    let mut links = names.plan.world.links.iter();
    let came_in = links.find_map(|link| match (&link.west, &link.east) {
        (west, east) if west == before && east == here => Some(End::West),
        (west, east) if west == here && east == before => Some(End::East),
        _ => None,
    })?;
    let behind = departure.side(departure.direction.other()).len();
    let ahead = departure.side(departure.direction).len();
    Some(if ahead > 0 && behind == 0 {
        CabooseIn::First(came_in.other())
    } else {
        CabooseIn::Behind(came_in)
    })
}

/// That the engine shoves cars from one place to the next, where it does.
pub(super) fn shoved(names: &Names<'_>, departure: &Departure<'_>) -> Phrase {
    let shared = &names.words.shared;
    let ahead = departure.side(departure.direction).len();
    // Between two calls at one place there is no run.
    match (ahead, departure.side(departure.direction.other()).len()) {
        _ if departure.way.len() < 2 => Phrase::default(),
        (0, _) => Phrase::default(),
        (_, 0) => shared.shove(),
        _ => shared.shove_ahead(ahead),
    }
}
