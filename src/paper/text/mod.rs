//! Lays out the parts of a sheet as text, widths counted as a terminal shows them.
//!
//! No line is longer than the page is wide and none ends in a blank.

mod columns;
mod table;
mod wrap;

use super::phrase::{JOINED, Measure, Phrase};
use super::sheet::{Bar, Block, Card, Drawing, Fact, Sheet};
use columns::Shape;
use table::Lines;
use wrap::{wide, wrap};

/// Blanks between two columns.
const GAP: usize = 2;
/// The narrowest that two things on one line may come.
const APART: usize = 2;

/// What a part usually takes, in bytes.
const USUAL: usize = 4096;

/// The parts of a sheet as text.
pub(super) fn parts(sheet: &Sheet, width: usize) -> Vec<String> {
    let mut page = Page {
        out: String::new(),
        letters: String::new(),
        wrapped: Vec::new(),
        width,
        measure: &sheet.measure,
        when: sheet.when.to_string(),
        shapes: columns::shapes(sheet, width),
    };
    let lay = |blocks: &[Block]| {
        page.out = String::with_capacity(USUAL);
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
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text.replace(JOINED, " ")
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
    let mut lines = Vec::new();
    let blanks = " ".repeat(indent);
    wrap(words, width.saturating_sub(indent), |line, _| lines.push(format!("{blanks}{line}")));
    if lines.is_empty() { vec![blanks] } else { lines }
}

/// Words with blanks after them, or before them, until they are so wide.
pub(super) fn filled(words: &str, room: usize, right: bool) -> String {
    let blanks = " ".repeat(room.saturating_sub(wide(words)));
    if right { format!("{blanks}{words}") } else { format!("{words}{blanks}") }
}

/// The page as far as it is laid out.
#[derive(Debug)]
struct Page<'s> {
    out: String,
    /// Room to spell in.
    letters: String,
    /// Room to break cells into lines.
    wrapped: Vec<Lines>,
    width: usize,
    measure: &'s Measure,
    /// The day, the session and the revision, for what is cut from the page.
    when: String,
    shapes: Vec<Shape>,
}

impl Page<'_> {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Facts(facts) => self.facts(facts.iter()),
            Block::Heading { words, aside, note } => self.heading(words, aside, note),
            Block::Say(words) | Block::Foot(words) => self.paragraph("", words),
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
                    self.out.push('\n');
                    self.rule('_');
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
        self.out.extend(["[", &line("-", from), &line("=", to - from), &line("-", room - to), "]\n"]);
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

    fn facts<'f>(&mut self, facts: impl Iterator<Item = &'f Fact> + Clone) {
        let label = facts.clone().map(|fact| wide(&fact.label)).max().unwrap_or(0) + GAP;
        for fact in facts {
            self.hang_phrase(&fact.label, label, &fact.words);
        }
    }

    fn heading(&mut self, words: &Phrase, aside: &Phrase, note: &Phrase) {
        self.space();
        self.rule('-');
        self.sides(words, aside);
        self.rule('-');
        if !note.is_empty() {
            self.paragraph("", note);
            self.space();
        }
    }

    fn paragraph(&mut self, mark: &str, words: &Phrase) {
        self.hang_phrase(mark, wide(mark), words);
    }

    fn card(&mut self, card: &Card) {
        self.cut();
        self.sides(&card.title, &card.aside);
        self.facts(card.facts.iter().chain(&card.reverse));
        let when = std::mem::take(&mut self.when);
        self.hang("", 0, &when);
        self.when = when;
    }

    /// The line along which a card is cut.
    fn cut(&mut self) {
        self.out.push_str(&"- ".repeat(self.width / 2));
        self.out.push('\n');
    }

    /// A line of one sign over the whole width.
    fn rule(&mut self, sign: char) {
        self.out.extend((0..self.width).map(|_| sign));
        self.out.push('\n');
    }

    /// A label, then a phrase in lines below each other.
    fn hang_phrase(&mut self, label: &str, indent: usize, words: &Phrase) {
        let mut letters = std::mem::take(&mut self.letters);
        letters.clear();
        words.spell(&mut letters, self.measure);
        self.hang(label, indent, &letters);
        self.letters = letters;
    }

    /// A label, then words that run on below each other.
    fn hang(&mut self, label: &str, indent: usize, words: &str) {
        let mut label = Some(label);
        let out = &mut self.out;
        let mut put = |line: &str| {
            let label = label.take().unwrap_or_default();
            out.push_str(label);
            blanks(out, indent.saturating_sub(wide(label)));
            out.push_str(line);
            out.push('\n');
        };
        let mut empty = true;
        wrap(words, self.width.saturating_sub(indent), |line, _| {
            empty = false;
            put(line);
        });
        if empty {
            put("");
        }
    }

    /// Words at the left end of a line and at its right end; on two lines where one is too short.
    fn sides(&mut self, left: &Phrase, right: &Phrase) {
        for line in sides(&left.letters(self.measure), &right.letters(self.measure), self.width) {
            self.out.push_str(&line);
            self.out.push('\n');
        }
    }

    /// An empty line, unless there is one already.
    fn space(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    /// What was laid out, without empty lines at its end.
    fn finish(&mut self) -> String {
        let mut text = std::mem::take(&mut self.out);
        while text.ends_with("\n\n") || text == "\n" {
            text.pop();
        }
        text
    }
}

fn blanks(out: &mut String, count: usize) {
    const SOME: &str = "                                        ";
    for from in (0..count).step_by(SOME.len()) {
        out.push_str(&SOME[..SOME.len().min(count - from)]);
    }
}

#[cfg(test)]
mod tests {
    use unicode_width::UnicodeWidthStr;

    use super::*;
    use crate::paper::sheet::{Column, Row, Table, When};
    use crate::paper::text;
    use crate::paper::words::Words;
    use crate::units::Length;

    const PAGE: usize = 80;

    fn sheet(blocks: Vec<Block>) -> Sheet {
        Sheet {
            name: "trial".to_owned(),
            form: "trial",
            job: None,
            kind: "Trial".into(),
            title: "Mill Turn".to_owned(),
            whose: "Trial Railroad".to_owned(),
            when: When { before: "Monday".to_owned(), ..When::default() },
            foot: String::new(),
            measure: Words::default().measure(false),
            blocks,
        }
    }

    fn table(cells: &[[&str; 3]]) -> Block {
        let columns = vec![Column::fit("Do"), Column::number("No"), Column::rest("Where")];
        let rows = cells.iter().map(|row| Row::new(row.iter().map(|cell| Phrase::words(cell)))).collect();
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
    fn on_a_narrow_page_no_head_is_broken() {
        let columns = vec![Column::rest("Job"), Column::number("Handlings"), Column::number("Minutes")];
        let rows = vec![Row::new(["Northgate Turn", "12", "40"].map(Phrase::of))];
        let sheet = sheet(vec![Block::Table(Table::plain(columns, rows))]);
        // 9 + 2 + 7 letters leave 26 - 18 - 2 = 6 for the job: it stands above them.
        let above = "Job\n  Handlings  Minutes\nNorthgate Turn\n         12       40\n";
        assert_eq!(parts(&sheet, 26), [above]);
        // 17 do not even hold the heads side by side.
        assert_eq!(parts(&sheet, 17), ["Job\nNorthgate Turn\n  Handlings\u{a0}12,\n  Minutes\u{a0}40\n"]);
    }

    #[test]
    fn no_line_is_too_long_whatever_the_words_are() {
        let wide = "港".repeat(90);
        let long = "x".repeat(200);
        let text = text(&sheet(vec![
            table(&[[&long, &wide, &long], ["", "", "a b c"]]),
            Block::Say(Phrase::words(&wide).then(Length::scale_feet(40))),
            Block::heading(long.clone()),
            Block::Facts(vec![Fact::new("label", Phrase::words(&long))]),
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
