//! Letters of ASCII for those beyond it, for printers and screens that know no others.

use std::borrow::Cow;

use crate::paper::phrase::{JOINED, Piece};
use crate::paper::sheet::{Block, Fact, Sheet};
use crate::paper::words::Label;

/// Plain letters, and the accented ones that become them (Latin-1 and Latin Extended-A of Unicode).
const PLAIN: [(&str, &str); 34] = [
    ("A", "ÀÁÂÃÅĀĂĄ"),
    ("C", "ÇĆĈĊČ"),
    ("D", "ĎĐÐ"),
    ("E", "ÈÉÊËĒĔĖĘĚ"),
    ("G", "ĜĞĠĢ"),
    ("I", "ÌÍÎÏĨĪĬĮİ"),
    ("L", "ĹĻĽĿŁ"),
    ("N", "ÑŃŅŇ"),
    ("O", "ÒÓÔÕØŌŎŐ"),
    ("R", "ŔŖŘ"),
    ("S", "ŚŜŞŠ"),
    ("T", "ŢŤŦ"),
    ("U", "ÙÚÛŨŪŬŮŰŲ"),
    ("Y", "ÝŶŸ"),
    ("Z", "ŹŻŽ"),
    ("a", "àáâãåāăą"),
    ("c", "çćĉċč"),
    ("d", "ďđð"),
    ("e", "èéêëēĕėęě"),
    ("g", "ĝğġģ"),
    ("i", "ìíîïĩīĭįı"),
    ("l", "ĺļľŀł"),
    ("n", "ñńņň"),
    ("o", "òóôõøōŏő"),
    ("r", "ŕŗř"),
    ("s", "śŝşš"),
    ("t", "ţťŧ"),
    ("u", "ùúûũūŭůűų"),
    ("y", "ýŷÿ"),
    ("z", "źżž"),
    ("'", "‘’′"),
    ("\"", "“”″"),
    ("-", "–—−"),
    ("x", "×"),
];

/// Letters that become two.
const DOUBLE: [(char, &str); 10] = [
    ('Ä', "Ae"),
    ('Ö', "Oe"),
    ('Ü', "Ue"),
    ('ä', "ae"),
    ('ö', "oe"),
    ('ü', "ue"),
    ('ß', "ss"),
    ('Æ', "Ae"),
    ('æ', "ae"),
    ('œ', "oe"),
];

/// The sheet with nothing beyond ASCII in its words.
pub(super) fn sheet(mut sheet: Sheet) -> Sheet {
    for words in [&mut sheet.title, &mut sheet.whose, &mut sheet.when.before, &mut sheet.when.after] {
        plain(words);
    }
    plain_label(&mut sheet.kind);
    for measure in [&mut sheet.measure.length, &mut sheet.measure.weight, &mut sheet.measure.cars] {
        measure.texts().for_each(plain_label);
    }
    for block in &mut sheet.blocks {
        match block {
            Block::Facts(facts) => plain_facts(facts),
            Block::Table(table) => {
                table.columns.iter_mut().for_each(|column| plain_label(&mut column.head));
            }
            Block::Cards(cards) => {
                for card in cards {
                    plain_facts(&mut card.facts);
                    plain_facts(&mut card.reverse);
                }
            }
            Block::Drawing(drawing) => {
                plain(&mut drawing.words);
                for track in &mut drawing.tracks {
                    plain(&mut track.name);
                    track.spots.iter_mut().for_each(plain);
                }
            }
            _ => {}
        }
    }
    for piece in sheet.phrases_mut().into_iter().flat_map(|phrase| &mut phrase.pieces) {
        match piece {
            Piece::Words(words) | Piece::Strong(words) => plain_label(words),
            Piece::Car(car) => {
                if let Cow::Owned(said) = in_ascii(car.as_str()) {
                    *car = said.as_str().into();
                }
            }
            _ => {}
        }
    }
    sheet
}

fn plain_facts(facts: &mut [Fact]) {
    for fact in facts {
        plain_label(&mut fact.label);
    }
}

fn plain_label(words: &mut Label) {
    if let Cow::Owned(said) = in_ascii(words) {
        *words = Cow::Owned(said);
    }
}

fn plain(words: &mut String) {
    if let Cow::Owned(said) = in_ascii(words) {
        *words = said;
    }
}

/// The words in ASCII; what has no letter there is a question mark. The blank that holds words
/// together stays until lines are broken.
fn in_ascii(words: &str) -> Cow<'_, str> {
    if words.chars().all(|letter| letter.is_ascii() || letter == JOINED) {
        return Cow::Borrowed(words);
    }
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        if letter.is_ascii() || letter == JOINED {
            out.push(letter);
        } else if let Some((_, two)) = DOUBLE.iter().find(|(known, _)| *known == letter) {
            out.push_str(two);
        } else {
            out.push_str(PLAIN.iter().find(|(_, many)| many.contains(letter)).map_or("?", |(one, _)| one));
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_go_and_what_is_unknown_is_seen_to_be() {
        assert_eq!(in_ascii("Mühle Łódź"), "Muehle Lodz");
        assert_eq!(in_ascii("港"), "?");
        assert!(matches!(in_ascii("plain"), Cow::Borrowed(_)));
    }
}
