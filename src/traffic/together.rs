//! Which of a gateway's tracks the cars of a session come onto, once it is known where each wants to go.
//!
//! Cars are put onto the first track with room as orders find them. Hands may as well put those for one place
//! onto one track: the train that takes them then has them together, and leaves them in one cut.
//!
//! Complexity: for each gateway with several tracks what hands do, and its cars times its tracks.

use std::collections::BTreeMap;

use super::{Demand, Hand};
use crate::ids::{CarIx, GatewayIx, IxVec, PlaceIx, TrackIx};
use crate::layout::SpotTarget;
use crate::network::Network;
use crate::units::Length;

/// Puts cars that come tonight onto other tracks of their gateway, those for one place together; where they would not
/// all have room so, they stay where they were put.
pub(super) fn put_together(network: &Network<'_>, demand: &mut Demand) {
    let layout = network.layout();
    let mut wish_of = IxVec::filled(None, layout.cars().len());
    for (place, wish) in demand.wishes.iter().enumerate() {
        wish_of[wish.car] = Some(place);
    }
    for gateway in layout.gateways().indices().filter(|gateway| layout.gateways()[*gateway].gives.len() > 1) {
        let Some(tracks) = together(network, demand, &wish_of, gateway) else { continue };
        let standing = &mut demand.standing;
        for hand in &mut demand.hands {
            let Hand::Placed(car, track, by, _) = hand else { continue };
            if let Some((_, to)) = tracks.iter().find(|(other, _)| other == car) {
                *track = *to;
            }
            // The rows stay in the order of the hands.
            if *by == gateway {
                standing.put(*car, *track, None);
            }
        }
    }
}

/// The track of each car that comes by a gateway and goes on to another place, those for one place on one track;
/// nothing where they stand on one anyhow, or do not have room.
fn together(
    network: &Network<'_>,
    demand: &Demand,
    wish_of: &IxVec<CarIx, Option<usize>>,
    gateway: GatewayIx,
) -> Option<Vec<(CarIx, TrackIx)>> {
    let layout = network.layout();
    let bound = bound_for(network, demand, wish_of, gateway);
    let on: Vec<TrackIx> =
        bound.values().flatten().filter_map(|car| demand.standing.car(*car).track()).collect();
    if on.iter().all(|track| *track == on[0]) {
        return None;
    }
    let comes = |car: &CarIx| bound.values().flatten().any(|other| other == car);
    let stays = |track: TrackIx| demand.standing.on(track).iter().filter(|car| !comes(car));
    let length = |cars: &[CarIx]| -> Length { cars.iter().map(|car| layout.cars()[*car].length).sum() };
    let gives = &layout.gateways()[gateway].gives;
    let mut room: Vec<Length> = Vec::new();
    for track in gives {
        room.push(layout.tracks()[*track].length.less(length(&stays(*track).copied().collect::<Vec<_>>())));
    }
    let mut tracks = Vec::new();
    for cars in bound.values() {
        let whole = fitting(network, gives, &room, cars);
        let parts = if whole.is_some() { cars.chunks(cars.len()) } else { cars.chunks(1) };
        for part in parts {
            let place = fitting(network, gives, &room, part)?;
            room[place] = room[place].less(length(part));
            tracks.extend(part.iter().map(|car| (*car, gives[place])));
        }
    }
    Some(tracks)
}

/// The cars that come by a gateway, by the place they want to go to first; without those that want to go nowhere else.
fn bound_for(
    network: &Network<'_>,
    demand: &Demand,
    wish_of: &IxVec<CarIx, Option<usize>>,
    gateway: GatewayIx,
) -> BTreeMap<PlaceIx, Vec<CarIx>> {
    let layout = network.layout();
    let place = |goal: SpotTarget| match goal {
        SpotTarget::Spot(spot) => layout.tracks()[layout.spots()[spot].track].place,
        SpotTarget::Track(track) => layout.tracks()[track].place,
    };
    let mut bound: BTreeMap<PlaceIx, Vec<CarIx>> = BTreeMap::new();
    for hand in &demand.hands {
        let Hand::Placed(car, track, by, _) = *hand else { continue };
        let wish = wish_of[car].filter(|_| by == gateway).map(|place| &demand.wishes[place]);
        let goals = wish.and_then(|wish| wish.stages.first()).map_or(&[][..], |stage| &stage.goals);
        let here = layout.tracks()[track].place;
        if let Some(first) = goals.first()
            && goals.iter().all(|goal| place(*goal) != here)
        {
            bound.entry(place(*first)).or_default().push(car);
        }
    }
    bound
}

/// The first of some tracks that has room for all these cars and takes them.
fn fitting(network: &Network<'_>, gives: &[TrackIx], room: &[Length], cars: &[CarIx]) -> Option<usize> {
    let all = network.layout().cars();
    let length: Length = cars.iter().map(|car| all[*car].length).sum();
    let takes = |track: TrackIx| {
        cars.iter().all(|car| network.takes(track, *car, all[*car].light + all[*car].capacity))
    };
    (0..gives.len()).find(|place| length <= room[*place] && takes(gives[*place]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;
    use crate::standing::Standing;
    use crate::testing::{branch_text, car, layout, track};
    use crate::traffic::{Purpose, Stage, Urgency, Why, Wish};
    use crate::units::Date;

    /// Five cars of 44 ft that come onto two tracks of 132 ft, for these tracks; on which track each comes to stand.
    fn stand(goals: [&str; 5], on: [&str; 5]) -> Vec<usize> {
        let short = |text: &str| text.replace("440 scale ft", "132 scale ft");
        let described =
            short(&branch_text(5, "")).replace("gives = \"yard/in\"", "gives = [\"yard/in\", \"yard/out\"]");
        let layout = layout(&described);
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let mut demand = Demand::of(Standing::shelved(&layout));
        for (number, (goal, on)) in (1..).zip(goals.into_iter().zip(on)) {
            let (car, on) = (car(number), track(&layout, on));
            demand.standing.put(car, on, None);
            demand.hands.push(Hand::Placed(car, on, Ix::new(0), None));
            let goals = vec![SpotTarget::Track(track(&layout, goal))];
            demand.wishes.push(Wish {
                car,
                stages: vec![Stage { purpose: Purpose::Load, goals }],
                customer: None,
                kept_off: None,
                urgency: Urgency { clears_a_spot: 1, promised: 1, since: 1, set: None, car },
                bound: "there".into(),
                why: Why::Order,
            });
        }
        put_together(&network, &mut demand);
        for hand in &demand.hands {
            let Hand::Placed(car, on, ..) = *hand else { panic!("{hand:?}") };
            assert!(demand.standing.on(on).contains(&car), "{hand:?}");
        }
        let place = |number| demand.standing.car(car(number)).track() == Some(track(&layout, "yard/in"));
        (1..=5).map(|number| if place(number) { 1 } else { 2 }).collect()
    }

    #[test]
    fn cars_for_one_place_come_onto_one_track() {
        let by_turns = ["town/mill", "yard/loop", "town/mill", "yard/loop", "town/mill"];
        // Those for the yard itself stay where they were put, and with one of them there, the mill's have no room.
        assert_eq!(
            stand(by_turns, ["yard/in", "yard/out", "yard/out", "yard/out", "yard/in"]),
            [1, 2, 1, 2, 1]
        );
        assert_eq!(
            stand(by_turns, ["yard/in", "yard/in", "yard/out", "yard/out", "yard/in"]),
            [1, 1, 1, 2, 2]
        );
        // On one track they stand together anyhow.
        assert_eq!(stand(["town/mill"; 5], ["yard/in"; 5]), [1; 5]);
    }
}
