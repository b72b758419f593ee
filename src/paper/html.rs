//! Lays out the parts of a sheet as HTML: no network, no script needed, fit for the printer.
//!
//! A row of a table and its second line are one `tbody`, as is a group's heading with its first
//! row, so that no car is split over two pages. The heads of columns are repeated on each page, with the
//! heading above them: browsers do so only if both take less than a quarter of it.

use super::drawing;
use super::phrase::{Measure, Phrase, Piece, join};
use super::press::Look;
use super::sheet::{Bar, Block, Card, Column, Fact, Group, Row, Sheet, Table, Width};

/// The class of a line that can stand on the back of a card.
const REVERSE: &str = " class=\"reverse\"";

/// So long words that catch the eye stay on one line: `SET OUT`, `PLACARDED, group 2`.
const TOGETHER: usize = 20;

/// What a part usually takes, in bytes.
const USUAL: usize = 4096;

/// The parts of a sheet as HTML.
pub(super) fn parts(sheet: &Sheet, look: Look, done: &str) -> Vec<String> {
    let measure = &sheet.measure;
    let lay = |part: &[Block]| {
        let mut page =
            Page { out: String::with_capacity(USUAL), letters: String::new(), measure, look, done };
        let mut blocks = part.iter().peekable();
        while let Some(block) = blocks.next() {
            match (block, blocks.peek()) {
                (Block::Heading { words, aside, note }, Some(Block::Table(table))) => {
                    page.table(table, Some((words, aside, note)));
                    blocks.next();
                }
                _ => page.block(block),
            }
        }
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
    done: &'s str,
}

impl Page<'_> {
    fn put(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Facts(facts) => self.facts(facts, &[]),
            Block::Heading { words, aside, note } => self.heading(words, aside, note),
            Block::Say(words) => self.within("<p>", words, "</p>\n"),
            Block::Caution(words) => self.within("<p class=\"caution\">", words, "</p>\n"),
            Block::Table(table) => self.table(table, None),
            Block::Bars(bars) => bars.iter().for_each(|bar| self.bar(bar)),
            Block::Drawing(drawing) => self.put(&drawing::svg(drawing)),
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

    /// A table; a heading above it becomes part of its head, so that every page of it repeats it. What is said
    /// below the heading is said once, and so is what stands beside it where there is little room.
    fn table(&mut self, table: &Table, heading: Option<(&Phrase, &Phrase, &Phrase)>) {
        self.put("<table class=\"rows\">\n<thead>\n");
        let columns = table.columns.len().to_string();
        let nothing = Phrase::default();
        let beside = !self.look.size.is_card();
        if let Some((words, aside, _)) = heading {
            self.out.extend(["<tr><td class=\"heading\" colspan=\"", &columns, "\">"]);
            self.heading(words, if beside { aside } else { &nothing }, &nothing);
            self.put("</td></tr>\n");
        }
        if table.columns.iter().any(|column| !column.head.is_empty()) {
            self.put("<tr class=\"heads\">");
            for column in &table.columns {
                // A column of boxes needs no head, but a head cell must not be empty of meaning.
                let tag = if column.head.is_empty() { "td" } else { "th" };
                self.out.extend(["<", tag, class(column), ">"]);
                escape(&mut self.out, &column.head);
                self.out.extend(["</", tag, ">"]);
            }
            self.put("</tr>\n");
        }
        self.put("</thead>\n");
        if let Some((_, aside, note)) = heading {
            self.below_the_heads(&columns, if beside { &nothing } else { aside }, note);
        }
        for group in &table.groups {
            self.group(table, &columns, group);
        }
        self.put("</table>\n");
    }

    fn below_the_heads(&mut self, columns: &str, aside: &Phrase, note: &Phrase) {
        if aside.is_empty() && note.is_empty() {
            return;
        }
        self.out.extend(["<tbody class=\"note\">\n<tr><td colspan=\"", columns, "\">"]);
        for (open, words) in [("<p class=\"aside\">", aside), ("<p>", note)] {
            if !words.is_empty() {
                self.within(open, words, "</p>");
            }
        }
        self.put("</td></tr>\n</tbody>\n");
    }

    fn group(&mut self, table: &Table, columns: &str, group: &Group) {
        // A group without rows still has its heading: one body that holds no row.
        let bodies = group.rows.len().max(1);
        for place in 0..bodies {
            self.put("<tbody>\n");
            if place == 0 && !group.head.is_empty() {
                self.out.extend(["<tr class=\"group\"><th colspan=\"", columns, "\">"]);
                self.within("", &group.head, "</th></tr>\n");
            }
            if let Some(row) = group.rows.get(place) {
                self.row(table, row);
            }
            if place + 1 == bodies && !group.foot.is_empty() {
                self.out.extend(["<tr class=\"foot\"><td colspan=\"", columns, "\">"]);
                self.within("", &group.foot, "</td></tr>\n");
            }
            self.put("</tbody>\n");
        }
    }

    fn row(&mut self, table: &Table, row: &Row) {
        self.put("<tr>");
        for (column, cell) in table.columns.iter().zip(&row.cells) {
            self.out.extend(["<td", class(column), ">"]);
            self.within("", cell, "</td>");
        }
        self.put("</tr>\n");
        for (class, more) in [("more special", &row.special), ("more", &row.more)] {
            if more.is_empty() {
                continue;
            }
            let (before, span) = (table.second_line, table.columns.len() - table.second_line);
            self.out.extend(["<tr class=\"", class, "\">"]);
            if before > 0 {
                self.out.extend(["<td colspan=\"", &before.to_string(), "\"></td>"]);
            }
            self.out.extend(["<td colspan=\"", &span.to_string(), "\">"]);
            self.within("", more, "</td></tr>\n");
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
                escape(&mut self.out, self.done);
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

fn class(column: &Column) -> &'static str {
    match column.width {
        Width::Fit => " class=\"fit\"",
        Width::Number => " class=\"number\"",
        Width::Rest => "",
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
