//! Shares the width of a page out among the columns of tables.

use super::GAP;
use super::wrap::wide;
use crate::paper::sheet::{Block, Column, Sheet, Table, Width};

/// What a column that runs on needs at least, if it has that much to say, in tenths of the page.
const LEAST: usize = 3;

/// The width of a last column that stands below the others, because beside them it would be too narrow to read.
pub(super) const BELOW: usize = 0;
/// So narrow a column is not read with ease.
const CRAMPED: usize = 16;

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
        if cramped(columns, widths, page) {
            let others = columns.len() - 1;
            share(&columns[..others], &mut widths[..others], page);
            widths[others] = BELOW;
        } else {
            share(columns, widths, page);
        }
    }
    shapes
}

/// Whether the last column runs on and the others leave it too little to be read with ease.
fn cramped(columns: &[Column], widths: &[usize], page: usize) -> bool {
    let (Some(column), Some((wanted, others))) = (columns.last(), widths.split_last()) else { return false };
    let taken: usize = others.iter().map(|width| width + GAP).sum();
    column.width == Width::Rest && !others.is_empty() && page.saturating_sub(taken) < (*wanted).min(CRAMPED)
}

/// How wide each column would be if there were room for everything.
fn natural(table: &Table, sheet: &Sheet) -> Vec<usize> {
    let mut widths: Vec<usize> = table.columns.iter().map(|column| wide(&column.head)).collect();
    let mut letters = String::new();
    for row in table.groups.iter().flat_map(|group| &group.rows) {
        for (width, cell) in widths.iter_mut().zip(&row.cells) {
            letters.clear();
            cell.spell(&mut letters, &sheet.measure);
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
