//! Lays out the parts of a sheet as HTML: no network, no script needed, fit for the printer.
//!
//! What goes on over a page repeats its heading there: see [`table`].

mod table;
mod widths;

use super::phrase::{Measure, Phrase, Piece, join};
use super::press::Look;
use super::sheet::{Bar, Block, Card, Drawing, DrawnTrack, Fact, Sheet};
use super::words::{Label, Words};
use table::Above;

/// The class of a line that can stand on the back of a card.
const REVERSE: &str = " class=\"reverse\"";

/// So long words that catch the eye stay on one line: `SET OUT`, `PLACARDED, group 2`.
const TOGETHER: usize = 20;

/// What a part usually takes, in bytes.
const USUAL: usize = 4096;

/// The parts of a sheet as HTML.
pub(super) fn parts(sheet: &Sheet, look: Look, words: &Words) -> Vec<String> {
    let measure = &sheet.measure;
    let (done, continued) = (words.shared.tick(), words.shared.continued());
    let when = sheet.when.to_string();
    let lay = |part: &[Block]| {
        let (out, letters) = (String::with_capacity(USUAL), String::new());
        let (done, continued) = (done.clone(), continued.clone());
        let mut page = Page { out, letters, measure, look, done, continued, when: &when };
        page.blocks(part);
        page.out
    };
    sheet.parts().into_iter().map(lay).collect()
}

/// The page as far as it is laid out.
#[derive(Debug)]
struct Page<'s> {
    out: String,
    /// Room to spell in.
    letters: String,
    measure: &'s Measure,
    look: Look,
    /// What a box is for, for those who hear the page.
    done: Label,
    /// What is said of a heading that is repeated.
    continued: Label,
    /// The day, the session and the revision, for what is cut from the page.
    when: &'s str,
}

impl Page<'_> {
    fn put(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    /// Blocks in a row. A heading becomes part of the table or the bars right below it; where something stands
    /// between, what goes on over a page repeats its words.
    fn blocks(&mut self, blocks: &[Block]) {
        let mut above = Above::Nothing;
        let mut left = blocks;
        while let [block, rest @ ..] = left {
            left = rest;
            match (block, rest) {
                (Block::Heading { words, aside, note }, [Block::Table(_) | Block::Bars(_), ..])
                    if note.is_empty() =>
                {
                    above = Above::Heading(words, aside);
                }
                (Block::Heading { words, .. }, _) => {
                    above = Above::Continued(words);
                    self.block(block);
                }
                // What closes a table is a row of it, so that it never stands alone on a page.
                (Block::Table(table), [Block::Foot(foot), after @ ..]) => {
                    left = after;
                    self.table(table, above, Some(foot));
                }
                (Block::Table(table), _) => self.table(table, above, None),
                (Block::Bars(bars), _) => self.bars(bars, above),
                _ => self.block(block),
            }
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Facts(facts) => self.facts(facts, &[]),
            Block::Heading { words, aside, note } => self.heading(words, aside, note),
            Block::Say(words) | Block::Foot(words) => self.within("<p>", words, "</p>\n"),
            Block::Caution(words) => self.within("<p class=\"caution\">", words, "</p>\n"),
            Block::Table(table) => self.table(table, Above::Nothing, None),
            Block::Bars(bars) => self.bars(bars, Above::Nothing),
            Block::Drawing(drawing) => self.drawing(drawing),
            Block::Cards(cards) if self.look.duplex => self.both_sides(cards),
            Block::Cards(cards) => {
                self.put("<div class=\"cards\">\n");
                for card in cards {
                    self.card(card, &card.facts, &card.reverse);
                }
                self.put("</div>\n");
            }
            Block::Ruled(lines) => {
                for _ in 0..*lines {
                    self.put("<p class=\"ruled\"></p>\n");
                }
            }
        }
    }

    fn heading(&mut self, words: &Phrase, aside: &Phrase, note: &Phrase) {
        self.within("<h2><span>", words, "</span> ");
        self.within("<span class=\"aside\">", aside, "</span></h2>\n");
        if !note.is_empty() {
            self.within("<p>", note, "</p>\n");
        }
    }

    fn bar(&mut self, bar: &Bar) {
        // Tenths of a hundredth, so that bars that meet do.
        let share = |minutes: u32| {
            let parts = minutes.min(bar.whole) * 1000 / bar.whole.max(1);
            format!("{}.{}%", parts / 10, parts % 10)
        };
        let (from, wide) = (share(bar.from), share(bar.to.saturating_sub(bar.from)));
        self.within("<div class=\"bar\"><p>", &bar.words, "</p>");
        self.put("<div class=\"line\"><div class=\"fill\" style=\"margin-left:");
        self.out.extend([&*from, ";width:", &wide, "\"></div></div></div>\n"]);
    }

    /// A line for each track; its letters are the page's, and grow with them.
    fn drawing(&mut self, drawing: &Drawing) {
        self.put("<figure class=\"drawing\">\n<figcaption>");
        escape(&mut self.out, &drawing.words);
        self.put("</figcaption>\n<div class=\"tracks\">\n");
        for track in &drawing.tracks {
            self.track(track);
        }
        self.put("</div>\n</figure>\n");
    }

    fn track(&mut self, track: &DrawnTrack) {
        self.put("<span>");
        escape(&mut self.out, &track.name);
        let ends = match (track.opens_left, track.opens_right) {
            (true, true) => " left right",
            (true, false) => " left",
            (false, true) => " right",
            (false, false) => "",
        };
        self.out.extend(["</span><span class=\"line", ends, "\">"]);
        for spot in &track.spots {
            self.put("<span>");
            escape(&mut self.out, spot);
            self.put("</span>");
        }
        self.put("</span>\n");
    }

    fn facts(&mut self, facts: &[Fact], reverse: &[Fact]) {
        self.put("<table class=\"facts\">\n<tbody>\n");
        let (front, back) = (facts.iter().map(|fact| (fact, "")), reverse.iter().map(|fact| (fact, REVERSE)));
        for (fact, class) in front.chain(back) {
            self.out.extend(["<tr", class, "><th scope=\"row\">"]);
            escape(&mut self.out, &fact.label);
            self.within("</th><td>", &fact.words, "</td></tr>\n");
        }
        self.put("</tbody>\n</table>\n");
    }

    fn card(&mut self, card: &Card, facts: &[Fact], reverse: &[Fact]) {
        self.within("<section class=\"card\">\n<h2>", &card.title, "</h2>\n");
        self.within("<p class=\"aside\">", &card.aside, "</p>\n");
        if !facts.is_empty() || !reverse.is_empty() {
            self.facts(facts, reverse);
        }
        // Card stock says so at its foot.
        if !self.look.size.is_card() {
            self.put("<p class=\"of\">");
            escape(&mut self.out, self.when);
            self.put("</p>\n");
        }
        self.put("</section>\n");
    }

    /// A sheet of fronts, then the sheet of their backs, which lie behind them once the paper is turned on its
    /// long edge: what is left on the front is right on the back.
    fn both_sides(&mut self, cards: &[Card]) {
        let (across, down) = self.look.grid();
        for sheet in cards.chunks(across * down) {
            self.put("<div class=\"cards turned\">\n");
            for card in sheet {
                self.card(card, &card.facts, &[]);
            }
            self.put("</div>\n<div class=\"cards turned backs\">\n");
            for row in sheet.chunks(across) {
                for _ in row.len()..across {
                    self.put("<div></div>\n");
                }
                for card in row.iter().rev() {
                    self.card(card, &card.reverse, &[]);
                }
            }
            self.put("</div>\n");
        }
    }

    /// A phrase between two pieces of markup.
    fn within(&mut self, open: &str, phrase: &Phrase, close: &str) {
        self.put(open);
        for piece in &phrase.pieces {
            self.piece(piece);
        }
        self.put(close);
    }

    fn piece(&mut self, piece: &Piece) {
        let tags = match piece {
            Piece::Words(words) => return escape(&mut self.out, words),
            Piece::Strong(words) => {
                self.put("<strong>");
                if words.len() > TOGETHER {
                    escape(&mut self.out, words);
                } else {
                    self.letters.clear();
                    join(&mut self.letters, words);
                    escape(&mut self.out, &self.letters);
                }
                return self.put("</strong>");
            }
            Piece::Tick => {
                self.put("<input type=\"checkbox\" class=\"tick\" aria-label=\"");
                escape(&mut self.out, &self.done);
                return self.put("\">");
            }
            Piece::Room(wide) => {
                let wide = wide.to_string();
                return self.out.extend(["<span class=\"room\" style=\"width:", &wide, "ch\"></span>"]);
            }
            Piece::Car(_) => ("<b class=\"car\">", "</b>"),
            Piece::Length(_) | Piece::Tons(_) | Piece::Cars(_) => ("<span class=\"quantity\">", "</span>"),
        };
        self.put(tags.0);
        self.letters.clear();
        piece.spell(&mut self.letters, self.measure);
        escape(&mut self.out, &self.letters);
        self.put(tags.1);
    }
}

/// The text with everything replaced that means something to HTML.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    escape(&mut out, text);
    out
}

/// The bytes that are, or may begin, a sign to be replaced: the last begins the controls beyond ASCII.
const SUSPECT: [bool; 256] = {
    let mut suspect = [false; 256];
    let signs = *b"&<>\"'\x7f\xc2";
    let mut place = 0;
    while place < signs.len() {
        suspect[signs[place] as usize] = true;
        place += 1;
    }
    let mut control = 0;
    while control < b' ' as usize {
        suspect[control] = true;
        control += 1;
    }
    suspect
};

/// Writes a text with everything replaced that means something to HTML.
fn escape(out: &mut String, text: &str) {
    if !text.bytes().any(|byte| SUSPECT[usize::from(byte)]) {
        out.push_str(text);
        return;
    }
    let mut from = 0;
    for (place, letter) in text.char_indices() {
        let said = match letter {
            '&' => "&amp;",
            '<' => "&lt;",
            '>' => "&gt;",
            '"' => "&quot;",
            '\'' => "&#39;",
            // HTML allows no control characters but blanks of its own.
            _ if letter.is_control() => " ",
            _ => continue,
        };
        out.push_str(&text[from..place]);
        out.push_str(said);
        from = place + letter.len_utf8();
    }
    out.push_str(&text[from..]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::sheet::When;
    use crate::paper::words::Words;

    #[test]
    fn names_of_the_host_cannot_break_the_page() {
        let sheet = Sheet {
            name: "trial".to_owned(),
            form: "trial",
            job: None,
            kind: "Trial".into(),
            title: "<b>Mill & \"Son's\"\u{7}".to_owned(),
            whose: String::new(),
            when: When::default(),
            foot: String::new(),
            measure: Words::default().measure(false),
            blocks: vec![Block::Say(Phrase::of("1 < 2"))],
        };
        let page = crate::paper::html(&sheet);
        assert!(page.contains("<h1>&lt;b&gt;Mill &amp; &quot;Son&#x27;s&quot;"), "{page}");
        assert!(page.contains("<p>1 &lt; 2</p>"));
    }
}
