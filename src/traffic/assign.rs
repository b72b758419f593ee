//! Minimum-cost assignment of columns to rows, over all rows at once.
//!
//! Rows are orders, columns are cars. Every row may also stay unfilled at a price of its own, so an
//! assignment always exists. The method is that of shortest augmenting paths with potentials
//! (R. Jonker and A. Volgenant, "A shortest augmenting path algorithm for dense and sparse linear
//! assignment problems", Computing 38, 1987), without their heuristics for the start.
//!
//! A worked example, two orders and two cars with costs `[[1, 2], [1, 5]]`: the first order takes
//! car 0 (cost 1). The second wants it too: the path car 0 → first order → car 1 costs 1 + (2 − 1) =
//! 2, less than 5, so the first order moves on to car 1. Sum 3.
//!
//! # Complexity
//! O(rows × edges × log edges) at worst; each search ends at the first free column, so usually far
//! less.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What a choice costs. Tuples of whole numbers are packed into it, the first field highest.
pub type Price = i128;

/// Rows with the columns that will do for each and what they cost.
#[derive(Clone, Debug, Default)]
pub struct Matrix {
    /// For each row, (column, price); prices are not negative, columns lie below [`Matrix::columns`].
    pub rows: Vec<Vec<(usize, Price)>>,
    /// For each row, the price of staying unfilled.
    pub unfilled: Vec<Price>,
    /// How many columns there are.
    pub columns: usize,
}

/// The search's books.
struct Search<'m> {
    matrix: &'m Matrix,
    row_price: Vec<Price>,
    column_price: Vec<Price>,
    /// The row that holds a column; columns beyond the real ones stand for "row stays unfilled".
    holder: Vec<Option<usize>>,
    held: Vec<Option<usize>>,
}

/// The column of each row in an assignment of least total price; none where a row stays unfilled.
/// Among equal totals the one found first, rows and columns being tried in order.
pub fn assign(matrix: &Matrix) -> Vec<Option<usize>> {
    let rows = matrix.rows.len();
    let mut search = Search {
        matrix,
        row_price: vec![0; rows],
        column_price: vec![0; matrix.columns + rows],
        holder: vec![None; matrix.columns + rows],
        held: vec![None; rows],
    };
    for row in 0..rows {
        search.augment(row);
    }
    search.held.into_iter().map(|column| column.filter(|column| *column < matrix.columns)).collect()
}

impl Search<'_> {
    /// Finds a column for one more row along the cheapest path of exchanges.
    fn augment(&mut self, start: usize) {
        let mut best: Vec<Option<Price>> = vec![None; self.column_price.len()];
        let mut from: Vec<usize> = vec![start; self.column_price.len()];
        let mut heap = BinaryHeap::new();
        let mut settled: Vec<(usize, Price)> = Vec::new();
        let mut done = vec![false; self.column_price.len()];
        let (mut row, mut reached) = (start, 0);
        let last = loop {
            for (column, price) in self.choices(row) {
                let length = reached + price - self.row_price[row] - self.column_price[column];
                if !done[column] && best[column].is_none_or(|best| length < best) {
                    best[column] = Some(length);
                    from[column] = row;
                    heap.push(Reverse((length, column)));
                }
            }
            let (length, column) = loop {
                let Reverse((length, column)) = heap.pop().expect("a row can always stay unfilled");
                if !done[column] {
                    break (length, column);
                }
            };
            done[column] = true;
            reached = length;
            match self.holder[column] {
                Some(holder) => {
                    settled.push((column, length));
                    row = holder;
                }
                None => break column,
            }
        };
        self.row_price[start] += reached;
        for (column, length) in settled {
            let holder = self.holder[column].expect("settled columns are held");
            self.column_price[column] -= reached - length;
            self.row_price[holder] += reached - length;
        }
        let mut column = last;
        loop {
            let row = from[column];
            self.holder[column] = Some(row);
            match self.held[row].replace(column) {
                Some(before) if row != start => column = before,
                _ => break,
            }
        }
    }

    /// A row's columns, its own way of staying unfilled among them.
    fn choices(&self, row: usize) -> impl Iterator<Item = (usize, Price)> + use<'_> {
        let unfilled = (self.matrix.columns + row, self.matrix.unfilled[row]);
        self.matrix.rows[row].iter().copied().chain([unfilled])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dense(costs: &[&[Price]], unfilled: Price) -> Matrix {
        Matrix {
            rows: costs.iter().map(|row| row.iter().copied().enumerate().collect()).collect(),
            unfilled: vec![unfilled; costs.len()],
            columns: costs.first().map_or(0, |row| row.len()),
        }
    }

    fn total(matrix: &Matrix, assigned: &[Option<usize>]) -> Price {
        let price = |(row, column): (usize, &Option<usize>)| match column {
            Some(column) => matrix.rows[row].iter().find(|(known, _)| known == column).unwrap().1,
            None => matrix.unfilled[row],
        };
        assigned.iter().enumerate().map(price).sum()
    }

    #[test]
    fn the_published_example_has_its_published_optimum() {
        // H. Taha, Operations Research, example 5.4-1: optimum 27.
        let matrix = dense(&[&[15, 10, 9], &[9, 15, 10], &[10, 12, 8]], 1000);
        assert_eq!(total(&matrix, &assign(&matrix)), 27);
    }

    #[test]
    fn an_order_gives_its_car_up_when_that_is_cheaper_for_both() {
        let matrix = dense(&[&[1, 2], &[1, 5]], 1000);
        assert_eq!(assign(&matrix), [Some(1), Some(0)]);
    }

    #[test]
    fn an_order_stays_unfilled_when_there_are_too_few_cars() {
        let mut matrix = dense(&[&[4], &[3], &[9]], 100);
        matrix.unfilled[2] = 200;
        // Only one car: leaving the third unfilled costs 200, so it gets the car: 100 + 100 + 9.
        assert_eq!(assign(&matrix), [None, None, Some(0)]);
    }

    #[test]
    fn every_small_matrix_has_the_optimum_of_trying_everything() {
        let mut stream = crate::chance::Chance::new(11).stream("test", "assign");
        for _ in 0..200 {
            let (rows, columns) = (1 + stream.below(4), 1 + stream.below(5));
            let costs: Vec<Vec<Price>> =
                (0..rows).map(|_| (0..columns).map(|_| Price::from(stream.below(20))).collect()).collect();
            let matrix = dense(&costs.iter().map(Vec::as_slice).collect::<Vec<_>>(), 15);
            assert_eq!(total(&matrix, &assign(&matrix)), least(&matrix, 0, &mut Vec::new()));
        }
    }

    fn least(matrix: &Matrix, row: usize, taken: &mut Vec<usize>) -> Price {
        if row == matrix.rows.len() {
            return 0;
        }
        let mut best = matrix.unfilled[row] + least(matrix, row + 1, taken);
        for (column, price) in &matrix.rows[row] {
            if !taken.contains(column) {
                taken.push(*column);
                best = best.min(price + least(matrix, row + 1, taken));
                taken.pop();
            }
        }
        best
    }
}
