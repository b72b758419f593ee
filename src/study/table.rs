//! Columns of text on a page 80 columns wide.

use unicode_width::UnicodeWidthStr;

/// How wide a page is.
pub(crate) const PAGE: usize = 80;
const GAP: usize = 2;
const INDENT: usize = 2;
/// The least that the first and the last column keep.
const LEAST: usize = 12;

/// How a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Column {
    /// Words, from the left.
    Words(&'static str),
    /// Numbers, to the right.
    Numbers(&'static str),
}

impl Column {
    const fn head(self) -> &'static str {
        match self {
            Column::Words(head) | Column::Numbers(head) => head,
        }
    }
}

/// Rows under their heads. The last column takes what is left of the page; it and, where a page is
/// too narrow for that, the first one break at blanks.
pub(crate) fn table(columns: &[Column], rows: &[Vec<String>]) -> String {
    let head: Vec<String> = columns.iter().map(|column| column.head().to_owned()).collect();
    let mut widths: Vec<usize> = head.iter().map(|cell| cell.width()).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.width());
        }
    }
    let last = columns.len() - 1;
    let between: usize = INDENT + GAP * last + widths[1..last].iter().sum::<usize>();
    let least = widths[last].min(LEAST);
    widths[0] = widths[0].min(PAGE.saturating_sub(between + least).max(LEAST));
    widths[last] = widths[last].min(PAGE.saturating_sub(between + widths[0]).max(least));
    let mut page = String::new();
    for row in std::iter::once(&head).chain(rows) {
        lay(&mut page, columns, &widths, row);
    }
    page
}

fn lay(page: &mut String, columns: &[Column], widths: &[usize], row: &[String]) {
    let cells: Vec<Vec<String>> = row.iter().zip(widths).map(|(cell, width)| wrap(cell, *width)).collect();
    for number in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
        let mut line = " ".repeat(INDENT);
        for (place, (column, width)) in columns.iter().zip(widths).enumerate() {
            if place > 0 {
                line.push_str(&" ".repeat(GAP));
            }
            let cell = cells[place].get(number).map_or("", String::as_str);
            let blank = " ".repeat(width.saturating_sub(cell.width()));
            match column {
                Column::Words(_) => line.extend([cell, &blank]),
                Column::Numbers(_) => line.extend([blank.as_str(), cell]),
            }
        }
        page.push_str(line.trim_end());
        page.push('\n');
    }
}

/// Breaks a text at blanks; a word wider than the line has a line of its own.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let line = lines.last_mut().expect("there is always a line");
        if line.is_empty() {
            line.push_str(word);
        } else if line.width() + 1 + word.width() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right_and_words_to_the_left() {
        let rows = [vec!["mill".to_owned(), "9".to_owned(), "x".to_owned()]];
        let page = table(&[Column::Words("track"), Column::Numbers("room"), Column::Words("for")], &rows);
        assert_eq!(page, "  track  room  for\n  mill      9  x\n");
    }

    #[test]
    fn the_last_column_breaks_at_the_edge_of_the_page() {
        let long = "word ".repeat(30).trim_end().to_owned();
        let page = table(&[Column::Words("a"), Column::Words("b")], &[vec!["1".to_owned(), long]]);
        assert!(page.lines().all(|line| line.width() <= PAGE), "{page}");
        assert_eq!(page.lines().count(), 3);
    }
}
