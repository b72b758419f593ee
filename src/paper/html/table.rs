//! Tables, so that nothing is torn apart at the end of a page and everything says there what it belongs to.
//!
//! A row of a table and its second line are one `tbody`, so that no car is split over two pages; so are a group's
//! heading and its first row, and its last row and its foot. The heads of columns are repeated on each page, with the heading of
//! their part in one line above them: browsers do so only if both take less than a quarter of it. Where the heading itself stands
//! above the table, with what is said below it, a white cover lies over that line. A group of several rows is a table within the
//! table, whose own head says that it is continued; on its first page that lies above what is shown.

use super::super::phrase::{Phrase, Piece};
use super::super::press::Size;
use super::super::sheet::{Bar, Column, Group, Row, Table, Width};
use super::{Page, escape, widths};

/// The cell that has the room of a column that stands below.
const WIDER: &str = " colspan=\"2\"";

/// What stands above a table.
#[derive(Clone, Copy, Debug)]
pub(super) enum Above<'s> {
    Nothing,
    /// Its heading, and what stands at the far end of that line.
    Heading(&'s Phrase, &'s Phrase),
    /// Other blocks, and above them its heading.
    Continued(&'s Phrase),
}

impl Page<'_> {
    /// A table, and what closes it; every page of it after the first repeats the heading.
    pub(super) fn table(&mut self, table: &Table, above: Above<'_>, foot: Option<&Phrase>) {
        let span = table.columns.len().to_string();
        self.opens("rows", above);
        let grouped = table.groups.iter().any(is_table);
        let columns = if grouped { self.columns(table) } else { String::new() };
        self.put(&columns);
        self.put("<thead>\n");
        self.repeated(&span, above);
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
        for group in &table.groups {
            if is_table(group) {
                self.within_the_table(table, &span, &columns, group);
            } else {
                self.group(table, &span, group);
            }
        }
        if let Some(foot) = foot {
            self.out.extend(["<tbody class=\"closing\">\n<tr><td colspan=\"", &span, "\">"]);
            self.within("", foot, "</td></tr>\n</tbody>\n");
        }
        self.put("</table>\n");
    }

    /// Bars below a heading that every page of them repeats.
    pub(super) fn bars(&mut self, bars: &[Bar], above: Above<'_>) {
        self.opens("rows bars", above);
        self.put("<thead>\n");
        self.repeated("1", above);
        self.put("</thead>\n");
        for bar in bars {
            self.put("<tbody>\n<tr><td>");
            self.bar(bar);
            self.put("</td></tr>\n</tbody>\n");
        }
        self.put("</table>\n");
    }

    /// Opens a table, below a cover for the line that only later pages need.
    fn opens(&mut self, class: &str, above: Above<'_>) {
        let (cover, below) = match above {
            Above::Continued(_) => ("<div class=\"cover\"></div>\n", " below"),
            Above::Heading(..) | Above::Nothing => ("", ""),
        };
        self.out.extend([cover, "<table class=\"", class, below, "\">\n"]);
    }

    /// What every page repeats above the heads of columns.
    fn repeated(&mut self, span: &str, above: Above<'_>) {
        let class = match above {
            Above::Nothing => return,
            Above::Heading(..) => "heading",
            Above::Continued(_) => "continued",
        };
        self.out.extend(["<tr><td class=\"", class, "\" colspan=\"", span, "\">"]);
        match above {
            Above::Nothing => {}
            Above::Heading(words, aside) => self.heading(words, aside, &Phrase::default()),
            Above::Continued(words) => self.goes_on(words),
        }
        self.put("</td></tr>\n");
    }

    /// What is continued, in one line: no box is ticked twice, and what stands in brackets is not said again.
    fn goes_on(&mut self, head: &Phrase) {
        self.put("<div><span>");
        let named = head.pieces.iter().take_while(|piece| **piece != Piece::from(" ("));
        for piece in named.filter(|piece| **piece != Piece::Tick) {
            self.piece(piece);
        }
        self.put("</span><span>, ");
        escape(&mut self.out, &self.continued);
        self.put("</span></div>");
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

    fn within_the_table(&mut self, table: &Table, span: &str, columns: &str, group: &Group) {
        self.out.extend(["<tbody class=\"within\">\n<tr><td colspan=\"", span, "\"><div>\n"]);
        self.out.extend(["<table class=\"part\">\n", columns, "<thead>\n<tr><th colspan=\"", span, "\">"]);
        self.goes_on(&group.head);
        self.put("</th></tr>\n</thead>\n");
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

    /// Whether the last column, which runs on, stands below the others, because there is no room beside them; and the
    /// columns that stand beside each other.
    fn beside<'t>(&self, table: &'t Table) -> (bool, &'t [Column]) {
        let is_below = |column: &Column| match column.width {
            Width::Below => self.look.is_narrow(),
            Width::Rest => table.second_line > 0 && self.look.size == Size::ThreeByFive,
            Width::Fit | Width::Number => false,
        };
        match table.columns.split_last() {
            Some((last, others)) if is_below(last) => (true, others),
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
        // Where there is little room, what runs on begins below the second column.
        let before = if below { table.second_line.min(1) } else { table.second_line };
        let span = table.columns.len() - before;
        let more = Phrase::row(last.iter().chain([&row.more]).cloned(), "; ");
        for (class, more) in [("more special", &row.special), ("more", &more)] {
            if more.is_empty() {
                continue;
            }
            self.out.extend(["<tr class=\"", class, "\">"]);
            if before > 0 {
                self.out.extend(["<td colspan=\"", &before.to_string(), "\"></td>"]);
            }
            self.out.extend(["<td colspan=\"", &span.to_string(), "\">"]);
            self.within("", more, "</td></tr>\n");
        }
    }
}

/// Whether a page may end within a group that has a heading to repeat.
const fn is_table(group: &Group) -> bool {
    group.rows.len() > 1 && !group.head.pieces.is_empty()
}

fn class(column: &Column) -> &'static str {
    match column.width {
        Width::Fit => " class=\"fit\"",
        Width::Number => " class=\"number\"",
        Width::Rest | Width::Below => "",
    }
}
