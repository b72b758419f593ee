//! What is wrong with a host's template, as a fault with its file and line.

use minijinja::{Error, ErrorKind};

use crate::diag::{Diagnostic, Diagnostics, FileIx, Source, Sources, Span};
use crate::paper::FORMS;

/// How alike a misspelt name must be to be meant.
const ALIKE: f64 = 0.7;

/// A fault for a file that no form has the name of.
pub(super) fn unknown_name(file: FileIx, source: &Source, name: &str) -> Option<Diagnostic> {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    if stem.starts_with('_') || stem == "page" || FORMS.contains(&stem) {
        return None;
    }
    let end = source.text.lines().next().map_or(0, str::len);
    let near = FORMS
        .iter()
        .map(|form| (strsim::jaro_winkler(form, stem), form))
        .filter(|(alike, _)| *alike > ALIKE)
        .max_by(|(one, _), (other, _)| one.total_cmp(other));
    let help = match near {
        Some((_, form)) => format!("a form with a similar name exists: `{form}`"),
        None => format!(
            "there are `page` for all forms, {}; a part that others include begins with `_`",
            FORMS.map(|form| format!("`{form}`")).join(", ")
        ),
    };
    let message = format!("no form is called `{stem}`");
    Some(Diagnostic::error("form-unknown", Span::new(file, 0..end), message).help(help))
}

/// What a template engine said, as a fault.
pub(super) fn of(problem: &Error, file: FileIx, source: &Source) -> Diagnostic {
    let problem = innermost(problem);
    let place = problem.range().filter(|range| source.text.get(range.clone()).is_some());
    let place = place.unwrap_or_else(|| line(&source.text, problem.line().unwrap_or(1)));
    let (message, help) = match problem.kind() {
        ErrorKind::UndefinedError => (
            "a name that there is not".to_owned(),
            "`setout print --form NAME --show-values` shows all names that a form may use",
        ),
        ErrorKind::TemplateNotFound => (
            problem.detail().unwrap_or("another template is not there").to_owned(),
            "a template includes others from `forms/`, or `page.txt` and `page.html`",
        ),
        kind => (
            problem.detail().map_or_else(|| kind.to_string(), str::to_owned),
            "docs/forms.md tells how templates are written",
        ),
    };
    Diagnostic::error("form-broken", Span::new(file, place), message).help(help)
}

/// The host's file that a problem is in, which may be another than the one that was printed.
pub(super) fn file_of(problem: &Error, own: &[(String, FileIx)]) -> Option<FileIx> {
    let name = innermost(problem).name()?;
    own.iter().find(|(known, _)| known == name).map(|(_, file)| *file)
}

pub(super) fn gathered(sources: Sources, faults: Vec<Diagnostic>) -> Diagnostics {
    let mut gathered = Diagnostics::new(sources);
    for fault in faults {
        gathered.push(fault);
    }
    gathered
}

/// A problem in an included template is the cause of one in the template that includes it.
fn innermost(problem: &Error) -> &Error {
    let mut problem = problem;
    while let Some(cause) = std::error::Error::source(problem).and_then(|cause| cause.downcast_ref::<Error>())
    {
        problem = cause;
    }
    problem
}

/// The bytes of a line, counted from 1.
fn line(text: &str, number: usize) -> std::ops::Range<usize> {
    let mut start = 0;
    for (place, line) in (1..).zip(text.split_inclusive('\n')) {
        if place == number {
            return start..start + line.trim_end().len();
        }
        start += line.len();
    }
    0..0
}
