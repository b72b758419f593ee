//! Words that every form uses the same way: days, counts, ends.

use crate::layout::{End, Railroad};
use crate::session::plan::OrderLine;
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

/// A verb for one thing or for several.
pub(super) fn is_or_are(count: usize) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

/// An order by its number and its lane: `no. 17 of newsprint: paper > lakes`.
pub(super) fn order(order: &OrderLine) -> String {
    let number = order.id.as_str().strip_prefix(order.lane.as_str()).and_then(|rest| rest.strip_prefix('#'));
    match number {
        Some(number) => format!("no. {number} of {}", order.lane),
        None => format!("{} of {}", order.id, order.lane),
    }
}

/// A kind of car by the words before its details: `flat car with stanchions` is a flat car.
pub(super) fn in_short(meaning: &str) -> &str {
    let details = [",", " (", " with ", " without ", " for "];
    let end = details.iter().filter_map(|mark| meaning.find(mark)).filter(|end| *end > 0).min();
    end.and_then(|end| meaning.get(..end)).unwrap_or(meaning)
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
    fn a_kind_of_car_is_told_without_its_details() {
        assert_eq!(in_short("short covered hopper, two bays, for sand"), "short covered hopper");
        assert_eq!(in_short("bulkhead flat car (a barrel rack before 1961)"), "bulkhead flat car");
        assert_eq!(in_short("tank car"), "tank car");
    }

    #[test]
    fn names_in_a_row_end_with_and() {
        assert_eq!(list(&["a".to_owned(), "b".to_owned(), "c".to_owned()]), "a, b and c");
    }
}
