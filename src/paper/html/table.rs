//! Tables, so that nothing is torn apart at the end of a page and everything says there what it belongs to.
//!
//! A row of a table and its second line are one `tbody`, so that no car is split over two pages; so are a group's
//! heading and its first row, and its last row and its foot. The heads of columns are repeated on each page, with the heading above them:
//! browsers do so only if both take less than a quarter of it. A group of several rows is a table within the table,
//! whose own head says in short that it is continued; on its first page the style sheet hides that.

use super::super::phrase::{Phrase, Piece};
use super::super::press::Size;
use super::super::sheet::{Bar, Column, Group, Row, Table, Width};
use super::{Page, escape, widths};

/// So many letters the heading of a card has room for in one line.
const CARD_LINE: usize = 42;
/// So many letters may be repeated on every page.
const REPEATED: usize = 250;
/// So many lines a small card has below a heading.
const CARD_LINES: usize = 9;

/// The cell that has the room of a column that stands below.
const WIDER: &str = " colspan=\"2\"";

/// What stands above a table.
#[derive(Debug)]
pub(super) struct Heading<'s> {
    pub(super) words: &'s Phrase,
    pub(super) aside: &'s Phrase,
    /// What is said below it, once.
    pub(super) notes: Vec<&'s Phrase>,
}

impl Page<'_> {
    /// A table; a heading above it becomes part of its head, so that every page of it repeats it. What is said
    /// below the heading is said once, and so is what stands beside it where there is little room.
    pub(super) fn table(&mut self, table: &Table, heading: Option<&Heading<'_>>) {
        self.put("<table class=\"rows\">\n");
        let grouped = table.groups.iter().any(|group| self.is_table(group));
        let columns = if grouped { self.columns(table) } else { String::new() };
        self.put(&columns);
        self.put("<thead>\n");
        let span = table.columns.len().to_string();
        self.repeated(&span, heading);
        if table.columns.iter().any(|column| !column.head.is_empty()) {
            self.put("<tr class=\"heads\">");
            let (below, shown) = self.beside(table);
            for (place, column) in shown.iter().enumerate() {
                // A column of boxes needs no head, but a head cell must not be empty of meaning.
                let tag = if column.head.is_empty() { "td" } else { "th" };
                let class = if below && place + 1 == shown.len() { WIDER } else { class(column) };
                self.out.extend(["<", tag, class, ">"]);
                escape(&mut self.out, &column.head);
                self.out.extend(["</", tag, ">"]);
            }
            self.put("</tr>\n");
        }
        self.put("</thead>\n");
        self.said_once(&span, heading, table.groups.first());
        for group in &table.groups {
            if self.is_table(group) {
                self.within_the_table(table, &span, &columns, group);
            } else {
                self.group(table, &span, group);
            }
        }
        self.put("</table>\n");
    }

    /// Bars below a heading that every page of them repeats.
    pub(super) fn bars(&mut self, bars: &[Bar], heading: &Heading<'_>) {
        self.put("<table class=\"rows bars\">\n<thead>\n");
        self.repeated("1", Some(heading));
        self.put("</thead>\n");
        self.said_once("1", Some(heading), None);
        for bar in bars {
            self.put("<tbody>\n<tr><td>");
            self.bar(bar);
            self.put("</td></tr>\n</tbody>\n");
        }
        self.put("</table>\n");
    }

    fn repeated(&mut self, span: &str, heading: Option<&Heading<'_>>) {
        let Some(heading) = heading else { return };
        let nothing = Phrase::default();
        let aside = if self.is_below(heading) { &nothing } else { heading.aside };
        self.out.extend(["<tr><td class=\"heading\" colspan=\"", span, "\">"]);
        self.heading(heading.words, aside, &nothing);
        if self.is_above(heading) {
            for note in heading.notes.iter().filter(|note| !note.is_empty()) {
                self.within("<p>", note, "</p>\n");
            }
        }
        self.put("</td></tr>\n");
    }

    /// Whether what is said below a heading is short enough to be repeated with it, above the heads of columns; not
    /// where it tells how a call begins.
    fn is_above(&self, heading: &Heading<'_>) -> bool {
        let letters: usize = heading.notes.iter().map(|note| self.count(note)).sum();
        let room = match (self.look.size.is_whole(), self.look.large) {
            (true, false) => REPEATED,
            (true, true) | (false, false) => REPEATED / 2,
            (false, true) => 0,
        };
        self.headed && !self.look.size.is_card() && letters <= room
    }

    /// Whether a heading has no room beside it.
    fn is_below(&self, heading: &Heading<'_>) -> bool {
        self.look.size.is_card() && self.count(heading.words) + self.count(heading.aside) > CARD_LINE
    }

    /// How many letters a phrase takes.
    fn count(&self, words: &Phrase) -> usize {
        words.letters(self.measure).chars().count()
    }

    /// What is said below a heading, once; it stays with the first row, unless a card has no room for both.
    fn said_once(&mut self, span: &str, heading: Option<&Heading<'_>>, first: Option<&Group>) {
        let Some(heading) = heading else { return };
        let aside = Some(heading.aside).filter(|_| self.is_below(heading));
        let above = self.is_above(heading);
        let notes = heading.notes.iter().filter(|_| !above).map(|note| ("<p>", *note));
        let said = aside.map(|aside| ("<p class=\"aside\">", aside)).into_iter().chain(notes);
        let said: Vec<_> = said.filter(|(_, words)| !words.is_empty()).collect();
        if said.is_empty() {
            return;
        }
        let apart =
            if self.fills_a_card(said.iter().map(|(_, words)| *words), first) { " apart" } else { "" };
        self.out.extend(["<tbody class=\"note", apart, "\">\n<tr><td colspan=\"", span, "\">"]);
        for (open, words) in said {
            self.within(open, words, "</p>");
        }
        self.put("</td></tr>\n</tbody>\n");
    }

    /// Whether a card has no room for notes and the first row of a group: a browser would break them anywhere.
    fn fills_a_card<'p>(&self, notes: impl Iterator<Item = &'p Phrase>, first: Option<&'p Group>) -> bool {
        let room = match self.look.size {
            Size::ThreeByFive => CARD_LINES,
            Size::FourBySix => CARD_LINES + 4,
            _ => return false,
        };
        let row = first.and_then(|group| group.rows.first());
        let last = row.and_then(|row| row.cells.last());
        let below = row.into_iter().flat_map(|row| [&row.special, &row.more]).chain(last);
        let all = notes.chain(first.map(|group| &group.head)).chain(below);
        1 + all.map(|words| self.count(words).div_ceil(CARD_LINE)).sum::<usize>() > room
    }

    /// The columns of a table whose groups are tables, too: all are to be as wide.
    fn columns(&self, table: &Table) -> String {
        let apart = if self.look.size.is_whole() { 4 } else { 2 };
        let column = |width: Option<usize>| match width {
            Some(width) => {
                let (whole, part) = (width / 1000, width % 1000 / 10);
                format!("<col style=\"width:calc({whole}.{part:02}em + {apart}mm)\">")
            }
            None => "<col>".to_owned(),
        };
        let columns: String = widths::of(table, self.measure).into_iter().map(column).collect();
        format!("<colgroup>{columns}</colgroup>\n")
    }

    /// Whether a page may end within a group that has a heading to repeat.
    const fn is_table(&self, group: &Group) -> bool {
        self.headed && group.rows.len() > 1 && !group.head.pieces.is_empty()
    }

    fn within_the_table(&mut self, table: &Table, span: &str, columns: &str, group: &Group) {
        self.out.extend(["<tbody class=\"within\">\n<tr><td colspan=\"", span, "\"><div>\n"]);
        self.out.extend(["<table class=\"part\">\n", columns, "<thead>\n<tr><th colspan=\"", span, "\">"]);
        self.within("<div><span>", &in_short(&group.head), "</span><span>, ");
        escape(&mut self.out, &self.continued);
        self.put("</span></div></th></tr>\n</thead>\n");
        self.group(table, span, group);
        self.put("</table>\n</div></td></tr>\n</tbody>\n");
    }

    /// The rows of a group: its head is one with its first row, and its foot with its last, unless a small card has no
    /// room for both.
    fn group(&mut self, table: &Table, span: &str, group: &Group) {
        let foot_apart = self.look.size == Size::ThreeByFive;
        self.put("<tbody>\n");
        if !group.head.is_empty() {
            self.out.extend(["<tr class=\"group\"><th colspan=\"", span, "\">"]);
            self.within("", &group.head, "</th></tr>\n");
        }
        for (place, row) in group.rows.iter().enumerate() {
            self.put(if place > 0 { "</tbody>\n<tbody>\n" } else { "" });
            self.row(table, row);
        }
        if !group.foot.is_empty() {
            self.put(if foot_apart && !group.rows.is_empty() { "</tbody>\n<tbody>\n" } else { "" });
            self.out.extend(["<tr class=\"foot\"><td colspan=\"", span, "\">"]);
            self.within("", &group.foot, "</td></tr>\n");
        }
        self.put("</tbody>\n");
    }

    /// Whether the last column, which runs on, stands below the others, because a small card has no room beside them;
    /// and the columns that stand beside each other.
    fn beside<'t>(&self, table: &'t Table) -> (bool, &'t [Column]) {
        match table.columns.split_last() {
            Some((last, others))
                if last.width == Width::Rest
                    && table.second_line > 0
                    && self.look.size == Size::ThreeByFive =>
            {
                (true, others)
            }
            _ => (false, &table.columns),
        }
    }

    fn row(&mut self, table: &Table, row: &Row) {
        let (below, columns) = self.beside(table);
        let (beside, last) = row.cells.split_at(columns.len());
        self.put("<tr>");
        for (place, (column, cell)) in columns.iter().zip(beside).enumerate() {
            let class = if below && place + 1 == columns.len() { WIDER } else { class(column) };
            self.out.extend(["<td", class, ">"]);
            self.within("", cell, "</td>");
        }
        self.put("</tr>\n");
        let last = last.iter().map(|cell| ("more", cell));
        for (class, more) in last.chain([("more special", &row.special), ("more", &row.more)]) {
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
}

/// The head of a group in short: its words that catch the eye, or else what stands before a bracket; no box to tick.
fn in_short(head: &Phrase) -> Phrase {
    let is_strong = |piece: &&Piece| matches!(piece, Piece::Strong(_));
    let bracket = |piece: &&Piece| matches!(piece, Piece::Words(words) if words.starts_with(" ("));
    let mut pieces: Vec<Piece> = head.pieces.iter().filter(is_strong).cloned().collect();
    if pieces.is_empty() {
        let said = head.pieces.iter().take_while(|piece| !bracket(piece));
        pieces.extend(said.filter(|piece| **piece != Piece::Tick).cloned());
    }
    Phrase { pieces }
}

fn class(column: &Column) -> &'static str {
    match column.width {
        Width::Fit => " class=\"fit\"",
        Width::Number => " class=\"number\"",
        Width::Rest => "",
    }
}
