//! A standing and a layout that no longer fit each other: the layout is what was spoiled.

use std::panic::{AssertUnwindSafe, catch_unwind};

use proptest::prelude::*;
use setout::audit::audit;
use setout::diag::Sources;
use setout::layout;
use setout::ledger::Ledger;
use setout::session::{self, Request};

use super::{config, spoiled, spoils};
use crate::cli::Folder;

/// A ledger with one session closed and one planned.
fn ledger(test: &str) -> Folder {
    let folder = Folder::of("tiny", test);
    for arguments in [&["plan"][..], &["close"], &["plan"]] {
        let ran = folder.run(arguments);
        assert_eq!(ran.status, Some(0), "{ran}");
    }
    folder
}

/// Every car of the layout stands once, or is away.
fn whole(layout: &layout::Layout, standing: &setout::standing::Standing) {
    let mut on: Vec<_> = layout.tracks().indices().flat_map(|track| standing.on(track).to_vec()).collect();
    let all = on.len();
    on.sort_unstable();
    on.dedup();
    assert_eq!(all, on.len(), "a car stands twice");
    let away = standing.cars().filter(|(_, state)| state.track().is_none()).count();
    assert_eq!(all + away, layout.cars().len(), "a car is nowhere");
}

#[test]
fn a_standing_under_another_layout_is_refused_or_goes_on() {
    let folder = ledger("fuzz-standing");
    let (sound, cars) = (folder.read("layout.toml"), folder.read("cars.csv"));
    let kept = folder.read("ledger/standing.toml");
    proptest!(config(), |(spoils in spoils(), in_roster in any::<bool>())| {
        let text = spoiled(if in_roster { &cars } else { &sound }, &spoils);
        let mut sources = Sources::default();
        sources.add("layout.toml", if in_roster { &*sound } else { &*text });
        sources.add("cars.csv", if in_roster { &*text } else { &*cars });
        let Some(layout) = layout::load(sources).0 else { return Ok(()) };
        let survived = catch_unwind(AssertUnwindSafe(|| {
            let ledger = Ledger::open(folder.path()).unwrap();
            let Ok(told) = ledger.standing_told(&layout) else { return };
            let (standing, _) = told.expect("a standing that is there is seen");
            whole(&layout, &standing);
            let planned = session::plan(&layout, &standing, &Request { seed: 1, revision: 1 });
            let breaches: Vec<String> = audit(&planned.plan, &layout).iter().map(ToString::to_string).collect();
            assert!(breaches.is_empty(), "{}", breaches.join("\n"));
            if ledger.close_as_planned(&layout).is_ok() {
                let left = ledger.standing(&layout).expect("what was written can be read");
                whole(&layout, &left.expect("it was written"));
            }
        }));
        if folder.read("ledger/standing.toml") != kept {
            Ledger::open(folder.path()).unwrap().reopen().unwrap();
            prop_assert_eq!(&folder.read("ledger/standing.toml"), &kept, "a close was not taken back whole");
        }
        prop_assert!(survived.is_ok(), "this does not survive:\n{}", text);
    });
}
