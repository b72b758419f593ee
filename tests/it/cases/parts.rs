//! Two customers share a spur with named parts: common practice, no source.

use setout::paper;

use super::*;

/// One spur with a house part of 60 ft and a team part of 120 ft, a customer at each.
fn spur() -> Case {
    let mut text = BRANCH.to_owned();
    text += r#"
[place.town.track.house]
name = "house track"
use = "spur"
length = "180 scale ft"
opens = "east"
spots = [
    { name = "house", length = "60 scale ft", cars = "any" },
    { name = "team", length = "120 scale ft", cars = "any" },
]
[industry.shop]
name = "Ridley Machine Shop"
place = "town"
receives.flour = ["house/house"]
[industry.lumber]
name = "Oakes Lumber"
place = "town"
receives.flour = ["house/team"]
"#;
    text += &lane("shop", "flour", "away", "shop");
    text += &lane("lumber", "flour", "away", "lumber");
    Case::of(&(text + &box_cars(5, "45 ft")))
}

fn inbound(case: &mut Case, cars: &[(&str, &str)]) {
    for (car, lane) in cars {
        case.put(car, "yard/in", None);
        case.load(car, lane, 0);
    }
}

/// The lines of the town's switch list that tell of a car, with the line below each.
fn lines(case: &Case, plan: &Plan, car: &str) -> Vec<String> {
    let sheets = paper::sheets(plan, &case.layout);
    let lists: Vec<String> =
        sheets.iter().filter(|sheet| sheet.form == "switch-list").map(paper::text).collect();
    let (mark, number) = car.split_once(' ').unwrap();
    let mut found = Vec::new();
    for list in &lists {
        let all: Vec<&str> = list.lines().collect();
        for (at, line) in all.iter().enumerate() {
            let words: Vec<&str> = line.split_whitespace().collect();
            if words.windows(2).any(|pair| pair == [mark, number]) {
                found.push(all[at..(at + 3).min(all.len())].join("\n"));
            }
        }
    }
    found
}

#[test]
fn each_part_has_room_of_its_own() {
    let mut case = spur();
    inbound(&mut case, &[("CHT 1", "shop"), ("CHT 2", "shop"), ("CHT 3", "lumber"), ("CHT 4", "lumber")]);
    let plan = case.session();
    // 45 + 45 = 90 ft is more than the house part's 60, though the spur as a whole has room; the
    // team part's 120 ft hold two.
    let at = |spot: &str| {
        let cars = ["CHT 1", "CHT 2", "CHT 3", "CHT 4"];
        cars.iter().filter(|car| case.stands(car) == ("town/house", Some(spot))).count()
    };
    assert_eq!((at("house"), at("team")), (1, 2));
    let second = trip(&plan, "CHT 2");
    assert!(!second.arrives);
    assert!(second.why.contains("no room beside CHT 1, being unloaded until session 3"), "{}", second.why);
}

#[test]
fn a_third_car_does_not_fit_the_team_part() {
    let mut case = spur();
    inbound(&mut case, &[("CHT 1", "lumber"), ("CHT 2", "lumber"), ("CHT 3", "lumber")]);
    let plan = case.session();
    assert_eq!(plan.trips.iter().filter(|trip| trip.arrives).count(), 2);
}

#[test]
fn a_car_of_one_customer_is_no_hindrance_to_the_other() {
    let mut case = spur();
    case.put("CHT 5", "town/house", Some("house"));
    case.unload("CHT 5", "shop", 4);
    inbound(&mut case, &[("CHT 3", "lumber")]);
    let plan = case.session();
    assert_eq!(deed(&plan, "CHT 3"), Some(Deed::Spot));
    assert_eq!(case.stands("CHT 3"), ("town/house", Some("team")));
    assert_eq!(case.stands("CHT 5"), ("town/house", Some("house")));
}

#[test]
fn every_line_says_town_track_part_and_customer() {
    let mut case = spur();
    inbound(&mut case, &[("CHT 1", "shop"), ("CHT 3", "lumber")]);
    let plan = case.session();
    for (car, part, customer) in
        [("CHT 1", "house", "Ridley Machine Shop"), ("CHT 3", "team", "Oakes Lumber")]
    {
        let told = lines(&case, &plan, car);
        assert!(
            told.iter().any(|line| {
                ["Northgate", "house track", part, customer].iter().all(|word| line.contains(word))
            }),
            "{car}:\n{}",
            told.join("\n--\n")
        );
    }
}

#[test]
fn a_part_that_was_made_too_short_for_its_cars_is_told() {
    // Two cars of 45 ft stand at the house part, which is 60 ft now.
    let mut case = spur();
    for car in ["CHT 4", "CHT 5"] {
        case.put(car, "town/house", Some("house"));
        case.unload(car, "shop", 4);
    }
    let plan = case.session();
    let told = plan.notices.iter().filter(|notice| &*notice.about == "no room");
    let told: Vec<&str> = told.map(|notice| &*notice.text).collect();
    assert!(
        matches!(told.as_slice(), [one] if one.starts_with("more stands at house of house track at Northgate")),
        "{told:?}"
    );
}
