//! Where readers and checks put what they find, and where near misses come from.

use crate::diag::{Diagnostic, Diagnostics, Severity, Span};
use crate::layout::codes::{self, Code};

/// What is wrong with a value, before it is known where the value stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wrong {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) help: Option<String>,
}

impl Wrong {
    pub(super) fn new(code: Code, message: impl Into<String>) -> Self {
        Wrong { code, message: message.into(), help: None }
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same, with help if it has none yet.
    pub(super) fn or_help(self, help: impl FnOnce() -> String) -> Self {
        if self.help.is_some() { self } else { self.help(help()) }
    }

    /// The same, with a near miss for help, if there is one.
    pub(super) fn near<'a>(self, wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        match near_miss(wanted, known) {
            Some(near) => self.help(format!("did you mean `{near}`?")),
            None => self,
        }
    }

    /// The fault, at its place.
    pub(super) fn at(self, span: Span) -> Diagnostic {
        let fault = Diagnostic::error(self.code.name, span, self.message);
        let fault = Diagnostic { severity: self.code.severity, ..fault };
        match self.help {
            Some(help) => fault.help(help),
            None => fault,
        }
    }
}

/// The faults found so far, and how many of them are errors.
#[derive(Debug)]
pub(super) struct Sink {
    found: Diagnostics,
    errors: usize,
}

impl Sink {
    pub(super) fn new(found: Diagnostics) -> Self {
        Sink { found, errors: 0 }
    }

    pub(super) fn push(&mut self, fault: Diagnostic) {
        self.errors += usize::from(fault.severity == Severity::Error);
        self.found.push(fault);
    }

    /// Adds what is wrong at a place.
    pub(super) fn wrong(&mut self, span: Span, wrong: Wrong) {
        self.push(wrong.at(span));
    }

    /// Adds a fault that needs no help.
    pub(super) fn fault(&mut self, code: Code, span: Span, message: impl Into<String>) {
        self.wrong(span, Wrong::new(code, message));
    }

    /// How many errors there are: what is read between two counts that are equal is sound.
    pub(super) const fn errors(&self) -> usize {
        self.errors
    }

    pub(super) fn into_found(self) -> Diagnostics {
        self.found
    }
}

/// The known word most like the one that was written, if one is like it at all.
pub fn near_miss<'a>(wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let folded = wanted.to_lowercase();
    let allowed = (wanted.chars().count() / 3).clamp(1, 4);
    known
        .into_iter()
        .map(|word| (strsim::damerau_levenshtein(&folded, &word.to_lowercase()), word))
        .filter(|(distance, _)| *distance <= allowed)
        .min()
        .map(|(_, word)| word)
}

/// A value of a kind that was not asked for.
pub(super) fn wrong_type(expected: &str, found: &str) -> Wrong {
    Wrong::new(codes::WRONG_TYPE, format!("expected {expected}, found {found}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_miss_is_near() {
        let known = ["harbor", "northgate", "mill-street"];
        assert_eq!(near_miss("harbour", known), Some("harbor"));
        assert_eq!(near_miss("Northgate", known), Some("northgate"));
        assert_eq!(near_miss("quarry", known), None);
    }
}
