//! Calls worked by hand, and drawn ones with much and with little to spend.

use crate::chance::{Chance, Stream};
use crate::ids::{CallIx, CarIx, Ix};
use crate::layout::Layout;
use crate::network::Network;
use crate::standing::Standing;
use crate::switching::{Crews, Memory};
use crate::testing::{branch, car, light, standing, track};
use crate::trips::{SetOut, Task, Trips};
use crate::units::Date;

/// A town with two spurs that open east and one that opens west, beside its loop.
const MORE: &str = r#"
[place.town.track.dock]
use = "spur"
length = "150 scale ft"
opens = "east"
[place.town.track.siding]
use = "yard"
length = "150 scale ft"
opens = "both"
"#;

fn set(layout: &Layout, number: usize, id: &str, spot: Option<usize>) -> SetOut {
    let track = track(layout, id);
    SetOut { car: car(number), track, spot: spot.map(|spot| layout.tracks()[track].spots[spot]) }
}

fn task(pulls: &[usize], sets: &[SetOut]) -> Task {
    let pulls: Vec<CarIx> = pulls.iter().map(|number| car(*number)).collect();
    let mut cars = pulls.clone();
    cars.extend(sets.iter().map(|set| set.car).filter(|car| !pulls.contains(car)));
    Task { cars, pulls, sets: sets.to_vec(), ..Task::default() }
}

/// The handlings of the call at the town, and whether they are proved fewest.
fn at_town(layout: &Layout, before: &Standing, asked: [Task; 3], states: usize) -> Option<(usize, bool)> {
    let network = Network::new(layout, Date::new(1978, 10, 2).unwrap());
    let asked = Trips { tasks: asked.into_iter().collect(), ..Trips::default() };
    let weights = light(layout);
    let crews = Crews { network: &network, standing: before, hands: &[], weights: &weights, states };
    let worked = crews.work(&asked, &mut Memory::default()).ok()?;
    let done = &worked.calls[CallIx::new(1)];
    Some((done.handlings.len(), done.proved))
}

#[test]
fn a_car_that_holds_before_one_that_goes_takes_four_handlings() {
    // On the dock, from its switch, 2 holds before 1, which goes along. Couple both, leave 1 on the
    // loop, leave 2, couple 1: the 1 stands outermost on the cut, so it must be put aside. 4, proved by
    // the bound: one couple and one leave at the dock, one leave aside, and one couple to fetch it.
    let layout = branch(2, MORE);
    let before = standing(&layout, &[("town/dock", &[(1, None), (2, None)])]);
    let asked = [Task::default(), task(&[1], &[]), task(&[], &[set(&layout, 1, "yard/out", None)])];
    assert_eq!(at_town(&layout, &before, asked, 1000), Some((4, true)));
}

#[test]
fn the_doors_of_a_spur_are_filled_in_one_shove() {
    // The train comes from the west with 1 2 3 behind its engine, 1 outermost, as the doors are wanted
    // from the far end of the spur: one shove, proved by the bound.
    let layout = branch(3, MORE);
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None)])]);
    let sets = [1, 2, 3].map(|number| set(&layout, number, "town/mill", Some(number - 1)));
    let asked = [task(&[1, 2, 3], &[]), task(&[], &sets), Task::default()];
    assert_eq!(at_town(&layout, &before, asked, 1000), Some((1, true)));
}

#[test]
fn cars_that_may_stand_at_each_others_doors_stand_as_they_come() {
    // As above, but 1 is asked for the door nearest to the switch and 3 for the far one: leave 2 1 aside and 3
    // at its door, then couple and leave 2, and 1: 6. Where all three may stand at any of the doors it is one
    // shove again, with or without a search, and 1 stands at the far door. It is enough if 1 and 3 may.
    let layout = branch(3, MORE);
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None)])]);
    let sets = [1, 2, 3].map(|number| set(&layout, number, "town/mill", Some(3 - number)));
    let asked = |exchange: &[&[usize]]| {
        let group = |cars: &&[usize]| cars.iter().map(|number| car(*number)).collect();
        let exchange = exchange.iter().map(group).collect();
        [task(&[1, 2, 3], &[]), Task { exchange, ..task(&[], &sets) }, Task::default()]
    };
    assert_eq!(at_town(&layout, &before, asked(&[]), 1000), Some((6, true)));
    for states in [0, 1000] {
        assert_eq!(at_town(&layout, &before, asked(&[&[1, 2, 3]]), states), Some((1, states > 0)));
        assert_eq!(at_town(&layout, &before, asked(&[&[1, 3]]), states), Some((1, states > 0)));
    }
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let asked = Trips { tasks: asked(&[&[3, 1]]).into_iter().collect(), ..Trips::default() };
    let weights = light(&layout);
    let crews = Crews { network: &network, standing: &before, hands: &[], weights: &weights, states: 1000 };
    let worked = crews.work(&asked, &mut Memory::default()).unwrap();
    let row: Vec<_> = worked.rows[track(&layout, "town/mill")].iter().map(|on| (on.car, on.spot)).collect();
    let wanted = [1, 2, 3].map(|number| set(&layout, number, "town/mill", Some(number - 1)));
    assert_eq!(row, wanted.map(|set| (set.car, set.spot)));
}

#[test]
fn what_is_in_the_way_and_at_home_on_another_track_is_left_there_for_good() {
    // 1 hangs outermost and goes to the siding, 2 behind it to the far door of the mill. The mill is worked
    // first, but 1 is not set aside and fetched again: leave 1, leave 2, without any search.
    let layout = branch(2, MORE);
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None)])]);
    let sets = [set(&layout, 1, "town/siding", None), set(&layout, 2, "town/mill", Some(0))];
    let asked = [task(&[1, 2], &[]), task(&[], &sets), Task::default()];
    assert_eq!(at_town(&layout, &before, asked, 0), Some((2, false)));
}

#[test]
fn a_car_that_comes_to_stand_behind_one_that_holds_is_coupled_outside_of_it() {
    // 2 holds at the middle door of the mill, 1 comes for the far one. Leave 1 aside, couple 2, couple 1, and
    // leave both: 4. Coupling 2 first, and leaving it aside until 1 is in, takes 5.
    let layout = branch(2, MORE);
    let before = standing(&layout, &[("yard/in", &[(1, None)]), ("town/mill", &[(2, Some(1))])]);
    let asked = || [task(&[1], &[]), task(&[], &[set(&layout, 1, "town/mill", Some(0))]), Task::default()];
    assert_eq!(at_town(&layout, &before, asked(), 0), Some((4, false)));
    assert_eq!(at_town(&layout, &before, asked(), 1000), Some((4, true)));
}

#[test]
fn of_ways_with_as_many_handlings_the_one_that_spares_some_later_is_found() {
    // 1 and 3 go to one track of the yard, 2 and 4 to the other. Three couples at the town in any order, and a leave and
    // a couple to go round; only with the dock in the middle does the train fall into two cuts, `4 2 1 3` from the
    // engine or turned about: two leaves at the yard instead of four.
    let layout = branch(4, MORE);
    let rows: [(&str, &[_]); 3] =
        [("town/dock", &[(1, None), (2, None)]), ("town/siding", &[(3, None)]), ("town/mill", &[(4, None)])];
    let before = standing(&layout, &rows);
    let sets = [(1, "yard/out"), (2, "yard/in"), (3, "yard/out"), (4, "yard/in")];
    let asked = [
        Task::default(),
        task(&[1, 2, 3, 4], &[]),
        task(&[], &sets.map(|(car, on)| set(&layout, car, on, None))),
    ];
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let asked = Trips { tasks: asked.into_iter().collect(), ..Trips::default() };
    let weights = light(&layout);
    let handlings = |states| {
        let crews = Crews { network: &network, standing: &before, hands: &[], weights: &weights, states };
        let worked = crews.work(&asked, &mut Memory::default()).unwrap();
        [1, 2].map(|call| {
            (worked.calls[CallIx::new(call)].handlings.len(), worked.calls[CallIx::new(call)].proved)
        })
    };
    assert_eq!([handlings(0), handlings(1000)], [[(5, false), (4, false)], [(5, true), (2, true)]]);
}

#[test]
fn a_budget_of_nothing_proves_nothing() {
    let layout = branch(1, MORE);
    let before = standing(&layout, &[("town/dock", &[(1, None)])]);
    let asked = || [Task::default(), task(&[1], &[]), task(&[], &[set(&layout, 1, "yard/out", None)])];
    // Couple the car, and run round it to lead it home: three handlings.
    assert_eq!(at_town(&layout, &before, asked(), 0), Some((3, false)));
    assert_eq!(at_town(&layout, &before, asked(), 1000), Some((3, true)));
}

/// The cars of a track, each with the place of its spot.
type OneRow = Vec<(usize, Option<usize>)>;

/// A call at the town: cars that stand there, some of which go, and cars that come for other places.
fn drawn(layout: &Layout, mut chance: Stream) -> (Standing, [Task; 3]) {
    let mut rows: [(&str, OneRow); 5] = [
        ("town/mill", vec![]),
        ("town/team", vec![]),
        ("town/dock", vec![]),
        ("town/siding", vec![]),
        ("yard/in", vec![]),
    ];
    let (mut pulls, mut comes, mut sets) = (Vec::new(), Vec::new(), Vec::new());
    let mut next = 1;
    for (track, most) in [(0, 3), (1, 2), (2, 3)] {
        for place in 0..most {
            let (stands, goes, new) = (chance.below(3) > 0, chance.below(2) == 0, chance.below(3) > 0);
            let spot = (track == 0).then_some(place);
            if stands {
                rows[track].1.push((next, spot));
                if goes {
                    pulls.push(next);
                }
                next += 1;
            }
            if (!stands || goes) && new && comes.len() < 5 {
                rows[4].1.push((next, None));
                comes.push(next);
                sets.push(set(layout, next, rows[track].0, spot));
                next += 1;
            }
        }
    }
    let given: Vec<_> = rows.iter().map(|(id, cars)| (*id, cars.as_slice())).collect();
    let home: Vec<SetOut> = pulls.iter().map(|number| set(layout, *number, "yard/out", None)).collect();
    (standing(layout, &given), [task(&comes, &[]), task(&pulls, &sets), task(&[], &home)])
}

#[test]
fn a_tenth_of_the_budget_costs_a_tenth_more_handlings_at_most() {
    let layout = branch(16, MORE);
    let (mut proved, mut much, mut little) = (0, 0, 0);
    for number in 0..40 {
        let chance = || Chance::new(number).stream("a drawn call", "town");
        let ask = |states| {
            let (before, asked) = drawn(&layout, chance());
            at_town(&layout, &before, asked, states)
        };
        let Some((fewest, true)) = ask(2000) else { continue };
        let (found, _) = ask(200).expect("less to spend refuses nothing");
        assert!(found >= fewest, "call {number}: {found} handlings, {fewest} proved fewest");
        proved += 1;
        much += fewest;
        little += found;
    }
    assert!(proved >= 10, "only {proved} calls are proved");
    assert!(little * 10 <= much * 11, "{little} handlings instead of {much} in {proved} calls");
}
