//! Whether the make-up that the plan gives is that of its trains.

use super::Found;
use super::facts::Facts;
use crate::ids::Id;
use crate::session::plan::{Event, MakeUp};

/// Every train with cars that goes from place to place has its line, in the order of events; from the engine
/// outwards, each car is in the block of the track and call where its trip says that this job leaves it.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    let mut lines = facts.plan.make_up.iter();
    for event in &facts.plan.events {
        let Event::Goes { job, call, way, train, .. } = event else { continue };
        let cars: Vec<&Id> = train.west.iter().rev().chain(&train.east).collect();
        if way.len() < 2 || cars.is_empty() {
            continue;
        }
        let line = lines.next();
        if line.is_none_or(|line| line.job != *job || line.call != *call || !fits(facts, line, &cars)) {
            found.say(0, format!("the make-up of `{job}`, call {call}, is not that of its train"));
            return;
        }
    }
    if let Some(line) = lines.next() {
        found.say(0, format!("the make-up of `{}`, call {}, belongs to no train", line.job, line.call));
    }
}

fn fits(facts: &Facts<'_>, line: &MakeUp, train: &[&Id]) -> bool {
    let told = line.blocks.iter().flat_map(|block| &block.cars);
    let parted =
        line.blocks.windows(2).all(|pair| (pair[0].to_call, &pair[0].to) != (pair[1].to_call, &pair[1].to));
    let left = line.blocks.iter().all(|block| {
        block.cars.iter().all(|car| {
            let legs = facts.trips.get(car).map_or(&[][..], |trip| &trip.legs);
            let rides = |from: u32, to: u32| from <= line.call && line.call < to;
            legs.iter().any(|leg| {
                leg.job == line.job
                    && rides(leg.from_call, leg.to_call)
                    && (leg.to_call, &leg.to) == (block.to_call, &block.to)
            })
        })
    });
    told.eq(train.iter().copied()) && parted && left
}
