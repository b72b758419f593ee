//! Lengths along the track, and the scale that ties the layout to the prototype.

use std::fmt;
use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Serialize};

/// A length along the track, in whole inches of the prototype ("scale inches").
///
/// ```
/// use setout::units::{Length, Scale};
/// let ho = Scale::named("HO").expect("a scale every list has");
/// // 72 in of track in HO: 72 × 87.1 = 6271.2 scale inches; a track rounds down.
/// assert_eq!(Length::of_track(72.0, ho).whole_scale_inches(), 6271);
/// // A car of 44 ft 2.5 in is 530.5 in long; a car rounds up.
/// assert_eq!(Length::of_car(530.5).whole_scale_inches(), 531);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(u32);

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);

    /// So many inches of the prototype.
    pub const fn scale_inches(inches: u32) -> Self {
        Length(inches)
    }

    /// So many feet of the prototype.
    pub const fn scale_feet(feet: u32) -> Self {
        Length(feet * 12)
    }

    /// Inches measured on the layout, rounded down: room that is not there is never promised.
    pub fn of_track(inches: f64, scale: Scale) -> Self {
        Length::rounded((inches * scale.tenths_as_float() / 10.0).floor())
    }

    /// Inches of the prototype over couplers, rounded up: a car is never made shorter than it is.
    pub fn of_car(inches: f64) -> Self {
        Length::rounded(inches.ceil())
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the bounds of u32 and rounded by the caller"
    )]
    fn rounded(inches: f64) -> Self {
        Length(inches.clamp(0.0, f64::from(u32::MAX)) as u32)
    }

    /// The whole inches of the prototype.
    pub const fn whole_scale_inches(self) -> u32 {
        self.0
    }

    /// What is left after taking a part away, nothing if the part is longer.
    #[must_use]
    pub const fn less(self, part: Length) -> Length {
        Length(self.0.saturating_sub(part.0))
    }

    /// This length so many times.
    #[must_use]
    pub const fn times(self, count: u32) -> Length {
        Length(self.0 * count)
    }
}

impl Add for Length {
    type Output = Length;

    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(parts: I) -> Length {
        parts.fold(Length::ZERO, Length::add)
    }
}

/// Prints in feet of the prototype, rounded up to the foot: `45 ft`.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} ft", self.0.div_ceil(12)))
    }
}

/// How many times larger the prototype is than the model, in tenths: HO is 871.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    tenths: u32,
}

/// Names of scales and their ratios in tenths.
///
/// North American names follow NMRA S-1.2, European ones NEM 010 (edition 2011): there HO is
/// exactly 3.5 mm to the foot (1:87.1) and H0 exactly 1:87. Names that stand for several ratios
/// ("G", a bare "N" outside its usual 1:160) are written as a ratio by the host.
pub const SCALES: [(&str, u32); 18] = [
    ("Z", 2200),
    ("N", 1600),
    ("N (Japan)", 1500),
    ("N (British)", 1480),
    ("TT", 1200),
    ("TT (British)", 1016),
    ("HO", 871),
    ("H0", 870),
    ("OO", 762),
    ("S", 640),
    ("O", 480),
    ("0", 450),
    ("O (British)", 435),
    ("1", 320),
    ("I", 320),
    ("II", 225),
    ("III", 160),
    ("F", 203),
];

impl Scale {
    /// A scale by its name.
    pub fn named(name: &str) -> Option<Self> {
        SCALES.iter().find(|(known, _)| *known == name).map(|(_, tenths)| Scale { tenths: *tenths })
    }

    /// A scale by its ratio in tenths; a ratio is at least 1:1 and at most 1:1000.
    pub fn ratio_in_tenths(tenths: u32) -> Option<Self> {
        (10..=10_000).contains(&tenths).then_some(Scale { tenths })
    }

    /// The ratio in tenths: 871 for 1:87.1.
    pub const fn tenths(self) -> u32 {
        self.tenths
    }

    fn tenths_as_float(self) -> f64 {
        f64::from(self.tenths)
    }
}

/// Prints the ratio: `1:87.1`.
impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.tenths / 10, self.tenths % 10) {
            (whole, 0) => f.pad(&format!("1:{whole}")),
            (whole, tenth) => f.pad(&format!("1:{whole}.{tenth}")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_forty_foot_car_has_the_published_model_length() {
        // NEM 010 and NMRA S-1.2 ratios: a car of 44.2 ft is 155 mm long in HO, 84 mm in N.
        for (name, model_mm) in [("HO", 155.0), ("N", 84.0), ("TT", 112.0), ("O", 281.0)] {
            let scale = Scale::named(name).unwrap();
            let track = Length::of_track(model_mm / 25.4, scale);
            let car = Length::of_car(44.2 * 12.0);
            let off = track.whole_scale_inches().abs_diff(car.whole_scale_inches());
            // Half a millimetre of the published whole number is 1.7 scale inches in HO, 3.2 in N.
            assert!(off <= 4, "{name}: {off} scale inches off");
        }
    }

    #[test]
    fn a_length_prints_in_feet_rounded_up() {
        assert_eq!(Length::scale_inches(531).to_string(), "45 ft");
        assert_eq!(Length::scale_feet(44).to_string(), "44 ft");
    }
}
