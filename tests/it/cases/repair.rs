//! Bad orders, from the day they are found until they run again: common practice, no source.

use setout::layout::Service;
use setout::session::plan::{Event, Notice};

use super::*;

/// A mill in the town that ships and receives flour, and a repair track in the yard, if there is one.
/// Nearly every other car of the rough grade is found bad.
fn mill(repair_track: bool) -> Case {
    Case::of(&described(repair_track))
}

fn described(repair_track: bool) -> String {
    let shop = if repair_track {
        "track.rip = { use = \"repair\", length = \"200 scale ft\", opens = \"both\" }\n"
    } else {
        ""
    };
    let mut text = BRANCH
        .replace("full = \"100 %\"\n", "full = \"100 %\"\nbad_orders = \"1 in 4\"\nrepair = \"2 days\"\n");
    text = text.replace(
        "name = \"Yard\"\nrailroad = \"CHT\"\n",
        &format!(
            "name = \"Yard\"\nrailroad = \"CHT\"\ntrack.1 = {{ use = \"yard\", length = \"600 scale ft\", opens = \"both\" }}\n{shop}"
        ),
    );
    text += "[place.town.track.mill]\nuse = \"spur\"\nlength = \"300 scale ft\"\nopens = \"east\"\n\
             [industry.mill]\nname = \"Mill\"\nplace = \"town\"\nships.flour = [\"mill\"]\nreceives.meal = [\"mill\"]\n\
             [commodity.meal]\ncars = [\"XM\"]\n";
    text += &lane("out", "flour", "mill", "away");
    text += &lane("in", "meal", "away", "mill");
    let cars = box_cars(9, "44 ft").replace("type = \"XM\"\n", "type = \"XM\"\ngrade = \"rough\"\n");
    text + &cars
}

/// The cars found bad in a plan.
fn found(plan: &Plan) -> Vec<String> {
    let bad = |event: &Event| match event {
        Event::BadOrder { car } => Some(car.to_string()),
        _ => None,
    };
    plan.events.iter().filter_map(bad).collect()
}

/// Runs sessions until a car is found bad, and gives that plan.
fn until_found(case: &mut Case) -> (Plan, String) {
    for _ in 0..20 {
        let plan = case.session();
        if let Some(car) = found(&plan).first().cloned() {
            return (plan, car);
        }
    }
    panic!("no car was found bad in twenty sessions");
}

#[test]
fn a_car_refused_for_loading_goes_to_the_shop_and_its_order_gets_another() {
    let mut case = mill(true);
    for number in 1..=4 {
        case.put(&format!("CHT {number}"), "yard/1", None);
    }
    let ordered: Vec<Id> = (0..3).map(|_| case.order("out", 0)).collect();
    let (plan, car) = until_found(&mut case);
    let notice = |notice: &&Notice| &*notice.about == "bad order" && notice.text.contains(&car);
    let told = plan.notices.iter().find(notice).expect("the host is told");
    assert!(told.text.contains("wants another car"), "{}", told.text);
    let order = ordered.iter().find(|order| told.text.contains(order.as_str())).expect("its order is named");
    let line = plan.orders.iter().find(|line| line.id == *order).expect("nothing is lost");
    assert_ne!(line.car.as_ref().map(Id::as_str), Some(car.as_str()));
    assert!(trip(&plan, &car).for_repair);
    assert_eq!(case.stands(&car).0, "yard/rip");
    // Two days in the shop: brought in this session, it is repaired before the one after the next.
    let brought = plan.session;
    assert_eq!(case.standing.car(case.car(&car)).repaired, Some(brought + 2));
    case.session();
    assert!(case.standing.car(case.car(&car)).bad_order, "it is still in the shop");
    let plan = case.session();
    let repaired =
        |event: &Event| matches!(event, Event::Served { car: served, .. } if served.as_str() == car);
    assert!(plan.events.iter().any(repaired), "it is repaired before session {}", plan.session);
}

#[test]
fn a_load_that_comes_in_bad_is_repaired_under_its_load_and_then_delivered() {
    let mut case = mill(true);
    let orders: Vec<Id> = (0..4).map(|_| case.order("in", 0)).collect();
    let (plan, car) = until_found(&mut case);
    let line = trip(&plan, &car);
    assert!(line.for_repair && line.lading.is_some(), "{line:?}");
    let order = line.order.clone().expect("it keeps its order");
    assert!(orders.contains(&order));
    assert_eq!(case.stands(&car).0, "yard/rip");
    for _ in 0..6 {
        case.session();
        if case.stands(&car).0 == "town/mill" {
            return;
        }
    }
    panic!("it was never delivered: {:?}", case.standing.car(case.car(&car)));
}

#[test]
fn where_nothing_repairs_an_empty_bad_order_goes_home_and_no_load_comes_in_bad() {
    let mut case = mill(false);
    for _ in 0..4 {
        case.order("in", 0);
    }
    let (plan, car) = until_found(&mut case);
    let line = trip(&plan, &car);
    assert!(line.lading.is_none() && line.why.contains("bad order"), "{line:?}");
    assert_eq!(case.stands(&car).0, "yard/out");
    case.session();
    let state = case.standing.car(case.car(&car));
    assert!(!state.bad_order && state.track().is_none(), "its owner's shop has it");
}

#[test]
fn what_the_shop_offers_besides_is_done_before_the_car_leaves_it() {
    // The lane wants its cars inspected on the way, and the repair track is where that is done, too.
    let text = described(true)
        .replace("use = \"repair\", ", "use = \"repair\", offers = [\"inspect\"], ")
        .replace("id = \"in\"\n", "id = \"in\"\non_the_way = [\"inspect\"]\n");
    let mut case = Case::of(&text);
    for _ in 0..4 {
        case.order("in", 0);
    }
    let (_, car) = until_found(&mut case);
    for _ in 0..6 {
        let plan = case.session();
        let done: Vec<Service> = plan
            .events
            .iter()
            .take_while(|event| !matches!(event, Event::Starts { .. }))
            .filter_map(|event| match event {
                Event::Served { car: served, service, .. } if served.as_str() == car => Some(*service),
                _ => None,
            })
            .collect();
        if !done.is_empty() {
            assert_eq!(done, [Service::Repair, Service::Inspect]);
            assert!(trip(&plan, &car).services.is_empty(), "nothing is left to be done on its way");
            return;
        }
    }
    panic!("it was never repaired: {:?}", case.standing.car(case.car(&car)));
}
