//! A car arrives though its spot is taken: common practice, no source.

use super::*;

/// A mill with one spot of 50 ft, and a team track with two lengths of 50 ft in the same town.
fn mill(spots: &str) -> Case {
    let town = format!(
        r#"
track.mill = {{ use = "spur", opens = "east", {spots} }}
track.team = {{ use = "spur", length = "100 scale ft", opens = "west", off_spot = true }}
"#
    );
    let text = BRANCH.replace(
        "name = \"Northgate\"\nrailroad = \"CHT\"\n",
        &format!("name = \"Northgate\"\nrailroad = \"CHT\"{town}"),
    );
    let goal = if spots.contains("spots") { "[\"mill/dock\"]" } else { "[\"mill\"]" };
    let customer = format!("[industry.mill]\nname = \"Mill\"\nplace = \"town\"\nreceives.flour = {goal}\n");
    Case::of(&(text + &customer + &lane("flour", "flour", "away", "mill") + &box_cars(5, "50 ft")))
}

const ONE_SPOT: &str = "length = \"50 scale ft\", spots = [{ name = \"dock\", length = \"50 scale ft\" }]";

#[test]
fn a_car_waits_off_spot_and_moves_up_when_the_spot_is_free() {
    let mut case = mill(ONE_SPOT);
    let (a, b, c) = ("CHT 1", "CHT 2", "CHT 3");
    case.put(a, "town/mill", Some("dock"));
    case.unload(a, "flour", 2);
    case.put(b, "yard/in", None);
    case.load(b, "flour", 1);

    let today = case.session();
    assert!(matches!(deed(&today, a), Some(Deed::Hold | Deed::Leave)), "{:?}", work(&today, a));
    assert!(work(&today, a).iter().all(|work| &*work.bound == "being unloaded until session 2"));
    assert_eq!(deed(&today, b), Some(Deed::OffSpot));
    assert_eq!(case.stands(a), ("town/mill", Some("dock")));
    assert_eq!(case.stands(b), ("town/team", None));
    assert_eq!(case.standing.car(case.car(b)).waiting_since, Some(1), "its waiting is counted from today");
    let why = &trip(&today, b).why;
    assert!(why.contains("dock is taken by CHT 1, being unloaded until session 2"), "{why}");

    case.put(c, "yard/in", None);
    case.load(c, "flour", 2);
    let next = case.session();
    assert!(work(&next, a).iter().any(|work| work.deed == Deed::Pull && work.to.is_none()));
    assert_eq!((deed(&next, b), deed(&next, c)), (Some(Deed::Spot), Some(Deed::OffSpot)));
    assert_eq!(case.stands(b), ("town/mill", Some("dock")));
    assert_eq!(case.stands(c), ("town/team", None));
}

#[test]
fn a_car_is_not_sent_out_when_the_team_track_is_full_too() {
    let mut case = mill(ONE_SPOT);
    case.put("CHT 1", "town/mill", Some("dock"));
    case.unload("CHT 1", "flour", 2);
    for waiting in ["CHT 4", "CHT 5"] {
        case.put(waiting, "town/team", None);
        case.load(waiting, "flour", 0);
    }
    case.put("CHT 2", "yard/in", None);
    case.load("CHT 2", "flour", 1);
    let plan = case.session();
    let stays = trip(&plan, "CHT 2");
    assert_eq!((stays.legs.len(), stays.arrives), (0, false));
    assert!(stays.why.contains("dock is taken by CHT 1, being unloaded until session 2"), "{}", stays.why);
    assert_eq!(case.stands("CHT 2"), ("yard/in", None));
}

#[test]
fn of_all_that_wait_the_one_that_waits_longest_gets_the_spot() {
    let mut case = mill(ONE_SPOT);
    case.put("CHT 1", "town/mill", Some("dock"));
    case.unload("CHT 1", "flour", 1);
    for (waiting, due) in [("CHT 4", 0), ("CHT 5", -3)] {
        case.put(waiting, "town/team", None);
        case.load(waiting, "flour", due);
    }
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 5"), Some(Deed::Spot));
    assert_eq!(case.stands("CHT 5"), ("town/mill", Some("dock")));
    assert_eq!(case.stands("CHT 4"), ("town/team", None));
}

#[test]
fn a_whole_track_without_spots_is_full_by_its_length() {
    // 110 ft hold two cars of 50 ft, not three.
    let mut case = mill("length = \"110 scale ft\"");
    for taken in ["CHT 1", "CHT 4"] {
        case.put(taken, "town/mill", None);
        case.unload(taken, "flour", 3);
    }
    case.put("CHT 2", "yard/in", None);
    case.load("CHT 2", "flour", 1);
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 2"), Some(Deed::OffSpot));
    assert_eq!(case.stands("CHT 2"), ("town/team", None));
}

#[test]
fn a_free_spot_is_used_though_another_of_the_track_is_taken() {
    let two = "length = \"100 scale ft\", spots = [{ name = \"dock\", length = \"50 scale ft\" }, { name = \"pit\", length = \"50 scale ft\" }]";
    let mut case = mill(two);
    case.put("CHT 1", "town/mill", Some("pit"));
    case.put("CHT 2", "yard/in", None);
    case.load("CHT 2", "flour", 1);
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 2"), Some(Deed::Spot));
    assert_eq!(case.stands("CHT 2"), ("town/mill", Some("dock")));
}
