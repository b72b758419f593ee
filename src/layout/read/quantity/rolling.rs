//! What is lettered on a car: mark, number, and the words of the roster.

use toml::de::DeValue;

use crate::layout::codes;
use crate::layout::read::node::{Node, Read, changed_by_spreadsheet, decimal_in, id};
use crate::layout::sink::{Wrong, wrong_type};

/// The years in which a car may run.
const YEARS: std::ops::RangeInclusive<i16> = 1800..=2200;

/// The rarest visitor: once in so many sessions.
const RAREST: u32 = 1_000;

/// The figures of a UIC number.
const UIC_FIGURES: usize = 12;

/// A number as it is lettered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::layout) struct CarNumber {
    /// The figures: without leading zeros, or a UIC number in its usual groups.
    pub(in crate::layout) figures: Box<str>,
    /// Zeros that stood before it.
    pub(in crate::layout) zeros: bool,
    /// Whether it is a UIC number, which needs no mark.
    pub(in crate::layout) uic: bool,
}

/// How the load of a car looks, before its commodity is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::layout) enum Look {
    Hidden,
    LiftsOut,
    Fixed(Option<Box<str>>),
}

/// A reporting mark: two to four capital letters.
///
/// Source: the rules of the North American register of reporting marks.
pub(in crate::layout::read) fn mark(node: Node<'_>) -> Read<Box<str>> {
    const EXPECTED: &str = "a reporting mark of two to four capital letters";
    let words = node.expect_words(EXPECTED)?;
    if (2..=4).contains(&words.len()) && words.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return Ok(words.into());
    }
    let wrong = Wrong::new(codes::BAD_MARK, format!("expected {EXPECTED}, found `{words}`"));
    let letters: String = words.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_uppercase();
    Err(match letters.len() {
        2..=4 => wrong.help(format!("write `{letters}`")),
        _ => wrong,
    })
}

/// Whether figures look like a UIC number: twelve of them, in any grouping.
fn twelve_figures(words: &str) -> Option<Vec<u8>> {
    let figures: Vec<u8> = words.bytes().filter(u8::is_ascii_digit).map(|byte| byte - b'0').collect();
    let plain =
        words.chars().all(|letter| letter.is_ascii_digit() || letter.is_whitespace() || letter == '-');
    (plain && figures.len() == UIC_FIGURES).then_some(figures)
}

fn number_words<'a>(node: Node<'a>, expected: &str) -> Read<&'a str> {
    match node {
        Node::Value(DeValue::Integer(number)) if number.radix() == 10 => Ok(number.as_str()),
        _ => node.expect_words(expected),
    }
}

/// The number of a car with a mark: 1 to 999999.
pub(in crate::layout::read) fn marked_number(node: Node<'_>) -> Read<CarNumber> {
    const EXPECTED: &str = "a car number from 1 to 999999";
    let words = number_words(node, EXPECTED)?;
    let figures = words.trim_start_matches('0');
    let plain = words.bytes().all(|byte| byte.is_ascii_digit());
    if plain && words.len() != UIC_FIGURES && (1..=6).contains(&figures.len()) {
        return Ok(CarNumber { figures: figures.into(), zeros: figures.len() < words.len(), uic: false });
    }
    if let Some(wrong) = changed_by_spreadsheet(words) {
        return Err(wrong);
    }
    let wrong = || Wrong::new(codes::BAD_CAR_NUMBER, format!("expected {EXPECTED}, found `{words}`"));
    if words.contains([',', '.'])
        && words.chars().all(|letter| letter.is_ascii_digit() || ",.".contains(letter))
    {
        let figures: String = words.chars().filter(char::is_ascii_digit).collect();
        return Err(Wrong::new(
            codes::CHANGED_BY_SPREADSHEET,
            format!("expected {EXPECTED}, found `{words}`"),
        )
        .help(format!(
            "a spreadsheet put separators into it: if it is `{figures}`, format the column as text"
        )));
    }
    if looks_like_a_date(words) {
        return Err(Wrong::new(
            codes::CHANGED_BY_SPREADSHEET,
            format!("expected {EXPECTED}, found `{words}`, which looks like a date"),
        )
        .help("format the column as text, type the number again, and save the file anew"));
    }
    Err(match twelve_figures(words) {
        Some(_) => wrong().help("a UIC number of twelve digits stands alone: leave `mark` away"),
        None => wrong(),
    })
}

/// `1/2/1962`, `2-Jan`, `1962-01-02`: what spreadsheets make of a number with a dash.
fn looks_like_a_date(words: &str) -> bool {
    let parts: Vec<&str> = words.split(['-', '/', '.']).collect();
    let figures = |part: &&&str| part.bytes().all(|byte| byte.is_ascii_digit()) && !part.is_empty();
    let letters = |part: &&&str| part.len() == 3 && part.bytes().all(|byte| byte.is_ascii_alphabetic());
    match parts.len() {
        2 => parts.iter().filter(figures).count() == 1 && parts.iter().filter(letters).count() == 1,
        3 => parts.iter().filter(figures).count() >= 2,
        _ => false,
    }
}

/// A UIC number of twelve digits, whose last is the check digit.
///
/// Eleven digits are multiplied by 2 and 1 in turn, from the right; the digits of the products are
/// added; the check digit makes the sum a multiple of ten.
///
/// `21 81 2471 217-3`: 2×2=4, 1×1=1, 8×2=16, 1×1=1, 2×2=4, 4×1=4, 7×2=14, 1×1=1, 2×2=4, 1×1=1, 7×2=14;
/// 4+1+7+1+4+4+5+1+4+1+5 = 37, and 3 more make 40.
pub(in crate::layout::read) fn uic_number(node: Node<'_>) -> Read<CarNumber> {
    const EXPECTED: &str = "a UIC number of twelve digits, or a `mark` and a number";
    let words = number_words(node, EXPECTED)?;
    if let Some(wrong) = changed_by_spreadsheet(words) {
        return Err(wrong);
    }
    let digits = twelve_figures(words)
        .ok_or_else(|| Wrong::new(codes::BAD_CAR_NUMBER, format!("expected {EXPECTED}, found `{words}`")))?;
    let check = check_digit(&digits[..11]);
    if check != digits[11] {
        return Err(Wrong::new(
            codes::WRONG_CHECK_DIGIT,
            format!("the check digit of `{words}` should be {check}, found {}", digits[11]),
        )
        .help("compare all twelve digits with the car"));
    }
    let text: String = digits.iter().map(|digit| char::from(b'0' + digit)).collect();
    let figures = format!("{} {} {} {}-{}", &text[..2], &text[2..4], &text[4..8], &text[8..11], &text[11..]);
    Ok(CarNumber { figures: figures.into(), zeros: false, uic: true })
}

fn check_digit(digits: &[u8]) -> u8 {
    let products = digits.iter().rev().zip([2, 1].into_iter().cycle()).map(|(digit, factor)| digit * factor);
    let sum: u32 = products.map(|product| u32::from(product / 10 + product % 10)).sum();
    u8::try_from((10 - sum % 10) % 10).unwrap_or(0)
}

/// The first and last year of a car: `1962-1985`, `1962-`, `-1980`, `1962`; also with the dash of a text editor.
pub(in crate::layout::read) fn years(node: Node<'_>) -> Read<(Option<i16>, Option<i16>)> {
    let wrong = || {
        Wrong::new(codes::BAD_YEARS, format!("expected years such as `1962-1985`, found {}", node.found()))
            .help("also `1962-` for a car built in 1962, or `-1980` for one gone after 1980")
    };
    let words = node.words().ok_or_else(wrong)?;
    if words.len() != 9 && looks_like_a_date(words) {
        return Err(Wrong::new(
            codes::CHANGED_BY_SPREADSHEET,
            format!("`{words}` looks like a date, not like years"),
        )
        .help("format the column as text, type the years again, and save the file anew"));
    }
    let year = |part: &str| match part.trim() {
        "" => Ok(None),
        part if part.len() == 4 && part.bytes().all(|byte| byte.is_ascii_digit()) => {
            part.parse().ok().filter(|year| YEARS.contains(year)).map(Some).ok_or_else(wrong)
        }
        _ => Err(wrong()),
    };
    let (first, last) = words.split_once(['-', '\u{2013}']).unwrap_or((words, words));
    match (year(first)?, year(last)?) {
        (None, None) => Err(wrong()),
        (Some(first), Some(last)) if last < first => Err(wrong().help("the first year comes first")),
        years => Ok(years),
    }
}

/// How often a car comes: `1 in 6`, `never`, `always`.
pub(in crate::layout::read) fn visits(node: Node<'_>) -> Read<u32> {
    let wrong = || {
        Wrong::new(
            codes::BAD_VISITS,
            format!("expected a rate such as `1 in 6`, or `never`, found {}", node.found()),
        )
        .help(format!("`1 in 6` comes once in six sessions on average; up to 1 in {RAREST}"))
    };
    match node.words().ok_or_else(wrong)? {
        "never" => Ok(0),
        "always" => Ok(1),
        words => {
            let many = words.strip_prefix("1 in ").map(str::trim).filter(|many| decimal_in(many).is_some());
            many.and_then(|many| many.parse().ok())
                .filter(|many| (1..=RAREST).contains(many))
                .ok_or_else(wrong)
        }
    }
}

/// How a load looks: `hidden`, `lifts out`, `fixed`, `fixed coal`.
pub(in crate::layout::read) fn look(node: Node<'_>) -> Read<Look> {
    const EXPECTED: &str = "`hidden`, `lifts out`, `fixed` or `fixed COMMODITY`";
    match node.expect_words(EXPECTED)? {
        "hidden" => Ok(Look::Hidden),
        "lifts out" => Ok(Look::LiftsOut),
        "fixed" => Ok(Look::Fixed(None)),
        words => match words.strip_prefix("fixed ") {
            Some(commodity) => id(commodity.trim()).map(|commodity| Look::Fixed(Some(commodity))),
            None => Err(Wrong { code: codes::UNKNOWN_WORD, ..wrong_type(EXPECTED, &format!("`{words}`")) }
                .near(words, ["hidden", "lifts out", "fixed"])),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that were published with their check digits: two by encyclopedias of wagon numbers
    /// in English and German, one by an Austrian rail information page, one by a site of readers'
    /// answers, two by a German picture archive.
    const PUBLISHED: [&str; 6] = [
        "21 81 2471 217-3",
        "51 80 0843 001-0",
        "31 81 6650 359-5",
        "31 81 6650 286-0",
        "21 80 9903 001-5",
        "46 80 1555 359-6",
    ];

    #[test]
    fn published_numbers_pass_and_keep_their_groups() {
        for number in PUBLISHED {
            let read = uic_number(Node::Cell(number)).unwrap();
            assert_eq!((&*read.figures, read.uic), (number, true));
            let plain: String = number.chars().filter(char::is_ascii_digit).collect();
            assert_eq!(&*uic_number(Node::Cell(&plain)).unwrap().figures, number);
        }
    }

    #[test]
    fn any_other_digit_anywhere_fails() {
        for number in PUBLISHED {
            for (place, digit) in number.char_indices().filter(|(_, letter)| letter.is_ascii_digit()) {
                for other in ('0'..='9').filter(|other| *other != digit) {
                    let mut changed = number.to_owned();
                    changed.replace_range(place..=place, &other.to_string());
                    let wrong = uic_number(Node::Cell(&changed)).unwrap_err();
                    assert_eq!(wrong.code, codes::WRONG_CHECK_DIGIT, "{changed}");
                }
            }
        }
    }

    #[test]
    fn neighbours_that_change_places_fail_unless_they_are_nought_and_nine() {
        for number in PUBLISHED {
            let digits: String = number.chars().filter(char::is_ascii_digit).collect();
            for place in 0..11 {
                let (one, other) = (digits.as_bytes()[place], digits.as_bytes()[place + 1]);
                if one == other || [one, other] == *b"09" || [one, other] == *b"90" {
                    continue;
                }
                let mut changed = digits.clone().into_bytes();
                changed.swap(place, place + 1);
                let changed = String::from_utf8(changed).unwrap();
                assert!(uic_number(Node::Cell(&changed)).is_err(), "{changed}");
            }
        }
    }

    #[test]
    fn marks_have_two_to_four_letters() {
        for sound in ["SP", "CHT", "TTX", "ATSF"] {
            assert_eq!(mark(Node::Cell(sound)).as_deref(), Ok(sound));
        }
        for bad in ["C", "CARRO", "cht", "C&O", "CHT1"] {
            assert!(mark(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn numbers_lose_their_zeros_and_keep_their_bounds() {
        let read = marked_number(Node::Cell(" 00123 ")).unwrap();
        assert_eq!((&*read.figures, read.zeros), ("123", true));
        assert!(!marked_number(Node::Cell("999999")).unwrap().zeros);
        for bad in ["0", "1000000", "12a", "-5", "", "12 34"] {
            assert!(marked_number(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn years_may_be_open_at_either_end() {
        assert_eq!(years(Node::Cell("1962-1985")), Ok((Some(1962), Some(1985))));
        assert_eq!(years(Node::Cell("1962\u{2013}1985")), Ok((Some(1962), Some(1985))));
        assert_eq!(years(Node::Cell("1962-")), Ok((Some(1962), None)));
        assert_eq!(years(Node::Cell("-1980")), Ok((None, Some(1980))));
        assert_eq!(years(Node::Cell("1962")), Ok((Some(1962), Some(1962))));
        for bad in ["-", "62-85", "1985-1962", "1962-1985-1990", "1700-"] {
            assert!(years(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn visits_and_looks_have_their_words() {
        assert_eq!(visits(Node::Cell("1 in 6")), Ok(6));
        assert_eq!(visits(Node::Cell("never")), Ok(0));
        assert!(
            ["1 in 0", "2 in 6", "1 in -6", "1 in 1.5"].iter().all(|bad| visits(Node::Cell(bad)).is_err())
        );
        assert_eq!(look(Node::Cell("fixed coal")), Ok(Look::Fixed(Some("coal".into()))));
        assert_eq!(look(Node::Cell("fixed")), Ok(Look::Fixed(None)));
        assert!(look(Node::Cell("glued in")).is_err());
    }
}
