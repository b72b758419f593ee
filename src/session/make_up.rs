//! The make-up of every train that goes from one place to another: its blocks, from the engine outwards.

use crate::ids::{CallIx, CarIx, Id};
use crate::trips::Leg;

use super::Made;
use super::deeds::ordinal;
use super::plan::{Block, MakeUp};

/// The trains that carry cars, in the order of events.
pub(super) fn make_up(made: &Made<'_>) -> Vec<MakeUp> {
    let layout = made.network.layout();
    let mut legs: Vec<(CarIx, &Leg)> = Vec::new();
    for (wish, trip) in made.demand.wishes.iter().zip(&made.trips.trips) {
        legs.extend(trip.legs.iter().map(|leg| (wish.car, leg)));
    }
    legs.sort_by_key(|(car, leg)| (*car, leg.from));
    let mut lines = Vec::new();
    for (ix, call) in made.network.calls().iter() {
        let train = &made.worked.calls[ix].train.cars;
        let travels = call.ride.as_ref().is_some_and(|ride| ride.way.places.len() > 1);
        if !travels || train.is_empty() {
            continue;
        }
        let mut blocks: Vec<Block> = Vec::new();
        for car in train {
            let Some(leg) = rides(&legs, *car, ix, made) else { continue };
            let to_call = ordinal(made.network.calls()[leg.to].stop);
            let (to, car) = (&layout.tracks()[leg.track].id, layout.cars()[*car].id.clone());
            match blocks.last_mut().filter(|block| (block.to_call, &block.to) == (to_call, to)) {
                Some(block) => block.cars.push(car),
                None => blocks.push(Block { to_call, to: Id::clone(to), cars: vec![car] }),
            }
        }
        let job = layout.jobs()[call.job].id.clone();
        lines.push(MakeUp { job, call: ordinal(call.stop), blocks });
    }
    lines
}

/// The leg of a car that rides in the train which leaves a call.
fn rides<'m>(legs: &[(CarIx, &'m Leg)], car: CarIx, call: CallIx, made: &Made<'_>) -> Option<&'m Leg> {
    let first = legs.partition_point(|(other, _)| *other < car);
    let own = legs[first..].iter().take_while(|(other, _)| *other == car).map(|(_, leg)| *leg);
    let job = made.network.calls()[call].job;
    own.filter(|leg| leg.job == job).find(|leg| leg.from <= call && call < leg.to)
}
