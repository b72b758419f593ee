//! How far places lie apart, for a program that wants to compare.

use serde::Serialize;

use crate::ids::Id;
use crate::layout::Layout;
use crate::network::{Network, Passing};
use crate::units::{Date, Minutes};

/// The cheapest way from one place to another for a car that passes everywhere.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WayLine {
    /// Where it begins.
    pub from: Id,
    /// Where it ends.
    pub to: Id,
    /// The run over its links in seconds; nothing where no links join the two.
    pub seconds: Option<Minutes>,
}

/// The ways between all ordered pairs of places that are there on a day.
pub fn ways(layout: &Layout, date: Date) -> Vec<WayLine> {
    let network = Network::new(layout, date);
    let there: Vec<_> = layout.places().iter().filter(|(ix, _)| network.has_place(*ix)).collect();
    let pairs = there.iter().flat_map(|from| there.iter().map(move |to| (from, to)));
    pairs
        .filter(|((from, _), (to, _))| from != to)
        .map(|((from, start), (to, goal))| WayLine {
            from: start.id.clone(),
            to: goal.id.clone(),
            seconds: network.way(&Passing::default(), *from, *to).ok().map(|way| way.minutes),
        })
        .collect()
}
