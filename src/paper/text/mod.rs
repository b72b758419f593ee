//! Lays out the parts of a sheet as text, widths counted as a terminal shows them.
//!
//! Columns of tables with the same heads stand straight down the whole sheet. No line is longer
//! than the page is wide and none ends in a blank.

mod columns;
mod wrap;

use super::phrase::{JOINED, Measure, Phrase};
use super::sheet::{Bar, Block, Card, Column, Drawing, Fact, Group, Row, Sheet, Table, Width};
use wrap::{wide, wrap};

/// Blanks between two columns.
const GAP: usize = 2;
/// The narrowest that two things on one line may come.
const APART: usize = 2;

/// The parts of a sheet as text.
pub(super) fn parts(sheet: &Sheet, width: usize) -> Vec<String> {
    let mut page =
        Page { lines: Vec::new(), width, measure: sheet.measure, shapes: columns::shapes(sheet, width) };
    let lay = |blocks: &[Block]| {
        page.lines.clear();
        for block in blocks {
            page.block(block);
        }
        page.finish()
    };
    sheet.parts().into_iter().map(lay).collect()
}

/// A text as it is written: blanks that held words together are plain ones, no line ends in one,
/// and neither does the text.
pub(super) fn finished(laid: &str) -> String {
    let mut text = String::with_capacity(laid.len());
    for line in laid.trim_end().lines() {
        let line = line.trim_end();
        if line.contains(JOINED) {
            text.push_str(line.replace(JOINED, " ").trim_end());
        } else {
            text.push_str(line);
        }
        text.push('\n');
    }
    text
}

/// Words at the left end of a line and at its right end; on two lines where one is too short.
pub(super) fn sides(left: &str, right: &str, width: usize) -> Vec<String> {
    match width.checked_sub(wide(left) + wide(right)) {
        Some(free) if right.is_empty() || free >= APART => {
            vec![format!("{left}{}{right}", " ".repeat(free))]
        }
        _ => [hung(left, 0, width), hung(right, 0, width)].concat(),
    }
}

/// Words in lines, each so many columns from the left.
pub(super) fn hung(words: &str, indent: usize, width: usize) -> Vec<String> {
    let lines = wrap(words, width.saturating_sub(indent));
    let lines = if lines.is_empty() { vec![String::new()] } else { lines };
    lines.into_iter().map(|line| format!("{}{line}", " ".repeat(indent))).collect()
}

/// Words with blanks after them, or before them, until they are so wide.
pub(super) fn filled(words: &str, room: usize, right: bool) -> String {
    let blanks = " ".repeat(room.saturating_sub(wide(words)));
    if right { format!("{blanks}{words}") } else { format!("{words}{blanks}") }
}

/// The page as far as it is laid out.
#[derive(Debug)]
struct Page {
    lines: Vec<String>,
    width: usize,
    measure: Measure,
    shapes: Vec<(Vec<Column>, Vec<usize>)>,
}

impl Page {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Facts(facts) => self.facts(facts),
            Block::Heading { words, aside, note } => self.heading(words, aside, note),
            Block::Say(words) => self.paragraph("", words),
            Block::Caution(words) => self.paragraph("! ", words),
            Block::Table(table) => self.table(table),
            Block::Bars(bars) => bars.iter().for_each(|bar| self.bar(bar)),
            Block::Drawing(drawing) => self.drawing(drawing),
            Block::Cards(cards) => {
                for card in cards {
                    self.card(card);
                }
                self.cut();
            }
            Block::Ruled(lines) => {
                for _ in 0..*lines {
                    self.lines.push(String::new());
                    self.lines.push("_".repeat(self.width));
                }
            }
        }
        if !matches!(block, Block::Heading { .. }) {
            self.space();
        }
    }

    /// Words, then the line of minutes below them.
    fn bar(&mut self, bar: &Bar) {
        let room = u32::try_from(self.width.saturating_sub(2)).unwrap_or(0);
        let place = |minute: u32| minute.min(bar.whole) * room / bar.whole.max(1);
        let (from, to) = (place(bar.from), place(bar.to));
        let line = |sign: &str, count: u32| sign.repeat(usize::try_from(count).unwrap_or(0));
        self.paragraph("", &bar.words);
        self.lines.push(format!("[{}{}{}]", line("-", from), line("=", to - from), line("-", room - to)));
    }

    fn drawing(&mut self, drawing: &Drawing) {
        self.hang("", 0, &drawing.words);
        let room = drawing.tracks.iter().map(|track| wide(&track.name)).max().unwrap_or(0) + GAP;
        for track in &drawing.tracks {
            let (left, right) =
                (if track.opens_left { "<--" } else { "|--" }, if track.opens_right { "-->" } else { "--|" });
            let spots = if track.spots.is_empty() {
                "--".to_owned()
            } else {
                format!(" {} ", track.spots.join(" -- "))
            };
            let line = format!("{left}{spots}{right}");
            self.hang(&track.name, room.min(self.width / 2), &line);
        }
    }

    fn facts(&mut self, facts: &[Fact]) {
        let label = facts.iter().map(|fact| wide(fact.label)).max().unwrap_or(0) + GAP;
        for fact in facts {
            self.hang(fact.label, label, &letters(&fact.words, self.measure));
        }
    }

    fn heading(&mut self, words: &Phrase, aside: &Phrase, note: &Phrase) {
        self.space();
        self.lines.push("-".repeat(self.width));
        let (words, aside) = (letters(words, self.measure), letters(aside, self.measure));
        self.sides(&words, &aside);
        self.lines.push("-".repeat(self.width));
        if !note.is_empty() {
            self.paragraph("", note);
            self.space();
        }
    }

    fn paragraph(&mut self, mark: &str, words: &Phrase) {
        self.hang(mark, wide(mark), &letters(words, self.measure));
    }

    fn card(&mut self, card: &Card) {
        self.cut();
        let (title, aside) = (letters(&card.title, self.measure), letters(&card.aside, self.measure));
        self.sides(&title, &aside);
        self.facts(&card.facts);
    }

    /// The line along which a card is cut.
    fn cut(&mut self) {
        self.lines.push("- ".repeat(self.width / 2));
    }

    fn table(&mut self, table: &Table) {
        let widths = self
            .shapes
            .iter()
            .find(|(columns, _)| *columns == table.columns)
            .map_or_else(Vec::new, |(_, widths)| widths.clone());
        let heads: Vec<String> = table.columns.iter().map(|column| column.head.to_owned()).collect();
        if heads.iter().any(|head| !head.is_empty()) {
            self.cells(&table.columns, &widths, &heads);
        }
        for group in &table.groups {
            self.group(table, &widths, group);
        }
    }

    fn group(&mut self, table: &Table, widths: &[usize], group: &Group) {
        if !group.head.is_empty() {
            self.space();
            self.hang("", 0, &letters(&group.head, self.measure));
        }
        for row in &group.rows {
            self.row(table, widths, row);
        }
        if !group.foot.is_empty() {
            self.hang("", indent(widths, 1.min(table.second_line)), &letters(&group.foot, self.measure));
        }
    }

    fn row(&mut self, table: &Table, widths: &[usize], row: &Row) {
        let cells: Vec<String> = row.cells.iter().map(|cell| letters(cell, self.measure)).collect();
        self.cells(&table.columns, widths, &cells);
        if !row.more.is_empty() {
            self.hang("", indent(widths, table.second_line), &letters(&row.more, self.measure));
        }
    }

    fn cells(&mut self, columns: &[Column], widths: &[usize], cells: &[String]) {
        let wrapped: Vec<Vec<String>> =
            cells.iter().zip(widths).map(|(cell, width)| wrap(cell, *width)).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(0).max(1);
        for line in 0..height {
            let mut printed = String::new();
            let shape = columns.iter().zip(widths).enumerate();
            for (place, (column, width)) in shape {
                let cell = wrapped.get(place).and_then(|lines| lines.get(line)).map_or("", String::as_str);
                let blanks = " ".repeat(width.saturating_sub(wide(cell)));
                if place > 0 {
                    printed.push_str(&" ".repeat(GAP));
                }
                match column.width {
                    Width::Number => printed.extend([&blanks, cell]),
                    Width::Fit | Width::Rest => printed.extend([cell, &blanks]),
                }
            }
            self.lines.push(printed);
        }
    }

    /// A label, then words that run on below each other.
    fn hang(&mut self, label: &str, indent: usize, words: &str) {
        let lines = wrap(words, self.width.saturating_sub(indent));
        let lines = if lines.is_empty() { vec![String::new()] } else { lines };
        for (place, line) in lines.iter().enumerate() {
            let label = if place == 0 { label } else { "" };
            let blanks = " ".repeat(indent.saturating_sub(wide(label)));
            self.lines.push(format!("{label}{blanks}{line}"));
        }
    }

    /// Words at the left end of a line and at its right end; on two lines where one is too short.
    fn sides(&mut self, left: &str, right: &str) {
        self.lines.extend(sides(left, right, self.width));
    }

    /// An empty line, unless there is one already.
    fn space(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(String::new());
        }
    }

    fn finish(&mut self) -> String {
        while self.lines.last().is_some_and(String::is_empty) {
            self.lines.pop();
        }
        let mut text = String::new();
        for line in &self.lines {
            text.push_str(line);
            text.push('\n');
        }
        text
    }
}

/// The column at which something begins that stands below a column of a table.
fn indent(widths: &[usize], column: usize) -> usize {
    widths.iter().take(column).map(|width| width + GAP).sum()
}

/// A phrase in letters.
fn letters(phrase: &Phrase, measure: Measure) -> String {
    phrase.letters(measure)
}

#[cfg(test)]
mod tests {
    use unicode_width::UnicodeWidthStr;

    use super::*;
    use crate::paper::text;
    use crate::units::Length;

    const PAGE: usize = 80;

    fn sheet(blocks: Vec<Block>) -> Sheet {
        Sheet {
            name: "trial".to_owned(),
            form: "trial",
            job: None,
            kind: "Trial",
            title: "Mill Turn".to_owned(),
            whose: "Trial Railroad".to_owned(),
            when: "Monday".to_owned(),
            measure: Measure::default(),
            blocks,
        }
    }

    fn table(cells: &[[&str; 3]]) -> Block {
        let columns = vec![Column::fit("Do"), Column::number("No"), Column::rest("Where")];
        let rows = cells.iter().map(|row| Row::new(row.iter().map(|cell| Phrase::of(*cell)))).collect();
        Block::Table(Table::plain(columns, rows))
    }

    #[test]
    fn tables_of_one_kind_keep_their_columns_down_the_whole_sheet() {
        let text = text(&sheet(vec![table(&[["pull", "7", "shed"]]), table(&[["off spot", "12", "dock"]])]));
        let starts: Vec<Option<usize>> =
            text.lines().skip(3).map(|line| line.find("shed").or_else(|| line.find("dock"))).collect();
        assert_eq!(starts, [None, Some(14), None, None, Some(14)], "{text}");
    }

    #[test]
    fn no_line_is_too_long_whatever_the_words_are() {
        let wide = "港".repeat(90);
        let long = "x".repeat(200);
        let text = text(&sheet(vec![
            table(&[[&long, &wide, &long], ["", "", "a b c"]]),
            Block::Say(Phrase::of(wide.as_str()).then(Length::scale_feet(40))),
            Block::heading(long.as_str()),
            Block::Facts(vec![Fact::new("label", Phrase::of(long.as_str()))]),
        ]));
        for line in text.lines() {
            assert!(line.width() <= PAGE, "{} columns: {line}", line.width());
            assert_eq!(line.trim_end(), line);
        }
        assert_eq!(text.matches('x').count(), 4 * 200);
    }

    #[test]
    fn a_car_is_never_torn_from_its_number() {
        let words = Phrase::of("x".repeat(76)).then(" ").then(&crate::ids::Id::from("CHT 1234"));
        let text = text(&sheet(vec![Block::Say(words)]));
        assert!(text.ends_with("x\nCHT 1234\n"), "{text}");
    }
}
