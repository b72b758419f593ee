//! Lengths as they were measured, put into scale.

use crate::layout::codes;
use crate::layout::read::{Measure, Unit};
use crate::layout::sink::Wrong;
use crate::units::{Length, Scale};

/// The longest length there is, in inches: a mile of the prototype.
const MILE: f64 = 5280.0 * 12.0;

/// What lengths are measured with on this layout.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ruler {
    /// The scale.
    pub(super) scale: Scale,
    /// The length that `6 cars` counts by.
    pub(super) car: Length,
}

impl Ruler {
    /// Room on the layout, rounded down.
    pub(super) fn room(self, measure: Measure) -> Result<Length, Wrong> {
        let inches = self.on_layout(measure);
        Ruler::within(measure, inches).map(|()| match measure.unit {
            Unit::Cars => Length::of_car((inches + SLIP).floor()),
            _ if measure.scaled => Length::of_car((inches + SLIP).floor()),
            _ => self.floor(measure),
        })
    }

    /// What takes up room on the layout, such as engines, rounded up.
    pub(super) fn takes_room(self, measure: Measure) -> Result<Length, Wrong> {
        let inches = self.on_layout(measure);
        Ruler::within(measure, inches).map(|()| Length::of_car(inches - SLIP))
    }

    /// A length of the prototype, rounded up.
    pub(super) fn prototype(measure: Measure) -> Result<Length, Wrong> {
        let Some(inches) = measure.unit.inches() else {
            return Err(Wrong::new(codes::BAD_LENGTH, "a car is not measured in cars")
                .help("give its length over couplers on the prototype, such as `44 ft`"));
        };
        let inches = inches * measure.amount;
        Ruler::within(measure, inches).map(|()| Length::of_car(inches - SLIP))
    }

    /// Whether a length measured on the layout is longer than one expects of a track.
    pub(super) fn suspicious(self, measure: Measure) -> bool {
        // Half a mile of the prototype is longer than the sidings that models are built after
        // (common practice, no source); feet and metres are what a host mistakes for scale feet.
        matches!(measure.unit, Unit::Foot | Unit::Metre)
            && !measure.scaled
            && self.on_layout(measure) > MILE / 2.0
    }

    fn floor(self, measure: Measure) -> Length {
        let inches = measure.amount * measure.unit.inches().unwrap_or(0.0);
        Length::of_track(inches + SLIP / 100.0, self.scale)
    }

    /// Inches of the prototype that a length on the layout stands for.
    fn on_layout(self, measure: Measure) -> f64 {
        match measure.unit.inches() {
            None => measure.amount * f64::from(self.car.whole_scale_inches()),
            Some(inches) if measure.scaled => measure.amount * inches,
            Some(inches) => measure.amount * inches * f64::from(self.scale.tenths()) / 10.0,
        }
    }

    fn within(measure: Measure, inches: f64) -> Result<(), Wrong> {
        if inches < 1.0 {
            return Err(Wrong::new(codes::LENGTH_OUT_OF_BOUNDS, "a length is never zero")
                .help("measure it again; where there is no limit, leave the key away"));
        }
        if inches <= MILE {
            return Ok(());
        }
        let feet = inches / 12.0;
        let wrong = Wrong::new(
            codes::LENGTH_OUT_OF_BOUNDS,
            format!("this is {feet:.0} ft of the prototype, over a mile"),
        );
        Err(match measure.unit {
            Unit::Foot if !measure.scaled => wrong.help(scale_instead(measure, "ft")),
            Unit::Metre if !measure.scaled => wrong.help(scale_instead(measure, "m")),
            _ => wrong,
        })
    }
}

/// What the host may have meant.
pub(super) fn scale_instead(measure: Measure, unit: &str) -> String {
    format!("on the prototype it would be `{} scale {unit}`", measure.amount)
}

/// What binary fractions may add to a whole number of inches, and what no ruler shows.
const SLIP: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::*;

    fn ruler(name: &str) -> Ruler {
        Ruler { scale: Scale::named(name).unwrap(), car: Length::scale_feet(44) }
    }

    fn measure(amount: f64, unit: Unit, scaled: bool) -> Measure {
        Measure { amount, unit, scaled }
    }

    #[test]
    fn room_rounds_down_and_what_fills_it_rounds_up() {
        // 72 × 87.1 = 6271.2; 40 × 87.1 = 3484.0; 915 mm = 36.0236 in × 87.1 = 3137.66.
        let ho = ruler("HO");
        assert_eq!(ho.room(measure(72.0, Unit::Inch, false)), Ok(Length::scale_inches(6271)));
        assert_eq!(ho.takes_room(measure(72.0, Unit::Inch, false)), Ok(Length::scale_inches(6272)));
        assert_eq!(ho.takes_room(measure(40.0, Unit::Inch, false)), Ok(Length::scale_inches(3484)));
        assert_eq!(ho.room(measure(915.0, Unit::Millimetre, false)), Ok(Length::scale_inches(3137)));
    }

    #[test]
    fn a_foot_of_the_prototype_has_the_published_length_in_millimetres() {
        // NMRA S-1.2 (from secondary lists) and NEM 010: 3.5 mm in HO, 1.905 in N, 2.54 in TT, 6.35 in O.
        for (name, mm) in [("HO", 3.5), ("N", 1.905), ("TT", 2.54), ("O", 6.35), ("OO", 4.0), ("S", 4.7625)] {
            let hundred_feet = ruler(name).room(measure(mm * 100.0, Unit::Millimetre, false)).unwrap();
            assert!(hundred_feet.whole_scale_inches().abs_diff(1200) <= 1, "{name}: {hundred_feet}");
        }
    }

    #[test]
    fn scale_feet_and_cars_need_no_scale() {
        for name in ["HO", "N"] {
            assert_eq!(ruler(name).room(measure(60.0, Unit::Foot, true)), Ok(Length::scale_feet(60)));
            assert_eq!(ruler(name).room(measure(6.0, Unit::Cars, false)), Ok(Length::scale_feet(264)));
        }
    }

    #[test]
    fn more_than_a_mile_offers_scale_feet() {
        // 62 ft of HO track: 62 × 12 × 87.1 = 64802.4 in = 5400 ft.
        let wrong = ruler("HO").room(measure(62.0, Unit::Foot, false)).unwrap_err();
        assert_eq!(wrong.code, codes::LENGTH_OUT_OF_BOUNDS);
        assert!(wrong.help.unwrap().contains("`62 scale ft`"));
        assert!(ruler("HO").room(measure(0.0, Unit::Inch, false)).is_err());
        assert!(Ruler::prototype(measure(6.0, Unit::Cars, false)).is_err());
    }
}
