//! Nothing that stands in a description or in a roster makes a reader panic, or a layout that cannot be planned.
//!
//! Sound texts are spoiled in one to five places each: signs, lines, and whole values that are put where
//! others belong, which is what a host does who copies a table. What is read then has a layout or faults,
//! never both or neither of them; every fault can be shown; and a layout is planned by plans that the audit
//! passes. `SETOUT_FUZZ=100000 cargo test --release --test it fuzz` tries as many as it says.

mod archive;
mod description;
mod roster;
mod standing;

use proptest::prelude::*;
use proptest::sample::Index;

/// How many spoiled copies of each kind are tried.
#[expect(clippy::disallowed_methods, reason = "how long a test runs is no result")]
fn spoiled_copies() -> u32 {
    std::env::var("SETOUT_FUZZ").ok().map_or(32, |said| said.parse().expect("SETOUT_FUZZ is a number"))
}

fn config() -> ProptestConfig {
    ProptestConfig { cases: spoiled_copies(), failure_persistence: None, ..ProptestConfig::default() }
}

/// What is put where something was taken out.
const PUT: &str = "(|\"|'|\\[|\\]|\\{|\\}|=|\n|\n\n|\r|\t|,|;|-|#|/|[0-9]{1,12}|[a-z]{1,6}|1e9|true|CHT 1|0 in|9999 ft|<{7} ours\n|={7}\n|>{7} theirs\n|é|\u{feff}|\0|\u{7f}|state = \"planned\"\n|since = 1978-10-05\n|was = \"harbor\"\n)";

/// One place that is spoiled, and how.
#[derive(Clone, Debug)]
enum Spoil {
    /// So many bytes are taken out there, and something is put there.
    Signs(Index, usize, String),
    /// A line is taken out.
    LineGone(Index),
    /// A line stands a second time, somewhere else.
    LineTwice(Index, Index),
    /// Two lines change places.
    LinesSwapped(Index, Index),
    /// One value stands where another one stood: words in quotes, or a number.
    Value(Index, Index),
}

fn spoils() -> impl Strategy<Value = Vec<Spoil>> {
    let place = any::<Index>;
    let spoil = prop_oneof![
        3 => (place(), 0_usize..30, PUT).prop_map(|(at, length, put)| Spoil::Signs(at, length, put)),
        1 => place().prop_map(Spoil::LineGone),
        1 => (place(), place()).prop_map(|(line, to)| Spoil::LineTwice(line, to)),
        1 => (place(), place()).prop_map(|(one, other)| Spoil::LinesSwapped(one, other)),
        4 => (place(), place()).prop_map(|(from, to)| Spoil::Value(from, to)),
    ];
    proptest::collection::vec(spoil, 1..6)
}

fn spoiled(text: &str, spoils: &[Spoil]) -> String {
    spoils.iter().fold(text.to_owned(), |text, spoil| spoil.of(&text))
}

impl Spoil {
    fn of(&self, text: &str) -> String {
        match self {
            Spoil::Signs(place, length, put) => {
                let boundary =
                    |at: usize| (0..=at.min(text.len())).rfind(|at| text.is_char_boundary(*at)).unwrap_or(0);
                let start = boundary(place.index(text.len() + 1));
                let end = boundary(start + length).max(start);
                format!("{}{put}{}", &text[..start], &text[end..])
            }
            Spoil::LineGone(line) => lines(text, |lines| {
                lines.remove(line.index(lines.len()));
            }),
            Spoil::LineTwice(line, to) => lines(text, |lines| {
                let again = lines[line.index(lines.len())];
                lines.insert(to.index(lines.len()), again);
            }),
            Spoil::LinesSwapped(one, other) => lines(text, |lines| {
                let (one, other) = (one.index(lines.len()), other.index(lines.len()));
                lines.swap(one, other);
            }),
            Spoil::Value(from, to) => {
                let values = values(text);
                if values.is_empty() {
                    return text.to_owned();
                }
                let (from, to) = (values[from.index(values.len())].clone(), &values[to.index(values.len())]);
                format!("{}{}{}", &text[..to.start], &text[from], &text[to.end..])
            }
        }
    }
}

fn lines(text: &str, change: impl FnOnce(&mut Vec<&str>)) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    if lines.is_empty() {
        return String::new();
    }
    change(&mut lines);
    lines.join("\n") + "\n"
}

/// Where values stand: words between two quotes, and runs of figures.
fn values(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut values = Vec::new();
    let (bytes, mut at) = (text.as_bytes(), 0);
    while at < bytes.len() {
        let run = |begin: usize, inside: fn(&u8) -> bool| {
            begin + bytes[begin..].iter().take_while(|byte| inside(byte)).count()
        };
        let end = match bytes[at] {
            b'"' => run(at + 1, |byte| !b"\"\n".contains(byte)) + 1,
            byte if byte.is_ascii_digit() => run(at, u8::is_ascii_digit),
            _ => {
                at += 1;
                continue;
            }
        };
        if end <= bytes.len() {
            values.push(at..end);
        }
        at = end;
    }
    values
}
