//! Lengths as they are measured, and scales.

use crate::layout::codes;
use crate::layout::read::node::{Node, Read, decimal_in, plain};
use crate::layout::sink::Wrong;
use crate::units::{SCALES, Scale};

/// A length as it was written: what it means on the prototype, `check` works out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::layout) struct Measure {
    /// The number.
    pub(in crate::layout) amount: f64,
    /// Its unit.
    pub(in crate::layout) unit: Unit,
    /// Whether `scale` stands before the unit: measured on the prototype, whatever it is a length of.
    pub(in crate::layout) scaled: bool,
}

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::layout) enum Unit {
    Inch,
    Foot,
    Millimetre,
    Centimetre,
    Metre,
    Cars,
}

impl Unit {
    /// How many inches it has; a car has none of its own.
    pub(in crate::layout) const fn inches(self) -> Option<f64> {
        // An inch is 25.4 mm by definition.
        match self {
            Unit::Inch => Some(1.0),
            Unit::Foot => Some(12.0),
            Unit::Millimetre => Some(1.0 / 25.4),
            Unit::Centimetre => Some(10.0 / 25.4),
            Unit::Metre => Some(1000.0 / 25.4),
            Unit::Cars => None,
        }
    }
}

const UNITS: [(&str, Unit); 15] = [
    ("in", Unit::Inch),
    ("inch", Unit::Inch),
    ("inches", Unit::Inch),
    ("\"", Unit::Inch),
    ("ft", Unit::Foot),
    ("foot", Unit::Foot),
    ("feet", Unit::Foot),
    ("'", Unit::Foot),
    ("mm", Unit::Millimetre),
    ("cm", Unit::Centimetre),
    ("m", Unit::Metre),
    ("metres", Unit::Metre),
    ("meters", Unit::Metre),
    ("car", Unit::Cars),
    ("cars", Unit::Cars),
];

const EXPECTED: &str = "a length with its unit, such as `72 in`, `180 cm` or `60 scale ft`";

/// A length: a number and a unit.
pub(in crate::layout::read) fn length(node: Node<'_>) -> Read<Measure> {
    let bare = |number: &str| {
        Wrong::new(codes::BAD_LENGTH, format!("expected {EXPECTED}, found the bare number `{number}`"))
            .help(format!("say what it is measured in: `{number} in`, `{number} cm`, `{number} scale ft`"))
    };
    if !matches!(node, Node::Cell(_))
        && let Some(number) = node.decimal()
    {
        return Err(bare(&number.to_string()));
    }
    let words = node.expect_words(EXPECTED)?;
    if decimal_in(words).is_some() {
        return Err(bare(words));
    }
    let wrong = || Wrong::new(codes::BAD_LENGTH, format!("expected {EXPECTED}, found `{words}`"));
    if let Some(measure) = feet_and_inches(words) {
        return Ok(measure);
    }
    let end = words.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(words.len());
    let (number, rest) = words.split_at(end);
    let amount = match decimal_in(number) {
        Some(amount) => amount,
        None if words.starts_with('-') => return Err(wrong().help("a length is never negative")),
        None => return Err(wrong()),
    };
    if rest.starts_with(',') {
        return Err(wrong().help("write the decimals after a point: `1.8 m`"));
    }
    let rest = rest.trim();
    let (scaled, unit) = match rest.strip_prefix("scale") {
        Some(unit) if unit.starts_with(char::is_whitespace) => (true, unit.trim()),
        _ => (false, rest),
    };
    match UNITS.iter().find(|(known, _)| *known == unit) {
        Some((_, Unit::Cars)) if scaled => Err(wrong().help("cars have no scale: write `6 cars`")),
        Some((_, unit)) => Ok(Measure { amount, unit: *unit, scaled }),
        None => Err(wrong().help("the units are in, ft, mm, cm, m, scale ft, scale m and cars")),
    }
}

/// `44 ft 2.5 in`, `44' 2"`: as tables of cars have it.
fn feet_and_inches(words: &str) -> Option<Measure> {
    let (feet, inches) = words.split_once("ft").or_else(|| words.split_once('\''))?;
    let (scaled, feet) = match feet.trim().strip_suffix("scale") {
        Some(feet) => (true, feet.trim()),
        None => (false, feet.trim()),
    };
    let inches = inches.trim();
    let inches = inches.strip_suffix("in").or_else(|| inches.strip_suffix('"'))?;
    let amount = decimal_in(feet)? * 12.0 + decimal_in(inches.trim())?;
    Some(Measure { amount, unit: Unit::Inch, scaled })
}

/// A scale: a name of the published lists, or a ratio.
pub(in crate::layout::read) fn scale(node: Node<'_>) -> Read<Scale> {
    let found = node.expect_words("a scale such as `HO` or `1:87.1`")?;
    if let Some(scale) = Scale::named(found) {
        return Ok(scale);
    }
    let wrong =
        Wrong::new(codes::BAD_SCALE, format!("expected a scale such as `HO` or `1:87.1`, found `{found}`"));
    let Some((one, ratio)) = found.split_once(':') else {
        return Err(wrong.near(found, SCALES.iter().map(|(name, _)| *name)));
    };
    let (whole, tenth) = ratio.trim().split_once('.').unwrap_or((ratio.trim(), "0"));
    let ratio = (one.trim() == "1" && tenth.len() == 1)
        .then(|| plain(whole)?.checked_mul(10)?.checked_add(plain(tenth)?))
        .flatten();
    ratio
        .and_then(Scale::ratio_in_tenths)
        .ok_or_else(|| wrong.help("a ratio runs from `1:1` to `1:1000`, with one decimal at most"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &str) -> Measure {
        length(Node::Cell(words)).unwrap()
    }

    #[test]
    fn lengths_have_a_number_and_a_unit() {
        for (words, amount, unit, scaled) in [
            ("72 in", 72.0, Unit::Inch, false),
            ("6ft", 6.0, Unit::Foot, false),
            ("1.8 m", 1.8, Unit::Metre, false),
            ("60 scale ft", 60.0, Unit::Foot, true),
            ("18 scale m", 18.0, Unit::Metre, true),
            ("1 car", 1.0, Unit::Cars, false),
            ("44 ft 2.5 in", 530.5, Unit::Inch, false),
            ("44' 2\"", 530.0, Unit::Inch, false),
        ] {
            assert_eq!(read(words), Measure { amount, unit, scaled }, "{words}");
        }
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for bad in ["72", "in", "-6 ft", "1,8 m", "6 scale cars", "6 furlongs", "1e3 in", "nan in", "6 ft."] {
            assert_eq!(length(Node::Cell(bad)).unwrap_err().code, codes::BAD_LENGTH, "{bad}");
        }
    }

    #[test]
    fn scales_have_their_published_ratios() {
        // NMRA S-1.2 (from secondary lists) and NEM 010, edition 2011.
        for (name, tenths) in
            [("HO", 871), ("H0", 870), ("N", 1600), ("TT", 1200), ("O", 480), ("0", 450), ("II", 225)]
        {
            assert_eq!(scale(Node::Cell(name)).map(Scale::tenths), Ok(tenths), "{name}");
        }
        assert_eq!(scale(Node::Cell("1:76.2")).map(Scale::tenths), Ok(762));
        assert_eq!(scale(Node::Cell("1:29")).map(Scale::tenths), Ok(290));
        for bad in ["HOO", "1:", "1:0", "2:87", "1:87.12", "1:99999999999", "1:+87", "87"] {
            assert!(scale(Node::Cell(bad)).is_err(), "{bad}");
        }
    }
}
