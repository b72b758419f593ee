//! Failures: what the machine could not do.
//!
//! What a host wrote wrongly is a fault and belongs to [`crate::diag`]; what the machine, its disk
//! or its other programs refused is an [`Error`], and names the path or the deed.

use std::io;
use std::path::PathBuf;

use crate::diag::Diagnostics;

/// Why a command could not be carried out.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The description, the roster or the ledger has faults; all of them are inside.
    #[error("the input is at fault")]
    Faults(Box<Diagnostics>),
    /// A file or folder could not be read.
    #[error("cannot read `{}`: {cause}", .path.display())]
    Read {
        /// What was to be read.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// A file or folder could not be written.
    #[error("cannot write `{}`: {cause}", .path.display())]
    Write {
        /// What was to be written.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// What was asked counts, but a file could not be put in its place.
    #[error("{0}\nit is done all the same: the next command puts the rest of the files in their place")]
    Unfinished(Box<Error>),
    /// A file of the ledger says what it cannot mean.
    #[error("`{}` is not a sound ledger file: {what}", .path.display())]
    Ledger {
        /// The file.
        path: PathBuf,
        /// What is wrong with it, and what to do.
        what: String,
    },
    /// The command asks for something that is not there.
    #[error("{0}")]
    Asked(String),
    /// A plan broke a rule. It is never written: this is a fault of setout itself.
    #[error(
        "the plan failed its audit and was not written:\n{0}\nthis is a fault of setout, please report it with your folder"
    )]
    Audit(String),
    /// The answer could not be written to standard output.
    #[error("cannot write the answer: {0}")]
    Output(#[from] io::Error),
}

/// What most of the library gives back.
pub type Result<T> = std::result::Result<T, Error>;
