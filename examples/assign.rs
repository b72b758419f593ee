//! Reads a matrix of prices as JSON from standard input, and prints the cheapest assignment with its
//! total, so that a general solver can be asked the same: `cargo run --example assign < matrix.json`.
//!
//! In: `{"rows": [[[column, price], …], …], "unfilled": [price, …], "columns": n}`, whole numbers, none
//! negative. Out: `{"columns": [column or null, …], "total": price, "nanoseconds": n}`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::{Read, Write};
use std::time::Instant;

use serde::{Deserialize, Serialize};
use setout::traffic::assign::{Matrix, Price, assign};

#[derive(Deserialize)]
struct Question {
    rows: Vec<Vec<(usize, Price)>>,
    unfilled: Vec<Price>,
    columns: usize,
}

#[derive(Serialize)]
struct Answer {
    columns: Vec<Option<usize>>,
    total: Price,
    nanoseconds: u128,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    std::io::stdin().lock().read_to_string(&mut text)?;
    let Question { rows, unfilled, columns } = serde_json::from_str(&text)?;
    if rows.len() != unfilled.len() {
        return Err("expected as many prices in `unfilled` as rows".into());
    }
    if rows.iter().flatten().any(|(column, price)| *column >= columns || *price < 0) {
        return Err("expected columns below `columns`, and no negative price".into());
    }
    let matrix = Matrix { rows, unfilled, columns };
    let (columns, nanoseconds) = timed(|| assign(&matrix));
    let total = columns.iter().enumerate().map(|(row, column)| price(&matrix, row, *column)).sum();
    writeln!(
        std::io::stdout().lock(),
        "{}",
        serde_json::to_string(&Answer { columns, total, nanoseconds })?
    )?;
    Ok(())
}

fn price(matrix: &Matrix, row: usize, column: Option<usize>) -> Price {
    let Some(column) = column else { return matrix.unfilled[row] };
    let same = matrix.rows[row].iter().filter(|(known, _)| *known == column);
    same.map(|(_, price)| *price).min().expect("a row is given one of its own columns")
}

#[allow(clippy::disallowed_methods, reason = "the time is measured, it decides nothing")]
fn timed<T>(work: impl FnOnce() -> T) -> (T, u128) {
    let start = Instant::now();
    let done = work();
    (done, start.elapsed().as_nanos())
}
