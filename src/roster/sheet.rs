//! A sheet: rows of cells, from a text or from a page of a workbook.
//!
//! Faults point into a text. A page of a workbook has none, so one is made: a line a row, tabs
//! between the cells, and line 7 is row 7.

use std::ops::{ControlFlow, Range};

use crate::layout::table;

/// What a cell is, besides its words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words, or a number.
    Words,
    /// A day: a spreadsheet took it for one, or it is one.
    Day,
    /// What a formula came to that failed: `#REF!`.
    Failed,
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// What it says, without blanks around it.
    pub words: String,
    /// What it is.
    pub kind: Kind,
    /// Where it stands in the text of the sheet.
    pub range: Range<usize>,
}

/// A row of cells.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// A sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// What faults call it.
    pub name: String,
    /// What faults point into.
    pub text: String,
    /// The rows that have anything in them, remarks left out.
    pub rows: Vec<Row>,
}

impl Sheet {
    /// The sheet that a text is.
    ///
    /// # Errors
    /// Where a quote opens a field that never ends.
    pub fn of_text(name: &str, text: String) -> Result<Sheet, Range<usize>> {
        let mut rows = Vec::new();
        table::read(&text, |record, row| {
            if !row.is_remark {
                let cells = record.iter().zip(&row.fields).map(|(words, range)| Cell {
                    words: words.trim().to_owned(),
                    kind: Kind::Words,
                    range: range.clone(),
                });
                rows.push(Row { cells: cells.collect() });
            }
            ControlFlow::Continue(())
        })?;
        Ok(Sheet { name: name.to_owned(), text, rows })
    }

    /// The sheet that a page of a workbook is, from its first row; every row is there, empty or not.
    pub fn of_page(name: String, page: impl IntoIterator<Item = Vec<(String, Kind)>>) -> Sheet {
        let (mut text, mut rows) = (String::new(), Vec::new());
        for cells in page {
            let mut row = Row::default();
            for (words, kind) in cells {
                if !row.cells.is_empty() {
                    text.push('\t');
                }
                let words = words.trim().to_owned();
                let start = text.len();
                // A line within a cell must not become a line of the text.
                text.extend(words.chars().map(|sign| if "\r\n\t".contains(sign) { ' ' } else { sign }));
                row.cells.push(Cell { words, kind, range: start..text.len() });
            }
            text.push('\n');
            let first = row.cells.iter().find(|cell| !cell.words.is_empty());
            let filled = row.cells.iter().filter(|cell| !cell.words.is_empty()).count();
            if first.is_some_and(|first| filled > 1 || !first.words.starts_with('#')) {
                rows.push(row);
            }
        }
        Sheet { name, text, rows }
    }
}
