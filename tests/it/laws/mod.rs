//! What holds for every layout and every session, tried on layouts made up from seeds and on those
//! that come with the project.
//!
//! A few layouts are tried always; `SETOUT_LAWS=1000 cargo test laws` tries as many as it says. A
//! layout that breaks a law is shown whole, with its seed.

mod fuzz;
mod long;
mod made;
mod otherwise;
mod plans;
mod readers;
mod sameness;

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::Path;

use made::Folder;
use setout::layout::{self, Layout};
use setout::session::{self, Planned, Request};
use setout::standing::Standing;

/// How many layouts are made up when nothing is said.
const USUAL: u64 = 10;

/// The layouts that come with the project.
const OURS: [&str; 3] = ["demo-layout", "examples/shelf", "examples/europe"];

/// How many layouts to make up.
#[expect(clippy::disallowed_methods, reason = "how long a test runs is no result")]
fn cases() -> u64 {
    std::env::var("SETOUT_LAWS").ok().map_or(USUAL, |said| said.parse().expect("SETOUT_LAWS is a number"))
}

/// Tries a law on made-up layouts; one that breaks it is shown whole.
fn everywhere(law: impl Fn(u64, &Folder)) {
    for seed in 0..cases() {
        let folder = made::folder(seed);
        if let Err(broken) = catch_unwind(AssertUnwindSafe(|| law(seed, &folder))) {
            let shown = folder.text();
            // Shown by way of a second panic, so that the text stands in the test's own output.
            let told = catch_unwind(|| panic!("the layout of seed {seed} breaks a law:\n{shown}"));
            resume_unwind(told.err().unwrap_or(broken));
        }
    }
}

/// A layout that comes with the project.
fn ours(name: &str) -> Layout {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    layout::load(crate::paper::folder::sources(&path).unwrap()).0.unwrap()
}

/// Runs so many sessions one after the other, each from where the last one ended, and shows each to
/// `look` with the standing it began from. Gives the last standing.
fn run(layout: &Layout, seed: u64, count: u64, mut look: impl FnMut(&Standing, &Planned)) -> Standing {
    let mut standing = session::first_standing(layout, seed);
    for number in 0..count {
        let request = Request { seed: seed * 1000 + number, revision: 1 };
        let planned = session::plan(layout, &standing, &request);
        look(&standing, &planned);
        standing = planned.after;
    }
    standing
}
