//! Days of the layout's calendar, on `jiff`'s civil dates.

use std::fmt;

use jiff::ToSpan;
use serde::{Deserialize, Serialize};

/// A calendar day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(jiff::civil::Date);

impl Date {
    /// A day by its numbers, if the calendar has it.
    pub fn new(year: i16, month: i8, day: i8) -> Option<Self> {
        jiff::civil::Date::new(year, month, day).ok().map(Date)
    }

    /// Reads `1978-10-02`.
    pub fn parse(text: &str) -> Option<Self> {
        text.parse().ok().map(Date)
    }

    /// The day so many days later, or earlier when negative.
    ///
    /// # Panics
    /// When the calendar ends before that day (year 9999).
    #[must_use]
    pub fn plus_days(self, days: i32) -> Self {
        Date(self.0.checked_add(days.days()).expect("layout dates stay within the calendar"))
    }

    /// How many days lie from this day to another; negative when the other is earlier.
    pub fn days_until(self, other: Date) -> i32 {
        self.0.until(other.0).map_or(0, |span| span.get_days())
    }

    /// The year.
    pub fn year(self) -> i16 {
        self.0.year()
    }

    /// The month, January being 1.
    pub fn month(self) -> i8 {
        self.0.month()
    }

    /// The day of the month.
    pub fn day(self) -> i8 {
        self.0.day()
    }

    /// The day of the week.
    pub fn weekday(self) -> Weekday {
        Weekday::ALL[usize::try_from(self.0.weekday().to_monday_zero_offset()).unwrap_or(0)]
    }
}

/// Prints `1978-10-02`.
impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0.to_string())
    }
}

impl Serialize for Date {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Date::parse(&text)
            .ok_or_else(|| serde::de::Error::custom(format!("`{text}` is no date like 1978-10-02")))
    }
}

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

impl Weekday {
    /// All seven, Monday first.
    pub const ALL: [Weekday; 7] = [
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];

    /// The name in full.
    pub const fn name(self) -> &'static str {
        match self {
            Weekday::Monday => "Monday",
            Weekday::Tuesday => "Tuesday",
            Weekday::Wednesday => "Wednesday",
            Weekday::Thursday => "Thursday",
            Weekday::Friday => "Friday",
            Weekday::Saturday => "Saturday",
            Weekday::Sunday => "Sunday",
        }
    }

    /// Three letters: `Mon`.
    pub fn short(self) -> &'static str {
        self.name().get(..3).unwrap_or(self.name())
    }

    const fn bit(self) -> u8 {
        1 << (self as u8)
    }
}

/// A set of days of the week: when a customer works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weekdays(u8);

impl Weekdays {
    /// No day yet.
    pub const NONE: Weekdays = Weekdays(0);
    /// Every day.
    pub const EVERY: Weekdays = Weekdays(0x7F);

    /// This set with one more day.
    #[must_use]
    pub const fn with(self, day: Weekday) -> Weekdays {
        Weekdays(self.0 | day.bit())
    }

    /// Whether the day is in the set.
    pub const fn has(self, day: Weekday) -> bool {
        self.0 & day.bit() != 0
    }

    /// How many days of the week are in the set.
    pub const fn count(self) -> u32 {
        self.0.count_ones()
    }
}

/// Prints runs of days: `Mon-Fri`, `Mon, Wed, Fri`.
impl fmt::Display for Weekdays {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts: Vec<String> = Vec::new();
        let mut run: Vec<Weekday> = Vec::new();
        for day in Weekday::ALL.map(Some).into_iter().chain([None]) {
            if let Some(day) = day.filter(|day| self.has(*day)) {
                run.push(day);
                continue;
            }
            match run[..] {
                [] => {}
                [first, .., last] if run.len() > 2 => {
                    parts.push(format!("{}-{}", first.short(), last.short()));
                }
                _ => parts.extend(run.iter().map(|day| day.short().to_owned())),
            }
            run.clear();
        }
        f.pad(&parts.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_monday_of_october_1978_is_the_second() {
        // Any perpetual calendar: 2 October 1978 was a Monday.
        let date = Date::new(1978, 10, 2).unwrap();
        assert_eq!(date.weekday(), Weekday::Monday);
        assert_eq!(date.plus_days(6).weekday(), Weekday::Sunday);
        assert_eq!(date.days_until(date.plus_days(30)), 30);
    }

    #[test]
    fn runs_of_days_are_joined() {
        let set = |days: &[Weekday]| days.iter().fold(Weekdays::NONE, |set, day| set.with(*day));
        assert_eq!(Weekdays::EVERY.to_string(), "Mon-Sun");
        assert_eq!(set(&Weekday::ALL[..5]).to_string(), "Mon-Fri");
        assert_eq!(set(&[Weekday::Monday, Weekday::Tuesday, Weekday::Saturday]).to_string(), "Mon, Tue, Sat");
    }
}
