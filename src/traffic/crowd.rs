//! What is at customers' spots and under way to them: none is flooded.
//!
//! Cars for the same list of spots are counted together, and every spot knows the lists it is on, so
//! that a question looks at the lists that share a spot with it and at no others.

use std::collections::{BTreeMap, BTreeSet};

use super::fits::room_for;
use crate::layout::{Layout, SpotTarget};
use crate::said::{self, Worded};
use crate::units::Cars;

/// How many cars are at or under way to each list of spots.
pub(super) struct Crowd<'l> {
    layout: &'l Layout,
    lists: Vec<(&'l [SpotTarget], u32)>,
    known: BTreeMap<&'l [SpotTarget], usize>,
    lists_at: BTreeMap<SpotTarget, Vec<usize>>,
}

impl<'l> Crowd<'l> {
    /// The crowd of cars bound for these spots, a list a car.
    pub(super) fn new(layout: &'l Layout, bound: impl IntoIterator<Item = &'l [SpotTarget]>) -> Self {
        let mut crowd =
            Crowd { layout, lists: Vec::new(), known: BTreeMap::new(), lists_at: BTreeMap::new() };
        bound.into_iter().for_each(|spots| crowd.add(spots));
        crowd
    }

    /// Counts one more car for these spots.
    pub(super) fn add(&mut self, spots: &'l [SpotTarget]) {
        let list = *self.known.entry(spots).or_insert_with(|| {
            for target in spots {
                self.lists_at.entry(*target).or_default().push(self.lists.len());
            }
            self.lists.push((spots, 0));
            self.lists.len() - 1
        });
        self.lists[list].1 += 1;
    }

    /// The lists that share a spot with this one.
    fn near(&self, spots: &[SpotTarget]) -> BTreeSet<usize> {
        spots.iter().filter_map(|target| self.lists_at.get(target)).flatten().copied().collect()
    }

    /// Whether enough cars are at some spots, under way to them, and about to be sent: cars that can go
    /// nowhere else, or cars for these spots and those that they share customers with, all together.
    pub(super) fn full(&self, spots: &[SpotTarget]) -> Option<Worded> {
        let mut shared = spots.to_vec();
        for list in self.near(spots) {
            let more = self.lists[list].0.iter().filter(|target| !shared.contains(target));
            let more: Vec<SpotTarget> = more.copied().collect();
            shared.extend(more);
        }
        [spots, &shared].into_iter().filter(|spots| !spots.is_empty()).find_map(|spots| {
            let room = room_for(self.layout, spots);
            let lists = self.near(spots).into_iter().map(|list| self.lists[list]);
            let only = lists.filter(|(list, _)| list.iter().all(|target| spots.contains(target)));
            let cars = Cars::new(only.map(|(_, cars)| cars).sum());
            (cars.count() >= room.count() * 2).then(|| said::enough(cars.count(), room.count()))
        })
    }
}
