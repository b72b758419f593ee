//! What the ledger tells of closed sessions.

use super::Folder;

/// Three sessions: one as planned, one whose job did not run, one with a car put elsewhere.
fn three(test: &str) -> Folder {
    let folder = Folder::of("tiny", test);
    for close in [&["close"][..], &["close", "--not-run", "drill"], &["close", "--at", "CHT 3=harbor/1"]] {
        assert_eq!(folder.run(&["plan"]).status, Some(0));
        let ran = folder.run(close);
        assert_eq!(ran.status, Some(0), "{ran}");
    }
    folder
}

#[test]
fn the_ledger_tells_its_sessions_and_how_cars_are_used() {
    let folder = three("history");
    insta::assert_snapshot!("ledger_overview", folder.run(&["ledger"]));
    insta::assert_snapshot!("ledger_recorded", folder.read("ledger/0001/recorded.toml"));
    let data = folder.run(&["ledger", "--as", "json", "--sessions", "2"]).json();
    assert_eq!(data["sessions"].as_array().unwrap().len(), 2);
    assert_eq!(data["loads"].as_array().unwrap().len(), 6, "every car has a count");
    // Moved cars are counted anew from the standings around each session.
    for evening in folder.run(&["ledger", "--as", "json"]).json()["sessions"].as_array().unwrap() {
        let session = evening["session"].as_i64().unwrap();
        let rows = |file: &str| {
            let text = folder.read(&format!("ledger/{session:04}/{file}.toml"));
            let rows = text.split_once("[tracks]").unwrap().1.split_once("[cars]").unwrap().0.to_owned();
            let mut at = std::collections::BTreeMap::new();
            let mut place = String::new();
            for line in rows.lines() {
                if let Some((key, _)) = line.split_once(" = [") {
                    key.clone_into(&mut place);
                } else if let Some((_, car)) = line.split_once("\"CHT ") {
                    let spot = car.split_once("spot = ").map_or("", |(_, spot)| spot);
                    at.insert(car.split('"').next().unwrap().to_owned(), format!("{place} {spot}"));
                }
            }
            at
        };
        let (before, after) = (rows("before"), rows("standing"));
        let moved = after.iter().filter(|(car, at)| before.get(*car) != Some(at)).count();
        assert_eq!(evening["moved"].as_u64(), Some(moved as u64), "session {session}");
    }
}

#[test]
fn a_car_a_customer_and_a_job_have_their_history() {
    let folder = three("history-of-one");
    insta::assert_snapshot!("ledger_car", folder.run(&["ledger", "--car", "3"]));
    insta::assert_snapshot!("ledger_customer", folder.run(&["ledger", "--customer", "mill"]));
    insta::assert_snapshot!("ledger_job", folder.run(&["ledger", "--job", "drill"]));
    insta::assert_snapshot!("ledger_unknown", folder.run(&["ledger", "--job", "dril"]));
    for (option, said, near) in [
        ("--customer", "mil", "no customer `mil`: did you mean `mill`?"),
        ("--car", "CTH 3", "no car `CTH 3`: did you mean `CHT 3`?"),
        ("--car", "CHT 33", "no car `CHT 33`: did you mean `CHT 3`?"),
    ] {
        let ran = folder.run(&["ledger", option, said]);
        assert!(ran.status == Some(2) && ran.stderr.contains(near), "{ran}");
    }
    // Names do, too.
    for (option, id, name) in [("--customer", "mill", "Harbor Mill"), ("--job", "drill", "harbor drill")] {
        assert_eq!(folder.run(&["ledger", option, id]), folder.run(&["ledger", option, name]));
    }
    let young = Folder::of("tiny", "history-young");
    insta::assert_snapshot!("ledger_nothing", young.run(&["ledger"]));
}

#[test]
fn sessions_that_kept_no_cars_are_told_from_their_plans() {
    let folder = three("history-old");
    let asked: [&[&str]; 4] = [
        &["ledger"],
        &["ledger", "--car", "3"],
        &["ledger", "--customer", "mill"],
        &["ledger", "--job", "drill"],
    ];
    let new: Vec<_> = asked.iter().map(|asked| folder.run(asked)).collect();
    for session in 1..=2 {
        let file = format!("ledger/{session:04}/recorded.toml");
        let text = folder.read(&file);
        folder.write(&file, text.split_once("\n# Cars").unwrap().0);
    }
    for (asked, new) in asked.iter().zip(&new) {
        assert_eq!(folder.run(asked), *new);
    }
}
