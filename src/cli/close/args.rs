//! What can be said to `setout close`.

use std::path::PathBuf;

use clap::{ArgGroup, Args};

use crate::cli::args::Folder;

/// `setout close`
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("otherwise").multiple(true))]
#[command(group = ArgGroup::new("to_fill_in").conflicts_with_all(["as_planned", "otherwise", "minutes"]))]
pub(in crate::cli) struct CloseArgs {
    #[command(flatten)]
    pub(super) at: Folder,
    /// Everything happened as planned; the same as saying nothing
    #[arg(long, conflicts_with = "otherwise")]
    pub(super) as_planned: bool,
    /// No crew touched this car; may be said more than once
    ///
    /// It stands where it stood before the first job. A car may be named by its number alone, where
    /// no other car has it.
    #[arg(long, value_name = "CAR", group = "otherwise")]
    pub(super) left: Vec<String>,
    /// This is where the car is: a spot, a track, a gateway, or `shelf`; may be said more than once
    #[arg(long = "at", value_name = "CAR=PLACE", group = "otherwise")]
    pub(super) is_at: Vec<String>,
    /// The load of its order is in the car, whatever was planned; may be said more than once
    #[arg(long, value_name = "CAR", group = "otherwise")]
    pub(super) loaded: Vec<String>,
    /// Nothing is in the car, whatever was planned; may be said more than once
    #[arg(long, value_name = "CAR", group = "otherwise")]
    pub(super) empty: Vec<String>,
    /// The car was found to need repair; may be said more than once
    #[arg(long, value_name = "CAR", group = "otherwise")]
    pub(super) bad_order: Vec<String>,
    /// The job did not run: its cars stay; may be said more than once
    #[arg(long, value_name = "JOB", group = "otherwise")]
    pub(super) not_run: Vec<String>,
    /// The job did the work of its calls up to this one and no more; may be said more than once
    #[arg(long, value_name = "JOB=CALL", group = "otherwise")]
    pub(super) ran_to: Vec<String>,
    /// The minutes that the job really took, without waiting for others; may be said more than once
    ///
    /// The ledger keeps them, and the next plans learn from them how fast your crews are.
    #[arg(long, value_name = "JOB=MINUTES")]
    pub(super) minutes: Vec<String>,
    /// Read what happened from this file; `-` is standard input
    #[arg(long, value_name = "FILE", group = "otherwise")]
    pub(super) record: Option<PathBuf>,
    /// Write a sheet to fill in, into the ledger, and close nothing
    #[arg(long, group = "to_fill_in")]
    pub(super) sheet: bool,
    /// Write a page to carry round the layout on a phone or tablet, and close nothing
    #[arg(long, group = "to_fill_in")]
    pub(super) page: bool,
    /// Write a list of what should stand on every track, to walk round with, and close nothing
    ///
    /// Changed so that it is what you see, it is given to --record.
    #[arg(long, group = "to_fill_in")]
    pub(super) walk: bool,
    /// Write the sheet, the page or the list into this file
    #[arg(long, value_name = "FILE", requires = "to_fill_in")]
    pub(super) into: Option<PathBuf>,
}
