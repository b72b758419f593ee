//! What is said of a session in sentences: in English, and as a saying of one table with its parts.
//!
//! A stage says it by a function of the table, the plan keeps both, and paper says it again in a host's own words.

mod table;

pub(crate) use table::*;

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::ids::Id;
use crate::units::Length;

/// A saying of the table, with what is filled in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// Which it is.
    pub say: Cow<'static, str>,
    /// What is filled in, in the order in which the table's English text has it.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub with: Vec<Part>,
}

/// What is filled into a saying.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Part {
    /// A number.
    Number(i64),
    /// A name, or words that the table does not have.
    Text(Box<str>),
    /// A saying by itself.
    Said(Said),
    /// A track.
    Track {
        /// Its id.
        track: Id,
    },
    /// An order.
    Order {
        /// Its id.
        order: Id,
    },
    /// A length.
    Length {
        /// In scale inches.
        inches: Length,
    },
}

/// Something said, in English and as a saying.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Worded {
    /// In English.
    pub text: String,
    /// As a saying.
    pub said: Said,
}

/// What is filled into a saying, in English and as a part.
#[derive(Clone, Debug)]
pub(crate) struct Given {
    text: String,
    part: Part,
}

/// The saying that puts one sentence after another.
const AND_THEN: &str = "and_then";

/// An entry of the table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Entry {
    pub(crate) say: &'static str,
    pub(crate) parts: &'static [&'static str],
    pub(crate) english: &'static str,
}

impl Given {
    /// A track, with its English name.
    pub(crate) fn track(track: &Id, text: String) -> Self {
        Given { text, part: Part::Track { track: track.clone() } }
    }

    /// What was said already, sentence by sentence, and all of it in English.
    pub(crate) fn told(told: &[Said], text: &str) -> Self {
        let then = |first: Said, next: Said| Said {
            say: Cow::Borrowed(AND_THEN),
            with: vec![Part::Said(first), Part::Said(next)],
        };
        let part = told.iter().cloned().reduce(then).map_or_else(|| Part::Text(text.into()), Part::Said);
        Given { text: text.to_owned(), part }
    }

    /// An order.
    pub(crate) fn order(order: &Id) -> Self {
        Given { text: order.to_string(), part: Part::Order { order: order.clone() } }
    }
}

impl From<String> for Given {
    fn from(text: String) -> Self {
        Given { part: Part::Text(text.as_str().into()), text }
    }
}

impl From<&str> for Given {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl From<&Id> for Given {
    fn from(id: &Id) -> Self {
        id.as_str().into()
    }
}

impl From<i32> for Given {
    fn from(number: i32) -> Self {
        Given { text: number.to_string(), part: Part::Number(number.into()) }
    }
}

impl From<i64> for Given {
    fn from(number: i64) -> Self {
        Given { text: number.to_string(), part: Part::Number(number) }
    }
}

impl From<usize> for Given {
    fn from(number: usize) -> Self {
        Given { text: number.to_string(), part: Part::Number(i64::try_from(number).unwrap_or(i64::MAX)) }
    }
}

impl From<u32> for Given {
    fn from(number: u32) -> Self {
        Given { text: number.to_string(), part: Part::Number(number.into()) }
    }
}

impl From<Length> for Given {
    fn from(inches: Length) -> Self {
        Given { text: inches.to_string(), part: Part::Length { inches } }
    }
}

impl From<Worded> for Given {
    fn from(Worded { text, said }: Worded) -> Self {
        Given { text, part: Part::Said(said) }
    }
}

/// The English text with what is given in it, from the first part to the last.
fn worded(say: &'static str, english: &'static str, given: Vec<Given>) -> Worded {
    let mut pieces = english.split('{');
    let mut text = pieces.next().unwrap_or_default().to_owned();
    for (piece, given) in pieces.zip(&given) {
        text.push_str(&given.text);
        text.push_str(piece.split_once('}').map_or("", |(_, after)| after));
    }
    let with = given.into_iter().map(|given| given.part).collect();
    Worded { text, said: Said { say: Cow::Borrowed(say), with } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_in_the_table_in_the_order_of_the_english_text() {
        for entry in TABLE {
            let found: Vec<&str> =
                entry.english.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0)).collect();
            assert_eq!(found, entry.parts, "{}", entry.say);
        }
    }

    #[test]
    fn a_saying_is_kept_with_its_parts_and_read_back() {
        let track = Given::track(&Id::from("mill/pit"), "pit track".to_owned());
        let said = stays(full(track, loading("CHT 7", 3), 2_usize));
        assert_eq!(
            said.text,
            "stays tonight: pit track is full: CHT 7, being loaded until session 3, and 2 more"
        );
        let text = serde_json::to_string(&said.said).unwrap();
        let by_hand = r#"{"say":"stays","with":[{"say":"full","with":[{"track":"mill/pit"},{"say":"loading","with":["CHT 7",3]},2]}]}"#;
        assert_eq!(text, by_hand);
        assert_eq!(serde_json::from_str::<Said>(&text).unwrap(), said.said);
    }
}
