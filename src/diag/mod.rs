//! Faults: what is wrong with what the host wrote.
//!
//! A [`Diagnostic`] is a value: a code, a severity, words, the place in the text, and a way out.
//! Readers and checks put them into one [`Diagnostics`] sink, so that all are shown at once, in
//! order of file and place. Only [`render`] knows how a fault looks on a screen.

pub mod render;

use std::ops::Range;
use std::sync::Arc;

/// A file of the description, by its place in [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileIx(usize);

/// A stretch of text in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// The file.
    pub file: FileIx,
    /// The first byte.
    pub start: usize,
    /// The byte after the last.
    pub end: usize,
}

impl Span {
    /// A stretch of a file.
    pub const fn new(file: FileIx, bytes: Range<usize>) -> Self {
        Span { file, start: bytes.start, end: bytes.end }
    }
}

/// One file of the description, or of the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Its name, relative to the folder.
    pub name: Arc<str>,
    /// What it says; a byte-order mark is taken off before.
    pub text: Arc<str>,
}

/// The texts that faults point into.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// Adds a file.
    pub fn add(&mut self, name: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> FileIx {
        self.files.push(Source { name: name.into(), text: text.into() });
        FileIx(self.files.len() - 1)
    }

    /// A file.
    pub fn file(&self, file: FileIx) -> &Source {
        &self.files[file.0]
    }

    /// All files, in the order in which they were added.
    pub fn iter(&self) -> impl Iterator<Item = (FileIx, &Source)> {
        self.files.iter().enumerate().map(|(place, source)| (FileIx(place), source))
    }
}

/// How bad a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Nothing can be planned before it is mended.
    Error,
    /// A plan is possible, but this makes no sense.
    Warning,
}

/// A second place that belongs to a fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What is there: `first used here`.
    pub text: Box<str>,
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Its name, in kebab-case, as in `docs/faults.md`: `track-too-short`.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// A phrase, lower case, no full stop, things in backticks.
    pub message: Box<str>,
    /// The words at fault.
    pub span: Span,
    /// Other places that belong to it.
    pub labels: Vec<Label>,
    /// What to do.
    pub help: Option<Box<str>>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(code: &'static str, span: Span, message: impl Into<Box<str>>) -> Self {
        Diagnostic {
            code,
            severity: Severity::Error,
            message: message.into(),
            span,
            labels: Vec::new(),
            help: None,
        }
    }

    /// A warning at a place.
    pub fn warning(code: &'static str, span: Span, message: impl Into<Box<str>>) -> Self {
        Diagnostic { severity: Severity::Warning, ..Diagnostic::error(code, span, message) }
    }

    /// The same, with a way out.
    #[must_use]
    pub fn help(mut self, help: impl Into<Box<str>>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same, with one more place.
    #[must_use]
    pub fn label(mut self, span: Span, text: impl Into<Box<str>>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }
}

/// All faults found so far, and the texts they point into.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Diagnostics {
    sources: Sources,
    found: Vec<Diagnostic>,
}

impl Diagnostics {
    /// No faults yet in these texts.
    pub fn new(sources: Sources) -> Self {
        Diagnostics { sources, found: Vec::new() }
    }

    /// Adds a fault.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.found.push(diagnostic);
    }

    /// The texts.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// Whether any fault forbids to go on.
    pub fn has_errors(&self) -> bool {
        self.found.iter().any(|diagnostic| diagnostic.severity == Severity::Error)
    }

    /// All faults, in order of file, place and code.
    pub fn sorted(&self) -> Vec<&Diagnostic> {
        let mut sorted: Vec<&Diagnostic> = self.found.iter().collect();
        sorted.sort_by(|one, other| {
            let name = |diagnostic: &Diagnostic| &self.sources.file(diagnostic.span.file).name;
            (name(one), one.span.start, one.code, &one.message).cmp(&(
                name(other),
                other.span.start,
                other.code,
                &other.message,
            ))
        });
        sorted
    }
}
