//! The style sheet of a page: the common rules, the paper's size, and what every printed page says
//! of itself: whose it is, and which of how many.

use super::look::Look;
use crate::paper::sheet::Sheet;

const COMMON: &str = include_str!("../forms/page.css");
/// On cards letters are no larger than lets a car's card be one card.
const LARGE: &str = "html { font-size: 18pt; }\n.car-cards.card-6 { font-size: 14pt; }\n.car-cards.card-5 { font-size: 12pt; }\n\
     @media print { .sheet .turned { grid-auto-rows: 120mm; } .half .turned { grid-auto-rows: 93mm; } }\n";

pub(super) fn sheet(sheet: &Sheet, look: Look) -> String {
    let foot = in_quotes(&format!("{}, {}", sheet.title, sheet.kind.to_lowercase()));
    let when = in_quotes(&sheet.when);
    let size = look.size.page();
    format!(
        "@page {{ {size};\n  @bottom-left {{ content: \"{foot}\"; }}\n  @bottom-center {{ content: \"{when}\"; }}\n  \
         @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); }} }}\n{COMMON}{}",
        if look.large { LARGE } else { "" }
    )
}

/// Words as a style sheet may quote them; what could end the quote or the style is written by its number.
fn in_quotes(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        if matches!(letter, '"' | '\\' | '<' | '>' | '&') || letter.is_control() {
            out.extend(["\\", &format!("{:x}", u32::from(letter)), " "]);
        } else {
            out.push(letter);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_cannot_end_the_style() {
        // CSS Syntax Level 3, section 4.3.7: a backslash, hexadecimal digits, one blank.
        assert_eq!(in_quotes("a\"</style>"), "a\\22 \\3c /style\\3e ");
    }
}
