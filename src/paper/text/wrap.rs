//! Breaks words into lines of a width, counted as a terminal shows them.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::paper::phrase::JOINED;

/// How many columns a text takes. Plain letters take one each: counting them is much quicker than
/// looking every one up, and most of a sheet is plain.
pub(super) fn wide(text: &str) -> usize {
    let plain = |letter: char| matches!(letter, ' '..='~' | JOINED);
    if text.chars().all(plain) { text.chars().count() } else { text.width() }
}

/// The text in lines no wider than `width`. Lines end at blanks; a word that is too long for any
/// line is cut. Blanks that keep things together are not broken at.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(2); // the widest letter
    let mut lines = Vec::new();
    let (mut line, mut taken) = (String::new(), 0);
    let breaks = |letter: char| letter != JOINED && (letter.is_whitespace() || letter.is_control());
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
            lines.push(std::mem::take(&mut line));
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
                lines.push(std::mem::take(&mut line));
                taken = 0;
            }
            line.push(letter);
            taken += length;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_fill_lines_and_long_ones_are_cut() {
        assert_eq!(wrap("pull the two cars", 8), ["pull the", "two cars"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(wrap("a\nb\tc", 80), ["a b c"]);
        assert!(wrap("  ", 10).is_empty());
        assert_eq!(wrap("Lakes\u{a0}Train, to\u{a0}go", 6), ["Lakes", "Train,", "to\u{a0}go"]);
    }

    #[test]
    fn a_wide_letter_takes_two_columns() {
        // East Asian Width W, Unicode Standard Annex 11.
        assert_eq!(wrap("港港港", 4), ["港港", "港"]);
    }
}
