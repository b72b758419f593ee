//! What a host calls the things of a layout: names, never ids.

use crate::ids::{CallIx, TrackIx};
use crate::layout::{Layout, SpotTarget, track_words};

use super::Made;

/// A track: `track 2`.
pub(super) fn track(layout: &Layout, track: TrackIx) -> String {
    let described = &layout.tracks()[track];
    track_words(&described.name, &described.id)
}

/// Several tracks: `track 1, track 2 and track 6`.
pub(super) fn tracks(layout: &Layout, some: &[TrackIx]) -> String {
    list(some.iter().map(|ix| track(layout, *ix)).collect())
}

/// A spot, or a whole track: `door 1`, `track 2`.
pub(super) fn target(layout: &Layout, target: SpotTarget) -> String {
    match target {
        SpotTarget::Spot(spot) => layout.spots()[spot].name.to_string(),
        SpotTarget::Track(ix) => track(layout, ix),
    }
}

/// The job of a call; which of its calls, if it makes several at the place.
pub(super) fn call(made: &Made<'_>, call: CallIx) -> String {
    let calls = made.network.calls();
    let here = &calls[call];
    let job = &made.network.layout().jobs()[here.job];
    let visits = job.calls.iter().filter(|stop| stop.place == here.place).count();
    if visits < 2 {
        return job.name.to_string();
    }
    match here.previous {
        None => format!("{} (starting)", job.name),
        Some(_) if here.next.is_none() => format!("{} (coming back)", job.name),
        Some(_) => format!("{} (call {})", job.name, here.stop + 1),
    }
}

/// A list in words: `a, b and c`.
pub(super) fn list(mut items: Vec<String>) -> String {
    match items.pop() {
        None => String::new(),
        Some(last) if items.is_empty() => last,
        Some(last) => format!("{} and {last}", items.join(", ")),
    }
}

/// So many cars, in words.
pub(super) fn cars(count: impl Into<i64>) -> String {
    match count.into() {
        1 => "one car".to_owned(),
        count => format!("{count} cars"),
    }
}
