//! Breaks words into lines of a width, counted as a terminal shows them.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::paper::phrase::JOINED;

/// What a byte is: plain ones take a column each, a blank besides ends a word, the blank that joins is the
/// two bytes C2 A0 and one column, whatever else has to be looked up.
const KINDS: [Kind; 256] = {
    let mut kinds = [Kind::Odd; 256];
    let mut byte = b' ';
    while byte <= b'~' {
        kinds[byte as usize] = Kind::Plain;
        byte += 1;
    }
    kinds[b' ' as usize] = Kind::Blank;
    kinds[0xc2] = Kind::First;
    kinds[0xa0] = Kind::Second;
    kinds
};

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Plain,
    Blank,
    First,
    Second,
    Odd,
}

/// How wide a text of plain letters and blanks is, and whether it has nothing but single blanks between
/// its words and none at its ends; nothing where a letter of it has to be looked up. Most of a sheet is
/// plain, and one look at every byte is much quicker.
fn plainly(text: &str) -> Option<(usize, bool)> {
    let (mut width, mut tidy, mut before) = (text.len(), true, Kind::Blank);
    for byte in text.bytes() {
        let now = KINDS[usize::from(byte)];
        match now {
            // What comes after a first byte is never plain: the text is UTF-8.
            Kind::Plain | Kind::First => {}
            Kind::Blank => tidy &= before != Kind::Blank,
            Kind::Second if before == Kind::First => width -= 1,
            Kind::Second | Kind::Odd => return None,
        }
        before = now;
    }
    Some((width, tidy && before != Kind::Blank))
}

/// Where the first line of a tidy text ends that is too long for one, and how wide that line is; nothing
/// where a word has to be cut first.
fn first_line(text: &str, width: usize) -> Option<(usize, usize)> {
    let (mut end, mut taken, mut so_far) = (0, 0, 0);
    for (place, byte) in text.bytes().chain([b' ']).enumerate() {
        if byte == b' ' {
            if so_far > width {
                let word = so_far - taken - 1;
                return (end > 0 && word <= width).then_some((end, taken));
            }
            (end, taken) = (place, so_far);
        }
        // The blank that joins has two bytes and takes one column.
        so_far += usize::from(KINDS[usize::from(byte)] != Kind::First);
    }
    None
}

/// How many columns a text takes.
pub(super) fn wide(text: &str) -> usize {
    plainly(text).map_or_else(|| text.width(), |(width, _)| width)
}

/// How many columns the longest word of a text takes, with what is held together counted as one.
pub(super) fn longest_word(text: &str) -> usize {
    text.split(breaks).map(wide).max().unwrap_or(0)
}

/// Whether a line may end before this letter.
fn breaks(letter: char) -> bool {
    letter != JOINED && (letter.is_whitespace() || letter.is_control())
}

/// Says the text in lines no wider than `width`, with the width of each. Lines end at blanks; a word that
/// is too long for any line is cut. Blanks that keep things together are not broken at.
pub(super) fn wrap(text: &str, width: usize, mut say: impl FnMut(&str, usize)) {
    let width = width.max(2); // the widest letter
    let mut text = text;
    if let Some((mut left, true)) = plainly(text) {
        // The lines of a tidy text are stretches of it.
        while left > width
            && let Some((end, taken)) = first_line(text, width)
        {
            say(&text[..end], taken);
            (text, left) = (&text[end + 1..], left - taken - 1);
        }
        if left <= width {
            return say(text, left);
        }
    }
    let (mut line, mut taken) = (String::with_capacity(text.len().min(4 * width)), 0);
    // What should stay together and fits on no line is broken at its blanks before it is cut.
    let pieces = text.split(breaks).flat_map(|word| {
        let long = word.contains(JOINED) && wide(word) > width;
        word.split(move |letter| long && letter == JOINED)
    });
    for word in pieces.filter(|word| !word.is_empty()) {
        let length = wide(word);
        if !line.is_empty() && taken + 1 + length <= width {
            line.push(' ');
            line.push_str(word);
            taken += 1 + length;
            continue;
        }
        if !line.is_empty() {
            say(&line, taken);
            line.clear();
        }
        if length <= width {
            line.push_str(word);
            taken = length;
            continue;
        }
        taken = 0;
        for letter in word.chars() {
            let length = letter.width().unwrap_or(0);
            if taken + length > width {
                say(&line, taken);
                line.clear();
                taken = 0;
            }
            line.push(letter);
            taken += length;
        }
    }
    if !line.is_empty() {
        say(&line, taken);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrapped(text: &str, width: usize) -> Vec<String> {
        let mut lines = Vec::new();
        wrap(text, width, |line, taken| {
            assert_eq!(taken, line.width(), "{line}");
            lines.push(line.to_owned());
        });
        lines
    }

    #[test]
    fn words_fill_lines_and_long_ones_are_cut() {
        assert_eq!(wrapped("pull the two cars", 8), ["pull the", "two cars"]);
        assert_eq!(wrapped("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(wrapped("a\nb\tc", 80), ["a b c"]);
        assert!(wrapped("  ", 10).is_empty());
        assert_eq!(wrapped("Lakes\u{a0}Train, to\u{a0}go", 6), ["Lakes", "Train,", "to\u{a0}go"]);
    }

    #[test]
    fn a_tidy_text_is_broken_as_any_other() {
        let text =
            "Lakes\u{a0}Train to\u{a0}go on by the Millstreetbridge with\u{a0}no\u{a0}car\u{a0}at\u{a0}all";
        for width in 2..text.len() {
            // Two blanks in front make it untidy, and say nothing.
            assert_eq!(wrapped(text, width), wrapped(&format!("  {text}"), width), "{width}");
        }
    }

    #[test]
    fn a_wide_letter_takes_two_columns() {
        // East Asian Width W, Unicode Standard Annex 11.
        assert_eq!(wrapped("港港港", 4), ["港港", "港"]);
        assert_eq!((wide("a\u{a0}b"), wide("à\u{a0}"), wide("¢"), wide("ab")), (3, 2, 1, 2));
    }
}
