//! One entry of the table of words: a text with named parts, for one thing and for several.
//!
//! `{name}` is a part, `*…*` catches the eye, `~` is a blank that never ends a line. A text is looked through
//! each time it is said: the built-in table costs nothing to have.

use std::borrow::Cow;
use std::fmt::{self, Write as _};

use crate::ids::Id;
use crate::paper::phrase::{JOINED, Phrase, Piece};
use crate::units::{Cars, Length, Tons};

/// Words that are as they are in the table.
pub(in crate::paper) type Label = Cow<'static, str>;

/// What may be put into a text.
#[derive(Debug)]
pub(in crate::paper) enum Part<'p> {
    Words(Cow<'p, str>),
    Number(u64),
    Piece(Piece),
    Phrase(Phrase),
}

/// A text, and its parts by name.
#[derive(Clone, Debug)]
pub(in crate::paper) struct Saying {
    pub(super) parts: &'static [&'static str],
    /// For one thing, where a number is said.
    pub(super) one: Option<Label>,
    pub(super) other: Label,
}

/// The name of the number by which the text is chosen.
pub(super) const COUNT: &str = "count";

impl Saying {
    /// A text of the built-in table; the first of two is for one thing.
    pub(super) const fn built_in(
        parts: &'static [&'static str],
        first: &'static str,
        second: Option<&'static str>,
    ) -> Self {
        match second {
            Some(other) => Saying { parts, one: Some(Cow::Borrowed(first)), other: Cow::Borrowed(other) },
            None => Saying { parts, one: None, other: Cow::Borrowed(first) },
        }
    }

    /// The words of an entry without parts.
    pub(super) fn label(&self) -> Label {
        if self.other.contains('~') {
            Cow::Owned(plain(&self.other).into_owned())
        } else {
            self.other.clone()
        }
    }

    /// The text with its parts in it.
    pub(super) fn said(&self, parts: &mut [Part<'_>]) -> Phrase {
        Filling { names: self.parts, count: None, parts }.fill(&self.other)
    }

    /// The text for so many things, with its parts in it.
    pub(super) fn counted(&self, count: usize, parts: &mut [Part<'_>]) -> Phrase {
        Filling { names: self.parts, count: Some(count), parts }.fill(self.of(count))
    }

    /// Writes the text for a quantity; blanks in it never end a line.
    pub(in crate::paper) fn write(&self, out: &mut String, count: u64, amount: impl fmt::Display) {
        let text = self.of(usize::try_from(count).unwrap_or(usize::MAX));
        let (before, after) = text.split_once("{count}").unwrap_or(("", text));
        let joined = |letter: char| if matches!(letter, ' ' | '~') { JOINED } else { letter };
        out.extend(before.chars().map(joined));
        write!(out, "{amount}").expect("writing to text does not fail");
        out.extend(after.chars().map(joined));
    }

    /// Its texts.
    pub(in crate::paper) fn texts(&mut self) -> impl Iterator<Item = &mut Label> {
        self.one.iter_mut().chain([&mut self.other])
    }

    fn of(&self, count: usize) -> &Label {
        self.one.as_ref().filter(|_| count == 1).unwrap_or(&self.other)
    }
}

/// A text with `~` as the blank it stands for.
fn plain(text: &str) -> Cow<'_, str> {
    if text.contains('~') { Cow::Owned(text.replace('~', "\u{a0}")) } else { Cow::Borrowed(text) }
}

/// A text that is being filled.
struct Filling<'f, 'p> {
    names: &'static [&'static str],
    count: Option<usize>,
    parts: &'f mut [Part<'p>],
}

impl Filling<'_, '_> {
    fn fill(mut self, text: &Label) -> Phrase {
        let special = |byte: u8| matches!(byte, b'{' | b'*' | b'~');
        if let Cow::Borrowed(text) = text
            && !text.bytes().any(special)
        {
            return Phrase::of(Piece::Words(Cow::Borrowed(text)));
        }
        let mut said = Phrase::default();
        let (mut strong, mut rest): (bool, &str) = (false, text);
        while let Some(at) = rest.bytes().position(special) {
            said.add_words(&rest[..at], strong);
            let sign = rest.as_bytes()[at];
            rest = &rest[at + 1..];
            match sign {
                b'*' => strong = !strong,
                b'~' => said.add_words("\u{a0}", strong),
                _ => {
                    let (name, after) = rest.split_once('}').unwrap_or((rest, ""));
                    self.part(&mut said, name, strong);
                    rest = after;
                }
            }
        }
        said.add_words(rest, strong);
        said
    }

    /// Adds a part; each is said once.
    fn part(&mut self, said: &mut Phrase, name: &str, strong: bool) {
        if name == COUNT
            && let Some(count) = self.count
        {
            return said.add_words(&count.to_string(), strong);
        }
        let place = self.names.iter().position(|known| *known == name);
        let Some(part) = place.and_then(|place| self.parts.get_mut(place)) else { return };
        match std::mem::replace(part, Part::Number(0)) {
            Part::Words(words) => said.add_words(&words, strong),
            Part::Number(number) => said.add_words(&number.to_string(), strong),
            Part::Piece(piece) => said.add(piece, strong),
            Part::Phrase(phrase) => phrase.pieces.into_iter().for_each(|piece| said.add(piece, strong)),
        }
    }
}

impl<'p> From<&'p str> for Part<'p> {
    fn from(words: &'p str) -> Self {
        Part::Words(Cow::Borrowed(words))
    }
}

impl<'p> From<&'p String> for Part<'p> {
    fn from(words: &'p String) -> Self {
        Part::Words(Cow::Borrowed(words))
    }
}

impl From<String> for Part<'_> {
    fn from(words: String) -> Self {
        Part::Words(Cow::Owned(words))
    }
}

impl<'p> From<Cow<'p, str>> for Part<'p> {
    fn from(words: Cow<'p, str>) -> Self {
        Part::Words(words)
    }
}

impl From<Phrase> for Part<'_> {
    fn from(phrase: Phrase) -> Self {
        Part::Phrase(phrase)
    }
}

impl From<u32> for Part<'_> {
    fn from(number: u32) -> Self {
        Part::Number(number.into())
    }
}

impl From<u64> for Part<'_> {
    fn from(number: u64) -> Self {
        Part::Number(number)
    }
}

impl From<usize> for Part<'_> {
    fn from(number: usize) -> Self {
        Part::Number(u64::try_from(number).unwrap_or(u64::MAX))
    }
}

impl From<Piece> for Part<'_> {
    fn from(piece: Piece) -> Self {
        Part::Piece(piece)
    }
}

impl From<&Id> for Part<'_> {
    fn from(car: &Id) -> Self {
        Part::Piece(Piece::from(car))
    }
}

impl From<Length> for Part<'_> {
    fn from(length: Length) -> Self {
        Part::Piece(Piece::Length(length))
    }
}

impl From<Tons> for Part<'_> {
    fn from(tons: Tons) -> Self {
        Part::Piece(Piece::Tons(tons))
    }
}

impl From<Cars> for Part<'_> {
    fn from(cars: Cars) -> Self {
        Part::Piece(Piece::Cars(cars))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_where_the_text_has_them() {
        let go = Saying::built_in(&["direction", "place"], "*Go {direction} to {place}*: ~{x}", None);
        let said = go.said(&mut ["west".into(), Phrase::strong("Mill").into()]);
        assert_eq!(said, Phrase::strong("Go west to Mill").then(": \u{a0}"));
        let turned = Saying { other: Cow::Owned("{place}, {direction}".to_owned()), ..go };
        let said = turned.said(&mut ["west".into(), "Mill".into()]);
        assert_eq!(said, Phrase::of("Mill, west"));
    }

    #[test]
    fn one_thing_is_said_otherwise_than_several() {
        let cars = Saying::built_in(&[], "one car", Some("{count} cars"));
        assert_eq!(cars.counted(1, &mut []), Phrase::of("one car"));
        assert_eq!(cars.counted(0, &mut []), Phrase::of("0 cars"));
        let mut out = String::new();
        cars.write(&mut out, 12, "12");
        assert_eq!(out, "12\u{a0}cars");
    }
}
