//! The sheet: what one paper says, before it is laid out.
//!
//! A sheet is a head and a row of blocks. It knows nothing of lines, pages or fonts: `text` and
//! `html` lay out the same value, so that both say the same.

use std::borrow::Cow;
use std::fmt;

use serde::Serialize;

use crate::ids::Id;

use super::phrase::{Measure, Phrase, Piece};

/// One paper.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What its file is called, without an ending: `switch-list-northgate-turn`.
    pub name: String,
    /// The form it is made by: `switch-list`.
    pub form: &'static str,
    /// The job it is for, if it is for one.
    pub job: Option<Id>,
    /// What it is called on top, in words: `Switch list`.
    pub kind: Cow<'static, str>,
    /// Whom or what it is for: a job, a layout.
    pub title: String,
    /// Whose paper it is: a railroad, a layout.
    pub whose: String,
    /// The day, the session and the revision, in words.
    pub when: When,
    /// What every printed page says at its foot.
    pub foot: String,
    /// How its quantities are printed.
    pub measure: Measure,
    /// What it says, from top to bottom.
    pub blocks: Vec<Block>,
}

/// The day, the session and the revision, in words, with the revision apart: a sheet that still
/// holds keeps that with which it was printed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct When {
    /// What stands before the revision.
    pub before: String,
    /// The revision, and whether the sheet changed with it.
    pub revision: String,
    /// What stands after it.
    pub after: String,
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&[&*self.before, &*self.revision, &*self.after].concat())
    }
}

/// One part of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Block {
    /// Labels with what belongs to each.
    Facts(Vec<Fact>),
    /// A new section.
    Heading {
        /// What it is about.
        words: Phrase,
        /// What stands at the far end of the line: a time.
        aside: Phrase,
        /// What must be known before anything below it.
        note: Phrase,
    },
    /// A paragraph.
    Say(Phrase),
    /// A paragraph that closes what stands above it, and stays with its end.
    Foot(Phrase),
    /// A paragraph that nobody may overlook.
    Caution(Phrase),
    /// Rows in columns.
    Table(Table),
    /// Cards to be cut apart.
    Cards(Vec<Card>),
    /// Who is busy when, on a line of minutes.
    Bars(Vec<Bar>),
    /// The tracks of a place as the viewer sees them.
    Drawing(Drawing),
    /// So many empty lines to write on.
    Ruled(u32),
}

/// One bar on a line of minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Bar {
    /// What it is for, with its minutes in words.
    pub words: Phrase,
    /// Where it begins.
    pub from: u32,
    /// Where it ends.
    pub to: u32,
    /// Where the line ends.
    pub whole: u32,
}

/// The tracks of a place, drawn without scale.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Drawing {
    /// What is on the viewer's left and right, and how to read the drawing.
    pub words: String,
    /// The tracks.
    pub tracks: Vec<DrawnTrack>,
}

/// One track of a drawing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DrawnTrack {
    /// What it is called.
    pub name: String,
    /// Whether it has a switch at the viewer's left.
    pub opens_left: bool,
    /// Whether it has a switch at the viewer's right.
    pub opens_right: bool,
    /// Its spots, from the viewer's left.
    pub spots: Vec<String>,
}

/// A label and what belongs to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fact {
    /// The label.
    pub label: Cow<'static, str>,
    /// What belongs to it.
    pub words: Phrase,
}

impl Sheet {
    /// Its parts: what stands before the first heading, then each heading with all below it.
    pub fn parts(&self) -> Vec<&[Block]> {
        self.blocks.chunk_by(|_, next| !matches!(next, Block::Heading { .. })).collect()
    }
}

impl Sheet {
    /// All that it says in phrases.
    pub(super) fn phrases_mut(&mut self) -> Vec<&mut Phrase> {
        let mut phrases = Vec::new();
        for block in &mut self.blocks {
            match block {
                Block::Facts(facts) => phrases.extend(facts.iter_mut().map(|fact| &mut fact.words)),
                Block::Heading { words, aside, note } => phrases.extend([words, aside, note]),
                Block::Say(words) | Block::Foot(words) | Block::Caution(words) => phrases.push(words),
                Block::Table(table) => {
                    for group in &mut table.groups {
                        phrases.extend([&mut group.head, &mut group.foot]);
                        for row in &mut group.rows {
                            phrases.extend(row.cells.iter_mut().chain([&mut row.special, &mut row.more]));
                        }
                    }
                }
                Block::Cards(cards) => {
                    for card in cards {
                        phrases.extend([&mut card.title, &mut card.aside]);
                        let facts = card.facts.iter_mut().chain(&mut card.reverse);
                        phrases.extend(facts.map(|fact| &mut fact.words));
                    }
                }
                Block::Bars(bars) => phrases.extend(bars.iter_mut().map(|bar| &mut bar.words)),
                Block::Drawing(_) | Block::Ruled(_) => {}
            }
        }
        phrases
    }
}

impl Block {
    /// A new section with nothing but its words.
    pub fn heading(words: impl Into<Piece>) -> Self {
        Block::Heading { words: Phrase::of(words), aside: Phrase::default(), note: Phrase::default() }
    }
}

impl Fact {
    /// A label and what belongs to it.
    pub fn new(label: impl Into<Cow<'static, str>>, words: Phrase) -> Self {
        Fact { label: label.into(), words }
    }
}

/// Rows in columns.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Table {
    /// The columns, from left to right.
    pub columns: Vec<Column>,
    /// The column below which the second line of a row begins, counted from 0.
    pub second_line: usize,
    /// The rows, in groups.
    pub groups: Vec<Group>,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its head.
    pub head: Cow<'static, str>,
    /// How it takes its width.
    pub width: Width,
}

/// How a column takes its width.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Width {
    /// As wide as what stands in it.
    Fit,
    /// As wide as what stands in it, which are numbers.
    Number,
    /// What the others leave; long words run on below.
    Rest,
    /// As above; where there is little room, what stands in it is a line of its own below the others.
    Below,
}

impl Width {
    /// Whether long words run on below, in what the other columns leave.
    pub const fn runs_on(self) -> bool {
        matches!(self, Width::Rest | Width::Below)
    }
}

/// Rows that belong together.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Group {
    /// What they have in common: a track. Empty for rows that need no heading.
    pub head: Phrase,
    /// The rows.
    pub rows: Vec<Row>,
    /// What is said after the last of them.
    pub foot: Phrase,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Row {
    /// What stands in each column.
    pub cells: Vec<Phrase>,
    /// What must not be overlooked: a line of its own, right below the first.
    pub special: Phrase,
    /// Its second line.
    pub more: Phrase,
}

impl Row {
    /// A row of one line.
    pub fn new(cells: impl IntoIterator<Item = Phrase>) -> Self {
        Row { cells: cells.into_iter().collect(), special: Phrase::default(), more: Phrase::default() }
    }

    /// The row with what must not be overlooked.
    #[must_use]
    pub fn with_special(mut self, special: Phrase) -> Self {
        self.special = special;
        self
    }

    /// The row with a second line.
    #[must_use]
    pub fn with(mut self, more: Phrase) -> Self {
        self.more = more;
        self
    }
}

/// A card.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Card {
    /// What stands on top, large.
    pub title: Phrase,
    /// What stands beside it.
    pub aside: Phrase,
    /// What a crew needs.
    pub facts: Vec<Fact>,
    /// What can stand on the back, where cards have one.
    pub reverse: Vec<Fact>,
}

impl Table {
    /// A table of one group without a heading.
    pub fn plain(columns: Vec<Column>, rows: Vec<Row>) -> Self {
        let group = Group { head: Phrase::default(), rows, foot: Phrase::default() };
        Table { columns, second_line: 0, groups: vec![group] }
    }
}

impl Column {
    /// A column as wide as what stands in it.
    pub fn fit(head: impl Into<Cow<'static, str>>) -> Self {
        Column { head: head.into(), width: Width::Fit }
    }

    /// A column of numbers.
    pub fn number(head: impl Into<Cow<'static, str>>) -> Self {
        Column { head: head.into(), width: Width::Number }
    }

    /// A column that takes what the others leave, or stands below them where they leave little.
    pub fn below(head: impl Into<Cow<'static, str>>) -> Self {
        Column { head: head.into(), width: Width::Below }
    }

    /// A column that takes what the others leave.
    pub fn rest(head: impl Into<Cow<'static, str>>) -> Self {
        Column { head: head.into(), width: Width::Rest }
    }
}
