//! The order in which somebody walks along the layout: from its west end along the links, every branch to its end
//! before the next; at a place the tracks that trains run through first, then those where cars wait, then the spurs.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::session::plan::World;

/// The places of a layout as one walks along it; those that no link reaches come last.
pub(super) fn places(world: &World) -> Vec<&Id> {
    let mut next: BTreeMap<&Id, (Vec<&Id>, Vec<&Id>)> = BTreeMap::new();
    for link in &world.links {
        next.entry(&link.west).or_default().1.push(&link.east);
        next.entry(&link.east).or_default().0.push(&link.west);
    }
    let mut walk = Walk { next: &next, been: BTreeSet::new(), order: Vec::new() };
    let from_west = next.iter().filter(|(_, (west, _))| west.is_empty()).map(|(place, _)| *place);
    for place in from_west.chain(next.keys().copied()).chain(world.places.iter().map(|place| &place.id)) {
        walk.from(place);
    }
    walk.order
}

/// A walk as far as it has come.
struct Walk<'w, 'a> {
    /// The places next to each: those west of it, and those east of it.
    next: &'w BTreeMap<&'a Id, (Vec<&'a Id>, Vec<&'a Id>)>,
    been: BTreeSet<&'a Id>,
    order: Vec<&'a Id>,
}

impl<'a> Walk<'_, 'a> {
    fn from(&mut self, place: &'a Id) {
        let mut to_see = vec![place];
        while let Some(place) = to_see.pop() {
            if !self.been.insert(place) {
                continue;
            }
            self.order.push(place);
            if let Some((west, east)) = self.next.get(place) {
                // The last one is seen first.
                to_see.extend(east.iter().rev().chain(west.iter().rev()));
            }
        }
    }
}
