//! Shares the width of a page out among the columns of tables.

use super::GAP;
use super::wrap::wide;
use crate::paper::sheet::{Block, Column, Sheet, Table, Width};

/// What a column that runs on needs at least, if it has that much to say, in tenths of the page.
const LEAST: usize = 3;

/// The widths of every kind of table on the sheet: tables with the same columns share them.
pub(super) fn shapes(sheet: &Sheet, page: usize) -> Vec<(Vec<Column>, Vec<usize>)> {
    let mut shapes: Vec<(Vec<Column>, Vec<usize>)> = Vec::new();
    for block in &sheet.blocks {
        let Block::Table(table) = block else { continue };
        let natural = natural(table, sheet);
        match shapes.iter_mut().find(|(columns, _)| *columns == table.columns) {
            Some((_, widths)) => {
                for (width, wanted) in widths.iter_mut().zip(natural) {
                    *width = wanted.max(*width);
                }
            }
            None => shapes.push((table.columns.clone(), natural)),
        }
    }
    for (columns, widths) in &mut shapes {
        share(columns, widths, page);
    }
    shapes
}

/// How wide each column would be if there were room for everything.
fn natural(table: &Table, sheet: &Sheet) -> Vec<usize> {
    let mut widths: Vec<usize> = table.columns.iter().map(|column| wide(column.head)).collect();
    let mut letters = String::new();
    for row in table.groups.iter().flat_map(|group| &group.rows) {
        for (width, cell) in widths.iter_mut().zip(&row.cells) {
            letters.clear();
            cell.spell(&mut letters, sheet.measure);
            *width = wide(&letters).max(*width);
        }
    }
    widths
}

/// Cuts wanted widths down to the page: columns that run on give way first, down to a least width,
/// then the widest of all.
fn share(columns: &[Column], widths: &mut [usize], page: usize) {
    let room = page.saturating_sub(GAP * columns.len().saturating_sub(1));
    let least: Vec<usize> = columns
        .iter()
        .zip(widths.iter())
        .map(
            |(column, width)| {
                if column.width == Width::Rest { (page * LEAST / 10).min(*width) } else { *width }
            },
        )
        .collect();
    loop {
        let taken: usize = widths.iter().sum();
        if taken <= room {
            return;
        }
        let over_least = (0..widths.len()).filter(|place| widths[*place] > least[*place]);
        let widest = over_least
            .max_by_key(|place| widths[*place])
            .or_else(|| (0..widths.len()).max_by_key(|place| widths[*place]));
        match widest {
            Some(place) if widths[place] > 1 => widths[place] -= 1,
            _ => return,
        }
    }
}
