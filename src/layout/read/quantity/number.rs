//! Counts, weights, shares and minutes.

use crate::layout::codes;
use crate::layout::read::node::{Node, Read, decimal_in, plain, whole};
use crate::layout::sink::{Wrong, wrong_type};
use crate::units::{Cars, Minutes, Percent, Tons};

/// The most cars that any limit may name.
const MOST_CARS: u32 = 10_000;

/// The heaviest weight that may be given, in tons: far above any train.
const MOST_TONS: u32 = 100_000;

/// The longest time that one step may take, in minutes: a day.
const MOST_MINUTES: f64 = 1440.0;

/// A number of cars, at least one.
pub(in crate::layout::read) fn count(node: Node<'_>) -> Read<Cars> {
    whole(node, 1, MOST_CARS).map(Cars::new)
}

/// A weight in whole tons.
pub(in crate::layout::read) fn tons(node: Node<'_>) -> Read<Tons> {
    whole(node, 1, MOST_TONS).map(Tons::new)
}

/// Minutes, which may have decimals.
pub(in crate::layout::read) fn minutes(node: Node<'_>) -> Read<Minutes> {
    const EXPECTED: &str = "minutes as a number, such as `4` or `0.5`";
    let Some(number) = node.decimal() else { return Err(wrong_type(EXPECTED, &node.found())) };
    if !(0.0..=MOST_MINUTES).contains(&number) {
        return Err(Wrong::new(
            codes::OUT_OF_BOUNDS,
            format!("expected minutes from 0 to {MOST_MINUTES}, found {}", node.found()),
        ));
    }
    Ok(Minutes::seconds(rounded_up(number * 60.0)))
}

/// A share of a whole, as a percentage.
pub(in crate::layout::read) fn percent(node: Node<'_>) -> Read<Percent> {
    let hundredths = share(node, 100)?;
    Percent::new(hundredths).ok_or_else(|| bad_share(node, 100))
}

/// A percentage, at least one and at most `most`.
pub(in crate::layout::read) fn share(node: Node<'_>, most: u32) -> Read<u32> {
    let words = node.words().ok_or_else(|| bad_share(node, most))?;
    let number = words.strip_suffix('%').map(str::trim_end).ok_or_else(|| bad_share(node, most))?;
    plain(number).filter(|number| (1..=most).contains(number)).ok_or_else(|| bad_share(node, most))
}

fn bad_share(node: Node<'_>, most: u32) -> Wrong {
    Wrong::new(codes::BAD_SHARE, format!("expected a share from `1 %` to `{most} %`, found {}", node.found()))
        .help("write it as text with the sign: `\"80 %\"`")
}

/// A grade, in tenths of a percent; it may fall.
pub(in crate::layout::read) fn grade(node: Node<'_>) -> Read<i32> {
    // Ten percent is beyond what any train of cars climbs.
    const MOST: f64 = 10.0;
    let wrong = || {
        Wrong::new(
            codes::BAD_SHARE,
            format!("expected a grade up to `10 %`, such as `1.5 %`, found {}", node.found()),
        )
        .help("write it as text with the sign: `\"1.5 %\"`, or `\"-1.5 %\"` where it falls to the east")
    };
    let number = node.words().and_then(|words| words.strip_suffix('%')).ok_or_else(wrong)?.trim();
    let (sign, number) = number.strip_prefix('-').map_or((1, number), |number| (-1, number));
    let number = decimal_in(number).filter(|number| *number <= MOST).ok_or_else(wrong)?;
    let tenths = i32::try_from(rounded_up(number * 10.0)).map_err(|_| wrong())?;
    Ok(sign * tenths)
}

/// Rounds up, but forgives what binary fractions add: 0.1 × 60 is 6, not 7.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "every caller has bounded the number far below u32::MAX and not below zero"
)]
fn rounded_up(number: f64) -> u32 {
    (number - 1e-9).ceil().max(0.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_kept_to_the_second() {
        // 0.1 × 60 = 6 s; 0.15 × 60 = 9 s; 0.01 × 60 = 0.6 s, rounded up.
        for (words, seconds) in [("4", 240), ("0.5", 30), ("0.1", 6), ("0.15", 9), ("0.01", 1), ("0", 0)] {
            assert_eq!(minutes(Node::Cell(words)), Ok(Minutes::seconds(seconds)), "{words}");
        }
        assert!(["-1", "1441", "1,5", "half", "1e9"].iter().all(|bad| minutes(Node::Cell(bad)).is_err()));
    }

    #[test]
    fn shares_need_their_sign() {
        assert_eq!(percent(Node::Cell("80 %")).ok(), Percent::new(80));
        assert_eq!(percent(Node::Cell("80%")).ok(), Percent::new(80));
        assert!(["80", "0 %", "101 %", "% 80", "8.5 %"].iter().all(|bad| percent(Node::Cell(bad)).is_err()));
        assert_eq!(grade(Node::Cell("1.5 %")), Ok(15));
        assert_eq!(grade(Node::Cell("-2 %")), Ok(-20));
        assert!(["1.5", "11 %", "--1 %"].iter().all(|bad| grade(Node::Cell(bad)).is_err()));
    }
}
