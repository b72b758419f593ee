//! Shares the width of a page out among the columns of tables.

use super::GAP;
use super::wrap::{longest_word, wide};
use crate::paper::sheet::{Block, Column, Sheet, Table, Width};

/// What a column that runs on needs at least, if it has that much to say, in tenths of the page.
const LEAST: usize = 3;
/// So narrow a column is not read with ease.
const CRAMPED: usize = 16;
/// What stands below a row begins within the first so many parts of the page.
const BEGINS: usize = 3;

/// How tables of one kind stand on the page.
#[derive(Clone, Debug, Default)]
pub(super) struct Shape {
    columns: Vec<Column>,
    /// How wide each column is; one in which nothing stands is no column.
    pub(super) widths: Vec<usize>,
    /// The column that has lines of its own, because beside the others it would be too narrow to read: the last one
    /// below them, another one above those that follow it.
    pub(super) apart: Option<usize>,
    /// Where the line begins that stands below such a column: as far in as its words allow.
    pub(super) from: usize,
    /// Whether not even their words fit beside each other: then each is said with its head.
    pub(super) listed: bool,
}

impl Shape {
    /// Whether a table is of this kind: tables with the same columns share their widths.
    pub(super) fn is_of(&self, table: &Table) -> bool {
        self.columns == table.columns
    }

    /// The column at which something begins that stands below a column of a table.
    pub(super) fn indent(&self, column: usize) -> usize {
        self.widths.iter().take(column).filter(|width| **width > 0).map(|width| width + GAP).sum()
    }

    /// Where the last column begins if it stands below the others: below this column, or further left where that
    /// would leave it too little.
    pub(super) fn below(&self, column: usize, page: usize) -> usize {
        let places = (1..=column.max(1)).rev().map(|column| self.indent(column));
        places.into_iter().find(|place| *place <= page / BEGINS).unwrap_or(GAP)
    }

    /// Whether not all columns have room, even if those that run on give way.
    fn is_tight(&self, page: usize) -> bool {
        let wanted = self.columns.iter().zip(&self.widths).map(|(column, width)| match column.width {
            Width::Rest | Width::Below => least(*width, page) + GAP,
            Width::Fit | Width::Number => width + GAP,
        });
        wanted.sum::<usize>() > page + GAP
    }

    /// Shares the page out, and finds out whether a column must stand apart.
    fn settle(&mut self, longest: &[usize], page: usize) {
        self.apart = self.cramped(longest, page);
        let Some(apart) = self.apart else { return share(&self.columns, &mut self.widths, longest, page) };
        let after = apart + 1;
        if after == self.columns.len() {
            share(&self.columns[..apart], &mut self.widths[..apart], longest, page);
        } else {
            let taken: usize =
                longest[after..].iter().filter(|width| **width > 0).map(|width| width + GAP).sum();
            let room = (page + GAP).saturating_sub(taken);
            self.listed = taken > page + GAP;
            self.from = self.indent(apart).max(GAP).min(room);
            share(&self.columns[after..], &mut self.widths[after..], &longest[after..], page - self.from);
        }
    }

    /// The column that runs on to which the others, with no word of theirs broken, leave too little to be read with
    /// ease.
    fn cramped(&self, longest: &[usize], page: usize) -> Option<usize> {
        let place = self.columns.iter().rposition(|column| column.width.runs_on())?;
        let last = place + 1 == self.columns.len();
        let others = |widths: &[usize]| -> usize {
            let others = widths.iter().enumerate().filter(|(other, width)| *other != place && **width > 0);
            others.map(|(_, width)| width + GAP).sum()
        };
        let taken = others(if last { &self.widths } else { longest });
        let wanted = self.widths[place].min(CRAMPED);
        (taken > 0 && page.saturating_sub(taken) < wanted).then_some(place)
    }
}

/// The shapes of all tables of the sheet.
pub(super) fn shapes(sheet: &Sheet, page: usize) -> Vec<Shape> {
    let mut shapes: Vec<Shape> = Vec::new();
    let tables = sheet.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    for table in tables.clone() {
        let found = shapes.iter().position(|shape| shape.is_of(table)).unwrap_or_else(|| {
            let (columns, widths) = (table.columns.clone(), vec![0; table.columns.len()]);
            shapes.push(Shape { columns, widths, apart: None, from: 0, listed: false });
            shapes.len() - 1
        });
        widen(&mut shapes[found].widths, table, sheet, wide);
    }
    for shape in &mut shapes {
        // Where there is room enough nobody asks how long the words are.
        let mut longest = shape.widths.clone();
        if shape.is_tight(page) {
            longest.fill(0);
            for table in tables.clone().filter(|table| shape.is_of(table)) {
                widen(&mut longest, table, sheet, longest_word);
            }
        }
        shape.settle(&longest, page);
    }
    shapes
}

/// Makes columns as wide as what this table has in them, measured like this.
fn widen(widths: &mut [usize], table: &Table, sheet: &Sheet, measured: fn(&str) -> usize) {
    for (width, column) in widths.iter_mut().zip(&table.columns) {
        *width = measured(&column.head).max(*width);
    }
    let mut letters = String::new();
    for row in table.groups.iter().flat_map(|group| &group.rows) {
        for (width, cell) in widths.iter_mut().zip(&row.cells) {
            letters.clear();
            cell.spell(&mut letters, &sheet.measure);
            *width = measured(&letters).max(*width);
        }
    }
}

/// What a column that runs on gives way down to.
fn least(width: usize, page: usize) -> usize {
    (page * LEAST / 10).max(CRAMPED).min(width)
}

/// Cuts wanted widths down to the page: columns that run on give way first, down to a least width, then the widest
/// of the others that can be narrower with no word broken, then the widest of all.
fn share(columns: &[Column], widths: &mut [usize], longest: &[usize], page: usize) {
    let used = widths.iter().filter(|width| **width > 0).count();
    let room = page.saturating_sub(GAP * used.saturating_sub(1));
    let runs_on = |place: usize| columns[place].width.runs_on();
    let least: Vec<usize> = widths.iter().map(|width| least(*width, page)).collect();
    let natural = widths.to_vec();
    let bounds: [&dyn Fn(usize) -> usize; 4] = [
        &|place| if runs_on(place) { least[place] } else { natural[place] },
        &|place| if runs_on(place) { least[place] } else { longest[place] },
        &|place| longest[place],
        &|_| 1,
    ];
    while widths.iter().sum::<usize>() > room {
        let widest = |bound: &&dyn Fn(usize) -> usize| {
            let over = (0..widths.len()).filter(|place| widths[*place] > bound(*place));
            over.max_by_key(|place| widths[*place])
        };
        let Some(place) = bounds.iter().find_map(widest) else { return };
        widths[place] -= 1;
    }
}
