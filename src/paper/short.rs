//! Short numbers, on request: a car by the end of its number that no other car has which the reader of
//! a sheet can meet; with its mark where the end alone would not do.
//!
//! The crew of a job can meet whatever stands at any moment of the session on a track of a place that it
//! calls at or goes through. Sheets without a job are read beside the whole roster. Car cards keep whole
//! numbers: they stay with their cars.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::layout::Layout;
use crate::session::plan::{Event, Plan, WorldJob};

use super::phrase::Piece;
use super::sheet::{Block, Sheet};
use super::words::Words;

/// The form that keeps whole numbers.
const WHOLE: &str = "car-cards";

/// The fewest signs of a short number: a single one is misread too easily.
const FEWEST: usize = 2;

/// Names the cars of all sheets but the car cards by short numbers, and says so at their heads.
pub fn shorten(sheets: &mut [Sheet], words: &Words, plan: &Plan, layout: &Layout) {
    let all: BTreeSet<&Id> =
        layout.cars().values().map(|car| &car.id).chain(plan.world.cars.iter().map(|car| &car.id)).collect();
    let everywhere = endings(&all);
    for sheet in sheets.iter_mut().filter(|sheet| sheet.form != WHOLE) {
        let job = sheet.job.as_ref().and_then(|id| plan.world.jobs.iter().find(|job| job.id == *id));
        let own = job.map(|job| endings(&met(plan, job)));
        let short = own.as_ref().unwrap_or(&everywhere);
        let mut shortened = false;
        for piece in sheet.phrases_mut().into_iter().flat_map(|phrase| &mut phrase.pieces) {
            if let Piece::Car(car) = piece
                && let Some(short) = short.get(&*car)
            {
                shortened |= short != car.as_str();
                *car = Id::from(short.as_str());
            }
        }
        if shortened {
            let after = sheet.blocks.iter().position(|block| !matches!(block, Block::Facts(_)));
            let place = after.unwrap_or(sheet.blocks.len());
            sheet.blocks.insert(place, Block::Say(words.shared.short_numbers()));
        }
    }
}

/// The cars that the crew of a job can meet.
fn met<'p>(plan: &'p Plan, job: &'p WorldJob) -> BTreeSet<&'p Id> {
    let ways = plan.events.iter().filter_map(|event| match event {
        Event::Goes { job: goes, way, .. } if *goes == job.id => Some(way),
        _ => None,
    });
    let places: BTreeSet<&Id> = job.calls.iter().chain(ways.flatten()).collect();
    let tracks = plan.world.tracks.iter().filter(|track| places.contains(&track.place));
    let tracks: BTreeSet<&Id> = tracks.map(|track| &track.id).collect();
    let before = plan.before.tracks.iter().filter(|(track, _)| tracks.contains(track));
    let mut met: BTreeSet<&Id> = before.flat_map(|(_, row)| row).map(|standing| &standing.car).collect();
    for event in &plan.events {
        match event {
            Event::Placed { car, track, .. } if tracks.contains(track) => {
                met.insert(car);
            }
            Event::Leave { track, cars, .. } if tracks.contains(track) => {
                met.extend(cars.iter().map(|left| &left.car));
            }
            _ => {}
        }
    }
    let own = plan.work.iter().filter(|call| call.job == job.id).flat_map(|call| &call.cars);
    met.extend(own.map(|work| &work.car));
    met
}

/// The shortest name of each car that none of the others has.
fn endings<'c>(cars: &BTreeSet<&'c Id>) -> BTreeMap<&'c Id, String> {
    let mut counts: BTreeMap<&str, u32> = BTreeMap::new();
    let mut marked: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    for car in cars {
        let (mark, number) = parts(car);
        for end in ends(number) {
            *counts.entry(end).or_default() += 1;
            *marked.entry((mark, end)).or_default() += 1;
        }
    }
    let short = |car: &Id| {
        let (mark, number) = parts(car);
        if let Some(end) = ends(number).find(|end| counts.get(end) == Some(&1)) {
            return end.to_owned();
        }
        let end = ends(number).find(|end| marked.get(&(mark, *end)) == Some(&1));
        end.filter(|_| !mark.is_empty()).map_or_else(|| car.to_string(), |end| format!("{mark} {end}"))
    };
    cars.iter().map(|car| (*car, short(car))).collect()
}

/// The mark and the number of a car; wagons that bear nothing but a number have no mark.
fn parts(car: &Id) -> (&str, &str) {
    match car.as_str().split_once(char::is_whitespace) {
        Some((mark, number)) if mark.starts_with(char::is_alphabetic) => (mark, number),
        _ => ("", car.as_str()),
    }
}

/// The ends of a number, the shortest first, the whole of it last; none begins with what only parts it.
fn ends(number: &str) -> impl Iterator<Item = &str> {
    let starts = number.char_indices().filter(|(_, sign)| sign.is_alphanumeric()).map(|(place, _)| place);
    let starts: Vec<usize> = starts.collect();
    let whole = starts.len() < FEWEST;
    let ends = starts.into_iter().rev().skip(FEWEST - 1).filter_map(|start| number.get(start..));
    ends.chain(whole.then_some(number))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn short(cars: &[&str]) -> Vec<String> {
        let cars: Vec<Id> = cars.iter().map(|car| Id::from(*car)).collect();
        let endings = endings(&cars.iter().collect());
        cars.iter().map(|car| endings[car].clone()).collect()
    }

    #[test]
    fn a_car_is_named_by_the_shortest_end_that_no_other_has() {
        assert_eq!(short(&["CHT 1234", "CHT 1534", "GLN 77"]), ["234", "534", "77"]);
        assert_eq!(
            short(&["01 99 3310 254-3", "01 99 3310 266-7", "01 99 3310 244-3"]),
            ["54-3", "6-7", "44-3"]
        );
    }

    #[test]
    fn a_mark_stands_where_the_number_alone_would_not_do() {
        // The whole number of the first is the end of the second: only its mark tells it.
        assert_eq!(short(&["CHT 34", "GLN 1234", "GLN 34"]), ["CHT 34", "234", "GLN 34"]);
        assert_eq!(short(&["CHT 5"]), ["5"]);
    }
}
