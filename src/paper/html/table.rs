//! Tables, so that nothing is torn apart at the end of a page and everything says there what it belongs to.
//!
//! A row of a table and its second line are one `tbody`, so that no car is split over two pages; a group's
//! heading stays with its first row, and its foot with its last, where a page has room for both. The heads of columns are repeated on each page, with the heading above them:
//! browsers do so only if both take less than a quarter of it. A group of several rows is a table within the table,
//! whose own head says that it is continued; on its first page the style sheet hides that.

use super::super::phrase::Phrase;
use super::super::sheet::{Bar, Column, Group, Row, Table, Width};
use super::{Page, escape, widths};

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
        self.said_once(&span, heading);
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
        self.said_once("1", Some(heading));
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
        let aside = if self.look.size.is_card() { &nothing } else { heading.aside };
        self.out.extend(["<tr><td class=\"heading\" colspan=\"", span, "\">"]);
        self.heading(heading.words, aside, &nothing);
        self.put("</td></tr>\n");
    }

    fn said_once(&mut self, span: &str, heading: Option<&Heading<'_>>) {
        let Some(heading) = heading else { return };
        let aside = Some(heading.aside).filter(|_| self.look.size.is_card());
        let notes = heading.notes.iter().map(|note| ("<p>", *note));
        let said = aside.map(|aside| ("<p class=\"aside\">", aside)).into_iter().chain(notes);
        let said: Vec<_> = said.filter(|(_, words)| !words.is_empty()).collect();
        if said.is_empty() {
            return;
        }
        self.out.extend(["<tbody class=\"note\">\n<tr><td colspan=\"", span, "\">"]);
        for (open, words) in said {
            self.within(open, words, "</p>");
        }
        self.put("</td></tr>\n</tbody>\n");
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
        self.within("<div><span>", &group.head, "</span><span>, ");
        escape(&mut self.out, &self.continued);
        self.put("</span></div></th></tr>\n</thead>\n");
        self.group(table, span, group);
        self.put("</table>\n</div></td></tr>\n</tbody>\n");
    }

    fn group(&mut self, table: &Table, span: &str, group: &Group) {
        if !group.head.is_empty() {
            self.out.extend(["<tbody class=\"first\">\n<tr class=\"group\"><th colspan=\"", span, "\">"]);
            self.within("", &group.head, "</th></tr>\n</tbody>\n");
        }
        for row in &group.rows {
            self.put("<tbody>\n");
            self.row(table, row);
            self.put("</tbody>\n");
        }
        if !group.foot.is_empty() {
            self.out.extend(["<tbody class=\"last\">\n<tr class=\"foot\"><td colspan=\"", span, "\">"]);
            self.within("", &group.foot, "</td></tr>\n</tbody>\n");
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
}

fn class(column: &Column) -> &'static str {
    match column.width {
        Width::Fit => " class=\"fit\"",
        Width::Number => " class=\"number\"",
        Width::Rest => "",
    }
}
