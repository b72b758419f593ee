//! Columns of text on a page 80 columns wide.

use unicode_width::UnicodeWidthStr;

/// How wide a page is.
pub(crate) const PAGE: usize = 80;
const GAP: usize = 2;
const INDENT: usize = 2;

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

/// Rows under their heads. The last column takes what is left of the page and breaks at blanks.
pub(crate) fn table(columns: &[Column], rows: &[Vec<String>]) -> String {
    let head: Vec<String> = columns.iter().map(|column| column.head().to_owned()).collect();
    let mut widths: Vec<usize> = head.iter().map(|cell| cell.width()).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.width());
        }
    }
    let last = columns.len() - 1;
    let before: usize = widths[..last].iter().map(|width| width + GAP).sum();
    widths[last] = widths[last].min(PAGE.saturating_sub(INDENT + before).max(8));
    let mut page = String::new();
    for row in std::iter::once(&head).chain(rows) {
        lay(&mut page, columns, &widths, row);
    }
    page
}

fn lay(page: &mut String, columns: &[Column], widths: &[usize], row: &[String]) {
    let mut line = " ".repeat(INDENT);
    let last = columns.len() - 1;
    for ((column, width), cell) in columns.iter().zip(widths).zip(row).take(last) {
        let blank = " ".repeat(width.saturating_sub(cell.width()));
        match column {
            Column::Words(_) => line.extend([cell.as_str(), &blank]),
            Column::Numbers(_) => line.extend([blank.as_str(), cell]),
        }
        line.push_str(&" ".repeat(GAP));
    }
    let margin = line.width();
    for (place, part) in wrap(&row[last], widths[last]).into_iter().enumerate() {
        if place > 0 {
            page.push_str(line.trim_end());
            page.push('\n');
            line = " ".repeat(margin);
        }
        if matches!(columns[last], Column::Numbers(_)) {
            line.push_str(&" ".repeat(widths[last].saturating_sub(part.width())));
        }
        line.push_str(&part);
    }
    page.push_str(line.trim_end());
    page.push('\n');
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
