//! Minutes of work and times of the layout's clock.

use std::fmt;
use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Serialize};

/// A duration, kept in whole seconds so that a quarter of a minute can be added up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Minutes(u32);

impl Minutes {
    /// So many seconds.
    pub const fn seconds(seconds: u32) -> Self {
        Minutes(seconds)
    }

    /// So many whole minutes.
    pub const fn new(minutes: u32) -> Self {
        Minutes(minutes * 60)
    }

    /// The duration in seconds.
    pub const fn whole_seconds(self) -> u32 {
        self.0
    }

    /// The minutes, rounded up.
    pub const fn rounded_up(self) -> u32 {
        self.0.div_ceil(60)
    }

    /// This duration so many times.
    #[must_use]
    pub const fn times(self, count: u32) -> Minutes {
        Minutes(self.0 * count)
    }
}

impl Add for Minutes {
    type Output = Minutes;

    fn add(self, other: Minutes) -> Minutes {
        Minutes(self.0 + other.0)
    }
}

impl Sum for Minutes {
    fn sum<I: Iterator<Item = Minutes>>(parts: I) -> Minutes {
        parts.fold(Minutes(0), Minutes::add)
    }
}

impl fmt::Display for Minutes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} min", self.rounded_up()))
    }
}

/// A time on the layout's clock, in minutes after midnight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ClockTime(u32);

impl ClockTime {
    /// A time of day.
    pub const fn new(hour: u32, minute: u32) -> Option<Self> {
        if hour < 24 && minute < 60 { Some(ClockTime(hour * 60 + minute)) } else { None }
    }

    /// Minutes after midnight.
    pub const fn after_midnight(self) -> u32 {
        self.0
    }

    /// Reads `7:30`, `07:30` or `19:05`.
    pub fn parse(text: &str) -> Option<Self> {
        let (hour, minute) = text.split_once(':')?;
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if hour.is_empty() || hour.len() > 2 || minute.len() != 2 || !digits(hour) || !digits(minute) {
            return None;
        }
        ClockTime::new(hour.parse().ok()?, minute.parse().ok()?)
    }
}

impl fmt::Display for ClockTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}:{:02}", self.0 / 60, self.0 % 60))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_round_up() {
        // 3 × 25 s = 75 s = 1 min 15 s
        assert_eq!(Minutes::seconds(25).times(3).to_string(), "2 min");
    }

    #[test]
    fn a_clock_time_may_leave_the_leading_zero_out() {
        assert_eq!(ClockTime::parse("7:30"), ClockTime::new(7, 30));
        assert_eq!(ClockTime::parse("07:30"), ClockTime::new(7, 30));
        for wrong in ["24:00", "7:60", "7.30", "730", ":30", "7:3", "+7:30", "007:30"] {
            assert_eq!(ClockTime::parse(wrong), None, "{wrong}");
        }
    }
}
