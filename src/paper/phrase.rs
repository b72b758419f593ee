//! Phrases: words and quantities as they go onto paper.
//!
//! A phrase keeps its quantities as quantities, so that a layout of pages may print, line up or
//! add them, and so that text and HTML cannot differ in what they say. What must not be torn apart
//! at the end of a line (a car's mark and number, a number and its unit) is one piece.

use std::borrow::Cow;

use serde::Serialize;

use crate::ids::Id;
use crate::units::{Cars, Length, Tons};

use super::words::{Label, Saying};

/// The blank that never ends a line.
pub(super) const JOINED: char = '\u{a0}';

/// Words and quantities, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Phrase {
    /// The pieces, in order; blanks between them are pieces too.
    pub pieces: Vec<Piece>,
}

/// One piece of a phrase.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Piece {
    /// Words as they are.
    Words(Cow<'static, str>),
    /// Words that must catch the eye.
    Strong(Cow<'static, str>),
    /// A car by its mark and number.
    Car(Id),
    /// A length.
    Length(Length),
    /// A weight.
    Tons(Tons),
    /// A number of cars.
    Cars(Cars),
    /// A box to tick.
    Tick,
    /// Room to write so many letters.
    Room(u32),
}

/// How quantities are printed: the words for them.
#[derive(Clone, Debug)]
pub struct Measure {
    /// In metres and tonnes instead of feet and tons.
    pub metric: bool,
    pub(super) length: Saying,
    pub(super) weight: Saying,
    pub(super) cars: Saying,
    /// What stands before the tenths.
    pub(super) decimal: Label,
}

impl Measure {
    /// Writes a length, rounded up to the foot or the tenth of a metre.
    fn length(&self, out: &mut String, length: Length) {
        let inches = u64::from(length.whole_scale_inches());
        if self.metric {
            // An inch is 0.254 tenths of a metre.
            let tenths = (inches * 254).div_ceil(1000);
            let (whole, tenth) = (tenths / 10, tenths % 10);
            self.length.write(out, u64::MAX, format_args!("{whole}{}{tenth}", self.decimal));
        } else {
            let feet = inches.div_ceil(12);
            self.length.write(out, feet, feet);
        }
    }
}

/// Words to which others will be added.
fn roomy(words: &str) -> String {
    let mut own = String::with_capacity(words.len() + ROOM);
    own.push_str(words);
    own
}

/// The room for them, in bytes: most are short.
const ROOM: usize = 40;

/// The text with blanks that never end a line.
pub(super) fn joined(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    join(&mut out, text);
    out
}

/// Writes a text with blanks that never end a line.
pub(super) fn join(out: &mut String, text: &str) {
    let mut pieces = text.split(char::is_whitespace);
    out.push_str(pieces.next().unwrap_or_default());
    for piece in pieces {
        out.push(JOINED);
        out.push_str(piece);
    }
}

impl Phrase {
    /// A phrase that begins with this.
    pub fn of(piece: impl Into<Piece>) -> Self {
        Phrase { pieces: vec![piece.into()] }
    }

    /// A phrase in the words of a host or of a plan.
    pub fn words(words: &str) -> Self {
        Phrase::of(words.to_owned())
    }

    /// Words that must catch the eye.
    pub fn strong(words: impl Into<Cow<'static, str>>) -> Self {
        Phrase::of(Piece::Strong(words.into()))
    }

    /// The phrase with one more piece.
    #[must_use]
    pub fn then(mut self, piece: impl Into<Piece>) -> Self {
        self.pieces.push(piece.into());
        self
    }

    /// The phrase with another after it.
    #[must_use]
    pub fn followed_by(mut self, other: Phrase) -> Self {
        self.pieces.extend(other.pieces);
        self
    }

    /// Phrases in a row, with words between them.
    pub fn row(phrases: impl IntoIterator<Item = Phrase>, between: &'static str) -> Self {
        let mut row = Phrase::default();
        for phrase in phrases.into_iter().filter(|phrase| !phrase.is_empty()) {
            if !row.is_empty() {
                row = row.then(between);
            }
            row = row.followed_by(phrase);
        }
        row
    }

    /// Cars in a row.
    pub fn cars<'a>(cars: impl IntoIterator<Item = &'a Id>) -> Self {
        Phrase::row(cars.into_iter().map(Phrase::of), ", ")
    }

    /// Adds words to the end, to the last piece where that is of the same kind.
    pub(super) fn add_words(&mut self, words: &str, strong: bool) {
        if words.is_empty() {
            return;
        }
        match (self.pieces.last_mut(), strong) {
            (Some(Piece::Words(last)), false) | (Some(Piece::Strong(last)), true) => {
                last.to_mut().push_str(words);
            }
            (_, false) => self.pieces.push(Piece::Words(roomy(words).into())),
            (_, true) => self.pieces.push(Piece::Strong(roomy(words).into())),
        }
    }

    /// Adds a piece to the end; words catch the eye where all of it does.
    pub(super) fn add(&mut self, piece: Piece, strong: bool) {
        match piece {
            Piece::Words(words) => self.add_words(&words, strong),
            Piece::Strong(words) => self.add_words(&words, true),
            other => self.pieces.push(other),
        }
    }

    /// The words of a phrase that holds no quantity.
    pub(super) fn text(self) -> String {
        let mut text = String::new();
        for piece in self.pieces {
            match piece {
                Piece::Words(words) | Piece::Strong(words) if text.is_empty() => text = words.into_owned(),
                Piece::Words(words) | Piece::Strong(words) => text.push_str(&words),
                Piece::Car(car) => join(&mut text, car.as_str()),
                _ => {}
            }
        }
        text
    }

    /// The phrase in letters.
    pub(super) fn letters(&self, measure: &Measure) -> String {
        let mut out = String::new();
        self.spell(&mut out, measure);
        out
    }

    /// Writes the phrase in letters.
    pub(super) fn spell(&self, out: &mut String, measure: &Measure) {
        for piece in &self.pieces {
            piece.spell(out, measure);
        }
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.pieces.iter().all(|piece| matches!(piece, Piece::Words(words) if words.is_empty()))
    }
}

impl Piece {
    /// Writes the piece in letters; what must stay together is joined by blanks that never end a line.
    pub(super) fn spell(&self, out: &mut String, measure: &Measure) {
        match self {
            Piece::Words(words) | Piece::Strong(words) => out.push_str(words),
            Piece::Car(car) => join(out, car.as_str()),
            Piece::Length(length) => measure.length(out, *length),
            Piece::Tons(tons) => measure.weight.write(out, tons.count().into(), tons.count()),
            Piece::Cars(cars) => measure.cars.write(out, cars.count().into(), cars.count()),
            Piece::Tick => out.extend(['[', JOINED, ']']),
            Piece::Room(letters) => out.extend((0..*letters).map(|_| '_')),
        }
    }
}

impl From<&'static str> for Piece {
    fn from(words: &'static str) -> Self {
        Piece::Words(Cow::Borrowed(words))
    }
}

impl From<String> for Piece {
    fn from(words: String) -> Self {
        Piece::Words(Cow::Owned(words))
    }
}

impl From<Cow<'static, str>> for Piece {
    fn from(words: Cow<'static, str>) -> Self {
        Piece::Words(words)
    }
}

impl From<&Id> for Piece {
    fn from(car: &Id) -> Self {
        Piece::Car(car.clone())
    }
}

impl From<Length> for Piece {
    fn from(length: Length) -> Self {
        Piece::Length(length)
    }
}

impl From<Tons> for Piece {
    fn from(tons: Tons) -> Self {
        Piece::Tons(tons)
    }
}

impl From<Cars> for Piece {
    fn from(cars: Cars) -> Self {
        Piece::Cars(cars)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::words::Words;

    #[test]
    fn a_metric_length_rounds_up_to_the_tenth_of_a_metre() {
        let words = Words::default();
        // 606 in = 15.3924 m
        let said = Phrase::of(Length::scale_inches(606))
            .then(", ")
            .then(Tons::new(80))
            .then(", ")
            .then(Cars::new(1));
        assert_eq!(said.letters(&words.measure(true)), "15.4\u{a0}m, 80\u{a0}t, 1\u{a0}car");
        assert_eq!(said.letters(&words.measure(false)), "51\u{a0}ft, 80\u{a0}tons, 1\u{a0}car");
    }

    #[test]
    fn a_row_leaves_out_what_says_nothing() {
        let row = Phrase::row([Phrase::of("a"), Phrase::default(), Phrase::of("b")], "; ");
        assert_eq!(row, Phrase::of("a").then("; ").then("b"));
    }
}
