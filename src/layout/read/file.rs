//! One TOML file: its syntax, and which tables it has.

use std::collections::BTreeSet;

use toml::de::{DeTable, DeValue};

use super::fields::{Entry, Fields, Name, Placed, entries};
use super::node::{Node, id};
use super::nouns;
use super::said::{Said, SaidTrack};
use crate::diag::{FileIx, Span};
use crate::layout::codes;
use crate::layout::sink::{Sink, Wrong, near_miss, wrong_type};

/// The tables a description may have.
const TABLES: [&str; 12] = [
    "layout",
    "railroad",
    "place",
    "link",
    "industry",
    "gateway",
    "commodity",
    "lane",
    "job",
    "pace",
    "placards",
    "type",
];

/// What lines there are, for hosts who wrote none of them.
const LINES: &str = "a line is `key = value`, `[table]`, or a remark behind `#`; words stand in quotes, numbers and dates do not";

/// Quotes that a word processor makes of straight ones.
const CURLY: [char; 4] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}'];

/// Reads one file into what is said.
pub(super) fn read(file: FileIx, text: &str, said: &mut Said, sink: &mut Sink) {
    // A byte-order mark says nothing. It is replaced, not cut off, so that places stay as they are.
    let unmarked = text.strip_prefix('\u{feff}').map(|rest| format!("   {rest}"));
    let text = unmarked.as_deref().unwrap_or(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        for entry in entries(file, table.get_ref()) {
            top(&entry, said, sink);
        }
    } else {
        said.whole = false;
        let mut lines = BTreeSet::new();
        for error in errors {
            let span = within(text, error.span().unwrap_or(0..0));
            // What else is wrong on a line follows from the first thing that is.
            if !lines.insert(text[..span.start].rfind('\n')) {
                continue;
            }
            let wrong = Wrong::new(codes::NOT_TOML, format!("this is not TOML: {}", error.message()));
            let line = text[span.start..].lines().next().unwrap_or_default();
            let wrong = if line.contains(CURLY) {
                wrong.help("these quotes are those of a word processor: write straight ones, `\"`")
            } else if lines.len() == 1 {
                // Said once a file: it is the same for all.
                wrong.help(LINES)
            } else {
                wrong
            };
            sink.wrong(Span::new(file, span), wrong);
        }
    }
}

/// A stretch that lies on character boundaries of the text.
fn within(text: &str, span: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let floor = |mut place: usize| {
        place = place.min(text.len());
        while !text.is_char_boundary(place) {
            place -= 1;
        }
        place
    };
    let start = floor(span.start);
    start..floor(span.end).max(start)
}

fn top(entry: &Entry<'_>, said: &mut Said, sink: &mut Sink) {
    match entry.key {
        "layout" => alone(entry, sink, |fields| said.layouts.push(nouns::layout(fields))),
        "pace" => alone(entry, sink, |fields| said.paces.push(nouns::pace(fields))),
        "placards" => alone(entry, sink, |fields| said.placards.push(nouns::placards(fields))),
        "link" => each(entry, sink, |fields| said.links.push(nouns::link(fields))),
        "lane" => each(entry, sink, |fields| said.lanes.push(nouns::lane(fields))),
        "car" => each(entry, sink, |fields| said.cars.push(nouns::car(fields))),
        "place" => {
            for place in named(entry, sink) {
                read_place(place, said, sink);
            }
        }
        "railroad" => by_id(entry, sink, |id, fields| said.railroads.push(nouns::railroad(id, fields))),
        "industry" => by_id(entry, sink, |id, fields| said.industries.push(nouns::industry(id, fields))),
        "gateway" => by_id(entry, sink, |id, fields| said.gateways.push(nouns::gateway(id, fields))),
        "commodity" => by_id(entry, sink, |id, fields| said.commodities.push(nouns::commodity(id, fields))),
        "job" => by_id(entry, sink, |id, fields| said.jobs.push(nouns::job(id, fields))),
        "type" => by_id(entry, sink, |id, fields| said.types.push(nouns::kind(id, fields))),
        strange => {
            let known = TABLES.iter().copied().chain(["car"]);
            if near_miss(strange, known.clone()).is_some() {
                // What stands in it is meant for the known table: names in it are not missing.
                said.whole = false;
            }
            let wrong =
                Wrong::new(codes::UNKNOWN_TABLE, format!("a layout has no `{strange}`")).near(strange, known);
            let wrong = wrong.or_help(|| format!("the tables are {} and car", TABLES.join(", ")));
            sink.wrong(entry.key_span, wrong);
        }
    }
}

/// A table that stands once: `[layout]`.
fn alone<'a>(entry: &Entry<'a>, sink: &mut Sink, read: impl FnOnce(Fields<'a, '_>)) {
    let Node::Value(DeValue::Table(table)) = entry.value else {
        sink.wrong(entry.span, wrong_type(&format!("a table `[{}]`", entry.key), &entry.value.found()));
        return;
    };
    read(Fields::of_table(format!("`[{}]`", entry.key), entry.key_span, table, sink));
}

/// A table that stands many times: `[[link]]`.
fn each<'a>(entry: &Entry<'a>, sink: &mut Sink, mut read: impl FnMut(Fields<'a, '_>)) {
    let expected = format!("tables, each headed `[[{}]]`", entry.key);
    let Node::Value(DeValue::Array(items)) = entry.value else {
        sink.wrong(entry.span, wrong_type(&expected, &entry.value.found()));
        return;
    };
    for item in items {
        let span = Span::new(entry.span.file, item.span());
        let DeValue::Table(table) = item.get_ref() else {
            sink.wrong(span, wrong_type(&expected, &Node::Value(item.get_ref()).found()));
            continue;
        };
        read(Fields::of_table(format!("this {}", entry.key), span, table, sink));
    }
}

/// A table of things by their ids.
struct Named<'a> {
    id: Name,
    table: &'a DeTable<'a>,
}

fn named<'a>(entry: &Entry<'a>, sink: &mut Sink) -> Vec<Named<'a>> {
    let expected = format!("a table with an id, `[{}.ID]`", entry.key);
    let Node::Value(DeValue::Table(table)) = entry.value else {
        sink.wrong(entry.span, wrong_type(&expected, &entry.value.found()));
        return Vec::new();
    };
    let mut named = Vec::new();
    for entry in entries(entry.span.file, table) {
        match (entry.value, id(entry.key)) {
            (Node::Value(DeValue::Table(table)), Ok(id)) => {
                named.push(Named { id: Placed { value: id, span: entry.key_span }, table });
            }
            (Node::Value(DeValue::Table(_)), Err(wrong)) => sink.wrong(entry.key_span, wrong),
            (value, _) => sink.wrong(entry.key_span, wrong_type(&expected, &value.found())),
        }
    }
    named
}

fn by_id<'a>(entry: &Entry<'a>, sink: &mut Sink, mut read: impl FnMut(Name, Fields<'a, '_>)) {
    for Named { id, table } in named(entry, sink) {
        let fields = Fields::of_table(format!("{} `{}`", entry.key, id.value), id.span, table, sink);
        read(id, fields);
    }
}

/// `[place.ID]` and the tracks under it; a file may have the tracks alone.
fn read_place(place: Named<'_>, said: &mut Said, sink: &mut Sink) {
    let Named { id, table } = place;
    let file = id.span.file;
    if let Some(entry) = entries(file, table).find(|entry| entry.key == "track") {
        let mut tracks: Vec<SaidTrack> = Vec::new();
        for track in named(&entry, sink) {
            let noun = format!("track `{}/{}`", id.value, track.id.value);
            let fields = Fields::of_table(noun, track.id.span, track.table, sink);
            tracks.push(nouns::track(&id, track.id, fields));
        }
        said.tracks.append(&mut tracks);
    }
    let own: Vec<Entry<'_>> = entries(file, table).filter(|entry| entry.key != "track").collect();
    if !own.is_empty() || table.is_empty() {
        let fields = Fields::of_entries(format!("place `{}`", id.value), id.span, own, sink);
        said.places.push(nouns::place(id, fields));
    }
}
