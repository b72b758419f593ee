//! What is said of one car, key by key, and where.

use std::collections::BTreeMap;

use crate::diag::Span;

/// The words of one key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// The words, without blanks around them; never none.
    pub words: String,
    /// Where they stand.
    pub span: Span,
}

/// What is said of one car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// What is said, by key.
    pub says: BTreeMap<&'static str, Said>,
    /// All of it.
    pub span: Span,
}

impl Card {
    /// What a key says; nothing where it is not there.
    pub fn words(&self, key: &str) -> &str {
        self.says.get(key).map_or("", |said| &said.words)
    }

    /// Where a key stands; all of the car where it is not there.
    pub fn span_of(&self, key: &str) -> Span {
        self.says.get(key).map_or(self.span, |said| said.span)
    }

    /// Whether the roster would read it as a remark: it says one thing, which begins with `#`.
    pub fn is_remark(&self) -> bool {
        let mut says = self.says.values();
        says.next().is_some_and(|said| said.words.starts_with('#')) && says.next().is_none()
    }

    /// Mark and number, as the layout calls the car: zeros before the number do not count, and
    /// twelve figures without a mark are in groups.
    pub fn id(&self) -> String {
        let (mark, number) = (self.words("mark"), self.words("number"));
        if mark.is_empty() {
            let figures: String = number.chars().filter(char::is_ascii_digit).collect();
            if figures.len() == 12 {
                let [country, rest] = [&figures[..2], &figures[2..4]];
                return format!("{country} {rest} {} {}-{}", &figures[4..8], &figures[8..11], &figures[11..]);
            }
        }
        format!("{mark} {}", number.trim_start_matches('0'))
    }
}
