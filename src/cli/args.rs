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
    /// Plan the next session
    Plan(Plan),
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
    /// If nothing is said: the number of the session.
    #[arg(long, value_name = "N")]
    pub(super) seed: Option<u64>,
    /// Show what would be planned and write nothing
    #[arg(long, required = true)]
    pub(super) dry_run: bool,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
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
