//! Bytes of a text file, whatever program saved it.
//!
//! A byte-order mark says what it is. Without one: UTF-16 where every other byte is nothing, UTF-8
//! where it is sound UTF-8, and else Windows-1252, in which every byte is a letter.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// A text, and how it was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded {
    /// The text, without a byte-order mark.
    pub text: String,
    /// What it was saved as, where that was not UTF-8.
    pub saved_as: Option<&'static str>,
    /// Whether it began with the mark of UTF-8.
    pub marked: bool,
}

/// Reads a text.
pub fn decode(bytes: &[u8]) -> Decoded {
    let (encoding, marked) = match Encoding::for_bom(bytes) {
        Some((encoding, _)) => (encoding, encoding == UTF_8),
        None => (guessed(bytes), false),
    };
    let (text, _) = encoding.decode_with_bom_removal(bytes);
    let saved_as = (encoding != UTF_8).then(|| encoding.name());
    Decoded { text: Cow::into_owned(text), saved_as: saved_as.map(plain_name), marked }
}

fn plain_name(name: &'static str) -> &'static str {
    match name {
        "windows-1252" => "Windows-1252",
        _ => "UTF-16",
    }
}

/// What a text without a mark is saved as.
fn guessed(bytes: &[u8]) -> &'static Encoding {
    let nothing = |odd: usize| bytes.iter().skip(odd).step_by(2).filter(|byte| **byte == 0).count();
    // A table is mostly plain letters and separators: in UTF-16 these have a byte that is nothing.
    let most = bytes.len() / 4;
    if bytes.len() >= 4 && nothing(1) > most {
        UTF_16LE
    } else if bytes.len() >= 4 && nothing(0) > most {
        UTF_16BE
    } else if std::str::from_utf8(bytes).is_ok() {
        UTF_8
    } else {
        WINDOWS_1252
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_text_is_read_alike_from_every_encoding() {
        let text = "mark;number;note\r\nCHT;7;grün, 40 € wert\r\n";
        let wide = |swap: bool| -> Vec<u8> {
            let pair = |unit: u16| if swap { unit.to_be_bytes() } else { unit.to_le_bytes() };
            text.encode_utf16().flat_map(pair).collect()
        };
        let with = |mark: &[u8], rest: &[u8]| [mark, rest].concat();
        // In Windows-1252 ü is FC and € is 80 (the table that Unicode publishes for it).
        let narrow: Vec<u8> = text
            .chars()
            .map(|letter| match letter {
                'ü' => 0xFC,
                '€' => 0x80,
                plain => u8::try_from(plain).unwrap(),
            })
            .collect();
        for (bytes, saved_as, marked) in [
            (text.as_bytes().to_vec(), None, false),
            (with(b"\xEF\xBB\xBF", text.as_bytes()), None, true),
            (with(b"\xFF\xFE", &wide(false)), Some("UTF-16"), false),
            (with(b"\xFE\xFF", &wide(true)), Some("UTF-16"), false),
            (wide(false), Some("UTF-16"), false),
            (wide(true), Some("UTF-16"), false),
            (narrow, Some("Windows-1252"), false),
        ] {
            assert_eq!(decode(&bytes), Decoded { text: text.to_owned(), saved_as, marked });
        }
    }

    #[test]
    fn nothing_is_nothing() {
        assert_eq!(decode(b"").text, "");
    }
}
