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
    /// The run that moved a car of each track last: whether it placed it, and which of its kind it is.
    last: BTreeMap<&'a Id, (bool, usize)>,
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
        let tracks: Vec<&Id> = by_hand.last.keys().copied().collect();
        for track in tracks {
            by_hand.finish(track);
        }
        by_hand
    }

    fn lift(&mut self, car: &'a Id, track: &'a Id, gateway: &'a Id) {
        let run = self.lifted.iter().position(|run| run.gateway == gateway && run.track == track);
        let run = self.run(run, Run::new(false, gateway, track));
        let entry = (car, self.ladings.get(car).copied().flatten());
        self.rows.entry(track).or_default().retain(|standing| *standing != car);
        self.spots.remove(car);
        self.lifted[run].cars.push(entry);
    }

    fn place(&mut self, entry: (&'a Id, Option<&'a Id>), track: &'a Id, gateway: &'a Id) {
        let stands_last = self.rows.get(track).and_then(|row| row.last()).copied();
        // A run ends where a car of another gateway stands in between.
        let run = self.placed.iter().position(|run| {
            run.gateway == gateway
                && run.track == track
                && run.cars.last().map(|(car, _)| *car) == stands_last
        });
        let run = self.run(run, Run { stands_last, ..Run::new(true, gateway, track) });
        self.rows.entry(track).or_default().push(entry.0);
        self.ladings.insert(entry.0, entry.1);
        self.placed[run].cars.push(entry);
    }

    /// The place of the run that goes on, or of a new one, before its next car is moved. Where another moved
    /// a car of the track before it, that one is over for now: the track stands as it leaves it.
    fn run(&mut self, known: Option<usize>, new: Run<'a>) -> usize {
        let (placed, track) = (new.placed, new.track);
        let runs = if placed { &self.placed } else { &self.lifted };
        let place = known.unwrap_or(runs.len());
        if self.last.get(track) != Some(&(placed, place)) {
            self.finish(track);
            self.last.insert(track, (placed, place));
        }
        if known.is_none() {
            let before = self.rows.get(track).cloned().unwrap_or_default();
            let runs = if placed { &mut self.placed } else { &mut self.lifted };
            runs.push(Run { before, ..new });
        }
        place
    }

    /// Notes how a track stands for the run that moved a car of it last.
    fn finish(&mut self, track: &Id) {
        let Some((placed, place)) = self.last.get(track).copied() else { return };
        let runs = if placed { &mut self.placed } else { &mut self.lifted };
        if let Some(run) = runs.get_mut(place) {
            run.after = self.rows.get(track).cloned().unwrap_or_default();
        }
    }
}

impl<'a> Run<'a> {
    fn new(placed: bool, gateway: &'a Id, track: &'a Id) -> Self {
        Run {
            placed,
            gateway,
            track,
            stands_last: None,
            before: Vec::new(),
            after: Vec::new(),
            cars: Vec::new(),
        }
    }
}
