//! What a host calls the things of a layout: names, never ids.

use crate::ids::{CallIx, TrackIx};
use crate::layout::{Layout, SpotTarget, track_words};
use crate::said::{self, Given};

use super::{Made, reasons};

/// A track: `track 2`.
pub(super) fn track(layout: &Layout, track: TrackIx) -> String {
    let described = &layout.tracks()[track];
    track_words(&described.name, &described.id)
}

/// Several tracks: `track 1, track 2 and track 6`.
pub(super) fn tracks(layout: &Layout, some: &[TrackIx]) -> Given {
    all(some.iter().map(|ix| reasons::track(layout, *ix)).collect())
}

/// A spot, or a whole track: `door 1`, `track 2`.
pub(super) fn target(layout: &Layout, target: SpotTarget) -> String {
    match target {
        SpotTarget::Spot(spot) => layout.spots()[spot].name.to_string(),
        SpotTarget::Track(ix) => track(layout, ix),
    }
}

/// The job of a call; which of its calls, if it makes several at the place.
pub(super) fn call(made: &Made<'_>, call: CallIx) -> Given {
    let calls = made.network.calls();
    let here = &calls[call];
    let job = &made.network.layout().jobs()[here.job];
    let visits = job.calls.iter().filter(|stop| stop.place == here.place).count();
    if visits < 2 {
        return (&*job.name).into();
    }
    let words = match here.previous {
        None => said::starting(&*job.name),
        Some(_) if here.next.is_none() => said::coming_back(&*job.name),
        Some(_) => said::at_its_call(&*job.name, here.stop + 1),
    };
    words.into()
}

/// A list in words: `a, b and c`.
pub(super) fn list(mut items: Vec<String>) -> String {
    match items.pop() {
        None => String::new(),
        Some(last) if items.is_empty() => last,
        Some(last) => format!("{} and {last}", items.join(", ")),
    }
}

/// A list as a saying: `a, b and c`.
pub(super) fn all(mut items: Vec<Given>) -> Given {
    let last = items.pop();
    let before = items.into_iter().reduce(|first, next| said::and_also(first, next).into());
    match (before, last) {
        (Some(before), Some(last)) => said::list_and(before, last).into(),
        (before, last) => before.or(last).unwrap_or_else(|| "".into()),
    }
}

/// So many cars, in words.
pub(super) fn cars(count: i64) -> Given {
    if count == 1 { said::one_car_there().into() } else { said::so_many_cars(count).into() }
}
