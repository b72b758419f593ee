//! The list for a walk round the layout: printed, changed to what somebody saw, and read again.

use super::Folder;

fn planned(test: &str) -> (Folder, String) {
    let folder = Folder::of("tiny", test);
    folder.run(&["plan", "--seed", "1"]);
    let ran = folder.run(&["close", "--walk"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (Some(0), ""), "{ran}");
    let list = folder.read("ledger/0001/walk.txt");
    (folder, list)
}

/// The line of a car in a list.
fn line<'l>(list: &'l str, car: &str) -> &'l str {
    let found = list.lines().find(|line| {
        line.strip_prefix("[ ] ")
            .and_then(|line| line.strip_prefix(car))
            .is_some_and(|line| line.starts_with(' '))
    });
    found.unwrap_or_else(|| panic!("{car} is not in the list:\n{list}"))
}

/// A list without the lines of two cars, and with these under the head of the first track.
fn moved(list: &str, head: &str, lines: &[&str]) -> String {
    let mut out: Vec<&str> = Vec::new();
    for old in list.lines().filter(|old| !["CHT 1", "CHT 2"].iter().any(|car| *old == line(list, car))) {
        if old.starts_with("track harbor/1 ") {
            out.push(head);
            out.extend(lines);
        } else {
            out.push(old);
        }
    }
    out.join("\n")
}

#[test]
fn a_list_is_80_columns_wide_and_says_nothing_unchanged() {
    let (folder, list) = planned("walk");
    insta::assert_snapshot!("walk_list", list);
    assert!(list.lines().all(|line| line.chars().count() <= 80), "{list}");
    let again = folder.run(&["close", "--walk"]);
    assert!(again.status == Some(2) && again.stderr.contains("may be filled in"), "{again}");
    let ran = folder.run(&["close", "--record", "ledger/0001/walk.txt"]);
    insta::assert_snapshot!("walk_as_planned", ran);
    let plain = Folder::of("tiny", "walk-plain");
    plain.run(&["plan", "--seed", "1"]);
    plain.run(&["close"]);
    assert_eq!(folder.read("ledger/standing.toml"), plain.read("ledger/standing.toml"));
    assert_eq!(folder.read("ledger/0001/recorded.toml"), plain.read("ledger/0001/recorded.toml"));
}

#[test]
fn what_was_seen_is_where_the_next_session_starts() {
    let (folder, list) = planned("walk-seen");
    // Both cars on the layout stand in the yard, the second one first.
    let (one, two) = (line(&list, "CHT 1"), line(&list, "CHT 2"));
    folder.write("moved.txt", moved(&list, "track harbor/1 from west", &[two, one, "[x] 3 bad order"]));
    insta::assert_snapshot!("walk_moved", folder.run(&["close", "--record", "moved.txt"]));
    let recorded = folder.read("ledger/0001/recorded.toml");
    insta::assert_snapshot!("walk_moved_recorded", recorded);
    let standing = folder.read("ledger/standing.toml");
    let rows = standing.split_once("[tracks]").unwrap().1.split_once("[beyond]").unwrap().0;
    assert_eq!(rows.trim(), "\"harbor/1\" = [\n  \"CHT 2\",\n  \"CHT 1\",\n  \"CHT 3\",\n]");
    // What is kept of it says the same again, and so does the list read from the other end.
    let facts: Vec<&str> =
        recorded.lines().filter_map(|line| line.strip_prefix("  \"")?.strip_suffix("\",")).collect();
    folder.write("again.txt", facts.join("\n"));
    let east = ["[ ] CHT 3 bad order", "[ ] cht1 # here", "[v] 2"];
    folder.write("east.txt", moved(&list, "track 1 from east:", &east));
    for file in ["again.txt", "east.txt"] {
        assert_eq!(folder.run(&["reopen"]).status, Some(0));
        let ran = folder.run(&["close", "--record", file]);
        assert_eq!(ran.status, Some(0), "{file}: {ran}");
        assert_eq!(folder.read("ledger/0001/recorded.toml"), recorded, "{file}");
        assert_eq!(folder.read("ledger/standing.toml"), standing, "{file}");
    }
    let next = folder.run(&["plan"]);
    assert_eq!(next.status, Some(0), "{next}");
}

#[test]
fn everything_wrong_with_a_list_is_told_at_once() {
    let (folder, list) = planned("walk-wrong");
    let before = folder.read("ledger/standing.toml");
    let seen = line(&list, "CHT 1");
    let wrong = list.replace("walk of session 1,", "walk of session 7,")
        + "\ntrack harbor/one from west\n[ ] CHT 11\ntrack harbor/1 from west\n"
        + seen
        + "\n[ CHT 3\ntrack\n";
    folder.write("wrong.txt", wrong);
    insta::assert_snapshot!("walk_wrong", folder.run(&["close", "--record", "wrong.txt"]));
    let gone: Vec<&str> = list.lines().filter(|line| *line != seen).chain(["CHT 2 at harbor/1"]).collect();
    folder.write("gone.txt", gone.join("\n"));
    insta::assert_snapshot!("walk_gone", folder.run(&["close", "--record", "gone.txt"]));
    folder.write("no-head.txt", "[ ] CHT 1\nCHT 1\n");
    insta::assert_snapshot!("walk_no_head", folder.run(&["close", "--record", "no-head.txt"]));
    assert_eq!(folder.read("ledger/standing.toml"), before);
}

#[test]
fn a_track_that_nobody_looked_at_is_as_planned() {
    let (folder, list) = planned("walk-part");
    let (_, part) = list.split_once("track harbor/1 ").unwrap();
    let part = part.split("track ").next().unwrap();
    folder.write("part.txt", format!("track harbor/1 {part}"));
    insta::assert_snapshot!("walk_part", folder.run(&["close", "--record", "part.txt"]));
}
