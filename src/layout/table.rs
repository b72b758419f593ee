//! A table as a spreadsheet saves it: rows of fields, and where each stands in the text.
//!
//! Commas, semicolons or tabs; quoted fields; blank rows and blanks around values do no harm. The
//! `csv` crate gives the fields, [`Finder`] finds each again in the text. What the columns mean is
//! for others.

use std::ops::{ControlFlow, Range};

/// Where a row stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// All of it, without the end of its line.
    pub whole: Range<usize>,
    /// Its fields, without blanks and quotes around them.
    pub fields: Vec<Range<usize>>,
    /// Whether it is a remark of the host: it begins with `#`, and nothing stands beside it.
    pub is_remark: bool,
}

/// Reads all rows that have anything in them, and gives the separator between their fields.
///
/// Commas separate where the text says nothing else; a first line `sep=;` says it.
///
/// # Errors
/// Where a quote opens a field that never ends: then no row is read.
pub fn read(
    text: &str,
    mut each: impl FnMut(&csv::StringRecord, &Row) -> ControlFlow<()>,
) -> Result<u8, Range<usize>> {
    let unmarked = text.strip_prefix('\u{feff}').map(|rest| format!("\n\n\n{rest}"));
    let text = unmarked.as_deref().unwrap_or(text);
    let said = said_separator(text);
    let separator = said.map_or_else(|| separator(text), |(separator, _)| separator);
    if let Some(open) = open_quote(text, separator) {
        return Err(open);
    }
    let skipped = said.map_or(0, |(_, end)| end);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .has_headers(false)
        .from_reader(&text.as_bytes()[skipped..]);
    let mut record = csv::StringRecord::new();
    // Reading from a text in memory, that is UTF-8 already, cannot fail.
    while reader.read_record(&mut record).unwrap_or(false) {
        let mut filled = record.iter().filter(|field| !field.trim().is_empty());
        let Some(first) = filled.next() else { continue };
        let is_remark = first.trim_start().starts_with('#') && filled.next().is_none();
        let start = record.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0));
        let row = Finder::new(text, separator, skipped + start).row(record.len(), is_remark);
        if each(&record, &row).is_break() {
            break;
        }
    }
    Ok(separator)
}

/// The separator that a first line `sep=;` says, and where the next line begins.
fn said_separator(text: &str) -> Option<(u8, usize)> {
    let blank = text.len() - text.trim_start().len();
    let rest = text[blank..].strip_prefix("sep=").or_else(|| text[blank..].strip_prefix("SEP="))?;
    let separator = *rest.as_bytes().first().filter(|sign| b",;\t".contains(sign))?;
    rest[1..].starts_with(['\r', '\n']).then_some((separator, blank + "sep=;".len()))
}

/// `Bad Order` in a spreadsheet is `bad_order`.
pub fn column_name(field: &str) -> String {
    field.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The separator that the first row with any in it, which is no remark, has most of.
fn separator(text: &str) -> u8 {
    let separates = |line: &&str| !line.starts_with('#') && line.contains([',', ';', '\t']);
    let header = text.split(['\r', '\n']).find(separates).unwrap_or_default();
    let count = |separator: u8| header.bytes().filter(|byte| *byte == separator).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|separator| count(*separator)).unwrap_or(b',')
}

/// Where a quote opens a field that never ends.
fn open_quote(text: &str, separator: u8) -> Option<Range<usize>> {
    let bytes = text.as_bytes();
    let (mut place, mut field_begins) = (0, true);
    while place < bytes.len() {
        if field_begins && bytes[place] == b'"' {
            let end = closing_quote(bytes, place);
            if end >= bytes.len() {
                return Some(place..place + 1);
            }
            (place, field_begins) = (end + 1, false);
        } else {
            field_begins = bytes[place] == separator || bytes[place] == b'\n' || bytes[place] == b'\r';
            place += 1;
        }
    }
    None
}

/// The quote that closes the one at a place, or the end of the text.
fn closing_quote(bytes: &[u8], open: usize) -> usize {
    let mut place = open + 1;
    while place < bytes.len() {
        match (bytes[place], bytes.get(place + 1)) {
            (b'"', Some(b'"')) => place += 2,
            (b'"', _) => return place,
            _ => place += 1,
        }
    }
    bytes.len()
}

/// Finds the fields of a record again in the text, without blanks and quotes around them.
struct Finder<'a> {
    text: &'a str,
    separator: u8,
    place: usize,
}

impl<'a> Finder<'a> {
    fn new(text: &'a str, separator: u8, start: usize) -> Self {
        let skipped =
            text.get(start..).map_or(0, |rest| rest.len() - rest.trim_start_matches(['\r', '\n']).len());
        Finder { text, separator, place: start + skipped }
    }

    fn row(mut self, count: usize, is_remark: bool) -> Row {
        let start = self.place;
        let fields = (0..count).map(|_| self.next()).collect();
        let end = self.place.saturating_sub(1).clamp(start, self.text.len());
        Row { whole: start..end, fields, is_remark }
    }

    fn next(&mut self) -> Range<usize> {
        let bytes = self.text.as_bytes();
        let start = self.place.min(bytes.len());
        let mut end = start;
        if bytes.get(start) == Some(&b'"') {
            end = closing_quote(bytes, start).min(bytes.len());
        }
        let ends = |byte: u8| byte == self.separator || byte == b'\n' || byte == b'\r';
        while end < bytes.len() && !ends(bytes[end]) {
            end += 1;
        }
        self.place = end + 1;
        let field = self.text.get(start..end).unwrap_or_default();
        let opened = field.trim_start().trim_start_matches('"');
        let start = start + field.len() - opened.len();
        start..start + opened.trim_end().trim_end_matches('"').len()
    }
}
