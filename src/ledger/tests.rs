//! The ledger on disk, and a standing to text and back.

use std::fs;
use std::path::PathBuf;

use proptest::prelude::*;

use super::{Adrift, Change, Ledger, read, store, write};
use crate::diag::Sources;
use crate::error::Error;
use crate::ids::{CarIx, Id, Ix, LaneIx, SpotIx, TrackIx};
use crate::layout::{self, Layout};
use crate::session::{self, Planned, Request};
use crate::standing::{Away, Condition, Order, Passed, Standing};

/// The layout of the audit's hand-made plan: seven tracks, two spots, six cars, two lanes.
const TURN: &str = include_str!("../audit/tests/turn.toml");

fn described(text: &str) -> Layout {
    let mut sources = Sources::default();
    sources.add("turn.toml", text);
    let (layout, faults) = layout::load(sources);
    layout.unwrap_or_else(|| panic!("{:#?}", faults.sorted()))
}

fn load(text: &str, layout: &Layout) -> Result<Standing, String> {
    match read::standing(&PathBuf::from("standing.toml"), text, layout) {
        Ok(standing) => Ok(standing),
        Err(Error::Ledger { what, .. }) => Err(what),
        Err(other) => panic!("{other}"),
    }
}

/// A folder of its own for a test, gone when the test is.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("setout-ledger-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        Folder(folder)
    }

    fn text(&self, name: &str) -> String {
        store::read(&self.0.join("ledger").join(name)).unwrap().unwrap_or_default()
    }

    fn names(&self, name: &str) -> Vec<String> {
        store::names(&self.0.join("ledger").join(name)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn planned(layout: &Layout, standing: &Standing, revision: u32) -> Planned {
    session::plan(layout, standing, &Request { seed: 1, revision })
}

fn paper(name: &str) -> Vec<(String, String)> {
    vec![(name.to_owned(), "paper\n".to_owned())]
}

#[test]
fn sessions_are_planned_planned_again_and_closed() {
    let (layout, folder) = (described(TURN), Folder::new("sessions"));
    let ledger = Ledger::open(&folder.0).unwrap();
    assert_eq!((ledger.standing(&layout).unwrap(), ledger.open_plan().unwrap()), (None, None));
    let first = session::first_standing(&layout, 1);
    let one = planned(&layout, &first, ledger.next_revision(None).unwrap());
    ledger.write_plan(&layout, &one.plan, &one.after, Some(&first), &paper("old.txt")).unwrap();
    assert_eq!(ledger.standing(&layout).unwrap(), Some(first.clone()));
    assert_eq!(ledger.open_plan().unwrap(), Some(one.plan.clone()));
    let two = planned(&layout, &first, ledger.next_revision(ledger.open_request().unwrap()).unwrap());
    assert_eq!((two.plan.seed, two.plan.revision), (1, 2));
    ledger.write_plan(&layout, &two.plan, &two.after, None, &paper("new.txt")).unwrap();
    assert_eq!(folder.names("0001"), ["expected.toml", "paper", "plan-1.json", "plan.json"]);
    assert_eq!(folder.names("0001/paper"), ["new.txt"]);
    assert_eq!(ledger.open_plan().unwrap().as_ref(), Some(&two.plan));

    assert_eq!(ledger.close_as_planned(&layout).unwrap(), 1);
    assert_eq!(ledger.standing(&layout).unwrap(), Some(two.after.clone()));
    assert_eq!(folder.text("standing.toml"), folder.text("0001/standing.toml"));
    let recorded = folder.text("0001/recorded.toml");
    let (head, did) = recorded.split_once("\n# Cars").unwrap();
    assert_eq!(head, "format = 1\nsession = 1\nrevision = 2\nhappened = \"as planned\"\n");
    // What it did is told again as it was kept.
    let evenings = ledger.evenings(&layout, 9).unwrap();
    assert!(evenings.len() == 1 && evenings[0].moved > 0 && did.contains("moved = "), "{did}");
    assert_eq!((ledger.open_plan().unwrap(), ledger.next_revision(None).unwrap()), (None, 1));
    assert_eq!(ledger.plan_of(1).unwrap(), Some(two.plan));
    let refused = ledger.close_as_planned(&layout).unwrap_err();
    assert!(matches!(&refused, Error::Asked(words) if words.contains("`setout plan`")), "{refused}");
}

#[test]
fn a_plan_for_another_session_is_refused_and_changes_nothing() {
    let (layout, folder) = (described(TURN), Folder::new("refused"));
    let ledger = Ledger::open(&folder.0).unwrap();
    let first = session::first_standing(&layout, 1);
    let mut one = planned(&layout, &first, 1);
    one.plan.session = 3;
    let refused = ledger.write_plan(&layout, &one.plan, &one.after, Some(&first), &[]).unwrap_err();
    assert!(matches!(refused, Error::Asked(_)), "{refused}");
    assert_eq!(folder.names(""), Vec::<String>::new());
}

#[test]
fn a_newer_or_broken_plan_is_refused_by_name() {
    let (layout, folder) = (described(TURN), Folder::new("newer"));
    let ledger = Ledger::open(&folder.0).unwrap();
    let first = session::first_standing(&layout, 1);
    let one = planned(&layout, &first, 1);
    ledger.write_plan(&layout, &one.plan, &one.after, Some(&first), &[]).unwrap();
    let path = folder.0.join("ledger/0001/plan.json");
    let whole = folder.text("0001/plan.json");
    for (text, words) in [
        (whole.replacen("\"format\": 2", "\"format\": 9, \"novelty\": true", 1), "newer than this setout"),
        (whole.replacen("\"revision\": 1", "\"revision\": \"one\"", 1), "line 5"),
        (String::new(), "restore the file"),
    ] {
        store::write_whole(&path, &text).unwrap();
        for refused in [ledger.open_plan().unwrap_err(), ledger.open_request().unwrap_err()] {
            let refused = refused.to_string();
            assert!(refused.contains(words) && refused.contains("plan.json"), "{refused}");
        }
    }
}

/// A sound file, written by hand.
const HAND: &str = r#"format = 1
session = 4
orders = [
  { id = "coal#1", lane = "coal", due = 3, set = 1, car = "RV 4" },
]
[due]
coal = 1
[tracks]
"mill/dock" = [
  { car = "RV 1", spot = "a" },
  { car = "RV 3", spot = "b" },
]
[beyond]
out = ["RV 2"]
[cars]
"RV 1" = { is = "empty", since = 3 }
"RV 4" = { is = "loaded", order = "coal#1", lading = "coal", since = 4 }
"#;

#[test]
fn a_file_written_by_hand_is_read() {
    let layout = described(TURN);
    let standing = load(HAND, &layout).unwrap();
    let car = |number: usize| standing.car(CarIx::new(number - 1));
    assert_eq!((standing.session, standing.orders.len()), (4, 1));
    assert_eq!(standing.due_so_far.values().sum::<u32>(), 1);
    // Written before gateways were counted: nothing has passed yet.
    assert!(standing.passed.values().all(|passed| *passed == Passed::default()));
    let dock = layout.tracks().iter().find(|(_, track)| track.id == Id::from("mill/dock")).unwrap().0;
    assert_eq!(standing.on(dock), [CarIx::new(0), CarIx::new(2)]);
    assert_eq!(car(1).since, 3);
    assert!(matches!(&car(4).condition, Condition::Loaded { order, .. } if *order == Id::from("coal#1")));
    // A car that the file does not know has joined the roster since: it is on the shelf.
    assert_eq!((car(5).track(), car(5).condition.clone()), (None, Condition::Empty));
}

#[test]
fn what_no_longer_fits_is_told_with_its_line_and_a_way_out() {
    let layout = described(TURN);
    for (old, new, words) in [
        ("\"RV 2\"", "\"RV 9\"", "line 14: `RV 9` is not in the roster: give it back"),
        ("\"RV 2\"", "\"RV 3\"", "line 14: `RV 3` has a place already: leave it"),
        (
            "mill/dock",
            "mill/gone",
            "line 9: track `mill/gone` is not in the layout, and `RV 1`, `RV 3` stand on it",
        ),
        ("spot = \"a\"", "spot = \"z\"", "line 10: track `mill/dock` has no spot `z`"),
        ("spot = \"b\"", "spot = \"a\", spit = 1", "line 11: `spit` means nothing here"),
        ("spot = \"a\"", "spot = \"b\"", ""),
        ("out =", "moon =", "line 14: gateway `moon` is not in the layout"),
        ("lane = \"coal\"", "lane = \"ore\"", "line 4: lane `ore` is not in the layout: give it back"),
        ("lading = \"coal\"", "lading = \"ore\"", "line 17: commodity `ore` is not in the layout"),
        ("order = \"coal#1\"", "order = \"coal#7\"", "line 17: `RV 4` serves order `coal#7`"),
        ("is = \"empty\"", "is = \"lost\"", "line 16: expected a car that is `empty`"),
        ("is = \"empty\"", "is = 4", "line 16: expected text"),
        ("since = 3", "since = \"3\"", "line 16: expected a whole number"),
        ("format = 1", "format = 3", "line 1: format 3 is newer than this setout"),
        ("format = 1", "format = 2", "line 18: the file stops before its `[end]`"),
        ("session = 4", "sessions = 4", "line 1: no `session`"),
        ("[due]", "[due", "line 6: "),
        ("\n[due]", "\n[dew]", "line 6: `dew` means nothing here"),
    ] {
        assert!(HAND.contains(old), "{old}");
        match load(&HAND.replacen(old, new, 1), &layout) {
            Ok(_) => assert!(words.is_empty(), "{new}: expected {words}"),
            Err(told) => assert!(!words.is_empty() && told.contains(words), "{new}: {told}"),
        }
    }
}

#[test]
fn what_the_layout_no_longer_has_gives_its_cars_another_place() {
    let layout = described(TURN);
    let yard = layout.tracks().iter().find(|(_, track)| track.usage == layout::TrackUse::Yard).unwrap().1;
    let text = HAND.replace("mill/dock", "mill/gone").replace("out =", "moon =");
    let (standing, adrift) =
        read::untouched(&PathBuf::from("standing.toml"), &text.replace("RV 3", "RV 9"), &layout).unwrap();
    let told: Vec<_> = adrift
        .iter()
        .map(|change| match change {
            Change::Car(car) => (car.car.as_str(), car.from.as_str(), car.to.as_deref()),
            Change::Order(ended) => panic!("no lane is gone: {ended:?}"),
        })
        .collect();
    let home = layout.cars()[CarIx::new(1)].home.map(|gateway| layout.gateways()[gateway].id.as_str());
    assert_eq!(
        told,
        [("RV 1", "mill/gone", Some(yard.id.as_str())), ("RV 2", "moon", Some(home.unwrap_or("shelf")))]
    );
    assert_eq!(standing.car(CarIx::new(2)).track(), None, "it is not in the file");
}

#[test]
fn a_car_that_no_track_holds_goes_on_the_shelf_and_its_order_waits_for_another() {
    // As if its row in the roster had been given another length: it is being loaded where it has no room.
    let longer = TURN.replacen(
        "number = 1\ntype = \"XM\"\nlength = \"40 ft\"",
        "number = 1\ntype = \"XM\"\nlength = \"400 ft\"",
        1,
    );
    let long = described(&longer);
    let mut standing = load(HAND, &described(TURN)).unwrap();
    let (car, order) = (CarIx::new(0), Id::from("coal#1"));
    standing.car_mut(CarIx::new(3)).condition = Condition::Empty;
    standing.car_mut(car).condition = Condition::Loading { order: order.clone(), ready: 5 };
    standing.orders.get_mut(&order).unwrap().car = Some(car);
    let text = write::text(&standing, &described(TURN));
    let (standing, changes) = read::untouched(&PathBuf::from("standing.toml"), &text, &long).unwrap();
    let shelved = Adrift {
        car: "RV 1".into(),
        from: "mill/dock".into(),
        to: Some("shelf".into()),
        no_room: true,
        was_away: false,
        order: Some(order.clone()),
    };
    assert_eq!(changes, [Change::Car(shelved)]);
    assert_eq!(standing.car(car).condition, Condition::Empty);
    assert_eq!(standing.order(&order).unwrap().car, None);
}

#[test]
fn cars_against_the_order_of_spots_are_told() {
    let swapped = HAND.replacen("spot = \"a\"", "spot = \"c\"", 1).replacen("\"b\"", "\"a\"", 1);
    let told = load(&swapped.replacen("\"c\"", "\"b\"", 1), &described(TURN)).unwrap_err();
    assert!(told.starts_with("line 11: this car stands against the order of spots"), "{told}");
}

#[test]
fn many_faults_are_counted_not_poured_out() {
    let cars: Vec<String> =
        (100..200).map(|number| format!("\"RV {number}\" = {{ is = \"empty\", since = 1 }}\n")).collect();
    let told = load(&(HAND.to_owned() + &cars.concat()), &described(TURN)).unwrap_err();
    assert_eq!(told.lines().count(), 21);
    assert!(told.ends_with("and 80 more"), "{told}");
}

#[test]
fn a_renamed_customer_keeps_its_orders() {
    // Without ids of their own, lanes are known by their ends.
    let old = TURN.replace("id = \"paper\"\n", "").replace("id = \"coal\"\n", "");
    let new = old.replace("[industry.plant]", "[industry.works]\nwas = [\"plant\"]");
    let new = new.replace("from = \"plant\"", "from = \"works\"").replace("to = \"plant\"", "to = \"works\"");
    let before = described(&old);
    let mut standing = Standing::shelved(&before);
    let lane = before.lanes().iter().find(|(_, lane)| lane.id.as_str() == "coal: out > plant").unwrap().0;
    (standing.due_so_far[lane], standing.due_shift[lane]) = (5, -3);
    standing.orders.push(Order { id: Id::from("coal: out > plant#5"), lane, due: 1, set: 5, car: None });
    let after = described(&new);
    let read = load(&write::text(&standing, &before), &after).unwrap();
    let kept = read.orders[0].lane;
    assert_eq!(after.lanes()[kept].id.as_str(), "coal: out > works");
    assert_eq!((read.due_so_far[kept], read.due_shift[kept]), (5, -3));
}

/// Of one car: its place, its condition, a session, a number of services, a flag.
type Odd = (usize, u8, i32, u32, bool);

/// Any standing of the small layout, however odd.
fn any_standing() -> impl Strategy<Value = (i32, Vec<Odd>, Vec<i32>)> {
    let car = (0..9_usize, 0..5_u8, -9..99_i32, 0..4_u32, any::<bool>());
    (0..9999_i32, prop::collection::vec(car, 6), prop::collection::vec(-9..99_i32, 0..5))
}

fn standing(layout: &Layout, session: i32, cars: &[Odd], due: &[i32]) -> Standing {
    let mut standing = Standing::shelved(layout);
    standing.session = session;
    for (number, due) in (0_u32..).zip(due) {
        let id = Id::new(format!("odd \"{number}\" \\ \u{7f} é#{number}"));
        let lane = LaneIx::new(usize::from(number % 2 == 1));
        standing.orders.push(Order { id, lane, due: *due, set: number, car: None });
        standing.due_so_far[lane] += 1;
    }
    let gateway = layout.gateways().indices().next().unwrap();
    standing.passed[gateway] = Passed { received: session.unsigned_abs(), delivered: 7 };
    let lading = layout.commodities().indices().next().unwrap();
    for (car, (place, kind, since, services, flag)) in layout.cars().indices().zip(cars) {
        match place {
            0..7 => standing.put(car, TrackIx::new(*place), None),
            7 => standing.take_away(car, Away::Beyond(gateway)),
            _ => {}
        }
        let order = standing.orders.first().map(|order| order.id.clone());
        let state = standing.car_mut(car);
        (state.since, state.services_done, state.dirty, state.bad_order) = (*since, *services, *flag, !*flag);
        state.waiting_since = flag.then_some(*since);
        state.came_by = flag.then_some(gateway);
        (state.loads, state.last) = (*services, flag.then_some(LaneIx::new(1)));
        let Some(order) = order else { continue };
        state.condition = match kind {
            0 => Condition::Empty,
            1 => Condition::Ordered { order },
            2 => Condition::Loading { order, ready: *since },
            3 => Condition::Loaded { order, lading },
            _ => Condition::Unloading { order, lading, ready: *since },
        };
    }
    let dock = TrackIx::new(0);
    let row: Vec<CarIx> = standing.on(dock).to_vec();
    standing.arrange(dock, row.iter().zip([Some(SpotIx::new(0)), None]).map(|(car, spot)| (*car, spot)));
    for car in row.iter().skip(2) {
        standing.take_away(*car, Away::Shelf);
    }
    standing
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn saving_loading_and_saving_changes_nothing((session, cars, due) in any_standing()) {
        let layout = described(TURN);
        let standing = standing(&layout, session, &cars, &due);
        let text = write::text(&standing, &layout);
        let read = load(&text, &layout).unwrap();
        prop_assert_eq!(&read, &standing);
        prop_assert_eq!(write::text(&read, &layout), text);
    }
}
