//! The front door: reads arguments and files, calls the library, writes what it answers.
//!
//! Exit codes: 0 done, 1 the answer is no, 2 the input is at fault. A reader who hangs up (a broken
//! pipe) is no fault. This room and `ledger::store` alone touch files, environment and screen.

mod args;
mod check;
mod close;
mod compare;
mod folder;
mod ledger;
mod pace;
mod plan;
mod print;
mod reopen;
mod revised;
mod roster;
mod screen;
mod told;

use std::io;
use std::process::ExitCode;

use clap::Parser;

use crate::error::{Error, Result};
use args::{Arguments, Command};
use screen::Screen;

/// What a command comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// It did what was asked.
    Done,
    /// The input is at fault, and the answer says how.
    Faulty,
    /// What was asked for is not so, or not there.
    No,
}

/// Does what the command line says.
pub fn run() -> ExitCode {
    match Arguments::try_parse() {
        Ok(arguments) => {
            let mut screen = Screen::new();
            let outcome =
                obey(&arguments.command, &mut screen).and_then(|outcome| screen.flush().map(|()| outcome));
            exit_code(outcome, &mut screen)
        }
        Err(help) => {
            let code = if help.use_stderr() { 2 } else { 0 };
            match help.print() {
                Err(cause) if cause.kind() != io::ErrorKind::BrokenPipe => ExitCode::from(2),
                _ => ExitCode::from(code),
            }
        }
    }
}

fn obey(command: &Command, screen: &mut Screen) -> Result<Outcome> {
    match command {
        Command::Check(asked) => check::run(asked, screen),
        Command::Plan(asked) => plan::run(asked, screen),
        Command::Print(asked) => print::run(asked, screen),
        Command::Close(asked) => close::run(asked, screen),
        Command::Ledger(asked) => ledger::run(asked, screen),
        Command::Roster(asked) => roster::run(asked, screen),
        Command::Reopen(asked) => reopen::run(asked, screen),
        Command::Compare(asked) => compare::run(asked, screen),
        Command::Pace(asked) => pace::run(asked, screen),
    }
}

fn exit_code(outcome: Result<Outcome>, screen: &mut Screen) -> ExitCode {
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Faulty) => ExitCode::from(2),
        Ok(Outcome::No) => ExitCode::from(1),
        Err(Error::Output(cause)) if cause.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(Error::Faults(faults)) => {
            screen.faults(&faults);
            ExitCode::from(2)
        }
        Err(error) => {
            screen.say(&format!("error: {error}"));
            ExitCode::from(if matches!(error, Error::Audit(_)) { 1 } else { 2 })
        }
    }
}
