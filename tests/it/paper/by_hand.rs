//! One small plan made by hand, so that its paper can be read and does not change with the planner.
//!
//! One spur has two named parts (common practice, no source), the house and the team part, each with a customer of its own and no track of its own. Two yards
//! bear the same name, and the other railroad's timetable turns east and west round.

use setout::diag::Sources;
use setout::ids::Id;
use setout::layout::{self, End, Layout, Opens};
use setout::paper::{self, Sheet};
use setout::session::plan::{
    CallWork, CarWork, Deed, Event, LeftCar, LegLine, Plan, RowCar, Rows, Train, TripLine, WorldTrack,
};
use setout::session::{self, Request};
use setout::units::{ClockTime, Length, Tons};

const LAYOUT: &str = r#"
[layout]
name = "Two Yards"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
left = "east"

[railroad.ABC]
name = "Alder Bay Central"
home = true
[railroad.XYZ]
name = "Xavier & Yonge"
reversed = true

[place.east-yard]
name = "Harbor Yard"
railroad = "XYZ"
[place.east-yard.track.1]
use = "yard"
length = "400 scale ft"
opens = "both"

[place.west-yard]
name = "Harbor Yard"
railroad = "ABC"
[place.west-yard.track.1]
use = "yard"
length = "400 scale ft"
opens = "both"

[place.town]
name = "Alder"
railroad = "XYZ"
note = "Flag the crossing"
[place.town.track.old]
name = "old spur"
use = "spur"
length = "180 scale ft"
opens = "west"
spots = [
  { name = "house", length = "60 scale ft", cars = "any" },
  { name = "team", length = "120 scale ft", cars = "any" },
]

[[link]]
between = ["town", "east-yard"]
minutes = 3
[[link]]
between = ["west-yard", "town"]
minutes = 3

[commodity.lumber]
cars = ["FM"]
[commodity.propane]
cars = ["T"]
placard = 2
[commodity.castings]
cars = ["XM"]

[industry.shop]
name = "Alder Machine Shop"
place = "town"
receives.castings = ["old/house"]
[industry.lumber]
name = "Reed Lumber"
place = "town"
receives.lumber = ["old/team"]
receives.propane = ["old/team"]

[job.turn]
name = "Alder Turn"
railroad = "XYZ"
calls = ["east-yard", "town", "east-yard"]
on_duty = "8:00"
max = { cars = 6, length = "400 scale ft" }
power = "50 scale ft"
engine = "XYZ 9"

[[car]]
mark = "ABC"
number = 11
type = "XM"
length = "45 ft"
[[car]]
mark = "XYZ"
number = 222
type = "T"
length = "40 ft"
color = "black"
note = "poor runner: last in the train"
[[car]]
mark = "XYZ"
number = 33
type = "FM"
length = "45 ft"
"#;

fn layout() -> Layout {
    let mut sources = Sources::default();
    sources.add("layout.toml".to_owned(), LAYOUT.to_owned());
    let (layout, faults) = layout::load(sources);
    layout.unwrap_or_else(|| panic!("{}", setout::diag::render::text(&faults, false)))
}

fn id(text: &str) -> Id {
    Id::from(text)
}

fn work(car: &str, deed: Deed, from: [Option<&str>; 2], to: [Option<&str>; 2], words: [&str; 2]) -> CarWork {
    let [lading, bound] = words;
    CarWork {
        car: id(car),
        deed,
        from: from[0].map(id),
        from_spot: from[1].map(id),
        to: to[0].map(id),
        to_spot: to[1].map(id),
        lading: (!lading.is_empty()).then(|| id(lading)),
        bound: bound.into(),
        told: None,
    }
}

fn call(call: u32, place: &str, time: Option<ClockTime>, cars: Vec<CarWork>) -> CallWork {
    CallWork {
        job: id("turn"),
        call,
        place: id(place),
        time,
        follows: Vec::new(),
        movements: 0,
        proved: false,
        cars,
    }
}

fn goes(call: u32, from: &str, to: &str, direction: End, east: &[&str]) -> Event {
    // 50 ft of power, cars of 45 and 40 ft: 135 ft with both, 95 ft with the first alone.
    let feet = if east.len() == 2 { 135 } else { 95 };
    Event::Goes {
        job: id("turn"),
        call,
        from: id(from),
        to: id(to),
        way: vec![id(from), id(to)],
        direction,
        train: Train {
            west: Vec::new(),
            east: east.iter().map(|car| id(car)).collect(),
            length: Length::scale_feet(feet),
            tons: Tons::new(60),
        },
    }
}

fn trip(car: &str, [from, to]: [&str; 2], spot: Option<&str>, bound: &str) -> TripLine {
    let calls = if spot.is_some() { (1, 2) } else { (2, 3) };
    TripLine {
        car: id(car),
        order: None,
        lading: None,
        from: id(from),
        bound: bound.into(),
        goals: vec![vec![id(spot.unwrap_or(to))]],
        since: 1,
        promised: false,
        waits: None,
        for_repair: false,
        services: Vec::new(),
        legs: vec![LegLine {
            job: id("turn"),
            from_call: calls.0,
            from: id(from),
            to_call: calls.1,
            to: id(to),
            spot: spot.map(id),
            made_up_for: None,
            why: "made by hand".into(),
        }],
        arrives: true,
        expected: None,
        why: "made by hand".into(),
        kept: None,
        told: Vec::new(),
    }
}

const YARD: &str = "east-yard/1";
const SPUR: &str = "town/old";
const HOUSE: &str = "town/old/house";
const TEAM: &str = "town/old/team";

/// The XYZ job brings castings and propane to the old spur and takes an empty flat car away.
fn plan(layout: &Layout) -> Plan {
    let standing = session::first_standing(layout, 1);
    let mut plan = session::plan(layout, &standing, &Request { seed: 1, revision: 1 }).plan;
    let row = |car: &str, spot: Option<&str>, lading: Option<&str>| RowCar {
        car: id(car),
        spot: spot.map(id),
        lading: lading.map(id),
        bad_order: false,
        dirty: false,
    };
    plan.before = Rows::default();
    let yard = vec![row("ABC 11", None, Some("castings")), row("XYZ 222", None, Some("propane"))];
    plan.before.tracks.insert(id(YARD), yard);
    plan.before.tracks.insert(id(SPUR), vec![row("XYZ 33", Some(TEAM), None)]);
    plan.events = events();
    plan.work = calls();
    plan.trips = vec![
        trip("ABC 11", [YARD, SPUR], Some(HOUSE), "Alder Machine Shop, Alder"),
        trip("XYZ 222", [YARD, SPUR], Some(TEAM), "Reed Lumber, Alder"),
        trip("XYZ 33", [SPUR, YARD], None, "home"),
    ];
    plan.notices = Vec::new();
    plan
}

fn events() -> Vec<Event> {
    let (job, end) = (|| id("turn"), End::West);
    let couple = |call, track: &str, cars: &[&str]| {
        let cars = cars.iter().map(|car| id(car)).collect();
        Event::Couple { job: job(), call, track: id(track), end, cars }
    };
    let leave = |call, track: &str, cars: &[(&str, Option<&str>)]| {
        let cars = cars.iter().map(|(car, spot)| LeftCar { car: id(car), spot: spot.map(id) }).collect();
        Event::Leave { job: job(), call, track: id(track), end, cars }
    };
    vec![
        Event::Starts { job: job(), place: id("east-yard") },
        couple(1, YARD, &["ABC 11", "XYZ 222"]),
        goes(1, "east-yard", "town", End::West, &["ABC 11", "XYZ 222"]),
        couple(2, SPUR, &["XYZ 33"]),
        leave(2, SPUR, &[("ABC 11", Some(HOUSE)), ("XYZ 222", Some(TEAM))]),
        goes(2, "town", "east-yard", End::East, &["XYZ 33"]),
        leave(3, YARD, &[("XYZ 33", None)]),
        Event::Ends { job: job(), place: id("east-yard") },
    ]
}

fn calls() -> Vec<CallWork> {
    let train = [None; 2];
    let castings = ["castings", "Alder Machine Shop, Alder"];
    let propane = ["propane", "Reed Lumber, Alder"];
    let empty = ["", "home"];
    let first = vec![
        work("ABC 11", Deed::Pull, [Some(YARD), None], train, castings),
        work("XYZ 222", Deed::Pull, [Some(YARD), None], train, propane),
    ];
    let second = vec![
        work("XYZ 33", Deed::Pull, [Some(SPUR), Some(TEAM)], train, empty),
        work("ABC 11", Deed::Spot, train, [Some(SPUR), Some(HOUSE)], castings),
        work("XYZ 222", Deed::Spot, train, [Some(SPUR), Some(TEAM)], propane),
    ];
    let third = vec![work("XYZ 33", Deed::Set, train, [Some(YARD), None], empty)];
    vec![
        call(1, "east-yard", ClockTime::parse("8:00"), first),
        call(2, "town", None, second),
        call(3, "east-yard", None, third),
    ]
}

fn sheet(form: &str) -> Sheet {
    let layout = layout();
    let mut sheets = paper::sheets(&plan(&layout), &layout);
    let place = sheets.iter().position(|sheet| sheet.form == form).unwrap();
    sheets.swap_remove(place)
}

#[test]
fn the_switch_list_names_town_track_part_and_customer() {
    insta::assert_snapshot!(paper::text(&sheet("switch-list")));
}

#[test]
fn the_moves_are_numbered_through() {
    insta::assert_snapshot!(paper::text(&sheet("moves")));
}

#[test]
fn the_page_of_html_is_one_file() {
    insta::assert_snapshot!(paper::html(&sheet("moves")).split_once("</style>").unwrap().1);
}

/// The second call of the moves, with a caboose: the train comes into Alder at its east end and goes out there again,
/// with the engine first (the car west of it) or last; besides the spur there are these through tracks, with or
/// without a car on each.
fn with_caboose(engine_first: bool, through: &[(&str, bool)]) -> String {
    let layout = layout();
    let mut plan = plan(&layout);
    plan.world.jobs[0].caboose = true;
    if engine_first {
        for event in &mut plan.events {
            if let Event::Goes { call: 2, train, .. } = event {
                std::mem::swap(&mut train.west, &mut train.east);
            }
        }
    }
    let spur = plan.world.tracks.iter().find(|track| track.id == id(SPUR)).unwrap().clone();
    for (name, stands) in through {
        let track = id(&format!("town/{name}"));
        if *stands {
            let row = plan.before.tracks[&id(SPUR)].clone();
            plan.before.tracks.insert(track.clone(), row);
        }
        plan.world.tracks.push(WorldTrack {
            id: track,
            usage: "yard".into(),
            opens: Opens::Both,
            spots: Vec::new(),
            ..spur.clone()
        });
    }
    let sheets = paper::sheets(&plan, &layout);
    let moves = sheets.iter().find(|sheet| sheet.form == "moves").unwrap();
    let text = paper::text(moves).replace('\u{a0}', " ");
    let here = text.split_once("2. Alder").unwrap().1.split_once("3. Harbor").unwrap().0;
    here.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How a caboose gets past its cars is common practice, no source: an engine cannot pull what stands before it.
#[test]
fn a_caboose_comes_to_the_rear_by_whatever_track_is_clear() {
    // The engine shoves on the way out: where the caboose waits, the rear will be.
    let shoved = with_caboose(false, &[]);
    assert!(shoved.contains("CABOOSE east end 2 cut it off where you came in"), "{shoved}");
    assert!(shoved.contains("CABOOSE east end 1 shove your cars against it"), "{shoved}");
    // The engine leads on the way out, and comes to the caboose first.
    let aside = with_caboose(true, &[("loop", false)]);
    assert!(aside.contains("CABOOSE loop 2 as you come in over this track"), "{aside}");
    assert!(aside.contains("CABOOSE loop 1 shove your cars against it"), "{aside}");
    let occupied = with_caboose(true, &[("loop", true)]);
    assert!(occupied.contains("CABOOSE west end 1 no clear track leads round your cars"), "{occupied}");
}
