//! Plans the first session of a layout through the library, without a ledger, and prints its
//! papers: `cargo run --example plan_a_session -- FOLDER [SEED]`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::Write;
use std::path::PathBuf;

use setout::session::Request;
use setout::{audit, diag, layout, paper, session};

#[path = "../benches/folder.rs"]
mod folder;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().ok_or("usage: plan_a_session FOLDER [SEED]")?);
    let seed = arguments.next().map_or(Ok(1), |seed| seed.parse())?;
    let (layout, faults) = layout::load(folder::sources(&folder)?);
    let layout = layout.ok_or_else(|| diag::render::text(&faults, false))?;

    // Before the first session nobody knows where the cars stand: the railroad is run in.
    let standing = session::first_standing(&layout, seed);
    let planned = session::plan(&layout, &standing, &Request { seed, revision: 1 });

    // A plan is worth something only when somebody who did not make it has replayed it.
    if let Some(breach) = audit::audit(&planned.plan, &layout).first() {
        return Err(breach.to_string().into());
    }
    let mut out = std::io::stdout().lock();
    for sheet in paper::sheets(&planned.plan, &layout) {
        writeln!(out, "==== {}\n{}", sheet.name, paper::text(&sheet))?;
    }
    Ok(())
}
