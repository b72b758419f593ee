//! How a fault looks on a screen, and as data.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::{Diagnostic, Diagnostics, Severity, Source, Span};

/// How many faults are shown in full: a thousand of them help nobody.
const SHOWN: usize = 200;

/// All faults, each with file, line and the words underlined, and how many there are.
///
/// Nothing at all if there are none.
pub fn text(diagnostics: &Diagnostics, color: bool) -> String {
    let renderer = if color { Renderer::styled() } else { Renderer::plain() }.decor_style(DecorStyle::Ascii);
    let found = diagnostics.sorted();
    let mut text = String::new();
    for diagnostic in found.iter().take(SHOWN) {
        let group = group(diagnostics, diagnostic);
        text.push_str(&renderer.render(&[group]));
        text.push_str("\n\n");
    }
    if found.len() > SHOWN {
        let more = found.len() - SHOWN;
        text.extend(["and ", &more.to_string(), " more\n\n"]);
    }
    if let Some(count) = count(&found) {
        text.push_str(&count);
        text.push('\n');
    }
    text
}

/// `2 errors, 1 warning`; nothing if there are none.
fn count(found: &[&Diagnostic]) -> Option<String> {
    let of = |severity: Severity, one: &str| match found
        .iter()
        .filter(|diagnostic| diagnostic.severity == severity)
        .count()
    {
        0 => None,
        1 => Some(format!("1 {one}")),
        many => Some(format!("{many} {one}s")),
    };
    let parts: Vec<String> =
        [of(Severity::Error, "error"), of(Severity::Warning, "warning")].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn group<'a>(diagnostics: &'a Diagnostics, diagnostic: &'a Diagnostic) -> Group<'a> {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = Group::with_title(level.primary_title(&*diagnostic.message).id(diagnostic.code));
    let mut files = vec![diagnostic.span.file];
    for label in &diagnostic.labels {
        if !files.contains(&label.span.file) {
            files.push(label.span.file);
        }
    }
    for file in files {
        let source = diagnostics.sources().file(file);
        let primary = (diagnostic.span.file == file).then_some(diagnostic.span);
        let labels = diagnostic.labels.iter().filter(|label| label.span.file == file);
        let spans: Vec<Span> = primary.into_iter().chain(labels.clone().map(|label| label.span)).collect();
        let window = Window::around(source, &spans);
        let mut snippet =
            Snippet::source(window.text).line_start(window.first_line).path(&*source.name).fold(true);
        if let Some(span) = primary {
            snippet = snippet.annotation(AnnotationKind::Primary.span(window.place(span)));
        }
        for label in labels {
            snippet = snippet
                .annotation(AnnotationKind::Context.span(window.place(label.span)).label(&*label.text));
        }
        group = group.element(snippet);
    }
    match &diagnostic.help {
        Some(help) => group.element(Level::HELP.message(&**help)),
        None => group,
    }
}

/// The lines of a file in which some spans lie: a roster of thousands of rows is not read again for
/// every fault in it.
struct Window<'a> {
    text: &'a str,
    start: usize,
    first_line: usize,
}

impl<'a> Window<'a> {
    fn around(source: &'a Source, spans: &[Span]) -> Self {
        let text = &*source.text;
        let first = floor(text, spans.iter().map(|span| span.start).min().unwrap_or(0));
        let last = floor(text, spans.iter().map(|span| span.start).max().unwrap_or(0));
        let start = text[..first].rfind('\n').map_or(0, |place| place + 1);
        let end = text[last..].find('\n').map_or(text.len(), |place| last + place);
        let first_line = text[..start].bytes().filter(|byte| *byte == b'\n').count() + 1;
        Window { text: text[start..end].trim_end_matches('\r'), start, first_line }
    }

    /// A span within the window: only its first line, as the head of a table stands for all of it.
    fn place(&self, span: Span) -> std::ops::Range<usize> {
        let start = floor(self.text, span.start.saturating_sub(self.start));
        let end = floor(self.text, span.end.saturating_sub(self.start)).max(start);
        let line = self.text[start..end].find(['\n', '\r']).map_or(end, |place| start + place);
        start..line
    }
}

/// The nearest character boundary that is not after a place.
fn floor(text: &str, place: usize) -> usize {
    let place = place.min(text.len());
    (0..=place).rev().find(|place| text.is_char_boundary(*place)).unwrap_or(0)
}

/// All faults as data: file, line and column counted from one, in characters.
pub fn json(diagnostics: &Diagnostics) -> serde_json::Value {
    let faults: Vec<serde_json::Value> = diagnostics
        .sorted()
        .into_iter()
        .map(|diagnostic| {
            let labels: Vec<serde_json::Value> = diagnostic
                .labels
                .iter()
                .map(|label| serde_json::json!({ "place": place(diagnostics, label.span), "text": label.text }))
                .collect();
            serde_json::json!({
                "code": diagnostic.code,
                "severity": diagnostic.severity,
                "message": diagnostic.message,
                "place": place(diagnostics, diagnostic.span),
                "labels": labels,
                "help": diagnostic.help,
            })
        })
        .collect();
    serde_json::json!({ "faults": faults })
}

fn place(diagnostics: &Diagnostics, span: Span) -> serde_json::Value {
    let source = diagnostics.sources().file(span.file);
    let window = Window::around(source, &[span]);
    let range = window.place(span);
    serde_json::json!({
        "file": &*source.name,
        "line": window.first_line,
        "column": window.text[..range.start].chars().count() + 1,
        "words": &window.text[range],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Sources;

    fn one_fault() -> Diagnostics {
        let mut sources = Sources::default();
        let file = sources.add("yard.toml", "[place.harbor]\r\nname = \"Häfen\"\r\nlenght = 3\r\n");
        let start = sources.file(file).text.find("lenght").unwrap();
        let mut diagnostics = Diagnostics::new(sources);
        let fault = Diagnostic::error(
            "unknown-key",
            Span::new(file, start..start + 6),
            "place `harbor` has no key `lenght`",
        );
        diagnostics.push(fault.help("did you mean `length`?"));
        diagnostics
    }

    #[test]
    fn a_fault_shows_its_file_line_words_and_help() {
        let text = text(&one_fault(), false);
        for part in [
            "error[unknown-key]",
            "yard.toml:3:1",
            "lenght = 3",
            "^^^^^^",
            "help: did you mean `length`?",
            "1 error",
        ] {
            assert!(text.contains(part), "{part} is not in:\n{text}");
        }
    }

    #[test]
    fn data_has_the_place_in_lines_and_columns() {
        let place = &json(&one_fault())["faults"][0]["place"];
        assert_eq!((place["line"].as_u64(), place["column"].as_u64()), (Some(3), Some(1)));
        assert_eq!(place["words"], "lenght");
    }

    #[test]
    fn no_fault_says_nothing() {
        assert_eq!(text(&Diagnostics::default(), true), "");
    }
}
