//! Lays out the parts of a sheet as HTML: no network, no script needed, fit for the printer.
//!
//! A row of a table and its second line are one `tbody`, as is a group's heading with its first
//! row, so that no car is split over two pages; the heads of columns are repeated on each page.

use std::fmt::Write as _;

use super::drawing;
use super::phrase::{Measure, Phrase, Piece, joined};
use super::sheet::{Bar, Block, Card, Column, Fact, Group, Row, Sheet, Table, Width};

/// The parts of a sheet as HTML.
pub(super) fn parts(sheet: &Sheet) -> Vec<String> {
    let lay = |part: &[Block]| {
        let mut page = Page { out: String::new(), measure: sheet.measure };
        let mut blocks = part.iter().peekable();
        while let Some(block) = blocks.next() {
            match (block, blocks.peek()) {
                // The heading becomes the head of the table, so that every page of it repeats it.
                (Block::Heading { words, aside, note }, Some(Block::Table(table))) => {
                    let heading = page.heading(words, aside, note);
                    page.table(table, Some(&heading));
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
struct Page {
    out: String,
    measure: Measure,
}

impl Page {
    fn put(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Facts(facts) => self.facts(facts),
            Block::Heading { words, aside, note } => {
                let heading = self.heading(words, aside, note);
                self.put(&heading);
            }
            Block::Say(words) => {
                let words = self.phrase(words);
                self.put(&format!("<p>{words}</p>\n"));
            }
            Block::Caution(words) => {
                let words = self.phrase(words);
                self.put(&format!("<p class=\"caution\">{words}</p>\n"));
            }
            Block::Table(table) => self.table(table, None),
            Block::Bars(bars) => bars.iter().for_each(|bar| self.bar(bar)),
            Block::Drawing(drawing) => self.put(&drawing::svg(drawing)),
            Block::Cards(cards) => {
                self.put("<div class=\"cards\">\n");
                for card in cards {
                    self.card(card);
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

    fn heading(&self, words: &Phrase, aside: &Phrase, note: &Phrase) -> String {
        let (words, aside) = (self.phrase(words), self.phrase(aside));
        let mut heading = format!("<h2><span>{words}</span> <span class=\"aside\">{aside}</span></h2>\n");
        if !note.is_empty() {
            heading.extend(["<p>", &self.phrase(note), "</p>\n"]);
        }
        heading
    }

    fn bar(&mut self, bar: &Bar) {
        // Tenths of a hundredth, so that bars that meet do.
        let share = |minutes: u32| {
            let parts = minutes.min(bar.whole) * 1000 / bar.whole.max(1);
            format!("{}.{}%", parts / 10, parts % 10)
        };
        let words = self.phrase(&bar.words);
        let (from, wide) = (share(bar.from), share(bar.to.saturating_sub(bar.from)));
        self.put(&format!(
            "<div class=\"bar\"><p>{words}</p><div class=\"line\"><div class=\"fill\" \
             style=\"margin-left:{from};width:{wide}\"></div></div></div>\n"
        ));
    }

    fn facts(&mut self, facts: &[Fact]) {
        self.put("<table class=\"facts\">\n<tbody>\n");
        for fact in facts {
            let (label, words) = (escaped(fact.label), self.phrase(&fact.words));
            self.put(&format!("<tr><th scope=\"row\">{label}</th><td>{words}</td></tr>\n"));
        }
        self.put("</tbody>\n</table>\n");
    }

    fn card(&mut self, card: &Card) {
        let (title, aside) = (self.phrase(&card.title), self.phrase(&card.aside));
        self.put(&format!("<section class=\"card\">\n<h3>{title}</h3>\n<p class=\"aside\">{aside}</p>\n"));
        self.facts(&card.facts);
        self.put("</section>\n");
    }

    fn table(&mut self, table: &Table, heading: Option<&str>) {
        self.put("<table class=\"rows\">\n<thead>\n");
        let columns = table.columns.len();
        if let Some(heading) = heading {
            self.put(&format!("<tr><td class=\"heading\" colspan=\"{columns}\">{heading}</td></tr>\n"));
        }
        if table.columns.iter().any(|column| !column.head.is_empty()) {
            self.put("<tr class=\"heads\">");
            for column in &table.columns {
                let (class, head) = (class(*column), escaped(column.head));
                // A column of boxes needs no head, but a head cell must not be empty of meaning.
                let tag = if head.is_empty() { "td" } else { "th" };
                self.put(&format!("<{tag}{class}>{head}</{tag}>"));
            }
            self.put("</tr>\n");
        }
        self.put("</thead>\n");
        for group in &table.groups {
            self.group(table, group);
        }
        self.put("</table>\n");
    }

    fn group(&mut self, table: &Table, group: &Group) {
        let columns = table.columns.len();
        // A group without rows still has its heading: one body that holds no row.
        let bodies = group.rows.len().max(1);
        for place in 0..bodies {
            self.put("<tbody>\n");
            if place == 0 && !group.head.is_empty() {
                let head = self.phrase(&group.head);
                self.put(&format!("<tr class=\"group\"><th colspan=\"{columns}\">{head}</th></tr>\n"));
            }
            if let Some(row) = group.rows.get(place) {
                self.row(table, row);
            }
            if place + 1 == bodies && !group.foot.is_empty() {
                let foot = self.phrase(&group.foot);
                self.put(&format!("<tr class=\"foot\"><td colspan=\"{columns}\">{foot}</td></tr>\n"));
            }
            self.put("</tbody>\n");
        }
    }

    fn row(&mut self, table: &Table, row: &Row) {
        self.put("<tr>");
        for (column, cell) in table.columns.iter().zip(&row.cells) {
            let (class, cell) = (class(*column), self.phrase(cell));
            self.put(&format!("<td{class}>{cell}</td>"));
        }
        self.put("</tr>\n");
        if !row.more.is_empty() {
            let more = self.phrase(&row.more);
            let (before, span) = (table.second_line, table.columns.len() - table.second_line);
            let blank = if before == 0 { String::new() } else { format!("<td colspan=\"{before}\"></td>") };
            self.put(&format!("<tr class=\"more\">{blank}<td colspan=\"{span}\">{more}</td></tr>\n"));
        }
    }

    fn phrase(&self, phrase: &Phrase) -> String {
        let mut out = String::new();
        for piece in &phrase.pieces {
            let letters = escaped(&piece.letters(self.measure));
            let written = match piece {
                Piece::Words(_) => write!(out, "{letters}"),
                Piece::Strong(words) => write!(out, "<strong>{}</strong>", escaped(&joined(words))),
                Piece::Car(_) => write!(out, "<b class=\"car\">{letters}</b>"),
                Piece::Length(_) | Piece::Tons(_) | Piece::Cars(_) => {
                    write!(out, "<span class=\"quantity\">{letters}</span>")
                }
                Piece::Tick => write!(out, "<input type=\"checkbox\" class=\"tick\" aria-label=\"done\">"),
                Piece::Room(wide) => write!(out, "<span class=\"room\" style=\"width:{wide}ch\"></span>"),
            };
            written.expect("a string takes whatever is written to it");
        }
        out
    }
}

fn class(column: Column) -> &'static str {
    match column.width {
        Width::Fit => " class=\"fit\"",
        Width::Number => " class=\"number\"",
        Width::Rest => "",
    }
}

/// The text with everything replaced that means something to HTML.
pub(super) fn escaped(text: &str) -> String {
    let means = |letter: char| matches!(letter, '&' | '<' | '>' | '"' | '\'') || letter.is_control();
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(place) = rest.find(means) {
        let (plain, from) = rest.split_at(place);
        let mut letters = from.chars();
        out.push_str(plain);
        out.push_str(match letters.next() {
            Some('&') => "&amp;",
            Some('<') => "&lt;",
            Some('>') => "&gt;",
            Some('"') => "&quot;",
            Some('\'') => "&#39;",
            // HTML allows no control characters but blanks of its own.
            _ => " ",
        });
        rest = letters.as_str();
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_the_host_cannot_break_the_page() {
        let sheet = Sheet {
            name: "trial".to_owned(),
            form: "trial",
            job: None,
            kind: "Trial",
            title: "<b>Mill & \"Son's\"\u{7}".to_owned(),
            whose: String::new(),
            when: String::new(),
            measure: Measure::default(),
            blocks: vec![Block::Say(Phrase::of("1 < 2"))],
        };
        let page = crate::paper::html(&sheet);
        assert!(page.contains("<h1>&lt;b&gt;Mill &amp; &quot;Son&#x27;s&quot;"), "{page}");
        assert!(page.contains("<p>1 &lt; 2</p>"));
    }
}
