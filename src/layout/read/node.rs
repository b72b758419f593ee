//! A value as a file has it, and the plain kinds of value: text, numbers, yes and no.

use toml::de::DeValue;

use crate::layout::codes;
use crate::layout::sink::{Wrong, wrong_type};

/// A value of a TOML file, or a field of a spreadsheet, which is always text.
#[derive(Clone, Copy, Debug)]
pub(super) enum Node<'a> {
    Value(&'a DeValue<'a>),
    Cell(&'a str),
}

/// What a reader of one kind of value gives.
pub(super) type Read<T> = Result<T, Wrong>;

impl<'a> Node<'a> {
    /// What it is, in words.
    pub(super) fn kind(self) -> &'static str {
        match self {
            Node::Cell(_) | Node::Value(DeValue::String(_)) => "text",
            Node::Value(DeValue::Integer(_)) => "a whole number",
            Node::Value(DeValue::Float(_)) => "a number",
            Node::Value(DeValue::Boolean(_)) => "true or false",
            Node::Value(DeValue::Datetime(_)) => "a date or time",
            Node::Value(DeValue::Array(_)) => "a list",
            Node::Value(DeValue::Table(_)) => "a table",
        }
    }

    /// Its text, if it is one.
    pub(super) fn words(self) -> Option<&'a str> {
        match self {
            Node::Cell(text) => Some(text.trim()),
            Node::Value(value) => value.as_str().map(str::trim),
        }
    }

    /// Its text, or what else it is.
    pub(super) fn expect_words(self, expected: &str) -> Read<&'a str> {
        match self.words() {
            Some("") => {
                Err(Wrong::new(codes::EMPTY_VALUE, format!("expected {expected}, found an empty text")))
            }
            Some(words) => Ok(words),
            None => Err(wrong_type(expected, &self.found())),
        }
    }

    /// What was found, for a message.
    pub(super) fn found(self) -> String {
        match self {
            Node::Value(DeValue::Integer(number)) => format!("the number `{number}`"),
            Node::Value(DeValue::Float(number)) => format!("the number `{number}`"),
            Node::Value(DeValue::Boolean(truth)) => format!("`{truth}`"),
            Node::Value(DeValue::Datetime(date)) => format!("`{date}`"),
            Node::Cell(words) => format!("`{}`", words.trim()),
            Node::Value(DeValue::String(words)) => format!("`{words}`"),
            Node::Value(_) => self.kind().to_owned(),
        }
    }

    /// The number, if it is one.
    pub(super) fn decimal(self) -> Option<f64> {
        match self {
            Node::Value(DeValue::Integer(number)) if number.radix() == 10 => number.as_str().parse().ok(),
            Node::Value(DeValue::Float(number)) => number.as_str().parse().ok(),
            Node::Cell(words) => decimal_in(words.trim()),
            Node::Value(_) => None,
        }
        .filter(|number: &f64| number.is_finite())
    }
}

/// A number in plain figures, with a point: no exponent, no thousands.
pub(super) fn decimal_in(words: &str) -> Option<f64> {
    let plain = words.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    (plain && words.bytes().any(|byte| byte.is_ascii_digit())).then(|| words.parse().ok()).flatten()
}

/// A number in figures alone: `u32::parse` would take a sign.
pub(super) fn plain(word: &str) -> Option<u32> {
    word.bytes().all(|byte| byte.is_ascii_digit()).then(|| word.parse().ok()).flatten()
}

/// Text that says something.
pub(super) fn text(node: Node<'_>) -> Read<Box<str>> {
    node.expect_words("text").map(Into::into)
}

/// A whole number within bounds.
pub(super) fn whole(node: Node<'_>, least: u32, most: u32) -> Read<u32> {
    let bounds = || format!("a whole number from {least} to {most}");
    let number: i64 = match node {
        Node::Value(DeValue::Integer(number)) => {
            i64::from_str_radix(number.as_str(), number.radix()).unwrap_or(i64::MAX)
        }
        Node::Cell(words) => cell_number(words.trim(), bounds)?,
        Node::Value(_) => return Err(wrong_type(&bounds(), &node.found())),
    };
    u32::try_from(number).ok().filter(|number| (least..=most).contains(number)).ok_or_else(|| {
        Wrong::new(codes::OUT_OF_BOUNDS, format!("expected {}, found {}", bounds(), node.found()))
    })
}

fn cell_number(words: &str, expected: impl Fn() -> String) -> Read<i64> {
    if let Some(wrong) = changed_by_spreadsheet(words) {
        return Err(wrong);
    }
    // A spreadsheet set to show decimals writes `70.0` for 70: that does no harm.
    let figures = words
        .split_once('.')
        .map_or(words, |(whole, rest)| if rest.bytes().all(|byte| byte == b'0') { whole } else { words });
    figures.parse().map_err(|_| wrong_type(&expected(), &format!("`{words}`")))
}

/// What a spreadsheet makes of long numbers: `1.2E+04`.
pub(super) fn changed_by_spreadsheet(words: &str) -> Option<Wrong> {
    let (number, power) = words.split_once(['E', 'e'])?;
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let number = number.strip_prefix('-').unwrap_or(number);
    let number = number
        .split_once(['.', ','])
        .map_or(figures(number), |(whole, rest)| figures(whole) && figures(rest));
    let power = power.strip_prefix(['+', '-']).unwrap_or(power);
    (number && figures(power)).then(|| {
        Wrong::new(codes::CHANGED_BY_SPREADSHEET, format!("a spreadsheet shortened a number to `{words}`"))
            .help("format the column as text, type the number again, and save the file anew")
    })
}

/// Yes or no.
pub(super) fn truth(node: Node<'_>) -> Read<bool> {
    const EXPECTED: &str = "`true` or `false`";
    match node {
        Node::Value(DeValue::Boolean(truth)) => Ok(*truth),
        Node::Cell(words) => match words.trim().to_ascii_lowercase().as_str() {
            "yes" | "true" | "x" | "1" => Ok(true),
            "no" | "false" | "0" => Ok(false),
            _ => Err(wrong_type("`yes` or `no`", &node.found())),
        },
        Node::Value(_) => Err(wrong_type(EXPECTED, &node.found())),
    }
}

/// One of a list of words.
pub(super) fn word<T: Copy>(node: Node<'_>, words: &[(&'static str, T)]) -> Read<T> {
    if let Some((_, meaning)) = words.iter().find(|(word, _)| node.words() == Some(word)) {
        return Ok(*meaning);
    }
    let list = words.iter().map(|(word, _)| format!("`{word}`")).collect::<Vec<_>>().join(", ");
    let found = node.expect_words(&format!("one of {list}"))?;
    Err(Wrong::new(codes::UNKNOWN_WORD, format!("expected one of {list}, found `{found}`"))
        .near(found, words.iter().map(|(word, _)| *word)))
}

/// The host's handle of a thing.
pub(super) fn id(words: &str) -> Read<Box<str>> {
    let bad = |letter: char| letter.is_whitespace() || letter.is_control() || "/#>".contains(letter);
    if words.is_empty() {
        return Err(Wrong::new(codes::BAD_ID, "expected an id, found an empty one"));
    }
    match words.chars().find(|letter| bad(*letter)) {
        None => Ok(words.into()),
        Some(_) => Err(Wrong::new(codes::BAD_ID, format!("`{words}` cannot be an id"))
            .help("use lower-case letters, digits, `-` and `_`; never a blank, `/`, `#` or `>`")),
    }
}

/// An id in a value.
pub(super) fn id_value(node: Node<'_>) -> Read<Box<str>> {
    id(node.expect_words("an id")?)
}
