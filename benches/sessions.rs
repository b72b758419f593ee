//! How long reading, planning, auditing and printing take: the demo layout and a club of 3,000 cars.
//!
//! `cargo bench` measures; `cargo test --benches` runs each once.

use std::path::Path;

use divan::Bencher;
use setout::diag::Sources;
use setout::layout::{self, Layout};
use setout::session::{self, Planned, Request};
use setout::standing::Standing;
use setout::{audit, paper};

#[path = "club.rs"]
mod club;
#[path = "folder.rs"]
mod folder;

const REQUEST: Request = Request { seed: 1, revision: 1 };

fn main() {
    divan::main();
}

/// The layouts that are measured.
#[derive(Clone, Copy, Debug)]
enum Which {
    Demo,
    Club,
}

const BOTH: [Which; 2] = [Which::Demo, Which::Club];

fn sources(which: Which) -> Sources {
    match which {
        Which::Demo => {
            let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-layout");
            folder::sources(&demo).expect("the demo layout lies beside the crate")
        }
        Which::Club => {
            let mut sources = Sources::default();
            for (name, text) in club::folder(club::CLUB) {
                sources.add(name, text);
            }
            sources
        }
    }
}

fn layout(which: Which) -> Layout {
    let (layout, faults) = layout::load(sources(which));
    layout.unwrap_or_else(|| panic!("{}", setout::diag::render::text(&faults, false)))
}

fn standing(which: Which) -> (Layout, Standing) {
    let layout = layout(which);
    let standing = session::first_standing(&layout, REQUEST.seed);
    (layout, standing)
}

fn planned(which: Which) -> (Layout, Planned) {
    let (layout, standing) = standing(which);
    let planned = session::plan(&layout, &standing, &REQUEST);
    (layout, planned)
}

#[divan::bench(args = BOTH)]
fn read(bencher: Bencher<'_, '_>, which: Which) {
    bencher.with_inputs(|| sources(which)).bench_values(layout::load);
}

#[divan::bench(args = BOTH)]
fn run_in(bencher: Bencher<'_, '_>, which: Which) {
    let layout = layout(which);
    bencher.bench(|| session::first_standing(&layout, REQUEST.seed));
}

#[divan::bench(args = BOTH)]
fn plan(bencher: Bencher<'_, '_>, which: Which) {
    let (layout, standing) = standing(which);
    bencher.bench(|| session::plan(&layout, &standing, &REQUEST));
}

#[divan::bench(args = BOTH)]
fn audit_plan(bencher: Bencher<'_, '_>, which: Which) {
    let (layout, planned) = planned(which);
    bencher.bench(|| audit::audit(&planned.plan, &layout));
}

#[divan::bench(args = BOTH)]
fn print(bencher: Bencher<'_, '_>, which: Which) {
    let (layout, planned) = planned(which);
    bencher.bench(|| {
        let sheets = paper::sheets(&planned.plan, &layout);
        sheets.iter().map(|sheet| paper::text(sheet).len() + paper::html(sheet).len()).sum::<usize>()
    });
}
