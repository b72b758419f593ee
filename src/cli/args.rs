//! What can be written on the command line, and nothing else.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Plans operating sessions for a model railroad, and prints the paper for them.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 80, subcommand_required = true, arg_required_else_help = true)]
pub(super) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Read the description, show all its faults, or a page of what it holds
    Check(Check),
    /// Plan the next session and print its paper into the ledger
    Plan(Plan),
    /// Show the paper of a session again
    Print(Print),
    /// Close the planned session: everything happened as planned
    Close(Close),
}

/// The folder of the layout.
#[derive(Debug, Args)]
pub(super) struct Folder {
    /// The folder of the layout
    #[arg(value_name = "FOLDER", default_value = ".")]
    pub(super) folder: PathBuf,
}

/// How an answer that is data is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum Form {
    /// For people
    #[default]
    Text,
    /// For programs
    Json,
}

/// `setout check`
#[derive(Debug, Args)]
pub(super) struct Check {
    #[command(flatten)]
    pub(super) at: Folder,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// `setout plan`
#[derive(Debug, Args)]
pub(super) struct Plan {
    #[command(flatten)]
    pub(super) at: Folder,
    /// Draw the session with this number; another number gives another session
    ///
    /// If nothing is said: the number the open plan was drawn with, or the number of the session.
    #[arg(long, value_name = "N")]
    pub(super) seed: Option<u64>,
    /// Show what would be planned and write nothing
    #[arg(long)]
    pub(super) dry_run: bool,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// `setout print`
#[derive(Debug, Args)]
pub(super) struct Print {
    #[command(flatten)]
    pub(super) at: Folder,
    /// The session; the one planned and not yet closed, if nothing is said
    #[arg(long, value_name = "N")]
    pub(super) session: Option<i32>,
    /// Only this form, by its name
    #[arg(long, value_name = "NAME")]
    pub(super) form: Option<String>,
    /// Only the paper of this job, by its id
    #[arg(long, value_name = "JOB")]
    pub(super) job: Option<String>,
    /// Write the paper into this folder, as text and as pages for a browser
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
}

/// `setout close`
#[derive(Debug, Args)]
pub(super) struct Close {
    #[command(flatten)]
    pub(super) at: Folder,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }
}
