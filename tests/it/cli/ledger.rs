//! The ledger's files: two programs at once, files that were spoiled, a layout that changed, and plans that
//! take the place of others.

use std::process::Stdio;
use std::thread;

use super::{Folder, setout};

fn ok(folder: &Folder, arguments: &[&str]) -> String {
    let ran = folder.run(arguments);
    assert_eq!(ran.status, Some(0), "{arguments:?}: {ran}");
    ran.stdout
}

#[test]
fn two_programs_at_once_work_one_after_the_other_and_lose_nothing() {
    let folder = Folder::of("tiny", "two-at-once");
    let rounds = || {
        let run = |command: &str| {
            let mut child = setout(&[command]);
            let ended = child.current_dir(folder.path()).stdout(Stdio::null()).output().unwrap();
            (ended.status.code(), String::from_utf8(ended.stderr).unwrap())
        };
        let mut closed = 0;
        for _ in 0..10 {
            assert_eq!(run("plan"), (Some(0), String::new()));
            match run("close") {
                (Some(0), _) => closed += 1,
                // The other one has closed it meanwhile.
                (code, told) => {
                    assert!(code == Some(1) && told.starts_with("no session is planned"), "{told}");
                }
            }
        }
        closed
    };
    let closed: usize = thread::scope(|scope| {
        let one = scope.spawn(rounds);
        rounds() + one.join().unwrap()
    });
    assert!((10..=20).contains(&closed), "{closed} sessions");
    let files = folder.files();
    assert!(!files.iter().any(|name| name.contains(".deed") || name.contains("setout-new")), "{files:?}");
    for session in 2..=closed {
        let (before, left) =
            (format!("ledger/{session:04}/before.toml"), format!("ledger/{:04}/standing.toml", session - 1));
        assert_eq!(folder.read(&before), folder.read(&left), "session {session}");
    }
    assert_eq!(
        folder.read("ledger/standing.toml"),
        folder.read(&format!("ledger/{closed:04}/standing.toml"))
    );
}

#[test]
fn a_standing_that_was_cut_off_anywhere_is_refused() {
    let folder = Folder::of("tiny", "cut-off");
    ok(&folder, &["plan"]);
    ok(&folder, &["close"]);
    let whole = folder.read("ledger/standing.toml");
    let ends: Vec<usize> = whole.match_indices('\n').map(|(at, _)| at).collect();
    // The last line end is of no matter; a file that has only lost that is whole.
    for end in [0].into_iter().chain(ends[..ends.len() - 1].iter().flat_map(|end| [end - 1, *end, end + 1])) {
        folder.write("ledger/standing.toml", &whole[..end]);
        let ran = folder.run(&["plan"]);
        let named = ran.stderr.contains("standing.toml") && ran.stderr.contains("line ");
        assert!(ran.status == Some(2) && (named || end < 200), "cut at byte {end}: {ran}");
    }
    folder.write("ledger/standing.toml", whole.trim_end());
    ok(&folder, &["plan"]);
}

#[test]
fn a_standing_before_it_had_an_end_is_read_and_written_anew() {
    let folder = Folder::of("tiny", "first-format");
    ok(&folder, &["plan"]);
    let (first, _) = folder.read("ledger/standing.toml").rsplit_once("\n# The file").map_or_else(
        || panic!("the file has no end"),
        |(before, after)| (before.replace("format = 2", "format = 1"), after.to_owned()),
    );
    folder.write("ledger/standing.toml", first);
    ok(&folder, &["close"]);
    assert!(folder.read("ledger/standing.toml").contains("\nformat = 2\n"));
}

#[test]
fn two_versions_in_one_file_are_told_as_what_they_are() {
    let folder = Folder::of("tiny", "two-versions");
    ok(&folder, &["plan"]);
    ok(&folder, &["close"]);
    let plan = folder.read("ledger/0001/plan.json");
    let (ours, theirs) = ("<".repeat(7) + " ours\n", ">".repeat(7) + " theirs\n");
    let both = |text: &str, line: &str| {
        let second = line.replace('1', "2");
        text.replacen(line, &format!("{ours}{line}{}\n{second}{theirs}", "=".repeat(7)), 1)
    };
    let standing = both(&folder.read("ledger/standing.toml"), "session = 1\n");
    folder.write("ledger/standing.toml", standing);
    insta::assert_snapshot!("two_standings", folder.run(&["plan"]));
    folder.write("ledger/standing.toml", folder.read("ledger/0001/standing.toml"));
    folder.write("ledger/0001/plan.json", both(&plan, "  \"revision\": 1,\n"));
    insta::assert_snapshot!("two_plans", folder.run(&["print", "--session", "1"]));
}

/// The tiny layout with one more track, on which a car stands.
fn with_siding(test: &str) -> (Folder, String) {
    let folder = Folder::of("tiny", test);
    let layout = folder.read("layout.toml");
    let siding = "\n[place.harbor.track.9]\nuse = \"storage\"\nlength = \"40 in\"\nopens = \"both\"\n";
    folder.write("layout.toml", layout.clone() + siding);
    ok(&folder, &["plan"]);
    ok(&folder, &["close", "--at", "CHT 5=harbor/9"]);
    (folder, layout)
}

#[test]
fn cars_on_a_track_that_is_gone_are_listed_with_where_to_put_them() {
    let (folder, layout) = with_siding("track-gone");
    folder.write("layout.toml", layout);
    let checked = folder.run(&["check"]);
    let words = "CHT 5 was at harbor/9, which the layout no longer has: put it at harbor/1";
    assert!(checked.status == Some(0) && checked.stderr.contains(words), "{checked}");
    let planned = ok(&folder, &["plan"]);
    let planned = planned.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(planned.contains(words), "{planned}");
    assert!(folder.read("ledger/0002/paper/host-page.txt").contains("CHT 5 was at harbor/9"));
    ok(&folder, &["close"]);
    assert!(!folder.read("ledger/standing.toml").contains("harbor/9"));
    assert_eq!(folder.read("ledger/standing.toml").matches("\"CHT 5\"").count(), 2);
    assert!(!folder.run(&["check"]).stderr.contains("harbor/9"));
}

#[test]
fn a_slip_of_the_hand_is_not_taken_for_a_change_of_the_layout() {
    let (folder, _) = with_siding("slip");
    let standing = folder.read("ledger/standing.toml");
    folder.write("ledger/standing.toml", standing.replace("harbor/9", "harbor/8"));
    insta::assert_snapshot!("slip_of_the_hand", folder.run(&["plan"]));
}

#[test]
fn a_plan_again_prints_only_the_sheets_that_changed() {
    let folder = Folder::empty("revised");
    folder.take("demo-layout");
    let run = |arguments: &[&str]| {
        let ran = folder.run_in("demo-layout", arguments);
        assert_eq!(ran.status, Some(0), "{ran}");
        ran.stdout
    };
    let paper = || -> Vec<(String, String)> {
        let files = folder.files().into_iter().filter(|name| name.contains("/paper/"));
        files.map(|name| (name.clone(), folder.read(&name))).collect()
    };
    run(&["plan"]);
    let first = paper();
    // The same once more: nothing to print.
    assert!(run(&["plan"]).ends_with("No sheet changed since the last plan.\n"));
    assert_eq!(paper(), first);
    // A late change of one job's name.
    let jobs = folder.files().into_iter().find(|name| folder.read(name).contains("[job.")).unwrap();
    let text = folder.read(&jobs);
    let name = text.split("[job.").nth(1).and_then(|job| job.split("name = \"").nth(1)).unwrap();
    let name = name.split('"').next().unwrap().to_owned();
    folder.write(&jobs, text.replacen(&format!("name = \"{name}\""), "name = \"Late Change\"", 1));
    let told = run(&["plan", "--now", "19:40"]);
    assert!(told.contains("Changed since the last plan, to be printed again: host-page,"), "{told}");
    let (mut same, mut changed) = (0, 0);
    for (name, text) in paper() {
        if first.contains(&(name.clone(), text.clone())) {
            assert!(!text.contains("19:40"), "{name}");
            same += 1;
        } else {
            assert!(text.replace('\u{a0}', " ").contains("plan 3, changed 19:40"), "{name}");
            changed += 1;
        }
    }
    assert!(same > 4 && changed > 4, "{same} sheets stayed, {changed} changed");
}
