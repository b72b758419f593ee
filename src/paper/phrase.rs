//! Phrases: words and quantities as they go onto paper.
//!
//! A phrase keeps its quantities as quantities, so that a layout of pages may print, line up or
//! add them, and so that text and HTML cannot differ in what they say. What must not be torn apart
//! at the end of a line (a car's mark and number, a number and its unit) is one piece.

use serde::Serialize;

use crate::ids::Id;
use crate::units::{Cars, Length, Tons};

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
    Words(String),
    /// Words that must catch the eye.
    Strong(String),
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

/// How quantities are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Measure {
    /// In metres and tonnes instead of feet and tons.
    pub metric: bool,
}

impl Measure {
    /// A length, rounded up to the foot or the tenth of a metre.
    pub(super) fn length(self, length: Length) -> String {
        if self.metric {
            // An inch is 0.254 tenths of a metre.
            let tenths = (u64::from(length.whole_scale_inches()) * 254).div_ceil(1000);
            format!("{}.{}{JOINED}m", tenths / 10, tenths % 10)
        } else {
            joined(&length.to_string())
        }
    }

    /// A weight.
    pub(super) fn tons(self, tons: Tons) -> String {
        if self.metric { format!("{}{JOINED}t", tons.count()) } else { joined(&tons.to_string()) }
    }
}

/// The text with blanks that never end a line.
pub(super) fn joined(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    join(&mut out, text);
    out
}

/// Writes a text with blanks that never end a line.
fn join(out: &mut String, text: &str) {
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

    /// Words that must catch the eye.
    pub fn strong(words: impl Into<String>) -> Self {
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
    pub fn row(phrases: impl IntoIterator<Item = Phrase>, between: &str) -> Self {
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

    /// The phrase in letters.
    pub(super) fn letters(&self, measure: Measure) -> String {
        let mut out = String::new();
        self.spell(&mut out, measure);
        out
    }

    /// Writes the phrase in letters.
    pub(super) fn spell(&self, out: &mut String, measure: Measure) {
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
    pub(super) fn spell(&self, out: &mut String, measure: Measure) {
        match self {
            Piece::Words(words) | Piece::Strong(words) => out.push_str(words),
            Piece::Car(car) => join(out, car.as_str()),
            Piece::Length(length) => out.push_str(&measure.length(*length)),
            Piece::Tons(tons) => out.push_str(&measure.tons(*tons)),
            Piece::Cars(cars) => join(out, &cars.to_string()),
            Piece::Tick => out.extend(['[', JOINED, ']']),
            Piece::Room(letters) => out.extend((0..*letters).map(|_| '_')),
        }
    }
}

impl From<&str> for Piece {
    fn from(words: &str) -> Self {
        Piece::Words(words.to_owned())
    }
}

impl From<String> for Piece {
    fn from(words: String) -> Self {
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

    #[test]
    fn a_metric_length_rounds_up_to_the_tenth_of_a_metre() {
        // 606 in = 15.3924 m
        let metric = Measure { metric: true };
        assert_eq!(metric.length(Length::scale_inches(606)), "15.4\u{a0}m");
        assert_eq!(metric.tons(Tons::new(80)), "80\u{a0}t");
        assert_eq!(Measure::default().length(Length::scale_inches(606)), "51\u{a0}ft");
    }

    #[test]
    fn a_row_leaves_out_what_says_nothing() {
        let row = Phrase::row([Phrase::of("a"), Phrase::default(), Phrase::of("b")], "; ");
        assert_eq!(row, Phrase::of("a").then("; ").then("b"));
    }
}
