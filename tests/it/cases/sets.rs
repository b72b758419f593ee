//! Carloads that move together: common practice, no source.

use super::*;

/// A mill with room for ten cars that ships flour in sets of three, and meal one by one; so many empty
/// cars stand in the yard.
fn mill(cars: usize) -> Case {
    let mut text = BRANCH.replace("full = \"100 %\"\n", "full = \"100 %\"\nshelf = false\n");
    text += "[place.town.track.mill]\nuse = \"spur\"\nlength = \"500 scale ft\"\nopens = \"east\"\n\
             [industry.mill]\nname = \"Mill\"\nplace = \"town\"\nships.flour = [\"mill\"]\nships.meal = [\"mill\"]\n\
             [commodity.meal]\ncars = [\"XM\"]\n\
             [place.yard.track.1]\nuse = \"yard\"\nlength = \"300 scale ft\"\nopens = \"both\"\n";
    text += &(lane("flour", "flour", "mill", "away") + "together = 3\n");
    text += &lane("meal", "meal", "mill", "away");
    let mut case = Case::of(&(text + &box_cars(5, "44 ft")));
    for number in 1..=cars {
        case.put(&format!("CHT {number}"), "yard/1", None);
    }
    case
}

/// A set of three orders of flour.
fn set(case: &mut Case, due: i32) {
    let first = case.standing.due_so_far[case.lane("flour")] + 1;
    for _ in 0..3 {
        case.order("flour", due);
        case.standing.orders.last_mut().unwrap().set = first;
    }
}

fn lanes(plan: &Plan, state: OrderState) -> Vec<String> {
    orders(plan, state).iter().map(|order| order.lane.to_string()).collect()
}

#[test]
fn a_set_waits_whole_and_leaves_its_cars_to_others() {
    let mut case = mill(2);
    set(&mut case, 1);
    case.order("meal", 1);
    let plan = case.session();
    assert_eq!(lanes(&plan, OrderState::Filled), ["meal"]);
    let waiting = orders(&plan, OrderState::Waiting);
    assert_eq!(waiting.len(), 3);
    assert!(
        waiting.iter().any(|order| order.why.contains("waits for the rest of its set of 3")),
        "{waiting:?}"
    );
}

#[test]
fn a_set_with_enough_cars_goes_as_one() {
    let mut case = mill(4);
    set(&mut case, 1);
    let plan = case.session();
    assert_eq!(lanes(&plan, OrderState::Filled), ["flour"; 3]);
    let there = (1..=4).filter(|number| case.stands(&format!("CHT {number}")).0 == "town/mill");
    assert_eq!(there.count(), 3, "all three are at the mill the same session");
}

#[test]
fn a_set_that_has_waited_long_enough_goes_piece_by_piece() {
    let mut case = mill(2);
    set(&mut case, -1);
    let plan = case.session();
    assert_eq!(lanes(&plan, OrderState::Filled), ["flour"; 2]);
}

#[test]
fn the_rest_of_a_set_does_not_wait_for_those_that_have_their_cars() {
    let mut case = mill(3);
    set(&mut case, 1);
    let car = case.car("CHT 1");
    case.standing.orders[0].car = Some(car);
    let order = case.standing.orders[0].id.clone();
    case.standing.car_mut(car).condition = Condition::Ordered { order };
    let plan = case.session();
    assert_eq!(lanes(&plan, OrderState::Filled), ["flour"; 3]);
}
