//! How wide columns are, so that tables of one kind agree on them.
//!
//! The groups of a table are tables of their own, each with its heading to repeat; a browser would give each
//! its own columns. The width asked for is what the widest cell takes in the letters of the style sheet, give or take
//! a little: where it is short, the browser makes room.

use super::super::phrase::{Measure, Phrase, Piece};
use super::super::sheet::Table;

/// Heads of columns are smaller.
const HEAD: usize = 833;
/// Words that catch the eye are wider, in thousandths.
const STRONG: usize = 1020;
/// A box to tick.
const TICK: usize = 950;

/// What each column should take, in thousandths of the height of letters; nothing for one that takes the rest.
pub(super) fn of(table: &Table, measure: &Measure) -> Vec<Option<usize>> {
    let mut letters = String::new();
    let mut widths: Vec<Option<usize>> = (table.columns.iter())
        .map(|column| (!column.width.runs_on()).then(|| text(&column.head) * HEAD / 1000))
        .collect();
    for row in table.groups.iter().flat_map(|group| &group.rows) {
        for (width, cell) in widths.iter_mut().zip(&row.cells) {
            if let Some(width) = width {
                *width = (*width).max(phrase(cell, &mut letters, measure));
            }
        }
    }
    widths
}

fn phrase(cell: &Phrase, letters: &mut String, measure: &Measure) -> usize {
    let piece = |piece: &Piece| {
        if *piece == Piece::Tick {
            return TICK;
        }
        letters.clear();
        piece.spell(letters, measure);
        let strong = matches!(piece, Piece::Strong(_) | Piece::Car(_));
        text(letters) * if strong { STRONG } else { 1000 } / 1000
    };
    cell.pieces.iter().map(piece).sum()
}

/// The width of a text, in thousandths of the height of its letters.
fn text(words: &str) -> usize {
    words.chars().map(letter).sum()
}

/// Classes of letters by their widths in the usual sans-serif, rounded up.
fn letter(letter: char) -> usize {
    match letter {
        'f' | 'i' | 'j' | 'l' | 'r' | 't' | 'I' | '.' | ',' | ':' | ';' | '\'' | '(' | ')' | '-' | '/' => 320,
        letter if letter.is_whitespace() => 280,
        'm' | 'w' | 'M' | 'W' | '%' => 900,
        letter if letter.is_uppercase() => 700,
        letter if letter.is_ascii() => 560,
        letter => 560 * unicode_width::UnicodeWidthChar::width(letter).unwrap_or(0),
    }
}
