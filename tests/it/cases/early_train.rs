//! A train that leaves before its cars arrive: common practice, no source.

use super::*;

/// A gateway, a yard, and a branch to a town with a mill. One train comes from the gateway to the
/// yard and goes back; another runs from the yard up the branch.
const LINE: &str = r#"
[layout]
name = "Branch"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
full = "100 %"
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
beyond = "away"
[gateway.away]
name = "Away"
kind = "fiddle"
takes = "edge/out"
gives = "edge/in"
[place.edge]
name = "Edge"
railroad = "CHT"
track.in = { use = "staging", length = "600 scale ft", opens = "both" }
track.out = { use = "staging", length = "600 scale ft", opens = "both" }
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
[place.yard]
name = "Yard"
railroad = "CHT"
track.1 = { use = "yard", length = "600 scale ft", opens = "both" }
track.2 = { use = "yard", length = "600 scale ft", opens = "both" }
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
[place.town]
name = "Northgate"
railroad = "CHT"
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
track.mill = { use = "spur", length = "400 scale ft", opens = "east" }
[[link]]
between = ["edge", "yard"]
minutes = 3
[[link]]
between = ["yard", "town"]
minutes = 4
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
receives.flour = ["mill"]
[job.inbound]
name = "Morning Train"
railroad = "CHT"
calls = ["edge", "yard", "edge"]
on_duty = "8:00"
power = "60 scale ft"
[job.turn]
name = "Northgate Turn"
railroad = "CHT"
calls = ["yard", "town", "yard"]
power = "60 scale ft"
"#;

/// The line with the branch train at a time of day, and box cars.
fn branch(time: &str, cars: usize) -> String {
    LINE.to_owned() + &format!("on_duty = \"{time}\"\n") + &box_cars(cars, "44 ft")
}

/// Six cars for the branch in the morning train.
fn six(case: &mut Case) -> Vec<String> {
    let cars: Vec<String> = (1..=6).map(|number| format!("CHT {number}")).collect();
    for car in &cars {
        case.put(car, "edge/in", None);
        case.load(car, "flour", 1);
    }
    cars
}

/// The cars a job brings to the town.
fn brought(plan: &Plan, job: &str) -> Vec<String> {
    let calls = plan.work.iter().filter(|call| call.job.as_str() == job && call.place.as_str() == "town");
    let here = calls.flat_map(|call| &call.cars).filter(|work| work.from.is_none());
    let mut cars: Vec<String> = here.map(|work| work.car.to_string()).collect();
    cars.sort();
    cars
}

fn light(plan: &Plan, job: &str) -> bool {
    plan.notices.iter().any(|notice| &*notice.about == "light job" && notice.text.contains(job))
}

#[test]
fn the_host_is_told_and_the_cars_are_on_the_next_list() {
    let mut case = Case::of(&(branch("6:00", 6) + &lane("flour", "flour", "away", "mill")));
    let cars = six(&mut case);
    let today = case.session();
    let first = &today.notices[0];
    assert_eq!(&*first.about, "light job");
    assert_eq!(
        &*first.text,
        "Northgate Turn: runs with no cars tonight; 6 cars for it will be there in session 2"
    );
    assert!(brought(&today, "turn").is_empty());
    for car in &cars {
        let trip = trip(&today, car);
        assert_eq!((trip.arrives, trip.expected), (false, Some(2)), "{}", trip.why);
        assert!(case.stands(car).0.starts_with("yard/"), "{:?}", case.stands(car));
    }
    let next = case.session();
    assert!(!light(&next, "Northgate Turn"));
    assert_eq!(brought(&next, "turn"), cars);
}

#[test]
fn a_train_that_leaves_later_has_them_the_same_day() {
    let mut case = Case::of(&(branch("10:00", 6) + &lane("flour", "flour", "away", "mill")));
    let cars = six(&mut case);
    let today = case.session();
    assert!(!light(&today, "Northgate Turn"));
    assert_eq!(brought(&today, "turn"), cars);
    assert!(cars.iter().all(|car| trip(&today, car).arrives));
}

#[test]
fn yesterdays_cars_are_in_the_yard_before_the_first_session() {
    let daily = lane("flour", "flour", "away", "mill");
    let daily = daily.lines().filter(|line| !line.starts_with("season")).collect::<Vec<_>>().join("\n");
    let daily = daily.replace("1 a week", "5 a day");
    let mut case = Case::begun(&(branch("6:00", 30) + &daily));
    let first = case.session();
    assert!(!light(&first, "Northgate Turn"), "{:?}", first.notices);
    assert!(!brought(&first, "turn").is_empty());
}

#[test]
fn a_train_takes_what_is_there_and_leaves_the_rest_for_tomorrow() {
    let mut case = Case::of(&(branch("6:00", 8) + &lane("flour", "flour", "away", "mill")));
    let late = six(&mut case);
    for car in ["CHT 7", "CHT 8"] {
        case.put(car, "yard/1", None);
        case.load(car, "flour", 0);
    }
    let today = case.session();
    assert!(!light(&today, "Northgate Turn"));
    assert_eq!(brought(&today, "turn"), ["CHT 7", "CHT 8"]);
    assert!(late.iter().all(|car| trip(&today, car).expected == Some(2)));
}

#[test]
fn a_train_for_which_nothing_comes_at_all_is_told_so() {
    let mut case = Case::of(&branch("6:00", 1));
    let text = case.session().notices[0].text.clone();
    assert_eq!(
        &*text,
        "Northgate Turn: runs with no cars, nothing is there for it, and nothing comes for it tonight"
    );
}
