//! Descriptions and the rosters beside them, spoiled.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use proptest::prelude::*;
use setout::audit::audit;
use setout::diag::{Sources, render};
use setout::layout;
use setout::session::{self, Request};

use super::{Spoil, config, spoiled, spoils};

/// Layouts by their folders, each as the texts of its files.
fn folders() -> Vec<Vec<(String, String)>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let names = ["tests/it/layouts/tiny", "examples/shelf", "examples/europe", "demo-layout"];
    let texts = |name: &&str| {
        let sources = crate::paper::folder::sources(&root.join(name)).unwrap();
        sources.iter().map(|(_, source)| (source.name.to_string(), source.text.to_string())).collect()
    };
    names.iter().map(texts).collect()
}

/// Reads a description; if it is sound, plans a session on it.
fn tried(files: &[(String, String)]) {
    let mut sources = Sources::default();
    for (name, text) in files {
        sources.add(&**name, &**text);
    }
    let (layout, found) = layout::load(sources);
    assert_eq!(layout.is_none(), found.has_errors(), "a layout or errors, and not both");
    let _ = (render::text(&found, true), render::json(&found));
    let Some(layout) = layout else { return };
    let first = session::first_standing(&layout, 1);
    let planned = session::plan(&layout, &first, &Request { seed: 1, revision: 1 });
    let breaches: Vec<String> = audit(&planned.plan, &layout).iter().map(ToString::to_string).collect();
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

/// Spoils one file of a folder and tries it; a folder that is not survived is shown.
fn survives(folder: &[(String, String)], file: usize, spoils: &[Spoil]) -> Result<(), TestCaseError> {
    let mut files = folder.to_vec();
    let at = file % files.len();
    files[at].1 = spoiled(&files[at].1, spoils);
    let survived = catch_unwind(AssertUnwindSafe(|| tried(&files)));
    prop_assert!(survived.is_ok(), "{} does not survive:\n{}", files[at].0, files[at].1);
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_spoiled_description_is_refused_or_planned(
        folder in any::<proptest::sample::Index>(),
        file in any::<usize>(),
        spoils in spoils(),
    ) {
        let folders = folders();
        survives(&folders[folder.index(folders.len())], file, &spoils)?;
    }

    #[test]
    fn a_small_description_is_refused_or_planned(file in any::<usize>(), spoils in spoils()) {
        survives(&folders()[0], file, &spoils)?;
    }
}
