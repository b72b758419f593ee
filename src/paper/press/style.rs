//! The style sheet of a page: the common rules, the paper's size, and what every printed page says
//! of itself: whose it is, of which session and plan, and which of how many.

use super::look::Look;
use crate::paper::sheet::Sheet;
use crate::paper::words::Words;

const COMMON: &str = include_str!("../forms/page.css");
/// On cards letters are no larger than lets a car's card be one card, and a train's row in the moves be on one.
const LARGE: &str = "html { font-size: 18pt; }\n.card-6 { font-size: 13pt; }\n.car-cards.card-6 { font-size: 12.5pt; }\n.card-5 { font-size: 12pt; }\n\
     .switch-list.card-6 td.fit:nth-child(4) { white-space: normal; }\n\
     .switch-list.card-6 col:nth-child(4) { width: 24mm !important; }\n\
     .car-cards.two-sided.sheet, .car-cards.two-sided.half { font-size: 14pt; }\n\
     @media print { .sheet .turned { grid-auto-rows: 120mm; } .half .turned { grid-auto-rows: 93mm; } \
     .car-cards.one-sided:is(.sheet, .half) { font-size: 14pt; } .sheet.one-sided .cards { grid-auto-rows: auto; } }\n\
     \n.half .fit, .half .number { white-space: normal; }\n\
     .moves:is(.half, .card-6) .rows td.fit:nth-child(4) { min-width: 54mm; }\n\
     .moves:is(.half, .card-6) .rows :is(td, th)[colspan=\"2\"]:last-child { width: 1%; text-align: right; }\n\
     .half .part > thead div { height: 2.375em; font-size: .8em; }\n";

pub(super) fn sheet(sheet: &Sheet, look: Look, words: &Words) -> String {
    let (foot, when) = (in_quotes(&sheet.foot), in_quotes(&sheet.when.to_string()));
    let (page, size) = (page_of(words), look.size.page());
    let margin = look.in_the_margin();
    format!(
        "@page {{ {size};\n  @bottom-left {{ {margin}; content: \"{foot}\\a {when}\"; }}\n  \
         @bottom-right {{ {margin}; content: {page}; }} }}\n{COMMON}{}",
        if look.large { LARGE } else { "" }
    )
}

/// `page 2 of 5`, with the numbers counted by whoever prints.
fn page_of(words: &Words) -> String {
    let said = in_quotes(&words.shared.page_of(PAGE, PAGES).text());
    let said =
        format!("\"{said}\"").replace(PAGE, "\" counter(page) \"").replace(PAGES, "\" counter(pages) \"");
    said.trim_start_matches("\"\" ").trim_end_matches(" \"\"").to_owned()
}

/// Stand for the two numbers; no text has them (letters that Unicode leaves to private use).
const PAGE: &str = "\u{e000}";
const PAGES: &str = "\u{e001}";

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
    fn the_numbers_of_pages_are_counted_by_whoever_prints() {
        assert_eq!(page_of(&Words::default()), "\"page \" counter(page) \" of \" counter(pages)");
    }

    #[test]
    fn a_name_cannot_end_the_style() {
        // CSS Syntax Level 3, section 4.3.7: a backslash, hexadecimal digits, one blank.
        assert_eq!(in_quotes("a\"</style>"), "a\\22 \\3c /style\\3e ");
    }
}
