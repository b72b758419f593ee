//! Where a command writes: answers to standard output, talk and faults to standard error.

use std::io::{self, BufWriter, IsTerminal, StderrLock, StdoutLock, Write};

use crate::diag::{Diagnostics, render};
use crate::error::Result;

/// The two outputs, locked for the whole run.
#[derive(Debug)]
pub(super) struct Screen {
    answers: BufWriter<StdoutLock<'static>>,
    talk: StderrLock<'static>,
    colored_talk: bool,
}

impl Screen {
    /// Locks both outputs. Talk is colored on a terminal, unless `NO_COLOR` is set.
    pub(super) fn new() -> Self {
        let wanted = std::env::var_os("NO_COLOR").is_none_or(|word| word.is_empty());
        Screen {
            answers: BufWriter::new(io::stdout().lock()),
            colored_talk: wanted && io::stderr().is_terminal(),
            talk: io::stderr().lock(),
        }
    }

    /// Writes a part of the answer.
    pub(super) fn answer(&mut self, text: &str) -> Result<()> {
        Ok(self.answers.write_all(text.as_bytes())?)
    }

    /// Writes the whole answer as data.
    pub(super) fn data(&mut self, data: &impl serde::Serialize) -> Result<()> {
        serde_json::to_writer_pretty(&mut self.answers, data).map_err(io::Error::from)?;
        self.answer("\n")
    }

    /// Sends the answer off.
    pub(super) fn flush(&mut self) -> Result<()> {
        Ok(self.answers.flush()?)
    }

    /// Says something beside the answer. Where nobody listens there is nobody to tell of it.
    pub(super) fn say(&mut self, text: &str) {
        let _unheard = writeln!(self.talk, "{text}");
    }

    /// Shows all faults.
    pub(super) fn faults(&mut self, faults: &Diagnostics) {
        let text = render::text(faults, self.colored_talk);
        let _unheard = self.talk.write_all(text.as_bytes());
    }
}
