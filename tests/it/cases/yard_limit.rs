//! A yard that would pass its limit in the middle of a session: common practice, no source.

use std::fmt::Write as _;

use setout::session::plan::Event;
use setout::standing::Away;

use super::*;

/// A yard track for 40 cars of 44 ft. Train one brings 12 cars from the west, train two 10 from the
/// east, train three takes 8 out to the west; the train that takes cars on to the dock has left.
const YARD: &str = r#"
[layout]
name = "Yard"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
car = "44 ft"
full = "100 %"
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
marks = ["CHT", "WST", "EST", "OUT"]
[place.west]
name = "West"
railroad = "CHT"
track.in = { use = "staging", length = "20 cars", opens = "both" }
track.out = { use = "staging", length = "20 cars", opens = "both" }
track.loop = { use = "runaround", length = "20 cars", opens = "both" }
[place.yard]
name = "Harbor Yard"
railroad = "CHT"
track.1 = { use = "yard", length = "40 cars", opens = "both" }
track.loop = { use = "runaround", length = "40 cars", opens = "both" }
[place.east]
name = "East"
railroad = "CHT"
track.in = { use = "staging", length = "20 cars", opens = "both" }
track.out = { use = "staging", length = "20 cars", opens = "both" }
track.loop = { use = "runaround", length = "20 cars", opens = "both" }
[place.works]
name = "Works"
railroad = "CHT"
track.dock = { use = "spur", length = "40 cars", opens = "west" }
[[link]]
between = ["west", "yard"]
minutes = 2
[[link]]
between = ["yard", "east"]
minutes = 2
[[link]]
between = ["yard", "works"]
minutes = 2
[gateway.far-west]
name = "Far West"
kind = "staging"
gives = "west/in"
takes = "west/out"
[gateway.far-east]
name = "Far East"
kind = "staging"
gives = "east/in"
takes = "east/out"
[commodity.flour]
cars = ["XM"]
[industry.dock]
name = "Dock"
place = "works"
receives.flour = ["dock"]
[job.dock]
name = "Dock Job"
railroad = "CHT"
calls = ["yard", "works"]
on_duty = "5:00"
power = "60 scale ft"
"#;

/// The case with the trains in an order: 26 cars in the yard, 8 of them bound out to the west.
fn told(order: [&str; 3], in_the_yard: usize) -> Case {
    told_with(order, in_the_yard, "")
}

/// The same with more about train three.
fn told_with(order: [&str; 3], in_the_yard: usize, three: &str) -> Case {
    told_as(order, in_the_yard, three, |text| text)
}

/// The same with another description.
fn told_as(order: [&str; 3], in_the_yard: usize, three: &str, change: impl Fn(String) -> String) -> Case {
    let mut text = YARD.to_owned();
    text += &lane("from-west", "flour", "far-west", "dock");
    text += &lane("from-east", "flour", "far-east", "dock");
    text += &lane("through", "flour", "far-east", "far-west");
    for (at, job) in order.iter().enumerate() {
        let (calls, max) = match *job {
            "one" => ("[\"west\", \"yard\"]", 12),
            "two" => ("[\"east\", \"yard\"]", 10),
            _ => ("[\"yard\", \"west\"]", 8),
        };
        let _ = write!(
            text,
            "[job.{job}]\nname = \"Train {job}\"\nrailroad = \"CHT\"\ncalls = {calls}\non_duty = \"{}:00\"\n\
             max = {{ cars = {max} }}\npower = \"60 scale ft\"\n",
            6 + at * 2
        );
        if *job == "three" {
            text += three;
        }
    }
    // Cars without a load wait where they are: nobody has said where they go home.
    let marks = [("CHT", in_the_yard - 8), ("OUT", 8), ("WST", 12), ("EST", 10)];
    for (mark, count) in marks {
        for number in 1..=count {
            let _ = write!(
                text,
                "[[car]]\nmark = \"{mark}\"\nnumber = \"{number}\"\ntype = \"XM\"\nlength = \"44 ft\"\n"
            );
        }
    }
    let mut case = Case::of(&change(text));
    for (mark, count) in marks {
        for number in 1..=count {
            let id = format!("{mark} {number}");
            let (track, lane) = match mark {
                "CHT" => ("yard/1", None),
                "OUT" => ("yard/1", Some("through")),
                "WST" => ("west/in", Some("from-west")),
                _ => ("east/in", Some("from-east")),
            };
            case.put(&id, track, None);
            if let Some(lane) = lane {
                case.load(&id, lane, 0);
            }
        }
    }
    case
}

/// The cars of a mark that stand on a track of the yard when the session is over.
fn in_yard(case: &Case, mark: &str) -> usize {
    let cars = case.standing.on(case.track("yard/1")).iter();
    cars.filter(|car| case.layout.cars()[**car].id.as_str().starts_with(mark)).count()
}

#[test]
fn a_train_does_not_bring_more_than_the_yard_holds_when_it_comes() {
    // 26 + 12 + 10 = 48: of the 22 that come only 14 fit, and 40 - 8 = 32 are left.
    let mut case = told(["one", "two", "three"], 26);
    let plan = case.session();
    assert_eq!(most(&plan, "yard/1"), 40);
    assert_eq!((in_yard(&case, "WST") + in_yard(&case, "EST"), in_yard(&case, "OUT")), (14, 0));
    let comes = |trip: &&TripLine| ["EST", "WST"].contains(&&trip.car.as_str()[..3]);
    let left: Vec<&TripLine> = plan.trips.iter().filter(comes).filter(|trip| trip.legs.is_empty()).collect();
    assert_eq!(left.len(), 8, "8 too many");
    // The counts would be 38, 48, 40; with train three before train two they are 38, 30, 40.
    for trip in left {
        let why = "no room at Harbor Yard when Train two comes: 48 cars";
        assert!(trip.why.contains(why), "{}: {}", trip.car, trip.why);
        assert!(trip.why.contains("8 too many"), "{}: {}", trip.car, trip.why);
        assert!(trip.why.contains("if Train three goes before Train two: 38, 30, 40"), "{}", trip.why);
    }
    let told = about(&plan, "no room");
    assert!(
        matches!(told.as_slice(), [one] if one.starts_with("8 cars") && one.contains("8 too many")),
        "{told:?} {:?}",
        plan.trips
    );
}

/// What the host is told of something before anything is printed.
fn about<'p>(plan: &'p Plan, what: &str) -> Vec<&'p str> {
    plan.notices.iter().filter(|notice| &*notice.about == what).map(|notice| &*notice.text).collect()
}

#[test]
fn in_an_order_that_works_all_cars_come() {
    // 38, 30, 40.
    let mut case = told(["one", "three", "two"], 26);
    let plan = case.session();
    assert_eq!(most(&plan, "yard/1"), 40);
    assert_eq!((in_yard(&case, "WST"), in_yard(&case, "EST"), in_yard(&case, "OUT")), (12, 10, 0));
    assert_eq!(about(&plan, "no room"), Vec::<&str>::new());
}

#[test]
fn a_yard_with_room_takes_the_trains_in_any_order() {
    // 18 + 12 + 10 = 40 before any car leaves.
    for order in [["one", "two", "three"], ["two", "one", "three"], ["three", "two", "one"]] {
        let mut case = told(order, 18);
        let plan = case.session();
        assert!(most(&plan, "yard/1") <= 40, "{order:?}");
        assert_eq!((in_yard(&case, "WST"), in_yard(&case, "EST")), (12, 10), "{order:?}");
    }
}

#[test]
fn a_yard_that_is_full_takes_only_as_many_as_went_before() {
    // 40 - 8 + 8 = 40: train one, coming after train three, brings 8 of its 12; train two none.
    let mut case = told(["three", "one", "two"], 40);
    let plan = case.session();
    assert_eq!(most(&plan, "yard/1"), 40);
    assert_eq!(in_yard(&case, "WST") + in_yard(&case, "EST"), 8);
    // 32, 44: 4 too many, and then 54 with nobody left to go.
    let told = about(&plan, "no room");
    assert!(matches!(told.as_slice(), [one] if one.contains("when Train one comes: 44 cars")), "{told:?}");
    assert!(told[0].contains("4 too many; the most when Train two comes: 54 cars"), "{told:?}");
    assert!(told[0].contains("no other order of the jobs helps"), "{told:?}");
}

#[test]
fn an_order_that_the_host_asked_for_is_not_turned_round() {
    // Train three must wait until train two is done, and train one comes last: 26 + 10 - 8 + 12.
    let mut case = told_with(["one", "two", "three"], 26, "after = [\"two\"]\n");
    let told = about(&case.session(), "no room").join("\n");
    assert!(told.contains("if Train two and then Train three go before Train one: 36, 28, 40"), "{told}");
    // Where it must wait for both, only 38, 48, 40 is left.
    let mut case = told_with(["one", "two", "three"], 26, "after = [\"one\", \"two\"]\n");
    let plan = case.session();
    assert_eq!(most(&plan, "yard/1"), 40);
    let told = about(&plan, "no room");
    assert!(matches!(told.as_slice(), [one] if one.contains("8 too many; no other order")), "{told:?}");
}

#[test]
fn the_working_limit_is_passed_and_told_in_one_line_with_its_event() {
    // Two tracks of 20 cars with a working limit of 16 each: 18 + 12 = 30 fit in 32, 10 more make
    // 40, 8 too many, and 8 leave; with train three before train two: 30, 22, 32.
    let split = |text: String| {
        let two = "track.1 = { use = \"yard\", length = \"20 cars\", opens = \"both\" }\n\
                   track.2 = { use = \"yard\", length = \"20 cars\", opens = \"both\" }";
        let one = "track.1 = { use = \"yard\", length = \"40 cars\", opens = \"both\" }";
        text.replace("full = \"100 %\"", "full = \"80 %\"").replace(one, two)
    };
    let mut case = told_as(["one", "two", "three"], 18, "", split);
    let plan = case.session();
    assert!(most(&plan, "yard/1") <= 20 && most(&plan, "yard/2") <= 20);
    let told: Vec<&str> =
        about(&plan, "working limit").into_iter().filter(|text| text.starts_with("Harbor Yard")).collect();
    assert!(
        matches!(told.as_slice(), [one] if one.contains("when Train two comes: 40 cars")
            && one.contains("8 too many") && one.contains("if Train three goes before Train two: 30, 22, 32")),
        "{told:?} {:?}",
        plan.trips
    );
}

#[test]
fn cars_that_one_train_brings_for_another_keep_their_train_first() {
    // Train two brings the eight that train three takes out, and two more: 34, 44, 36 would stand
    // there, 4 too many, and train three cannot go before train two; train one, moved to the end,
    // finds 22 + 10 - 8 + 12 = 36.
    let mut case = told(["one", "two", "three"], 30);
    for number in 1..=8 {
        case.put(&format!("OUT {number}"), "east/in", None);
        let away = case.car(&format!("EST {number}"));
        case.standing.take_away(away, Away::Shelf);
    }
    let plan = case.session();
    assert_eq!(most(&plan, "yard/1"), 40);
    let told = about(&plan, "no room").join("\n");
    assert!(
        told.contains("4 too many; it works if Train two and then Train three go before Train one"),
        "{told}"
    );
}

/// The most cars that stand on a track at any moment of a session.
fn most(plan: &Plan, track: &str) -> usize {
    let mut on =
        plan.before.tracks.iter().find(|(id, _)| id.as_str() == track).map_or(0, |(_, row)| row.len());
    let mut most = on;
    for event in &plan.events {
        match event {
            Event::Couple { track: at, cars, .. } if at.as_str() == track => on -= cars.len(),
            Event::Leave { track: at, cars, .. } if at.as_str() == track => on += cars.len(),
            _ => {}
        }
        most = most.max(on);
    }
    most
}
