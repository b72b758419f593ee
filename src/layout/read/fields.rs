//! The field reader: takes what is asked for out of a table or a row, and collects what is wrong.
//!
//! Every kind of value is a function from [`Node`] to a value or a [`Wrong`]. When all keys have
//! been asked for, [`Fields::finish`] knows which ones nobody wanted.

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::node::{Node, Read};
use crate::diag::{FileIx, Span};
use crate::layout::codes;
use crate::layout::sink::{Sink, Wrong, near_miss, wrong_type};

/// A value and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::layout) struct Placed<T> {
    pub(in crate::layout) value: T,
    pub(in crate::layout) span: Span,
}

/// What a key says, where it says anything that could be read.
pub(in crate::layout) type Maybe<T> = Option<Placed<T>>;

/// A name of something else.
pub(in crate::layout) type Name = Placed<Box<str>>;

/// A key and its value.
#[derive(Debug)]
pub(super) struct Entry<'a> {
    pub(super) key: &'a str,
    pub(super) key_span: Span,
    pub(super) value: Node<'a>,
    pub(super) span: Span,
}

/// One table or row, while it is read.
#[derive(Debug)]
pub(super) struct Fields<'a, 's> {
    noun: String,
    span: Span,
    entries: Vec<Entry<'a>>,
    asked: Vec<&'static str>,
    excused: Vec<&'static str>,
    file: FileIx,
    errors_before: usize,
    sink: &'s mut Sink,
}

/// The keys of a table with their places, in order of the keys.
pub(super) fn entries<'a>(file: FileIx, table: &'a DeTable<'a>) -> impl Iterator<Item = Entry<'a>> + use<'a> {
    table.iter().map(move |(key, value): (&'a Spanned<DeString<'a>>, &'a Spanned<DeValue<'a>>)| Entry {
        key: key.get_ref().as_ref(),
        key_span: Span::new(file, key.span()),
        value: Node::Value(value.get_ref()),
        span: Span::new(file, value.span()),
    })
}

impl<'a, 's> Fields<'a, 's> {
    /// Begins to read a table; `noun` names the thing in messages.
    pub(super) fn of_table(
        noun: String,
        span: Span,
        table: &'a DeTable<'a>,
        sink: &'s mut Sink,
    ) -> Fields<'a, 's> {
        Fields::of_entries(noun, span, entries(span.file, table).collect(), sink)
    }

    /// Begins to read a row.
    pub(super) fn of_entries(
        noun: String,
        span: Span,
        entries: Vec<Entry<'a>>,
        sink: &'s mut Sink,
    ) -> Fields<'a, 's> {
        let errors_before = sink.errors();
        let (asked, excused) = (Vec::new(), Vec::new());
        Fields { noun, span, entries, asked, excused, file: span.file, errors_before, sink }
    }

    /// Where the thing is defined.
    pub(super) const fn span(&self) -> Span {
        self.span
    }

    /// The sink, for faults that no single value has.
    pub(super) fn sink(&mut self) -> &mut Sink {
        self.sink
    }

    fn entry(&mut self, key: &'static str) -> Option<(Node<'a>, Span)> {
        self.asked.push(key);
        self.entries.iter().find(|entry| entry.key == key).map(|entry| (entry.value, entry.span))
    }

    fn value<T>(
        &mut self,
        key: &str,
        node: Node<'a>,
        span: Span,
        reader: impl Fn(Node<'a>) -> Read<T>,
    ) -> Maybe<T> {
        match reader(node) {
            Ok(value) => Some(Placed { value, span }),
            Err(wrong) => {
                let message = format!("`{key}`: {}", wrong.message);
                self.sink.wrong(span, Wrong { message, ..wrong });
                None
            }
        }
    }

    /// Whether a key is there at all.
    pub(super) fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|entry| entry.key == key)
    }

    /// Reads one item of [`Fields::items`].
    pub(super) fn read_item<T>(
        &mut self,
        key: &str,
        node: Node<'a>,
        span: Span,
        reader: impl Fn(Node<'a>) -> Read<T>,
    ) -> Maybe<T> {
        self.value(key, node, span, reader)
    }

    /// What a key says, if it is there.
    pub(super) fn read<T>(&mut self, key: &'static str, reader: impl Fn(Node<'a>) -> Read<T>) -> Maybe<T> {
        let (node, span) = self.entry(key)?;
        self.value(key, node, span, reader)
    }

    /// What a key says that must be there.
    pub(super) fn need<T>(&mut self, key: &'static str, reader: impl Fn(Node<'a>) -> Read<T>) -> Maybe<T> {
        let entry = self.entry(key);
        if entry.is_none() {
            self.missing(key);
        }
        let (node, span) = entry?;
        self.value(key, node, span, reader)
    }

    fn missing(&mut self, key: &'static str) {
        // A misspelt key is the cause of a missing one: if there is one, `finish` tells it alone.
        if self.entries.iter().any(|entry| near_miss(entry.key, [key]).is_some()) {
            self.excused.push(key);
        } else {
            self.say_missing(key);
        }
    }

    fn say_missing(&mut self, key: &'static str) {
        let wrong = Wrong::new(codes::MISSING_KEY, format!("{} has no `{key}`", self.noun))
            .help(format!("give it a `{key}`"));
        self.sink.wrong(self.span, wrong);
    }

    /// A list; one value alone counts as a list of one.
    pub(super) fn list<T>(
        &mut self,
        key: &'static str,
        reader: impl Fn(Node<'a>) -> Read<T>,
    ) -> Vec<Placed<T>> {
        let nodes = self.items(key);
        nodes.into_iter().filter_map(|(node, span)| self.value(key, node, span, &reader)).collect()
    }

    /// A list that must be there and have something in it.
    pub(super) fn need_list<T>(
        &mut self,
        key: &'static str,
        reader: impl Fn(Node<'a>) -> Read<T>,
    ) -> Vec<Placed<T>> {
        self.need_items(key)
            .into_iter()
            .filter_map(|(node, span)| self.value(key, node, span, &reader))
            .collect()
    }

    /// The items of a list, unread.
    pub(super) fn items(&mut self, key: &'static str) -> Vec<(Node<'a>, Span)> {
        let file = self.file;
        match self.entry(key) {
            None => Vec::new(),
            Some((node, span)) => nodes(file, node, span),
        }
    }

    /// The items of a list that must have some, unread.
    pub(super) fn need_items(&mut self, key: &'static str) -> Vec<(Node<'a>, Span)> {
        let file = self.file;
        match self.entry(key) {
            None => {
                self.missing(key);
                Vec::new()
            }
            Some((node, span)) => {
                let items = nodes(file, node, span);
                if items.is_empty() {
                    self.sink.fault(
                        codes::EMPTY_VALUE,
                        span,
                        format!("`{key}`: expected at least one, found none"),
                    );
                }
                items
            }
        }
    }

    /// A table within the table.
    pub(super) fn inner<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&mut Fields<'a, '_>) -> T,
    ) -> Option<T> {
        let (node, span) = self.entry(key)?;
        self.within(format!("`{key}` of {}", self.noun), key, node, span, read)
    }

    /// A table that is an item of a list.
    pub(super) fn within<T>(
        &mut self,
        noun: String,
        key: &str,
        node: Node<'a>,
        span: Span,
        read: impl FnOnce(&mut Fields<'a, '_>) -> T,
    ) -> Option<T> {
        let Node::Value(DeValue::Table(table)) = node else {
            let wrong = wrong_type("a table such as `{ … }`", &node.found());
            let message = format!("`{key}`: {}", wrong.message);
            self.sink.wrong(span, Wrong { message, ..wrong });
            return None;
        };
        let mut fields = Fields::of_table(noun, span, table, self.sink);
        let result = read(&mut fields);
        fields.finish();
        Some(result)
    }

    /// A table whose keys are ids: each id and the value under it.
    pub(super) fn keyed(&mut self, key: &'static str) -> Vec<(Name, Node<'a>, Span)> {
        let Some((node, span)) = self.entry(key) else { return Vec::new() };
        let Node::Value(DeValue::Table(table)) = node else {
            let wrong = wrong_type(&format!("a table such as `{key}.ID = …`"), &node.found());
            self.sink.wrong(span, wrong);
            return Vec::new();
        };
        let keyed = entries(self.file, table);
        keyed
            .map(|entry| (Placed { value: entry.key.into(), span: entry.key_span }, entry.value, entry.span))
            .collect()
    }

    /// Reads the items under a key of [`Fields::keyed`].
    pub(super) fn list_in<T>(
        &mut self,
        key: &str,
        node: Node<'a>,
        span: Span,
        reader: impl Fn(Node<'a>) -> Read<T>,
    ) -> Vec<Placed<T>> {
        let items = nodes(self.file, node, span);
        if items.is_empty() {
            self.sink.fault(codes::EMPTY_VALUE, span, format!("`{key}`: expected at least one, found none"));
        }
        items.into_iter().filter_map(|(node, span)| self.value(key, node, span, &reader)).collect()
    }

    /// Says which keys nobody asked for, and tells whether the whole table is free of errors.
    pub(super) fn finish(mut self) -> bool {
        let strange = |entry: &&Entry<'a>| !self.asked.contains(&entry.key);
        for entry in self.entries.iter().filter(strange) {
            let message = format!("{} has no key `{}`", self.noun, entry.key);
            let wrong = Wrong::new(codes::UNKNOWN_KEY, message).near(entry.key, self.asked.iter().copied());
            let wrong = wrong.or_help(|| format!("known keys: {}", self.asked.join(", ")));
            self.sink.wrong(entry.key_span, wrong);
        }
        for key in std::mem::take(&mut self.excused) {
            let told =
                |entry: &Entry<'a>| !self.asked.contains(&entry.key) && near_miss(entry.key, [key]).is_some();
            if !self.entries.iter().any(told) {
                self.say_missing(key);
            }
        }
        self.sink.errors() == self.errors_before
    }
}

fn nodes<'a>(file: FileIx, node: Node<'a>, span: Span) -> Vec<(Node<'a>, Span)> {
    match node {
        Node::Value(DeValue::Array(items)) => items
            .iter()
            .map(|item: &'a Spanned<DeValue<'a>>| (Node::Value(item.get_ref()), Span::new(file, item.span())))
            .collect(),
        Node::Cell(words) if words.trim().is_empty() => Vec::new(),
        _ => vec![(node, span)],
    }
}
