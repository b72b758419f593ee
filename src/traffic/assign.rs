//! Minimum-cost assignment of columns to rows, over all rows at once.
//!
//! Rows are orders, columns are cars. Every row may also stay unfilled at a price of its own, so an
//! assignment always exists. The method is that of shortest augmenting paths with potentials
//! (R. Jonker and A. Volgenant, "A shortest augmenting path algorithm for dense and sparse linear
//! assignment problems", Computing 38, 1987), without their heuristics for the start. A row shows its
//! columns cheapest first and only as far as a search asks: no column is worth less than nothing, so
//! the price of the next one is a bound for all that follow.
//!
//! A worked example, two orders and two cars with costs `[[1, 2], [1, 5]]`: the first order takes
//! car 0 (cost 1). The second wants it too: the path car 0 → first order → car 1 costs 1 + (2 − 1) =
//! 2, less than 5, so the first order moves on to car 1. Sum 3.
//!
//! # Complexity
//! O(rows × edges × log edges) at worst; each search ends at the first free column, so usually far
//! less, and most edges are never looked at.

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

/// Rows that show their columns one by one, the cheapest first, so that those that are never asked
/// for need not be there.
pub(super) trait Offers {
    /// How many rows there are.
    fn rows(&self) -> usize;
    /// How many columns there are.
    fn columns(&self) -> usize;
    /// The price of a row that stays unfilled.
    fn unfilled(&self, row: usize) -> Price;
    /// The column of a row that so many others are cheaper than, and its price.
    fn cheapest(&mut self, row: usize, at: usize) -> Option<(usize, Price)>;
}

/// The rows of a matrix, as far as they are in order.
struct Ordered<'m> {
    matrix: &'m Matrix,
    out: Vec<Vec<(usize, Price)>>,
    left: Vec<BinaryHeap<Reverse<(Price, usize)>>>,
}

/// The column of each row in an assignment of least total price; none where a row stays unfilled.
/// Among equal totals the one found first, rows being tried in order and the lowest column first.
pub fn assign(matrix: &Matrix) -> Vec<Option<usize>> {
    let left = matrix.rows.iter().map(|row| row.iter().map(|(column, price)| Reverse((*price, *column))));
    assign_offers(&mut Ordered {
        matrix,
        out: vec![Vec::new(); matrix.rows.len()],
        left: left.map(Iterator::collect).collect(),
    })
}

/// The same for rows that show their columns one by one.
pub(super) fn assign_offers(offers: &mut impl Offers) -> Vec<Option<usize>> {
    let (rows, columns) = (offers.rows(), offers.columns());
    let mut search = Search {
        offers,
        columns,
        row_price: vec![0; rows],
        column_price: vec![0; columns + rows],
        holder: vec![None; columns + rows],
        held: vec![None; rows],
        known: vec![Known::default(); columns + rows],
        shown: vec![Shown::default(); rows],
        heap: BinaryHeap::new(),
    };
    for row in 0..rows {
        search.augment(row);
    }
    search.held.into_iter().map(|column| column.filter(|column| *column < columns)).collect()
}

impl Offers for Ordered<'_> {
    fn rows(&self) -> usize {
        self.matrix.rows.len()
    }

    fn columns(&self) -> usize {
        self.matrix.columns
    }

    fn unfilled(&self, row: usize) -> Price {
        self.matrix.unfilled[row]
    }

    fn cheapest(&mut self, row: usize, at: usize) -> Option<(usize, Price)> {
        while self.out[row].len() <= at {
            let Reverse((price, column)) = self.left[row].pop()?;
            self.out[row].push((column, price));
        }
        Some(self.out[row][at])
    }
}

/// The search's books.
struct Search<'o, O> {
    offers: &'o mut O,
    columns: usize,
    row_price: Vec<Price>,
    /// Never above 0: a column is worth something once a row holds it.
    column_price: Vec<Price>,
    /// The row that holds a column; columns beyond the real ones stand for "row stays unfilled".
    holder: Vec<Option<usize>>,
    held: Vec<Option<usize>>,
    /// What is known of each column; what an earlier search left counts for nothing.
    known: Vec<Known>,
    /// The rows reached, by row.
    shown: Vec<Shown>,
    heap: BinaryHeap<Reverse<(Price, Next)>>,
}

/// What a search knows of a column.
#[derive(Clone, Copy, Debug, Default)]
struct Known {
    /// The search, by the row it began at, plus 1.
    search: usize,
    length: Price,
    from: usize,
    done: bool,
}

/// A row that was reached.
#[derive(Clone, Copy, Debug, Default)]
struct Shown {
    /// How many rows were reached before it.
    order: usize,
    /// How many of its columns were looked at.
    at: usize,
    /// What is added to their prices.
    base: Price,
}

/// What lies next on the way: a row's next column, at this length or more, or a column that was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Next {
    Row(usize),
    Column(usize),
}

impl<O: Offers> Search<'_, O> {
    /// Finds a column for one more row along the cheapest path of exchanges.
    fn augment(&mut self, start: usize) {
        let search = start + 1;
        self.heap.clear();
        let mut settled: Vec<usize> = Vec::new();
        self.reach(search, start, (0, 0));
        let (last, reached) = loop {
            let Reverse((length, next)) = self.heap.pop().expect("a row can always stay unfilled");
            match next {
                Next::Row(row) => self.show(search, row),
                Next::Column(column) if self.known[column].done => {}
                Next::Column(column) => {
                    self.known[column].done = true;
                    let Some(holder) = self.holder[column] else { break (column, length) };
                    settled.push(column);
                    self.reach(search, holder, (settled.len(), length));
                }
            }
        };
        self.row_price[start] += reached;
        for column in settled {
            let holder = self.holder[column].expect("settled columns are held");
            let saved = reached - self.known[column].length;
            self.column_price[column] -= saved;
            self.row_price[holder] += saved;
        }
        let mut column = last;
        loop {
            let row = self.known[column].from;
            self.holder[column] = Some(row);
            match self.held[row].replace(column) {
                Some(before) if row != start => column = before,
                _ => break,
            }
        }
    }

    /// Comes to a row, the start or one whose column was reached at a length.
    fn reach(&mut self, search: usize, row: usize, (order, length): (usize, Price)) {
        let base = length - self.row_price[row];
        self.shown[row] = Shown { order, at: 0, base };
        let unfilled = self.offers.unfilled(row);
        self.look(search, row, (self.columns + row, base + unfilled));
        self.announce(search, row);
    }

    /// Looks at a row's next column.
    fn show(&mut self, search: usize, row: usize) {
        let Shown { at, base, order: _ } = self.shown[row];
        if let Some((column, price)) = self.offers.cheapest(row, at) {
            self.look(search, row, (column, base + price));
        }
        self.shown[row].at += 1;
        self.announce(search, row);
    }

    /// Puts a row's next column in line. Its length is no less than this: column prices are never above 0.
    /// Columns whose turn it would be at once, and to which this is no shorter path, are passed over.
    fn announce(&mut self, search: usize, row: usize) {
        let base = self.shown[row].base;
        while let Some((column, price)) = self.offers.cheapest(row, self.shown[row].at) {
            let (known, least) = (self.known[column], base + price);
            let length = least - self.column_price[column];
            let shorter = known.search != search || (!known.done && length <= known.length);
            if shorter || self.heap.peek().is_some_and(|Reverse((first, _))| least > *first) {
                self.heap.push(Reverse((least, Next::Row(row))));
                break;
            }
            self.shown[row].at += 1;
        }
    }

    /// Takes note of a column that a row leads to, if no shorter path does; of two rows that lead to it
    /// at the same length, the one that was reached first counts.
    fn look(&mut self, search: usize, row: usize, (column, length): (usize, Price)) {
        let length = length - self.column_price[column];
        let known = self.known[column];
        if known.search != search || (!known.done && length < known.length) {
            self.known[column] = Known { search, length, from: row, done: false };
            self.heap.push(Reverse((length, Next::Column(column))));
        } else if !known.done && length == known.length {
            let earlier = self.shown[row].order < self.shown[known.from].order;
            self.known[column].from = if earlier { row } else { known.from };
        }
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
