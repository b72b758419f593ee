//! Trains worked by hand, by 49 CFR 174.85(d) as `docs/layout.md` tells it.

use super::*;
use crate::ids::{CallIx, CarIx, Ix};
use crate::layout::{End, Layout};
use crate::network::Network;
use crate::standing::{Condition, Standing};
use crate::switching::site::{OnTrack, Row};
use crate::switching::{Crews, Cut, Memory};
use crate::testing::{branch, car, light, track};
use crate::traffic::Hand;
use crate::trips::{SetOut, Task, Trips};
use crate::units::Date;

/// Thirteen cars, 1 to 12 of 44 ft and car 13 a tank car, in a layout with a table of its own.
fn described(table: &str) -> Layout {
    let more = "[commodity.propane]\ncars = [\"T\"]\nplacard = 2\n\
                [[car]]\nmark = \"CHT\"\nnumber = \"99\"\ntype = \"T\"\nlength = \"44 ft\"\n";
    branch(12, &format!("{more}{table}"))
}

const TANK: usize = 13;

fn law(layout: &Layout) -> Option<Law> {
    let mut standing = Standing::shelved(layout);
    load_the_tank_car(layout, &mut standing);
    Law::new(layout, &standing, &[])
}

fn load_the_tank_car(layout: &Layout, standing: &mut Standing) {
    let lading = layout.commodities().indices().next().unwrap();
    standing.car_mut(car(TANK)).condition = Condition::Loaded { order: "propane#1".into(), lading };
}

/// Cars that the first call fetches and the second leaves on the loop.
fn all_to_the_loop(layout: &Layout, cars: &[CarIx]) -> Trips {
    let set = |on: &CarIx| SetOut { car: *on, track: track(layout, "town/loop"), spot: None };
    let tasks = [
        Task { cars: cars.to_vec(), pulls: cars.to_vec(), ..Task::default() },
        Task { cars: cars.to_vec(), sets: cars.iter().map(set).collect(), ..Task::default() },
        Task::default(),
    ];
    Trips { tasks: tasks.into_iter().collect(), ..Trips::default() }
}

/// So many cars, the tank car at this place among them.
fn train(cars: usize, place: usize) -> Vec<CarIx> {
    let mut train: Vec<CarIx> = (1..cars).map(car).collect();
    train.insert(place - 1, car(TANK));
    train
}

fn allowed(law: &Law, cars: usize, caboose: bool) -> Vec<usize> {
    (1..=cars).filter(|place| law.offender(&train(cars, *place), caboose).is_none()).collect()
}

#[test]
fn a_tank_car_may_ride_sixth_or_in_the_middle() {
    let layout = described("");
    let law = law(&layout).unwrap();
    let by_hand: [(usize, &[usize]); 5] = [(8, &[4, 5]), (11, &[6]), (12, &[6, 7]), (3, &[2]), (2, &[])];
    for (cars, places) in by_hand {
        assert_eq!(allowed(&law, cars, true), places, "{cars} cars");
    }
    // Only the engine counts: five others are enough; four are not, and half of them go before.
    assert_eq!(allowed(&law, 6, false), [6]);
    assert_eq!(allowed(&law, 5, false), [3, 4, 5]);
}

#[test]
fn a_tank_car_with_residue_has_a_car_between() {
    // By 49 CFR 174.85(c): anywhere but next to the engine, and to an occupied caboose. Emptied of propane by its lane.
    let layout = described(
        "[industry.mill]\nname = \"Mill\"\nplace = \"town\"\nreceives.propane = [\"mill/door 1\"]\n\
         [[lane]]\ncommodity = \"propane\"\nfrom = \"away\"\nto = \"mill\"\ncarloads = \"1 a week\"\n",
    );
    let mut standing = Standing::shelved(&layout);
    standing.car_mut(car(TANK)).last = layout.lanes().indices().last();
    let emptied = [Hand::Released(car(TANK), None)];
    let law = Law::new(&layout, &standing, &emptied).unwrap();
    assert_eq!((allowed(&law, 4, false), allowed(&law, 4, true)), (vec![2, 3, 4], vec![2, 3]));
    assert_eq!(law.orders(&train(3, 1), true), [train(3, 2)]);
    // No car between, and one that has come empty by hand.
    assert_eq!(allowed(&law, 1, false), [0; 0]);
    assert!(Law::new(&layout, &standing, &[]).is_none());
}

#[test]
fn orders_that_are_allowed_differ_in_one_car() {
    let layout = described("");
    let law = law(&layout).unwrap();
    let places = |cars: usize, from: usize| -> Vec<usize> {
        let orders = law.orders(&train(cars, from), true);
        orders.iter().map(|order| order.iter().position(|on| *on == car(TANK)).unwrap() + 1).collect()
    };
    assert_eq!(places(8, 1), [4, 5]);
    assert_eq!(places(2, 1), [0; 0]);
}

#[test]
fn no_law_where_the_table_is_off_or_nothing_is_placarded() {
    assert!(law(&described("[placards]\napply = false\n")).is_none());
    let layout = described("");
    assert!(Law::new(&layout, &Standing::shelved(&layout), &[]).is_none());
}

#[test]
fn a_cut_is_put_right_in_the_fewest_handlings() {
    // The tank car next to the engine before two others, which stand as 1 2; no caboose. With two others it
    // may ride second or third. Leave 1 2 on one track, the tank car on another; couple 1 2, then it, or 1,
    // then it, then 2: four handlings or five, after the one that coupled them.
    let layout = described("");
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let weights = light(&layout);
    let mut rows: crate::ids::IxVec<_, Row> = layout.tracks().indices().map(|_| Row::default()).collect();
    let on = |number| OnTrack { car: car(number), spot: None };
    rows[track(&layout, "yard/in")] = vec![on(TANK), on(1), on(2)].into();
    let mut site = Site::new(&network, &weights, CallIx::new(0), &rows, Cut::default());
    site.couple(track(&layout, "yard/in"), End::West, 3).unwrap();
    put_right(&mut site, &law(&layout).unwrap(), false).unwrap();
    assert_eq!(site.cut().cars, [car(1), car(2), car(TANK)]);
    assert_eq!(site.log().len(), 1 + 4);
}

#[test]
fn a_train_in_an_order_that_is_allowed_is_proved_fewest() {
    // Coupled at once the tank car would ride third, or fifth from the other end, where sixth is the nearest. Couple
    // it with the two before it, leave it aside, couple the others, then it: 4.
    let layout = described("");
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let mut before = crate::testing::standing(
        &layout,
        &[("yard/in", &[1, 2, TANK, 3, 4, 5, 6].map(|number| (number, None)))],
    );
    load_the_tank_car(&layout, &mut before);
    let cars: Vec<CarIx> = [1, 2, TANK, 3, 4, 5, 6].map(car).to_vec();
    let trips = all_to_the_loop(&layout, &cars);
    let weights = light(&layout);
    let work = |states| {
        let crews = Crews { network: &network, standing: &before, hands: &[], weights: &weights, states };
        let worked = crews.work(&trips, &mut Memory::default()).unwrap();
        let first = &worked.calls[CallIx::new(0)];
        let law = law(&layout).unwrap();
        assert_eq!(law.offender(&first.train.cars, false), None);
        (first.handlings.len(), first.proved)
    };
    assert_eq!((work(0), work(1000)), ((4, false), (4, true)));
}

#[test]
fn cars_that_hands_put_onto_a_track_are_staged_so_that_their_train_need_not_be_put_right() {
    // Hands name the tank car first, which would ride next to the engine: six others are enough, and it is to ride
    // sixth or seventh. Staged last it rides there as the cars are coupled at once.
    let layout = described("");
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let inward = track(&layout, "yard/in");
    let cars: Vec<CarIx> = [TANK, 1, 2, 3, 4, 5, 6].map(car).to_vec();
    let mut before = crate::testing::standing(&layout, &[]);
    for on in &cars {
        before.put(*on, inward, None);
    }
    load_the_tank_car(&layout, &mut before);
    let gateway = layout.gateways().indices().next().unwrap();
    let hands: Vec<Hand> = cars.iter().map(|on| Hand::Placed(*on, inward, gateway, None)).collect();
    let trips = all_to_the_loop(&layout, &cars);
    let weights = light(&layout);
    let crews = Crews { network: &network, standing: &before, hands: &hands, weights: &weights, states: 0 };
    let worked = crews.work(&trips, &mut Memory::default()).unwrap();
    let first = &worked.calls[CallIx::new(0)];
    assert_eq!(first.handlings.len(), 1, "{:?}", first.handlings);
    let place = first.train.cars.iter().position(|on| *on == car(TANK)).unwrap() + 1;
    assert!((6..=7).contains(&place), "it rides as number {place}");
    let staged = worked.staged.iter().find(|(on, _)| *on == inward).unwrap();
    assert_eq!(staged.1.len(), 7);
}

#[test]
fn a_car_that_the_table_speaks_of_is_tried_everywhere_else() {
    let cars = [1, TANK, 2, 3].map(car);
    let orders = other_orders(&cars, |on| on == car(TANK));
    assert_eq!(
        orders,
        [[TANK, 1, 2, 3], [1, 2, TANK, 3], [1, 2, 3, TANK]].map(|order| order.map(car).to_vec())
    );
}
