//! Follows what happens before the first crew begins: releases, and cars lifted and placed by hand.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::Event;

use super::super::names::Names;

/// What is done by hand, and how everything stands afterwards.
#[derive(Debug, Default)]
pub(super) struct ByHand<'a> {
    /// The cars lifted, by gateway and track.
    pub(super) lifted: Vec<Run<'a>>,
    /// The cars placed, by gateway and track, in the order in which they stand from west.
    pub(super) placed: Vec<Run<'a>>,
    /// What is in each car that a customer has finished with.
    pub(super) released: BTreeMap<&'a Id, Option<&'a Id>>,
    /// The cars on each track afterwards, from west to east.
    pub(super) rows: BTreeMap<&'a Id, Vec<&'a Id>>,
    /// What is in each car on a track.
    pub(super) ladings: BTreeMap<&'a Id, Option<&'a Id>>,
    /// The spot of each car that stands at one.
    pub(super) spots: BTreeMap<&'a Id, &'a Id>,
}

/// Cars that are lifted from one track or placed on one, one after the other.
#[derive(Debug)]
pub(super) struct Run<'a> {
    pub(super) placed: bool,
    pub(super) gateway: &'a Id,
    pub(super) track: &'a Id,
    /// The easternmost car that stood there before the first of them was placed.
    pub(super) stands_last: Option<&'a Id>,
    /// The cars with what is in them.
    pub(super) cars: Vec<(&'a Id, Option<&'a Id>)>,
}

impl<'a> ByHand<'a> {
    pub(super) fn follow(names: &Names<'a>) -> Self {
        let mut by_hand = ByHand::default();
        for (track, row) in &names.plan.before.tracks {
            for standing in row {
                by_hand.rows.entry(track).or_default().push(&standing.car);
                by_hand.ladings.insert(&standing.car, standing.lading.as_ref());
                by_hand.spots.extend(standing.spot.as_ref().map(|spot| (&standing.car, spot)));
            }
        }
        for event in &names.plan.events {
            match event {
                Event::Released { car, lading } => {
                    by_hand.released.insert(car, lading.as_ref());
                    by_hand.ladings.insert(car, lading.as_ref());
                }
                Event::Lifted { car, track, gateway } => by_hand.lift(car, track, gateway),
                Event::Placed { car, track, gateway, lading } => {
                    by_hand.place((car, lading.as_ref()), track, gateway);
                }
                _ => {}
            }
        }
        by_hand
    }

    fn lift(&mut self, car: &'a Id, track: &'a Id, gateway: &'a Id) {
        self.rows.entry(track).or_default().retain(|standing| *standing != car);
        self.spots.remove(car);
        let entry = (car, self.ladings.get(car).copied().flatten());
        match self.lifted.iter_mut().find(|run| run.gateway == gateway && run.track == track) {
            Some(run) => run.cars.push(entry),
            None => {
                self.lifted.push(Run { placed: false, gateway, track, stands_last: None, cars: vec![entry] });
            }
        }
    }

    fn place(&mut self, entry: (&'a Id, Option<&'a Id>), track: &'a Id, gateway: &'a Id) {
        let row = self.rows.entry(track).or_default();
        let stands_last = row.last().copied();
        row.push(entry.0);
        self.ladings.insert(entry.0, entry.1);
        // A run ends where a car of another gateway stands in between.
        let goes_on = |run: &&mut Run<'_>| {
            run.gateway == gateway
                && run.track == track
                && run.cars.last().map(|(car, _)| *car) == stands_last
        };
        match self.placed.iter_mut().find(goes_on) {
            Some(run) => run.cars.push(entry),
            None => self.placed.push(Run { placed: true, gateway, track, stands_last, cars: vec![entry] }),
        }
    }
}
