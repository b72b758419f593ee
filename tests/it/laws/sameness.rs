//! The same folder, ledger and seed give the same bytes in any order of rows and files; another seed
//! gives another session; what is new leaves the draws of what was there as they were.

use std::collections::BTreeMap;
use std::path::Path;

use setout::ids::Id;
use setout::layout::Layout;
use setout::ledger::Ledger;
use setout::session::{self, Request};

use super::made::{self, Folder, sound};
use super::{everywhere, ours, run};
use crate::cli;

/// The bytes of three plans in a row.
fn bytes(layout: &Layout, seed: u64) -> Vec<String> {
    let mut plans = Vec::new();
    run(layout, seed, 3, |_, planned| plans.push(serde_json::to_string_pretty(&planned.plan).unwrap()));
    plans
}

/// The orders of each lane that came due in some sessions, with the session.
fn due(layout: &Layout, seed: u64, sessions: u64) -> BTreeMap<Id, Vec<(Id, i32)>> {
    let mut due: BTreeMap<Id, Vec<(Id, i32)>> = BTreeMap::new();
    run(layout, seed, sessions, |_, planned| {
        for order in planned.plan.orders.iter().filter(|order| order.due == planned.plan.session) {
            due.entry(order.lane.clone()).or_default().push((order.id.clone(), order.due));
        }
    });
    for orders in due.values_mut() {
        orders.sort();
    }
    due
}

fn demo() -> Folder {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-layout");
    let mut files: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir(root).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if Path::new(&name).extension().is_some_and(|kind| kind == "toml") || name == "cars.csv" {
            files.push((name, std::fs::read_to_string(&path).unwrap()));
        }
    }
    let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    Folder::of(&files)
}

#[test]
fn the_same_input_gives_the_same_bytes_in_any_order_of_files_tables_and_rows() {
    everywhere(|seed, folder| {
        let once = bytes(&folder.layout(), seed);
        assert_eq!(once, bytes(&folder.layout(), seed), "another run");
        assert_eq!(once, bytes(&sound(folder.shuffled(seed)), seed), "another order");
    });
}

#[test]
fn two_threads_at_once_give_the_same_bytes_as_one() {
    let layouts = [made::folder(1).layout(), ours("demo-layout")];
    let [one, other] = &layouts;
    let alone = [bytes(one, 3), bytes(other, 4)];
    let together = std::thread::scope(|scope| {
        let threads = [scope.spawn(|| bytes(one, 3)), scope.spawn(|| bytes(other, 4))];
        threads.map(|thread| thread.join().expect("no panic"))
    });
    assert_eq!(alone, together);
    let same = std::thread::scope(|scope| {
        let threads = [scope.spawn(|| bytes(other, 4)), scope.spawn(|| bytes(other, 4))];
        threads.map(|thread| thread.join().expect("no panic"))
    });
    assert_eq!(same, [alone[1].clone(), alone[1].clone()]);
}

#[test]
fn so_does_the_demo_layout() {
    let usual = bytes(&ours("demo-layout"), 5);
    assert_eq!(usual, bytes(&sound(demo().shuffled(1)), 5));
    assert_eq!(usual, bytes(&sound(demo().shuffled(2)), 5));
}

#[test]
fn another_seed_gives_another_session() {
    let layout = ours("demo-layout");
    let standing = session::first_standing(&layout, 1);
    let plan = |seed| session::plan(&layout, &standing, &Request { seed, revision: 1 }).plan;
    let (one, other) = (plan(1), plan(2));
    assert_ne!(one.orders, other.orders);
    assert_ne!(one.trips, other.trips);
    assert_eq!(one.before, other.before);
}

#[test]
fn a_new_customer_leaves_the_orders_of_all_other_lanes_as_they_were() {
    everywhere(|seed, folder| {
        let mut larger = folder.clone();
        larger.tables.push(
            "[place.yard.track.novelty]\nuse = \"spur\"\nlength = \"4 cars\"\nopens = \"west\"\n".to_owned(),
        );
        let kind =
            folder.tables.iter().find_map(|table| table.strip_prefix("[commodity.")?.split(']').next());
        let kind = kind.unwrap();
        larger.tables.push(format!(
            "[industry.novelty]\nname = \"Novelty\"\nplace = \"yard\"\nreceives.{kind} = [\"novelty\"]\n"
        ));
        larger.tables.push(format!(
            "[[lane]]\nid = \"novelty\"\ncommodity = \"{kind}\"\nfrom = \"gate-0\"\nto = \"novelty\"\ncarloads = \"6 a week\"\n"
        ));
        let before = due(&folder.layout(), seed, 8);
        let mut after = due(&larger.layout(), seed, 8);
        assert!(
            after.remove(&Id::from("novelty".to_owned())).is_some(),
            "the new lane has orders of its own"
        );
        assert_eq!(before, after);
    });
}

#[test]
fn a_standing_that_was_saved_and_read_is_the_same_and_saves_the_same() {
    everywhere(|seed, folder| {
        let layout = folder.layout();
        let at = cli::Folder::empty(&format!("laws-ledger-{seed}"));
        let ledger = Ledger::open(at.path()).unwrap();
        let mut first = true;
        run(&layout, seed, 3, |before, planned| {
            let after = &planned.after;
            ledger.write_plan(&layout, &planned.plan, after, first.then_some(before), &[]).unwrap();
            first = false;
            assert_eq!(ledger.standing(&layout).unwrap().as_ref(), Some(before));
            assert_eq!(ledger.open_plan().unwrap().as_ref(), Some(&planned.plan));
            let expected = at.read(&format!("ledger/{:04}/expected.toml", planned.plan.session));
            ledger.close_as_planned(&layout).unwrap();
            assert_eq!(ledger.standing(&layout).unwrap().as_ref(), Some(after));
            assert_eq!(at.read("ledger/standing.toml"), expected, "saved again after reading");
        });
    });
}
