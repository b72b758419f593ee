//! A roster as CSV that a spreadsheet does not spoil.
//!
//! A byte-order mark says that it is UTF-8. A value that a spreadsheet would take for a day, a sum,
//! a shortened number or a yes gets a no-break space in front, which keeps it text there and which
//! setout does not read. Common practice, no source: what spreadsheets turn values into.

use std::cmp::Ordering;

use super::card::Card;
use crate::layout::CAR_KEYS;

/// The roster as a table with these cars, in the order of mark and number.
pub(super) fn csv(cards: &[Card], separator: char) -> String {
    let always = ["mark", "number", "type"];
    let used = |key: &&str| always.contains(key) || cards.iter().any(|card| card.says.contains_key(*key));
    let keys: Vec<&str> = CAR_KEYS.into_iter().filter(used).collect();
    let line = |fields: Vec<String>| format!("{}\r\n", fields.join(&separator.to_string()));
    let mut text = format!("\u{feff}{}", line(keys.iter().map(|key| (*key).to_owned()).collect()));
    for card in cards {
        let guarded = |key: &&str| field(&guarded(card.words(key)), separator);
        text.push_str(&line(keys.iter().map(guarded).collect()));
    }
    text
}

/// Mark and number in the order that people expect: `CHT 9` before `CHT 10`.
pub(super) fn order(one: &Card, other: &Card) -> Ordering {
    let key = |card: &Card| {
        let number: String = card.words("number").chars().filter(char::is_ascii_digit).collect();
        let number = number.trim_start_matches('0').to_owned();
        (card.words("mark").to_owned(), number.len(), number)
    };
    key(one).cmp(&key(other))
}

/// A field, in quotes where it needs them.
pub(super) fn field(words: &str, separator: char) -> String {
    let needs = |sign: char| sign == separator || "\"\r\n".contains(sign);
    // A field that begins with `#` alone in its row would be a remark; one of blanks would be lost.
    if words.contains(needs) || words.starts_with('#') {
        format!("\"{}\"", words.replace('"', "\"\""))
    } else {
        words.to_owned()
    }
}

/// A value with a no-break space in front, if a spreadsheet would make something else of it.
fn guarded(words: &str) -> String {
    if is_spoiled(words) { format!("\u{a0}{words}") } else { words.to_owned() }
}

/// Whether a spreadsheet makes something else of a value that it is given as text.
fn is_spoiled(words: &str) -> bool {
    let first = words.chars().next().unwrap_or(' ');
    let figures = words.bytes().filter(u8::is_ascii_digit).count();
    let plain = !words.is_empty() && words.bytes().all(|byte| byte.is_ascii_digit());
    let formula = "=+@-".contains(first);
    let number = plain && (figures > 15 || (figures > 1 && first == '0'));
    let truth = ["true", "false"].contains(&words.to_ascii_lowercase().as_str());
    formula || number || truth || (!plain && figures > 0 && looks_like_number_or_day(words))
}

/// Figures with nothing else than what stands in days, times, fractions, money and powers of ten.
fn looks_like_number_or_day(words: &str) -> bool {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let letters: String = words.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_lowercase();
    let only = words.chars().all(|sign| sign.is_ascii_alphanumeric() || " ./:-,%$€£".contains(sign));
    let power = letters == "e" && words.starts_with(|sign: char| sign.is_ascii_digit());
    let month = letters.len() >= 3 && MONTHS.iter().any(|month| letters.starts_with(month));
    let half = ["am", "pm", "a", "p"].contains(&letters.as_str());
    // Years from `1962-1985` on are no day: no spreadsheet has a month 1985.
    let years = words.len() == 9 && words.as_bytes()[4] == b'-' && letters.is_empty();
    only && !years && (letters.is_empty() || power || month || half)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_spoils_is_guarded_and_nothing_else() {
        for spoiled in [
            "1/2",
            "2-Jan",
            "3.4",
            "3,4",
            "1962-10-02",
            "007",
            "1E5",
            "12e4",
            "=A1",
            "+ chains",
            "-1980",
            "@noon",
            "TRUE",
            "12 %",
            "1234567890123456",
            "8:15",
            "Dec 1",
            "5 pm",
            "31-12",
        ] {
            assert!(is_spoiled(spoiled), "{spoiled}");
        }
        for kept in [
            "",
            "1234",
            "0",
            "44 ft",
            "57.8 ft",
            "CHT",
            "1962-1985",
            "1962-",
            "1 in 6",
            "XM",
            "harbor/2",
            "fixed coal",
            "21 81 2471 217-3",
            "DEC",
            "poor runner, squeaks",
        ] {
            let expected = ["1962-", "21 81 2471 217-3"].contains(&kept);
            assert_eq!(is_spoiled(kept), expected, "{kept}");
        }
    }

    #[test]
    fn fields_are_quoted_where_they_must_be() {
        assert_eq!(field("a, b", ','), "\"a, b\"");
        assert_eq!(field("a, b", ';'), "a, b");
        assert_eq!(field("12\" wheels", ','), "\"12\"\" wheels\"");
    }
}
