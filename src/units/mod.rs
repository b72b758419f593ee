//! Quantities that know their unit.
//!
//! Each is a newtype over a whole number, made and read through functions that name the unit, with
//! only the arithmetic that means something. Rounding is said where a quantity is made: a track
//! rounds down, a car rounds up, minutes round up. Reading a quantity from a host's words belongs
//! to `layout::read`.

mod date;
mod effort;
mod length;
mod time;

pub use date::{Date, Weekday, Weekdays};
pub use effort::Effort;
pub use length::{Length, SCALES, Scale};
pub use time::{ClockTime, Minutes};

use std::fmt;
use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Serialize};

/// A number of cars.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Cars(u32);

impl Cars {
    /// So many cars.
    pub const fn new(count: u32) -> Self {
        Cars(count)
    }

    /// The number.
    pub const fn count(self) -> u32 {
        self.0
    }
}

/// A weight in short tons of 2,000 lb on the prototype, or in tonnes on a metric layout: setout
/// only adds and compares them, so one layout keeps to one of the two.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Tons(u32);

impl Tons {
    /// So many tons.
    pub const fn new(tons: u32) -> Self {
        Tons(tons)
    }

    /// The number of tons.
    pub const fn count(self) -> u32 {
        self.0
    }
}

/// A share of a whole, in hundredths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Percent(u32);

impl Percent {
    /// So many hundredths, at most 100.
    pub const fn new(hundredths: u32) -> Option<Self> {
        if hundredths <= 100 { Some(Percent(hundredths)) } else { None }
    }

    /// The hundredths.
    pub const fn hundredths(self) -> u32 {
        self.0
    }

    /// This share of a length, rounded down.
    pub fn of(self, whole: Length) -> Length {
        let part = u64::from(whole.whole_scale_inches()) * u64::from(self.0) / 100;
        Length::scale_inches(u32::try_from(part).expect("a share is no larger than its whole"))
    }
}

macro_rules! sums {
    ($($name:ident, $unit:literal, $one:literal;)*) => {$(
        impl Add for $name {
            type Output = $name;

            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = $name>>(parts: I) -> $name {
                parts.fold($name(0), $name::add)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let unit = if self.0 == 1 { $one } else { $unit };
                f.pad(&format!("{} {unit}", self.0))
            }
        }
    )*};
}

sums! {
    Cars, "cars", "car";
    Tons, "tons", "ton";
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} %", self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_of_a_length_rounds_down() {
        // 60 % of 101 in = 60.6 in
        let share = Percent::new(60).map(|percent| percent.of(Length::scale_inches(101)));
        assert_eq!(share, Some(Length::scale_inches(60)));
    }

    #[test]
    fn one_car_is_not_one_cars() {
        assert_eq!(format!("{} / {}", Cars::new(1), Cars::new(2)), "1 car / 2 cars");
    }
}
