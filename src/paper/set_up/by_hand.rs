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
    /// How the track stands before the first of them is moved, from west to east.
    pub(super) before: Vec<&'a Id>,
    /// How it stands after the last.
    pub(super) after: Vec<&'a Id>,
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
        let before = self.rows.get(track).cloned().unwrap_or_default();
        let row = self.rows.entry(track).or_default();
        row.retain(|standing| *standing != car);
        self.spots.remove(car);
        let entry = (car, self.ladings.get(car).copied().flatten());
        let goes_on = |run: &Run<'_>| run.gateway == gateway && run.track == track;
        let new = Run {
            placed: false,
            gateway,
            track,
            stands_last: None,
            before,
            after: Vec::new(),
            cars: Vec::new(),
        };
        add(&mut self.lifted, goes_on, new, entry, row);
    }

    fn place(&mut self, entry: (&'a Id, Option<&'a Id>), track: &'a Id, gateway: &'a Id) {
        let before = self.rows.get(track).cloned().unwrap_or_default();
        let row = self.rows.entry(track).or_default();
        let stands_last = row.last().copied();
        row.push(entry.0);
        self.ladings.insert(entry.0, entry.1);
        // A run ends where a car of another gateway stands in between.
        let goes_on = |run: &Run<'_>| {
            run.gateway == gateway
                && run.track == track
                && run.cars.last().map(|(car, _)| *car) == stands_last
        };
        let new =
            Run { placed: true, gateway, track, stands_last, before, after: Vec::new(), cars: Vec::new() };
        add(&mut self.placed, goes_on, new, entry, row);
    }
}

/// Adds a car to the run that goes on with it, or to a new one, and notes how the track then stands.
fn add<'a>(
    runs: &mut Vec<Run<'a>>,
    goes_on: impl Fn(&Run<'_>) -> bool,
    new: Run<'a>,
    entry: (&'a Id, Option<&'a Id>),
    row: &[&'a Id],
) {
    let place = runs.iter().position(goes_on).unwrap_or(runs.len());
    if place == runs.len() {
        runs.push(new);
    }
    if let Some(run) = runs.get_mut(place) {
        run.cars.push(entry);
        run.after = row.to_vec();
    }
}
