//! What customers ask beside a free spot: common practice, no source.

use setout::session::plan::Notice;

use super::*;

/// A mill that receives flour at two doors, with these further keys, and a team track beside it.
fn mill(keys: &str) -> Case {
    let town = r#"
track.mill = { use = "spur", opens = "east", length = "100 scale ft", spots = [{ name = "1", length = "50 scale ft" }, { name = "2", length = "50 scale ft" }] }
track.team = { use = "spur", length = "150 scale ft", opens = "west", off_spot = true }
"#;
    let text = BRANCH.replace(
        "name = \"Northgate\"\nrailroad = \"CHT\"\n",
        &format!("name = \"Northgate\"\nrailroad = \"CHT\"{town}"),
    );
    let customer = format!(
        "[industry.mill]\nname = \"Mill\"\nplace = \"town\"\nreceives.flour = [\"mill/1\", \"mill/2\"]\n{keys}\n"
    );
    Case::of(&(text + &customer + &lane("flour", "flour", "away", "mill") + &box_cars(5, "50 ft")))
}

/// Puts cars with flour for the mill into the yard, with the sessions in which their orders came due.
fn bring(case: &mut Case, cars: &[(&str, i32)]) {
    for (car, due) in cars {
        case.put(car, "yard/in", None);
        case.load(car, "flour", *due);
    }
}

#[test]
fn a_customer_that_takes_one_car_a_session_gets_one() {
    let mut case = mill("limit = 1");
    bring(&mut case, &[("CHT 1", 0), ("CHT 2", -3)]);
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 2"), Some(Deed::Spot), "the one that waits longer");
    assert_eq!(deed(&plan, "CHT 1"), Some(Deed::OffSpot));
    assert!(
        trip(&plan, "CHT 1").why.contains("Mill takes no more than 1 car a session"),
        "{:?}",
        trip(&plan, "CHT 1")
    );
    assert_eq!(deed(&case.session(), "CHT 1"), Some(Deed::Spot));
}

#[test]
fn nothing_is_brought_while_the_gate_is_shut() {
    // Session 1 is a Monday.
    let mut case = mill("works = \"Tue-Fri\"\nshut = true");
    bring(&mut case, &[("CHT 1", 0)]);
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 1"), Some(Deed::OffSpot));
    assert!(trip(&plan, "CHT 1").why.contains("Mill is shut today"), "{}", trip(&plan, "CHT 1").why);
    assert_eq!(deed(&case.session(), "CHT 1"), Some(Deed::Spot));
}

#[test]
fn a_customer_that_only_does_not_work_still_takes_cars() {
    let mut case = mill("works = \"Tue-Fri\"");
    bring(&mut case, &[("CHT 1", 0)]);
    assert_eq!(deed(&case.session(), "CHT 1"), Some(Deed::Spot));
}

/// One car waits beside its door since the third session, behind cars that keep its crew from it; a
/// promised one comes in.
fn one_waits_and_one_comes(keys: &str) -> Case {
    let mut case = mill(keys);
    case.standing.session = 7;
    case.put("CHT 1", "town/team", None);
    case.load("CHT 1", "flour", 2);
    let car = case.car("CHT 1");
    case.standing.car_mut(car).waiting_since = Some(3);
    case.put("CHT 3", "town/mill", Some("2"));
    case.unload("CHT 3", "flour", 20);
    bring(&mut case, &[("CHT 2", -9)]);
    case
}

#[test]
fn a_customer_that_takes_cars_in_turn_takes_the_one_that_waits_beside_its_door_first() {
    // The newcomer's order is the older one: without the turn it goes first.
    let mut free = one_waits_and_one_comes("");
    let plan = free.session();
    assert_eq!(free.stands("CHT 2"), ("town/mill", Some("1")), "{:?}", trip(&plan, "CHT 2"));
    let mut case = one_waits_and_one_comes("in_turn = true");
    let plan = case.session();
    assert_eq!(case.stands("CHT 1"), ("town/mill", Some("1")), "{:?}", trip(&plan, "CHT 1"));
    assert_eq!(case.stands("CHT 2"), ("town/team", None), "{:?}", trip(&plan, "CHT 2"));
}

#[test]
fn a_customer_that_is_not_done_keeps_the_car_at_its_door_and_the_crew_is_told_to_hold_it() {
    // With odds of 1 in 2, some session of the next ten has it unfinished.
    let mut case = mill("unfinished = \"1 in 2\"");
    for (car, door, ready) in [("CHT 1", "1", 2), ("CHT 2", "2", 3)] {
        case.put(car, "town/mill", Some(door));
        case.unload(car, "flour", ready);
    }
    let mut held = 0;
    for _ in 0..10 {
        let plan = case.session();
        for car in ["CHT 1", "CHT 2"] {
            let about = |notice: &&Notice| &*notice.about == "not finished" && notice.text.contains(car);
            if plan.notices.iter().any(|notice| about(&notice)) {
                held += 1;
                assert_eq!(case.stands(car).0, "town/mill", "it stays at its door");
                let said = |work: &&CarWork| work.bound.contains("not finished, unloading until session");
                let lines = work(&plan, car);
                assert!(lines.iter().all(said), "{lines:?}");
                assert!(lines.iter().all(|work| matches!(work.deed, Deed::Hold | Deed::Leave)));
            }
        }
    }
    assert!(held > 0, "no car was ever unfinished");
    assert!(
        ["CHT 1", "CHT 2"].iter().all(|car| case.stands(car).0 != "town/mill"),
        "all are done in the end"
    );
}

#[test]
fn a_car_that_waits_for_want_of_room_is_on_hand_as_if_it_had_been_spotted() {
    // Monday, session 1: both doors are taken until Friday, a third car is put beside them. Tuesday
    // and Wednesday are free (48 hours to unload), Thursday is the first day over.
    let mut case = mill("");
    for (car, spot) in [("CHT 1", "1"), ("CHT 2", "2")] {
        case.put(car, "town/mill", Some(spot));
        case.unload(car, "flour", 5);
    }
    bring(&mut case, &[("CHT 3", 1)]);
    for session in 1..=3 {
        assert!(case.session().on_hand.is_empty(), "session {session}");
    }
    let told: Vec<(String, i32, u32, u32)> = case
        .session()
        .on_hand
        .iter()
        .map(|line| (line.car.to_string(), line.placed, line.days, line.over))
        .collect();
    assert_eq!(told, [("CHT 3".to_owned(), 1, 3, 1)]);
    assert_eq!(case.standing.car(case.car("CHT 3")).placed, Some(1), "kept for the next session");
}
