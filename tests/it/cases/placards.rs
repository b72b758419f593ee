//! A placarded car too near the engine. Source: 49 CFR 174.85(d) as reprinted by legal publishers (rows 1 and
//! 2 of its table: sixth from the engine and an occupied caboose, else near the middle and never nearer than
//! the second); which columns the rows hold for, and the rows of neighbours, are from memory.

use setout::session::plan::Event;

use super::*;

/// A turn with a caboose to a town that takes flour, propane, chlorine and machinery.
fn line(caboose: bool, table: &str) -> String {
    let mut text = BRANCH.replace("power = ", &format!("caboose = {caboose}\npower = "));
    text += r#"
[commodity.propane]
cars = ["T"]
placard = 2
[commodity.powder]
cars = ["XM"]
placard = 1
[commodity.machinery]
cars = ["FM"]
[place.town.track.house]
use = "spur"
length = "800 scale ft"
opens = "east"
[industry.shop]
name = "Ridley Machine Shop"
place = "town"
receives.flour = ["house"]
receives.propane = ["house"]
receives.powder = ["house"]
receives.machinery = ["house"]
"#;
    for commodity in ["flour", "propane", "powder", "machinery"] {
        text += &lane(commodity, commodity, "away", "shop");
    }
    text += table;
    let other = |(mark, kind)| {
        format!(
            "[[car]]\nmark = \"{mark}\"\nnumber = \"{{}}\"\ntype = \"{kind}\"\nlength = \"45 ft\"\nrailroad = \"CHT\"\n"
        )
    };
    for car in [("TNK", "T"), ("FLT", "FM")].map(other) {
        text += &car.replace("{}", "1");
        text += &car.replace("{}", "2");
    }
    text + &box_cars(12, "45 ft")
}

/// Loads standing in the yard from west to east, each a car and its lane.
fn standing(text: &str, cars: &[(String, &str)]) -> Case {
    let mut case = Case::of(text);
    for (car, lane) in cars {
        case.put(car, "yard/in", None);
        case.load(car, lane, 0);
    }
    case
}

/// So many cars of flour, and others among them at these places.
fn string(flour: usize, others: &[(usize, &'static str, &'static str)]) -> Vec<(String, &'static str)> {
    let mut cars: Vec<(String, &str)> =
        (1..=flour).map(|number| (format!("CHT {number}"), "flour")).collect();
    for (place, car, lane) in others {
        cars.insert(*place, ((*car).to_owned(), *lane));
    }
    cars
}

/// The train that goes out to the town, from the engine outwards.
fn train(plan: &Plan) -> Vec<String> {
    let out = plan.events.iter().find_map(|event| match event {
        Event::Goes { call: 1, train, .. } => Some(train),
        _ => None,
    });
    let out = out.expect("the turn goes out");
    assert!(out.west.is_empty() || out.east.is_empty());
    out.west.iter().rev().chain(&out.east).map(ToString::to_string).collect()
}

/// The place of a car in the train, counted from the engine.
fn place(plan: &Plan, car: &str) -> usize {
    train(plan)
        .iter()
        .position(|other| other == car)
        .unwrap_or_else(|| panic!("{car} is in {:?}: {}", train(plan), trip(plan, car).why))
        + 1
}

#[test]
fn one_tank_car_rides_where_the_table_says_in_trains_of_8_11_12_and_3() {
    for (cars, allowed) in [(8, 4..=5), (11, 6..=6), (12, 6..=7), (3, 2..=2)] {
        for stands in [0, cars / 2, cars - 1] {
            let string = string(cars - 1, &[(stands, "TNK 1", "propane")]);
            let plan = standing(&line(true, ""), &string).session();
            assert_eq!(train(&plan).len(), cars, "all go out");
            let place = place(&plan, "TNK 1");
            assert!(allowed.contains(&place), "{place} in a train of {cars}");
        }
    }
}

#[test]
fn two_tank_cars_share_the_middle() {
    // Six others: three for each end, so places 4 and 5 of eight.
    let string = string(6, &[(0, "TNK 1", "propane"), (7, "TNK 2", "propane")]);
    let plan = standing(&line(true, ""), &string).session();
    let mut places = [place(&plan, "TNK 1"), place(&plan, "TNK 2")];
    places.sort_unstable();
    assert_eq!(places, [4, 5]);
}

#[test]
fn without_an_occupied_caboose_only_the_engine_counts() {
    let six = string(5, &[(0, "TNK 1", "propane")]);
    assert_eq!(place(&standing(&line(false, ""), &six).session(), "TNK 1"), 6);
    let three = string(2, &[(0, "TNK 1", "propane")]);
    assert!(place(&standing(&line(false, ""), &three).session(), "TNK 1") >= 2);
}

#[test]
fn a_tank_car_rides_next_to_no_loaded_flat_and_no_explosives() {
    for (car, lane) in [("FLT 1", "machinery"), ("CHT 9", "powder")] {
        let string = string(7, &[(3, car, lane), (3, "TNK 1", "propane")]);
        let plan = standing(&line(true, ""), &string).session();
        let apart = place(&plan, "TNK 1").abs_diff(place(&plan, car));
        assert!(apart > 1, "{:?}", train(&plan));
    }
}

#[test]
fn where_no_car_can_ride_between_it_does_not_go_and_the_reason_says_so() {
    let string = string(1, &[(0, "TNK 1", "propane")]);
    let plan = standing(&line(true, ""), &string).session();
    assert_eq!(train(&plan), ["CHT 1"]);
    assert!(trip(&plan, "TNK 1").why.contains("placards"), "{}", trip(&plan, "TNK 1").why);
    let told: Vec<&str> =
        plan.notices.iter().filter(|told| &*told.about == "placards").map(|told| &*told.text).collect();
    assert_eq!(
        told,
        [
            "TNK 1 stays: its train is too short for cars with placards; other cars that ride between it and the \
          engine would help, or `nearest_short = 1` under `[placards]`"
        ]
    );
}

#[test]
fn the_layout_may_change_the_table_or_turn_it_off() {
    let first = string(7, &[(0, "TNK 1", "propane")]);
    let place_by = |table: &str| place(&standing(&line(true, table), &first).session(), "TNK 1");
    let off = place_by("[placards]\napply = false\n");
    assert!(off == 1 || off == 8, "the crew takes the cars as they stand: {off}");
    assert!([3, 4, 5, 6].contains(&place_by("[placards]\nnearest = 3\n")));
}
