//! Reads a host's words: every entry has to be one of the table and to have its parts, each once.

use std::borrow::Cow;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::saying::{COUNT, Saying};
use super::{Listed, Words};
use crate::diag::{Diagnostic, Diagnostics, FileIx, Span};
use crate::layout::near_miss;

const UNKNOWN: &str = "words-unknown";
const BROKEN: &str = "words-broken";
const SHOW: &str = "`setout print --words` shows the whole table";

/// Puts the words of a file in the place of the built-in ones.
pub(super) fn read(words: &mut Words, file: FileIx, text: &str, faults: &mut Diagnostics) {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut reader = Reader { file, faults };
    for error in &errors {
        let place = error.span().filter(|span| text.get(span.clone()).is_some()).unwrap_or(0..0);
        reader.fault(
            BROKEN,
            place,
            format!("this is not TOML: {}", error.message()),
            "mend it, or begin anew: ",
        );
    }
    if errors.is_empty() {
        let mut sections = words.sections();
        for (key, value) in table.get_ref() {
            reader.section(key, value, &mut sections);
        }
    }
}

struct Reader<'r> {
    file: FileIx,
    faults: &'r mut Diagnostics,
}

impl Reader<'_> {
    fn fault(&mut self, code: &'static str, place: std::ops::Range<usize>, message: String, help: &str) {
        let help = if help.ends_with(' ') { format!("{help}{SHOW}") } else { help.to_owned() };
        self.faults.push(Diagnostic::error(code, Span::new(self.file, place), message).help(help));
    }

    fn unknown<'k>(&mut self, key: &Spanned<DeString<'_>>, what: &str, known: impl Iterator<Item = &'k str>) {
        let help = match near_miss(key.get_ref(), known) {
            Some(near) => format!("a similar one exists: `{near}`; "),
            None => String::from("take it out; "),
        };
        self.fault(UNKNOWN, key.span(), format!("no {what} is called `{}`", key.get_ref()), &help);
    }

    fn section(
        &mut self,
        key: &Spanned<DeString<'_>>,
        value: &Spanned<DeValue<'_>>,
        sections: &mut [Listed<'_>],
    ) {
        let Some(place) = sections.iter().position(|section| section.key == &**key.get_ref()) else {
            return self.unknown(key, "section", sections.iter().map(|section| section.key));
        };
        let DeValue::Table(table) = value.get_ref() else {
            let message = format!("expected the section `[{}]`, found a value", key.get_ref());
            return self.fault(BROKEN, key.span(), message, "write its entries below its name; ");
        };
        let section = &mut sections[place];
        for (key, value) in table {
            let place = section.entries.iter().position(|(known, _)| *known == &**key.get_ref());
            if let Some((_, saying)) = place.and_then(|place| section.entries.get_mut(place)) {
                self.entry(value, saying);
            } else {
                let what = format!("entry of `{}`", section.key);
                self.unknown(key, &what, section.entries.iter().map(|(known, _)| *known));
            }
        }
    }

    fn entry(&mut self, value: &Spanned<DeValue<'_>>, saying: &mut Saying) {
        match (value.get_ref(), saying.one.is_some()) {
            (DeValue::String(text), false) => self.text(value, text, saying, false),
            // A language that says it of one thing as of several.
            (DeValue::String(text), true) => {
                self.text(value, text, saying, false);
                saying.one = Some(saying.other.clone());
            }
            (DeValue::Table(forms), true) => self.forms(value, forms, saying),
            (DeValue::Table(_), false) => {
                let message = "expected one text, found several".to_owned();
                self.fault(BROKEN, value.span(), message, "nothing is counted in this entry; ");
            }
            (other, _) => {
                let message = format!("expected a text, found {}", other.type_str());
                self.fault(BROKEN, value.span(), message, "put it in quotes; ");
            }
        }
    }

    /// A text for one thing and one for others.
    fn forms(&mut self, value: &Spanned<DeValue<'_>>, forms: &DeTable<'_>, saying: &mut Saying) {
        let keys = ["one", "other"];
        for (key, _) in forms.iter().filter(|(key, _)| !keys.contains(&&**key.get_ref())) {
            self.unknown(key, "number", keys.into_iter());
        }
        for (key, single) in [("one", true), ("other", false)] {
            match forms.get(key).map(|text| (text, text.get_ref())) {
                Some((place, DeValue::String(text))) => self.text(place, text, saying, single),
                Some((place, other)) => {
                    let message = format!("expected a text, found {}", other.type_str());
                    self.fault(BROKEN, place.span(), message, "put it in quotes; ");
                }
                None => {
                    let message = format!("expected `one` and `other`, found no `{key}`");
                    self.fault(BROKEN, value.span(), message, "say it for one thing and for several; ");
                }
            }
        }
    }

    /// A text; it has to have the parts of the built-in one, each once, but need not say how many.
    fn text(&mut self, place: &Spanned<DeValue<'_>>, text: &str, saying: &mut Saying, single: bool) {
        let Ok(mut found) = parts(text) else {
            let message = "expected every `{` to be closed by a `}`, every `*` by another".to_owned();
            return self.fault(BROKEN, place.span(), message, "write `{part}` and `*words*`; ");
        };
        let expected = saying.parts;
        if !expected.contains(&COUNT) && (saying.one.is_some() || is_quantity(saying)) {
            found.retain(|name| *name != COUNT);
        }
        let list = || expected.iter().map(|part| format!("`{{{part}}}`")).collect::<Vec<_>>().join(", ");
        let all = if expected.is_empty() { "no parts".to_owned() } else { list() };
        for name in &found {
            if !expected.contains(name) {
                let help = match near_miss(name, expected.iter().copied()) {
                    Some(near) => format!("a similar part exists: `{{{near}}}`"),
                    None => format!("the entry has {all}"),
                };
                return self.fault(BROKEN, place.span(), format!("no part is called `{name}`"), &help);
            }
        }
        for part in expected {
            let count = found.iter().filter(|name| *name == part).count();
            if count != 1 {
                let message = format!("expected `{{{part}}}` once, found it {count} times");
                return self.fault(BROKEN, place.span(), message, &format!("the entry has {all}"));
            }
        }
        let text = Cow::Owned(text.to_owned());
        if single {
            saying.one = Some(text);
        } else {
            saying.other = text;
        }
    }
}

/// Whether an entry without parts says an amount.
fn is_quantity(saying: &Saying) -> bool {
    saying.other.contains("{count}")
}

/// The names of the parts in a text.
fn parts(text: &str) -> Result<Vec<&str>, ()> {
    let mut names = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        let (name, after) = rest[at..].strip_prefix('{').and_then(|rest| rest.split_once('}')).ok_or(())?;
        names.push(name);
        rest = after;
    }
    if text.matches('*').count().is_multiple_of(2) { Ok(names) } else { Err(()) }
}
