//! Words that every form uses the same way: days, counts, ends.

use crate::layout::{End, Railroad};
use crate::units::Date;

use super::phrase::joined;

/// What a paper says where placarded cars are on it.
pub(super) const PLACARDED: &str = "This paper is for a model railroad. Real work with placarded cars follows \
     the regulations and the carrier's own rules.";

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day as it is spoken: `Monday 2 October 1978`.
pub(super) fn day(date: Date) -> String {
    let month = usize::try_from(date.month() - 1).ok().and_then(|place| MONTHS.get(place)).unwrap_or(&"");
    format!("{} {} {month} {}", date.weekday().name(), date.day(), date.year())
}

/// An end as the layout calls it, with the railroad's own word where that is another: `west
/// (timetable east)`.
pub(super) fn end(end: End, railroad: Option<&Railroad>) -> String {
    match railroad.map(|railroad| railroad.timetable(end)) {
        Some(called) if called != end => {
            format!("{} ({})", end.word(), joined(&format!("timetable {}", called.word())))
        }
        _ => end.word().to_owned(),
    }
}

/// The words with a capital letter first.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A track by its name, with the word for it where the name alone would not say so.
pub(super) fn track(name: &str) -> String {
    let says_so = ["track", "spur", "lead", "siding", "main", "yard", "line", "runaround"];
    let lower = name.to_lowercase();
    if says_so.iter().any(|word| lower.contains(word)) {
        joined(name)
    } else {
        joined(&format!("track {name}"))
    }
}

/// Names in a row: `a, b and c`.
pub(super) fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_told_with_its_weekday() {
        // Any perpetual calendar: 2 October 1978 was a Monday.
        assert_eq!(day(Date::new(1978, 10, 2).unwrap()), "Monday 2 October 1978");
    }

    #[test]
    fn a_bare_number_is_called_a_track() {
        assert_eq!(track("2"), "track\u{a0}2");
        assert_eq!(track("Mill Spur"), "Mill\u{a0}Spur");
    }

    #[test]
    fn names_in_a_row_end_with_and() {
        assert_eq!(list(&["a".to_owned(), "b".to_owned(), "c".to_owned()]), "a, b and c");
    }
}
