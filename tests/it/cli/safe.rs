//! What befalls a ledger from outside: two runs at once, a run that is killed, a disk that is full.

use std::process::Stdio;
use std::thread;
use std::time::Duration;

use super::{Folder, setout};

/// The sessions closed, and that the ledger can be read and carries on.
fn closed_sessions(folder: &Folder) -> u32 {
    let standing = folder.read("ledger/standing.toml");
    let line = standing.lines().find_map(|line| line.strip_prefix("session = ")).unwrap();
    let closed: u32 = line.parse().unwrap();
    for session in 1..=closed {
        assert!(
            folder.read(&format!("ledger/{session:04}/recorded.toml")).contains("as planned"),
            "{session}"
        );
        assert!(folder.read(&format!("ledger/{session:04}/plan.json")).ends_with("}\n"), "{session}");
    }
    closed
}

#[test]
fn twenty_evenings_by_two_at_once_are_planned_and_closed_one_after_the_other() {
    let folder = Folder::of("tiny", "two-at-once");
    assert_eq!(folder.run(&["plan"]).status, Some(0));
    let evenings = || {
        let mut closed = 0;
        for _ in 0..20 {
            closed += u32::from(folder.run(&["close"]).status == Some(0));
            let planned = folder.run(&["plan"]);
            assert_eq!(planned.status, Some(0), "{planned}");
        }
        closed
    };
    let closed: u32 = thread::scope(|scope| {
        let two = [(); 2].map(|()| scope.spawn(evenings));
        two.into_iter().map(|one| one.join().unwrap()).sum()
    });
    // Both may close what one planned, but a close counts once.
    assert!(closed >= 20, "{closed}");
    assert_eq!(closed_sessions(&folder), closed);
}

#[test]
fn a_run_that_is_killed_leaves_a_ledger_that_carries_on() {
    let folder = Folder::of("tiny", "killed");
    let mut before = 0;
    for round in 0_u64..40 {
        for command in ["plan", "close"] {
            let mut run = setout(&[command])
                .current_dir(folder.path())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            // Not how long it takes, but where it is cut short: anywhere will do.
            thread::sleep(Duration::from_micros(round * 250));
            run.kill().unwrap();
            run.wait().unwrap();
        }
        let planned = folder.run(&["plan"]);
        assert_eq!(planned.status, Some(0), "round {round}: {planned}");
        let closed = closed_sessions(&folder);
        assert!(closed == before || closed == before + 1, "round {round}: {before}, then {closed}");
        before = closed;
    }
}

#[cfg(unix)]
#[test]
fn a_disk_that_takes_no_more_leaves_the_ledger_as_it_was() {
    let folder = Folder::of("tiny", "full-disk");
    for command in ["plan", "close", "plan"] {
        assert_eq!(folder.run(&[command]).status, Some(0));
    }
    let old: Vec<_> =
        ["standing.toml", "0002/plan.json"].map(|name| folder.read(&format!("ledger/{name}"))).into();
    // The system refuses to let a file grow over one block, as a full disk would.
    let limited = format!("trap '' XFSZ; ulimit -f 1; exec {} \"$@\"", env!("CARGO_BIN_EXE_setout"));
    for arguments in [&["plan", "--seed", "9"][..], &["close"]] {
        let output = std::process::Command::new("sh")
            .args(["-c", &limited, "setout"])
            .args(arguments)
            .current_dir(folder.path())
            .output()
            .unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {told}");
        assert!(told.contains("cannot write `") && told.contains("ledger"), "{told}");
        let now: Vec<_> =
            ["standing.toml", "0002/plan.json"].map(|name| folder.read(&format!("ledger/{name}"))).into();
        assert_eq!(now, old, "{arguments:?}");
    }
    assert_eq!(folder.run(&["close"]).status, Some(0));
}

#[test]
fn a_folder_that_vanishes_is_told() {
    let folder = Folder::of("tiny", "vanished");
    assert_eq!(folder.run(&["plan"]).status, Some(0));
    std::fs::remove_dir_all(folder.path().join("ledger/0001")).unwrap();
    let closed = folder.run(&["close"]);
    assert_eq!(closed.status, Some(1), "{closed}");
    assert!(closed.stderr.contains("no session is planned"), "{closed}");
    assert_eq!(folder.run(&["plan"]).status, Some(0));
    assert_eq!(folder.run(&["close"]).status, Some(0));
}
