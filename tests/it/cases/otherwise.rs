//! What really happened: common practice, no source.

use setout::ledger::facts::{Said, understood};
use setout::ledger::happened::{Evening, Happened, happened};
use setout::standing::Whereabouts;

use super::*;

/// The branch with its yard as the fiddle yard beyond, a mill and a mine in the town, and another yard between
/// them. Train one takes cars from that yard to the town, train two brings them from the fiddle yard to it.
fn town() -> String {
    let (places, _) = BRANCH.split_once("[[link]]").unwrap();
    places.replace("Yard", "Fiddle Yard").replace("yard", "fiddle") + TOWN
}

/// What the town has, and the rest.
const TOWN: &str = r#"
track.mill = { use = "spur", length = "100 scale ft", opens = "west", spots = [{ name = "door", cars = 1 }] }
track.mine = { use = "spur", length = "100 scale ft", opens = "west", spots = [{ name = "tipple", cars = 1 }] }
[place.yard]
name = "Yard"
railroad = "CHT"
track.1 = { use = "yard", length = "600 scale ft", opens = "both" }
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
[[link]]
between = ["fiddle", "yard"]
minutes = 4
[[link]]
between = ["yard", "town"]
minutes = 4
[job.one]
name = "Train one"
railroad = "CHT"
calls = ["yard", "town", "yard"]
power = "60 scale ft"
on_duty = "6:00"
[job.two]
name = "Train two"
railroad = "CHT"
calls = ["fiddle", "yard"]
power = "60 scale ft"
on_duty = "9:00"
[commodity.flour]
cars = ["XM"]
[commodity.timber]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
receives.flour = ["mill/door"]
[industry.mine]
name = "Mine"
place = "town"
receives.timber = ["mine/tipple"]
"#;

/// A and B stand in the yard with loads for the mill and the mine, D, E and F in the fiddle yard.
fn told() -> Case {
    told_in(town())
}

fn told_in(mut text: String) -> Case {
    text += &lane("flour", "flour", "away", "mill");
    text += &lane("timber", "timber", "away", "mine");
    text += &box_cars(6, "44 ft");
    let mut case = Case::of(&text);
    // A is CHT 1, B is CHT 2; D, E and F are CHT 3, 4 and 5.
    let yard = if text.contains("track.2") { "yard/2" } else { "yard/1" };
    case.put("CHT 1", yard, None);
    case.load("CHT 1", "flour", 0);
    case.put("CHT 2", yard, None);
    case.load("CHT 2", "timber", 0);
    for (car, lane) in [("CHT 3", "flour"), ("CHT 4", "timber"), ("CHT 5", "flour")] {
        case.put(car, "fiddle/in", None);
        case.load(car, lane, 1);
    }
    case
}

impl Case {
    /// Plans a session and lets it go otherwise.
    fn goes(&mut self, said: &[&str]) -> Happened {
        let before = self.standing.clone();
        let plan = self.session();
        let said: Vec<Said> =
            said.iter().map(|words| Said { origin: String::new(), words: (*words).to_owned() }).collect();
        let evening =
            Evening { layout: &self.layout, plan: &plan, before: &before, expected: &self.standing };
        let facts = understood(&said, &self.layout, &plan).unwrap();
        let left = happened(&evening, &facts).unwrap();
        self.standing = left.standing.clone();
        left
    }

    fn is(&self, car: &str) -> &'static str {
        match &self.standing.car(self.car(car)).condition {
            Condition::Empty => "empty",
            Condition::Ordered { .. } => "ordered",
            Condition::Loading { .. } => "loading",
            Condition::Loaded { .. } => "loaded",
            Condition::Unloading { .. } => "unloading",
        }
    }
}

fn names(left: &Happened) -> Vec<&str> {
    left.misplaced.iter().map(|car| car.car.as_str()).collect()
}

#[test]
fn two_cars_changed_places_and_a_train_never_ran() {
    let mut case = told();
    let left = case.goes(&["CHT 1 at town/mine", "CHT 2 at town/mill", "job two not run"]);
    assert_eq!(case.stands("CHT 1"), ("town/mine", Some("tipple")));
    assert_eq!(case.stands("CHT 2"), ("town/mill", Some("door")));
    for car in ["CHT 3", "CHT 4", "CHT 5"] {
        assert_eq!((case.stands(car), case.is(car)), (("fiddle/in", None), "loaded"), "{car}");
    }
    // A and B are misplaced, as are those that the train did not bring; all orders carry over.
    assert_eq!(names(&left), ["CHT 1", "CHT 2", "CHT 3", "CHT 4", "CHT 5"]);
    assert!(left.misplaced.iter().all(|car| car.order.is_some()));
    assert_eq!(case.standing.orders.len(), 5);
    assert_eq!((case.is("CHT 1"), case.is("CHT 2")), ("loaded", "loaded"));
    let next = case.session();
    let on: usize = next.before.tracks.values().map(Vec::len).sum();
    assert_eq!((on, next.before.shelf.len()), (5, 1));
    // A next step each: both are pulled from the wrong door tonight.
    for car in ["CHT 1", "CHT 2"] {
        assert!(!trip(&next, car).legs.is_empty(), "{car}: {}", trip(&next, car).why);
    }
}

#[test]
fn a_train_done_to_its_first_call_sets_out_where_it_is() {
    let mut case = told();
    let left = case.goes(&["job one ran to 1"]);
    // It had both cars in its train at the yard.
    assert_eq!((case.stands("CHT 1"), case.stands("CHT 2")), (("yard/1", None), ("yard/1", None)));
    assert_eq!((case.is("CHT 1"), case.is("CHT 2")), ("loaded", "loaded"));
    assert!(names(&left).contains(&"CHT 1") && names(&left).contains(&"CHT 2"));
    // Train two ran all the same.
    assert_eq!(case.stands("CHT 3").0, "yard/1");
    case.session();
    assert_eq!((case.is("CHT 1"), case.is("CHT 2")), ("unloading", "unloading"));
}

#[test]
fn a_car_that_came_earlier_than_planned_is_unloaded_where_it_stands() {
    let mut case = told();
    let left = case.goes(&["CHT 1 left", "3 at mill/door"]);
    assert_eq!((case.is("CHT 1"), case.is("CHT 3")), ("loaded", "unloading"));
    assert_eq!(names(&left), ["CHT 1", "CHT 3"]);
    let next = case.session();
    assert!(orders(&next, OrderState::Filled).iter().any(|order| order.car == Some(Id::from("CHT 1"))));
    // Its order is done once it has stood at the door for its time, as if the plan had brought it there.
    let mut done = orders(&next, OrderState::Done).len();
    for _ in 0..3 {
        let plan = case.session();
        done += orders(&plan, OrderState::Done)
            .iter()
            .filter(|order| order.car == Some(Id::from("CHT 3")))
            .count();
    }
    assert_eq!(done, 1);
}

#[test]
fn a_car_that_was_not_pulled_keeps_the_next_one_from_its_door() {
    let mut case = told();
    case.put("CHT 6", "town/mill", Some("door"));
    // Empty since yesterday: train one pulls it and puts the flour in its place.
    let left = case.goes(&["CHT 6 left"]);
    assert_eq!(case.stands("CHT 6"), ("town/mill", Some("door")));
    assert_eq!((case.stands("CHT 1"), case.is("CHT 1")), (("yard/1", None), "loaded"));
    let first = left.misplaced.iter().find(|car| car.car == Id::from("CHT 1")).unwrap();
    assert_eq!(first.why, Some("no room where it was to go"));
    assert_eq!((case.stands("CHT 2"), case.is("CHT 2")), (("town/mine", Some("tipple")), "unloading"));
    case.session();
    assert_eq!((case.stands("CHT 1"), case.is("CHT 1")), (("town/mill", Some("door")), "unloading"));
}

#[test]
fn a_load_that_is_taken_off_the_layout_leaves_its_order_to_another_car() {
    let mut case = told();
    let before = case.standing.orders.len();
    case.goes(&["CHT 1 at shelf", "CHT 2 at away"]);
    let at = |car: &str| case.standing.car(case.car(car)).whereabouts();
    assert_eq!(at("CHT 1"), Whereabouts::Shelf);
    assert!(matches!(at("CHT 2"), Whereabouts::Beyond(_)));
    // Neither load came where it was bound: both orders wait for another car.
    assert_eq!(case.standing.orders.len(), before);
    assert_eq!(case.standing.orders.iter().filter(|order| order.car.is_none()).count(), 2);
    case.session();
}

#[test]
fn a_load_that_was_not_in_the_car_and_one_that_was_taken_out_early() {
    let mut case = told();
    // Both came from beyond: flour that is not in the car waits for another one.
    case.goes(&["CHT 1 empty", "CHT 2 loaded"]);
    assert_eq!((case.stands("CHT 1"), case.is("CHT 1")), (("town/mill", Some("door")), "empty"));
    assert_eq!(case.is("CHT 2"), "unloading");
    // It stood at its customer, so its order is done.
    assert!(case.standing.orders.iter().all(|order| order.car != Some(case.car("CHT 1"))));
    case.session();
}

#[test]
fn a_car_that_came_without_its_load_leaves_the_order_to_another_one() {
    let mut case = told();
    let before = case.standing.orders.len();
    case.goes(&["job one not run", "CHT 1 empty"]);
    assert_eq!((case.stands("CHT 1"), case.is("CHT 1")), (("yard/1", None), "empty"));
    assert_eq!(case.standing.orders.len(), before);
    assert_eq!(case.standing.orders.iter().filter(|order| order.car.is_none()).count(), 1);
    // Its empty way home, or another load, begins with the next session.
    let next = case.session();
    assert!(next.trips.iter().any(|trip| trip.car == Id::from("CHT 1")) || case.is("CHT 1") == "ordered");
}

#[test]
fn a_car_that_nobody_expected_is_found_and_gets_a_next_step() {
    let mut case = told();
    // CHT 6 is on the shelf; somebody stood it in the yard, and put an empty where the mine unloads.
    let left = case.goes(&["CHT 6 at yard/1", "CHT 2 left"]);
    assert_eq!((case.stands("CHT 6"), case.is("CHT 6")), (("yard/1", None), "empty"));
    assert_eq!(names(&left), ["CHT 2", "CHT 6"]);
    assert!(left.misplaced.iter().all(|car| !car.next.is_empty()));
    let next = case.session();
    // It is there and nowhere else, and the plan has a word for it.
    let on: Vec<&str> = next.before.tracks.values().flatten().map(|row| row.car.as_str()).collect();
    assert_eq!(on.iter().filter(|car| **car == "CHT 6").count(), 1);
    assert!(next.before.shelf.is_empty());
}

#[test]
fn a_car_found_a_bad_order_keeps_its_load_where_somebody_repairs_it() {
    let rip = "track.1 = { use = \"repair\", offers = [\"repair\"], length = \"100 scale ft\", opens = \"both\" }\n\
               track.2 = {";
    for (text, kept) in [(town(), false), (town().replace("track.1 = {", rip), true)] {
        let mut case = told_in(text);
        let before = case.standing.orders.len();
        case.goes(&["job one ran to 1", "CHT 1 bad order"]);
        assert!(case.standing.car(case.car("CHT 1")).bad_order);
        // Its order is its own, or waits for another car; it is not lost.
        let own = case.standing.orders.iter().any(|order| order.car == Some(case.car("CHT 1")));
        assert_eq!((case.is("CHT 1"), own), (if kept { "loaded" } else { "empty" }, kept));
        assert_eq!(case.standing.orders.len(), before);
        let next = case.session();
        let to_mill =
            next.trips.iter().any(|trip| trip.car.as_str() == "CHT 1" && trip.arrives && !trip.for_repair);
        assert!(!to_mill, "a bad order is sent to its customer");
    }
}
