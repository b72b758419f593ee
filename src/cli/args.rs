//! What can be written on the command line, and nothing else.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::close::CloseArgs;
use super::ledger::LedgerArgs;
use super::roster::RosterArgs;
use crate::units::{ClockTime, Minutes};

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
    /// Close the planned session: what you do not mention happened as planned
    Close(CloseArgs),
    /// Show what closed sessions did, to everything or to one car, customer or job
    Ledger(LedgerArgs),
    /// Take the session that was closed last back, so that it is open again
    Reopen(Reopen),
    /// Take the roster in from a spreadsheet, bring it out to one, or look for slips in it
    Roster(RosterArgs),
    /// Show two sessions, or two seeds of tonight, side by side, and how even they are
    Compare(Compare),
    /// Show how fast the crews are, as learned from the minutes that jobs took
    Pace(PaceOf),
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
    /// How many people come: give each their jobs, and size the session to them
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=99))]
    pub(super) crew: Option<u32>,
    /// How long they stay, in hours: 3, 2.5
    ///
    /// If nothing is said: the layout's usual hours. Without --crew it is not looked at.
    #[arg(long, value_name = "H", value_parser = hours, requires = "crew")]
    pub(super) hours: Option<Minutes>,
    /// Jobs begin by the layout's clock, which runs so many times faster than the real one
    ///
    /// If nothing is said, the clock gives the order and nobody waits for it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=60), requires = "crew")]
    pub(super) clock: Option<u32>,
    /// Tonight's crews take so much of the usual minutes: 120% for slow ones, 90% for quick ones
    ///
    /// If nothing is said: what the layout says in its table `[pace]`.
    #[arg(long, value_name = "PERCENT", value_parser = crew_pace)]
    pub(super) pace: Option<u32>,
    /// Leave this job out tonight; may be said more than once
    #[arg(long, value_name = "JOB")]
    pub(super) without: Vec<String>,
    /// Plan with so many seeds in a row, and take the one whose people are busy most evenly
    #[arg(long = "try", value_name = "K", value_parser = clap::value_parser!(u32).range(1..=1000), requires = "crew")]
    pub(super) tries: Option<u32>,
    /// Look for ways with fewer handlings two hundred times as long, and try all tracks on which cars could wait: worth
    /// it for the plan that is printed
    #[arg(long)]
    pub(super) thorough: bool,
    /// Mark sheets that changed since the last plan of the same session with this time: 19:40
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub(super) now: Option<ClockTime>,
    /// Show what would be planned and write nothing
    #[arg(long)]
    pub(super) dry_run: bool,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Paper {
    /// 8.5 x 11 in
    Letter,
    /// 210 x 297 mm
    A4,
    /// 5.5 x 8.5 in
    Half,
    /// Cards of 4 x 6 in
    #[value(name = "4x6")]
    FourBySix,
    /// Cards of 3 x 5 in
    #[value(name = "3x5")]
    ThreeByFive,
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
    /// Pages of this size; whatever the printer has, if nothing is said
    #[arg(long, value_name = "SIZE", value_enum)]
    pub(super) paper: Option<Paper>,
    /// Pages in letters of 18 points instead of 12
    #[arg(long)]
    pub(super) large: bool,
    /// Car cards with their backs, for a printer that prints both sides and turns on the long edge
    #[arg(long)]
    pub(super) duplex: bool,
    /// Text in so many columns: 80, if nothing is said; 48 for a narrow printer
    #[arg(long, value_name = "N")]
    pub(super) columns: Option<usize>,
    /// Text without accents or other letters beyond ASCII
    #[arg(long)]
    pub(super) ascii: bool,
    /// Cars by the end of their numbers where no other car that a crew can meet has it; not on car cards
    #[arg(long)]
    pub(super) short_numbers: bool,
    /// Show all words of the forms, as `forms/words.toml` may have them in another language
    #[arg(long)]
    pub(super) words: bool,
    /// Show, as data, all that a form of your own may use
    #[arg(long, requires = "form")]
    pub(super) show_values: bool,
}

/// `setout reopen`
#[derive(Debug, Args)]
pub(super) struct Reopen {
    #[command(flatten)]
    pub(super) at: Folder,
}

/// `setout pace`
#[derive(Debug, Args)]
pub(super) struct PaceOf {
    #[command(flatten)]
    pub(super) at: Folder,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// `setout compare`
#[derive(Debug, Args)]
pub(super) struct Compare {
    /// Two sessions of the ledger by number, or none with two seeds; then the folder of the layout
    #[arg(value_name = "A B | FOLDER")]
    pub(super) what: Vec<String>,
    /// Tonight's session, drawn with this number: say it twice
    #[arg(long = "seed", value_name = "N")]
    pub(super) seeds: Vec<u64>,
    /// Size tonight's sessions to so many people
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=99))]
    pub(super) crew: Option<u32>,
    /// How long they stay, in hours
    #[arg(long, value_name = "H", value_parser = hours, requires = "crew")]
    pub(super) hours: Option<Minutes>,
    /// Answer no unless in both the busiest has at most so much more than the mean: 15%
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub(super) within: Option<u32>,
    /// How to write the answer
    #[arg(long = "as", value_name = "FORM", value_enum, default_value_t)]
    pub(super) form: Form,
}

/// Hundredths, with or without their sign: `15%`, `15`.
fn percent(text: &str) -> Result<u32, String> {
    let number = text.strip_suffix('%').unwrap_or(text).trim_end();
    let read = number.parse::<u32>().ok().filter(|hundredths| *hundredths <= 1000);
    read.ok_or_else(|| "expected a percentage such as 15%".to_owned())
}

/// The factor of a crew, in hundredths.
fn crew_pace(text: &str) -> Result<u32, String> {
    let number = percent(text).ok().filter(|hundredths| *hundredths > 0);
    number.ok_or_else(|| "expected a percentage from 1% to 1000%, such as 120%".to_owned())
}

/// A time of day.
fn time(text: &str) -> Result<ClockTime, String> {
    ClockTime::parse(text).ok_or_else(|| "expected a time such as 19:40".to_owned())
}

/// Hours, whole or with a decimal point.
fn hours(text: &str) -> Result<Minutes, String> {
    let wrong = || "expected hours between 0.1 and 24, such as 3 or 2.5".to_owned();
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.len() > 2 || part.len() > 2 || !digits(whole) || !digits(part) || text.is_empty() {
        return Err(wrong());
    }
    let hundredths = format!("{whole:0>1}{part:0<2}").parse::<u32>().map_err(|_| wrong())?;
    let minutes = hundredths * 60 / 100;
    if (6..=24 * 60).contains(&minutes) { Ok(Minutes::new(minutes)) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn hours_are_read_as_people_write_them() {
        let minutes = |text: &str| hours(text).map(Minutes::rounded_up);
        assert_eq!(minutes("3"), Ok(180));
        assert_eq!(minutes("2.5"), Ok(150));
        assert_eq!(minutes(".5"), Ok(30));
        assert_eq!(minutes("0.25"), Ok(15));
        for wrong in ["", "0", "25", "3h", "-1", "1.234", "."] {
            assert!(hours(wrong).is_err(), "{wrong}");
        }
    }
}
