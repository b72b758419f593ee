//! More orders than cars: common practice, no source.

use std::collections::BTreeSet;

use setout::session::plan::Notice;

use super::*;

/// A shipper with room for ten cars, nine box cars: five stand in the yard, four are on the shelf,
/// one of these a bad order.
fn shipper(shelf: bool) -> Case {
    let mut text = BRANCH.replace("full = \"100 %\"\n", &format!("full = \"100 %\"\nshelf = {shelf}\n"));
    text += "[place.town.track.mill]\nuse = \"spur\"\nlength = \"500 scale ft\"\nopens = \"east\"\n\
             [industry.mill]\nname = \"Mill\"\nplace = \"town\"\nships.flour = [\"mill\"]\n\
             [place.yard.track.1]\nuse = \"yard\"\nlength = \"300 scale ft\"\nopens = \"both\"\n";
    text += &lane("flour", "flour", "mill", "away");
    let cars = box_cars(9, "44 ft").replace("number = \"9\"\n", "number = \"9\"\nbad_order = true\n");
    let mut case = Case::of(&(text + &cars));
    for number in 1..=5 {
        case.put(&format!("CHT {number}"), "yard/1", None);
    }
    case
}

fn ordered(case: &mut Case, count: usize) {
    for _ in 0..count {
        case.order("flour", 0);
    }
}

/// The cars that serve orders, each once.
fn serving(plan: &Plan) -> BTreeSet<String> {
    let filled = orders(plan, OrderState::Filled);
    let cars: BTreeSet<String> = filled
        .iter()
        .map(|order| order.car.as_ref().expect("a filled order has a car").to_string())
        .collect();
    assert_eq!(cars.len(), filled.len(), "no car serves two orders");
    cars
}

#[test]
fn the_shelf_fills_what_the_layout_cannot() {
    let mut case = shipper(true);
    ordered(&mut case, 7);
    let plan = case.session();
    let cars = serving(&plan);
    assert_eq!(cars.len(), 7);
    let from_shelf = cars.iter().filter(|car| ["CHT 6", "CHT 7", "CHT 8"].contains(&car.as_str())).count();
    assert_eq!(from_shelf, 2, "the five on the layout go first");
    assert!(!cars.contains("CHT 9"), "a bad order is not loaded");
}

#[test]
fn without_the_shelf_two_orders_are_named_as_waiting() {
    let mut case = shipper(false);
    ordered(&mut case, 7);
    let plan = case.session();
    assert_eq!(serving(&plan).len(), 5);
    let waiting = orders(&plan, OrderState::Waiting);
    assert_eq!(waiting.len(), 2);
    for order in waiting {
        let said = |notice: &&Notice| &*notice.about == "shortage" && notice.text.contains(order.id.as_str());
        assert!(plan.notices.iter().any(|notice| said(&notice)), "{} is not named", order.id);
        assert!(!order.why.is_empty());
    }
}

#[test]
fn an_order_that_waited_is_filled_when_a_car_comes_free() {
    let mut case = shipper(false);
    ordered(&mut case, 6);
    case.session();
    let waits: Vec<Id> = case
        .standing
        .orders
        .iter()
        .filter(|order| order.car.is_none())
        .map(|order| order.id.clone())
        .collect();
    assert_eq!(waits.len(), 1);
    // A sixth car is put on the layout by hand.
    case.put("CHT 6", "yard/1", None);
    let plan = case.session();
    let filled = orders(&plan, OrderState::Filled);
    let order = filled.iter().find(|order| order.id == waits[0]).expect("it has a car now");
    assert_eq!(order.car.as_ref().unwrap().as_str(), "CHT 6");
}

#[test]
fn fewer_orders_than_cars_leave_the_shelf_alone() {
    let mut case = shipper(true);
    ordered(&mut case, 4);
    let plan = case.session();
    assert!(
        serving(&plan)
            .iter()
            .all(|car| ["CHT 1", "CHT 2", "CHT 3", "CHT 4", "CHT 5"].contains(&car.as_str()))
    );
    assert_eq!(plan.after.shelf.len(), 4);
}

#[test]
fn the_longest_waiting_orders_are_filled_first() {
    let mut case = shipper(false);
    for due in [0, -5, 0, -9, 0, 0, -7] {
        case.order("flour", due);
    }
    let plan = case.session();
    let waiting: Vec<i32> = orders(&plan, OrderState::Waiting).iter().map(|order| order.due).collect();
    assert_eq!(waiting, [0, 0]);
}
