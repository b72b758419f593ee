//! What can be said to `setout roster`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use crate::cli::args::{Folder, Form};
use crate::roster::Told;

/// `setout roster`
#[derive(Debug, Args)]
pub(in crate::cli) struct RosterArgs {
    #[command(subcommand)]
    pub(super) deed: Deed,
}

/// What is done with the roster.
#[derive(Debug, Subcommand)]
pub(super) enum Deed {
    /// Read cars from a spreadsheet's file and show what they make of the roster
    In(In),
    /// Show all cars as a table that any spreadsheet opens without spoiling it
    Out(Out),
    /// Look for slips: alike numbers, odd lengths, nobody's marks, cars no lane can use
    Check(Check),
}

/// `setout roster in`
#[derive(Debug, Args)]
pub(super) struct In {
    /// The file: CSV with commas, semicolons or tabs, XLSX, or ODS; `-` is standard input
    #[arg(value_name = "FILE")]
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) at: Folder,
    /// What a column holds: `No.=number`, `Len=length in ft`; `Price=` leaves it out; may be said
    /// more than once
    #[arg(long = "column", value_name = "NAME=WHAT")]
    pub(super) columns: Vec<Told>,
    /// Leave out every column that is not understood
    #[arg(long)]
    pub(super) leave_rest: bool,
    /// The sheet of the workbook, by its name
    #[arg(long, value_name = "NAME")]
    pub(super) sheet: Option<String>,
    /// The file is the whole roster: cars that it does not have are taken out of cars.csv
    #[arg(long)]
    pub(super) only: bool,
    /// Write cars.csv: without this nothing is written
    #[arg(long)]
    pub(super) write: bool,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// What stands between fields.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum Separator {
    /// As spreadsheets want it where decimals have a point
    #[default]
    Comma,
    /// As spreadsheets want it where decimals have a comma
    Semicolon,
    /// Tabs
    Tab,
}

impl Separator {
    /// The sign.
    pub(super) const fn sign(self) -> char {
        match self {
            Separator::Comma => ',',
            Separator::Semicolon => ';',
            Separator::Tab => '\t',
        }
    }
}

/// `setout roster out`
#[derive(Debug, Args)]
pub(super) struct Out {
    #[command(flatten)]
    pub(super) at: Folder,
    /// Write into this file, which must not be there yet
    #[arg(long, value_name = "FILE")]
    pub(super) into: Option<PathBuf>,
    /// Write it even if it is there
    #[arg(long, requires = "into")]
    pub(super) replace: bool,
    /// What stands between fields
    #[arg(long, value_name = "SIGN", value_enum, default_value_t)]
    pub(super) separator: Separator,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t, conflicts_with = "into")]
    pub(super) form: Form,
}

/// `setout roster check`
#[derive(Debug, Args)]
pub(super) struct Check {
    #[command(flatten)]
    pub(super) at: Folder,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}
