//! No text makes a reader of the ledger panic, or read half of it: the standing, the plan, the record.
//!
//! Sound files are spoiled in one to three places each. A reader then refuses the file by its name, or
//! reads a standing that has every car of the layout once; a refused close leaves the standing as it was.
//! `SETOUT_FUZZ=1000000 cargo test --release --test it readers` tries as many as it says.

use proptest::prelude::*;
use proptest::sample::Index;
use setout::ledger::{Ledger, facts};
use setout::session::{self, Request};
use setout::standing::Standing;

use super::ours;
use crate::cli::Folder;

/// What is put where something was taken out.
const PUT: &str =
    "(|\"|\\[|\\]|\\{|\\}|=|\n|\n\n|,|-|[0-9]{1,12}|[a-z]{1,6}|null|true|CHT 1|# |<{7} ours\n|é|\u{feff}|\0)";

/// How many spoiled copies of each file are tried.
#[expect(clippy::disallowed_methods, reason = "how long a test runs is no result")]
fn spoiled_copies() -> u32 {
    std::env::var("SETOUT_FUZZ").ok().map_or(48, |said| said.parse().expect("SETOUT_FUZZ is a number"))
}

/// One place that is spoiled: where, how much is taken out, what is put there.
type Spoil = (Index, usize, String);

fn spoils() -> impl Strategy<Value = Vec<Spoil>> {
    proptest::collection::vec((any::<Index>(), 0_usize..30, PUT), 1..4)
}

fn spoiled(text: &str, spoils: &[Spoil]) -> String {
    let mut text = text.to_owned();
    for (place, length, put) in spoils {
        let boundary =
            |at: usize| (0..=at.min(text.len())).rfind(|at| text.is_char_boundary(*at)).unwrap_or(0);
        let start = boundary(place.index(text.len() + 1));
        let end = boundary(start + length);
        text.replace_range(start..end.max(start), put);
    }
    text
}

/// A layout with one session closed and one planned.
struct Evening {
    layout: setout::layout::Layout,
    folder: Folder,
}

impl Evening {
    fn new(name: &str) -> Self {
        let layout = ours("tests/it/layouts/tiny");
        // Debug and release runs may go on side by side.
        let build = if cfg!(debug_assertions) { "debug" } else { "release" };
        let folder = Folder::of("tiny", &format!("{name}-{build}"));
        for arguments in [&["plan"][..], &["close"], &["plan"]] {
            let ran = folder.run(arguments);
            assert_eq!(ran.status, Some(0), "{ran}");
        }
        Evening { layout, folder }
    }

    fn ledger(&self) -> Ledger {
        Ledger::open(self.folder.path()).unwrap()
    }
}

/// Every car of the layout stands once, or is away.
fn whole(evening: &Evening, standing: &Standing) -> Result<(), TestCaseError> {
    let tracks = evening.layout.tracks().indices();
    let mut on_tracks: Vec<_> = tracks.flat_map(|track| standing.on(track).iter().copied()).collect();
    let all = on_tracks.len();
    on_tracks.sort_unstable();
    on_tracks.dedup();
    prop_assert_eq!(all, on_tracks.len(), "a car stands twice");
    let away = evening.layout.cars().indices().filter(|car| standing.car(*car).track().is_none()).count();
    prop_assert_eq!(all + away, evening.layout.cars().len());
    Ok(())
}

fn config() -> ProptestConfig {
    ProptestConfig { cases: spoiled_copies(), failure_persistence: None, ..ProptestConfig::default() }
}

#[test]
fn a_spoiled_standing_is_refused_by_name_or_read_whole() {
    let evening = Evening::new("readers-standing");
    let sound = evening.folder.read("ledger/standing.toml");
    proptest!(config(), |(spoils in spoils())| {
        evening.folder.write("ledger/standing.toml", spoiled(&sound, &spoils));
        match evening.ledger().standing(&evening.layout) {
            Ok(Some(standing)) => {
                whole(&evening, &standing)?;
                // Whatever was read can be planned from, or is refused in words.
                let _ = session::plan(&evening.layout, &standing, &Request { seed: 1, revision: 1 });
            }
            Ok(None) => prop_assert!(false, "a standing that is there is not seen"),
            Err(fault) => prop_assert!(fault.to_string().contains("standing.toml"), "no file is named: {fault}"),
        }
    });
}

#[test]
fn a_spoiled_plan_is_refused_by_name_and_leaves_the_standing_alone() {
    let evening = Evening::new("readers-plan");
    let plan = evening.folder.read("ledger/0002/plan.json");
    let standing = evening.folder.read("ledger/standing.toml");
    proptest!(config(), |(spoils in spoils())| {
        evening.folder.write("ledger/0002/plan.json", spoiled(&plan, &spoils));
        // The ledger is let go of first: nobody else may open it meanwhile.
        let closed = evening.ledger().close_as_planned(&evening.layout);
        if let Ok(session) = closed {
            prop_assert_eq!(session, 2);
            let read = evening.ledger().standing(&evening.layout);
            whole(&evening, &read.expect("what was written can be read").expect("it was written"))?;
            evening.folder.write("ledger/standing.toml", &standing);
        } else {
            prop_assert_eq!(&evening.folder.read("ledger/standing.toml"), &standing);
        }
    });
}

#[test]
fn a_spoiled_record_is_understood_or_told_line_by_line() {
    let evening = Evening::new("readers-record");
    let (_, sheet) = evening.ledger().sheet().unwrap();
    let plan = evening.ledger().open_plan().unwrap().unwrap();
    // Lines that say something, too: a sheet alone says that all went as planned.
    let said = "job drill not run\nCHT 1 left\nCHT 2 bad order\njob turn ran to 2\njob turn took 75\n";
    let sound = format!("{sheet}\n{said}");
    proptest!(config(), |(spoils in spoils())| {
        let text = spoiled(&sound, &spoils);
        let lines = facts::lines("record.txt", &text);
        if let Err(faults) = facts::understood(&lines, &evening.layout, &plan) {
            prop_assert!(faults.iter().all(|fault| fault.starts_with("record.txt, line ") || fault.starts_with("job `")));
        }
    });
}

#[test]
fn a_spoiled_walk_is_understood_or_told_and_loses_no_car() {
    let evening = Evening::new("readers-walk");
    let (_, sound) = evening.ledger().walk_list(&evening.layout).unwrap();
    let standing = evening.folder.read("ledger/standing.toml");
    let words = |text: &str| facts::lines("walk.txt", text);
    proptest!(config(), |(spoils in spoils(), swap in any::<(Index, Index)>())| {
        // Lines in another order are the usual slip.
        let mut lines: Vec<&str> = sound.lines().collect();
        let (one, other) = (swap.0.index(lines.len()), swap.1.index(lines.len()));
        lines.swap(one, other);
        let text = spoiled(&lines.join("\n"), &spoils);
        let closed = evening.ledger().close(&evening.layout, &words(&text));
        if closed.is_ok() {
            let read = evening.ledger().standing(&evening.layout);
            whole(&evening, &read.expect("what was written can be read").expect("it was written"))?;
            evening.ledger().reopen().expect("it was closed");
        }
        prop_assert_eq!(&evening.folder.read("ledger/standing.toml"), &standing);
    });
}
