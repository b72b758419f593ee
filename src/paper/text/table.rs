//! Lays out tables as text.
//!
//! Columns of tables with the same heads stand straight down the whole sheet. Where a page is too narrow for all of
//! them, the one that runs on has lines of its own, and no word is broken.

use super::columns::Shape;
use super::wrap::wrap;
use super::{GAP, Page, blanks};
use crate::paper::phrase::{Measure, Phrase, join};
use crate::paper::sheet::{Column, Group, Table, Width};

impl Page<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        let shape = self.shapes.iter().find(|shape| shape.is_of(table)).cloned().unwrap_or_default();
        if table.columns.iter().any(|column| !column.head.is_empty()) {
            let heads: Vec<&str> = table.columns.iter().map(|column| &*column.head).collect();
            // Where each cell is said with its head, only the other columns have one above them.
            let heads = shape.apart.filter(|_| shape.listed).map_or(&*heads, |apart| &heads[..=apart]);
            self.row(table, &shape, heads, |head, letters, _| letters.push_str(head));
        }
        for group in &table.groups {
            self.group(table, &shape, group);
        }
    }

    fn group(&mut self, table: &Table, shape: &Shape, group: &Group) {
        if !group.head.is_empty() {
            self.space();
            self.hang_phrase("", 0, &group.head);
        }
        for row in &group.rows {
            self.row(table, shape, &row.cells, Phrase::spell);
            if !row.special.is_empty() {
                let special = Phrase::of("! ").followed_by(row.special.clone());
                self.hang_phrase("", shape.indent(table.second_line), &special);
            }
            if !row.more.is_empty() {
                self.hang_phrase("", shape.indent(table.second_line), &row.more);
            }
        }
        if !group.foot.is_empty() {
            self.hang_phrase("", shape.indent(1.min(table.second_line)), &group.foot);
        }
    }

    /// The cells of a row beside each other, but for a column that stands apart.
    fn row<T>(
        &mut self,
        table: &Table,
        shape: &Shape,
        cells: &[T],
        spell: impl Fn(&T, &mut String, &Measure) + Copy,
    ) {
        let (columns, widths) = (&table.columns, &shape.widths);
        let Some(apart) = shape.apart else { return self.cells(0, columns, widths, cells, spell) };
        let after = apart + 1;
        if after == columns.len() {
            self.cells(0, &columns[..apart], &widths[..apart], &cells[..apart], spell);
            let place = shape.below(table.second_line, self.width);
            self.letters.clear();
            spell(&cells[apart], &mut self.letters, self.measure);
            if !self.letters.is_empty() {
                let letters = std::mem::take(&mut self.letters);
                self.hang("", place, &letters);
                self.letters = letters;
            }
        } else {
            let place = shape.indent(apart);
            let wide = [&widths[..apart], &[self.width.saturating_sub(place)]].concat();
            self.cells(0, &columns[..after], &wide, &cells[..after], spell);
            if shape.listed {
                self.list(&columns[after..], &cells[after..], spell);
            } else {
                self.cells(shape.from, &columns[after..], &widths[after..], &cells[after..], spell);
            }
        }
    }

    /// Cells in a row that runs on, each with its head before it.
    fn list<T>(&mut self, columns: &[Column], cells: &[T], spell: impl Fn(&T, &mut String, &Measure)) {
        let (mut row, mut letters) = (String::new(), String::new());
        for (column, cell) in columns.iter().zip(cells) {
            letters.clear();
            spell(cell, &mut letters, self.measure);
            if !letters.is_empty() {
                row.push_str(if row.is_empty() { "" } else { ", " });
                join(&mut row, &format!("{} {letters}", column.head));
            }
        }
        if !row.is_empty() {
            self.hang("", GAP, &row);
        }
    }

    /// Cells beside each other, so many columns from the left, each in as many lines as it takes.
    fn cells<T>(
        &mut self,
        from: usize,
        columns: &[Column],
        widths: &[usize],
        cells: &[T],
        spell: impl Fn(&T, &mut String, &Measure),
    ) {
        let mut height = 1;
        let mut used = 0;
        for (cell, width) in cells.iter().zip(widths) {
            if used == self.wrapped.len() {
                self.wrapped.push(Lines::default());
            }
            self.letters.clear();
            spell(cell, &mut self.letters, self.measure);
            let lines = &mut self.wrapped[used];
            lines.clear();
            wrap(&self.letters, *width, |line, wide| lines.push(line, wide));
            height = lines.count().max(height);
            used += 1;
        }
        for line in 0..height {
            let start = self.out.len();
            let mut gap = from;
            for (place, (column, width)) in columns.iter().zip(widths).enumerate() {
                if *width == 0 {
                    continue;
                }
                let lines = self.wrapped[..used].get(place);
                let (cell, wide) = lines.and_then(|lines| lines.get(line)).unwrap_or_default();
                let room = width.saturating_sub(wide);
                blanks(&mut self.out, std::mem::replace(&mut gap, GAP));
                match column.width {
                    Width::Number => {
                        blanks(&mut self.out, room);
                        self.out.push_str(cell);
                    }
                    Width::Fit | Width::Rest | Width::Below => {
                        self.out.push_str(cell);
                        blanks(&mut self.out, room);
                    }
                }
            }
            self.end_line(start);
        }
    }

    /// Ends a line without the blanks that are its last.
    fn end_line(&mut self, start: usize) {
        let end = start + self.out[start..].trim_end_matches(' ').len();
        self.out.truncate(end);
        self.out.push('\n');
    }
}

/// Lines of one cell, kept in one string.
#[derive(Debug, Default)]
pub(super) struct Lines {
    text: String,
    /// Where each line ends, and how wide it is.
    ends: Vec<(usize, usize)>,
}

impl Lines {
    fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
    }

    fn push(&mut self, line: &str, wide: usize) {
        self.text.push_str(line);
        self.ends.push((self.text.len(), wide));
    }

    fn count(&self) -> usize {
        self.ends.len()
    }

    /// A line and its width.
    fn get(&self, line: usize) -> Option<(&str, usize)> {
        let (end, wide) = *self.ends.get(line)?;
        let start = line.checked_sub(1).map_or(0, |before| self.ends[before].0);
        Some((&self.text[start..end], wide))
    }
}
