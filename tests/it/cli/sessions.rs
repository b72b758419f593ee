//! Sessions one after another: plan, dry run, print, close, plan again.

use super::Folder;

/// The files of the ledger.
fn ledger(folder: &Folder) -> Vec<String> {
    folder.files().into_iter().filter(|name| name.starts_with("ledger/")).collect()
}

#[test]
fn a_session_is_planned_closed_and_followed_by_the_next() {
    let folder = Folder::of("tiny", "plan-close-plan");
    insta::assert_snapshot!("first_plan", folder.run(&["plan", "--seed", "1"]));
    insta::assert_snapshot!("first_ledger", ledger(&folder).join("\n"));
    insta::assert_snapshot!("close", folder.run(&["close"]));
    insta::assert_snapshot!("second_plan", folder.run(&["plan", "--seed", "1"]));
    insta::assert_snapshot!("check_with_cars_standing", folder.run(&["check"]));
}

#[test]
fn a_dry_run_writes_nothing_and_says_what_the_plan_would() {
    let folder = Folder::of("tiny", "dry-run");
    let before = folder.files();
    let dry = folder.run(&["plan", "--seed", "7", "--dry-run", "--as", "json"]);
    assert_eq!((dry.status, dry.stderr.as_str()), (Some(0), ""), "{dry}");
    assert_eq!(folder.files(), before);
    folder.run(&["plan", "--seed", "7"]);
    assert_eq!(dry.stdout, folder.read("ledger/0001/plan.json"));
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_one_another_session() {
    let plan = |test: &str, seed: &str| {
        Folder::of("tiny", test).run(&["plan", "--seed", seed, "--dry-run", "--as", "json"]).stdout
    };
    assert_eq!(plan("seed-7", "7"), plan("seed-7-again", "7"));
    assert_ne!(plan("seed-7", "7"), plan("seed-8", "8"));
}

#[test]
fn planning_again_makes_the_next_revision_with_the_same_seed() {
    let folder = Folder::of("tiny", "revision");
    folder.run(&["plan", "--seed", "7"]);
    let again = folder.run(&["plan", "--as", "json"]).json();
    assert_eq!((again["session"].as_i64(), again["revision"].as_i64()), (Some(1), Some(2)));
    assert_eq!(again["seed"].as_u64(), Some(7));
}

#[test]
fn nothing_can_be_closed_or_printed_that_is_not_planned() {
    let folder = Folder::of("tiny", "not-planned");
    let before = folder.files();
    insta::assert_snapshot!("close_without_a_plan", folder.run(&["close"]));
    insta::assert_snapshot!("print_without_a_plan", folder.run(&["print"]));
    insta::assert_snapshot!("print_of_a_session_never_planned", folder.run(&["print", "--session", "9"]));
    assert_eq!(folder.files(), before);
}

#[test]
fn paper_is_printed_again_as_it_lies_in_the_ledger() {
    let folder = Folder::of("tiny", "print");
    folder.run(&["plan", "--seed", "7"]);
    let list = folder.run(&["print", "--form", "switch-list", "--job", "drill"]);
    assert_eq!((list.status, list.stderr.as_str()), (Some(0), ""), "{list}");
    assert_eq!(list.stdout, folder.read("ledger/0001/paper/switch-list-drill.txt"));
    let out = folder.run(&["print", "--out", "for-guests"]);
    assert_eq!(out.status, Some(0), "{out}");
    let printed = folder.read("for-guests/switch-list-drill.html");
    assert_eq!(printed, folder.read("ledger/0001/paper/switch-list-drill.html"));
    folder.run(&["close"]);
    let old = folder.run(&["print", "--session", "1", "--form", "switch-list", "--job", "drill"]);
    assert_eq!(old, list);
    insta::assert_snapshot!("unknown_form", folder.run(&["print", "--session", "1", "--form", "poster"]));
    insta::assert_snapshot!("unknown_job", folder.run(&["print", "--session", "1", "--job", "express"]));
}

#[test]
fn a_ledger_that_cannot_be_written_is_named_and_nothing_is_written() {
    let folder = Folder::of("tiny", "ledger-is-a-file");
    folder.write("ledger", "This is not a folder.");
    let before = folder.files();
    insta::assert_snapshot!("unwritable_ledger", folder.run(&["plan", "--seed", "1"]));
    assert_eq!(folder.files(), before);
    assert_eq!(folder.read("ledger"), "This is not a folder.");
}

#[test]
fn a_ledger_that_cannot_be_read_is_named() {
    let folder = Folder::of("tiny", "ledger-unsound");
    folder.run(&["plan", "--seed", "7"]);
    folder.write("ledger/standing.toml", "format = 1\nthis is no standing\n");
    let ran = folder.run(&["plan", "--seed", "7"]);
    assert_eq!(ran.status, Some(2), "{ran}");
    assert!(ran.stderr.contains("standing.toml"), "{ran}");
}

#[test]
fn faults_stop_a_plan_and_nothing_is_written() {
    let folder = Folder::of("two-faults", "plan-two-faults");
    let before = folder.files();
    let ran = folder.run(&["plan"]);
    assert_eq!((ran.status, ran.stdout.as_str()), (Some(2), ""), "{ran}");
    assert_eq!(ran.stderr, folder.run(&["check"]).stderr);
    assert_eq!(folder.files(), before);
}

#[test]
fn a_car_that_left_the_roster_but_not_the_layout_is_named() {
    let folder = Folder::of("tiny", "car-left-roster");
    folder.run(&["plan", "--seed", "1"]);
    folder.run(&["close"]);
    folder.write("cars.csv", folder.read("cars.csv").replace("CHT,2,XM,44 ft,beyond\n", ""));
    let words = "CHT 2 stood at harbor/mill and is no longer in the roster: take it off the layout";
    let (checked, planned) = (folder.run(&["check"]), folder.run(&["plan"]));
    assert!(checked.status == Some(0) && checked.stderr.contains(words), "{checked}");
    let said = planned.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(planned.status == Some(0) && said.contains(words), "{planned}");
    assert!(!folder.read("ledger/0002/plan.json").contains("\"car\": \"CHT 2\""));
}
