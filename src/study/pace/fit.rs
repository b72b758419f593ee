//! The fit itself: regularised least squares that forgives odd rows, within bounds.
//!
//! A row says that a job took a share `t` of its time more than it was given, and what shares `x` of
//! that time go to each kind of deed. Sought is how much longer than given each kind really takes, the
//! factors `b`. With r = t - x·b the fit is the least
//!
//! ```text
//! Σ h(r) + ½ b'Qb    h(r) = ½ r² where |r| ≤ D, and D |r| - ½ D² beyond    -1 ≤ b ≤ 4
//! ```
//!
//! `h` is Huber's, so that a row that fits nothing pulls no harder than one at D. `Q` stands for what is
//! known before anything was recorded: crews are slower or quicker than given as a whole by about
//! [`WHOLE`], each kind of deed besides by about [`EACH`], and a job scatters by about [`SCATTER`]. The
//! function is convex, and its least value is found by weighing rows anew and solving by coordinates.
//!
//! # Complexity
//! [`ROUNDS`] passes over the rows, whatever they hold; nothing is stopped by a clock or a tolerance.
//! Sums, products and quotients alone, which every machine rounds alike.

/// How many kinds of deed there are.
pub(super) const DEEDS: usize = 8;

/// One number for each kind of deed.
pub(super) type Vector = [f64; DEEDS];

/// A number for each two kinds of deed.
pub(super) type Matrix = [Vector; DEEDS];

/// How far one job scatters around its minutes, as a share of them (common practice, no source).
pub(super) const SCATTER: f64 = 0.2;

/// How far the crews of a layout are from the given pace as a whole (common practice, no source).
pub(super) const WHOLE: f64 = 0.4;

/// How far each kind of deed is from it besides (common practice, no source).
pub(super) const EACH: f64 = 0.3;

/// Where a row begins to be odd: 1.345 times the scatter, at which the fit of sound rows is nearly as
/// sharp as without (Huber's constant, from memory).
pub(super) const ODD: f64 = 1.345 * SCATTER;

/// A deed takes no less than no time, and at most five times what is given.
const BOUNDS: (f64, f64) = (-1.0, 4.0);

/// How often rows are weighed anew.
const ROUNDS: u32 = 40;

/// How often all coordinates are solved for in a round.
const SWEEPS: u32 = 40;

/// What one job says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Row {
    /// The shares of its time that go to each kind of deed.
    pub(super) shares: Vector,
    /// The share of its time by which it took longer than given.
    pub(super) longer: f64,
}

impl Row {
    /// What the factors leave unexplained.
    pub(super) fn left(&self, factors: &Vector) -> f64 {
        self.longer - dot(&self.shares, factors)
    }
}

/// How much each row counts: 1, or less where it is odd.
pub(super) fn weight(left: f64) -> f64 {
    let left = left.abs();
    if left <= ODD { 1.0 } else { ODD / left }
}

/// The factors that fit best.
pub(super) fn factors(rows: &[Row]) -> Vector {
    let mut factors = [0.0; DEEDS];
    for _ in 0..ROUNDS {
        let (curve, pull) = normal(rows, &factors);
        for _ in 0..SWEEPS {
            for deed in 0..DEEDS {
                let others = dot(&curve[deed], &factors) - curve[deed][deed] * factors[deed];
                factors[deed] = ((pull[deed] - others) / curve[deed][deed]).clamp(BOUNDS.0, BOUNDS.1);
            }
        }
    }
    factors
}

/// The matrix and the right side of the weighed equations.
pub(super) fn normal(rows: &[Row], factors: &Vector) -> (Matrix, Vector) {
    let mut curve = known();
    let mut pull = [0.0; DEEDS];
    for row in rows {
        let weight = weight(row.left(factors));
        for deed in 0..DEEDS {
            let share = weight * row.shares[deed];
            pull[deed] += share * row.longer;
            for (cell, other) in curve[deed].iter_mut().zip(&row.shares) {
                *cell += share * other;
            }
        }
    }
    (curve, pull)
}

/// What is known beforehand, `Q`: the scatter squared times the inverse of WHOLE² 11' + EACH² I.
pub(super) fn known() -> Matrix {
    let (whole, each) = (WHOLE * WHOLE, EACH * EACH);
    let mut count = 0.0;
    (0..DEEDS).for_each(|_| count += 1.0);
    let between = whole / (each + count * whole);
    let mut matrix = [[0.0; DEEDS]; DEEDS];
    for (deed, row) in matrix.iter_mut().enumerate() {
        for (other, cell) in row.iter_mut().enumerate() {
            let one = if deed == other { 1.0 } else { 0.0 };
            *cell = SCATTER * SCATTER / each * (one - between);
        }
    }
    matrix
}

/// The inverse of a matrix with no direction that is free, by elimination without pivots.
pub(super) fn inverse(mut matrix: Matrix) -> Matrix {
    let mut inverse = [[0.0; DEEDS]; DEEDS];
    for (place, row) in inverse.iter_mut().enumerate() {
        row[place] = 1.0;
    }
    for place in 0..DEEDS {
        let pivot = matrix[place][place];
        for column in 0..DEEDS {
            matrix[place][column] /= pivot;
            inverse[place][column] /= pivot;
        }
        for row in (0..DEEDS).filter(|row| *row != place) {
            let times = matrix[row][place];
            for column in 0..DEEDS {
                matrix[row][column] -= times * matrix[place][column];
                inverse[row][column] -= times * inverse[place][column];
            }
        }
    }
    inverse
}

fn dot(one: &Vector, other: &Vector) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(deed: usize, longer: f64) -> Row {
        let mut shares = [0.0; DEEDS];
        shares[deed] = 1.0;
        Row { shares, longer }
    }

    fn near(one: f64, other: f64) -> bool {
        (one - other).abs() < 1e-6
    }

    #[test]
    fn nothing_recorded_changes_nothing() {
        assert!(factors(&[]).iter().all(|factor| near(*factor, 0.0)));
    }

    #[test]
    fn one_kind_of_deed_is_drawn_towards_what_is_known() {
        // Four jobs of nothing but handlings took 20 % longer. Known beforehand of one deed: a variance of
        // 0.4² + 0.3² = 0.25, against 0.2² = 0.04 of a job: 0.2 · 4 / (4 + 0.04 / 0.25) = 0.8 / 4.16.
        // The others follow by 0.16 / 0.25 of that, which is how they vary together.
        let found = factors(&[row(0, 0.2); 4]);
        assert!(near(found[0], 0.8 / 4.16), "{found:?}");
        assert!(found[1..].iter().all(|factor| near(*factor, 0.8 / 4.16 * 0.64)), "{found:?}");
    }

    #[test]
    fn an_odd_row_pulls_no_harder_than_one_at_the_bend() {
        let sound = [row(0, 0.0); 6];
        let with = |longer: f64| factors(&[&sound[..], &[row(0, longer)]].concat())[0];
        assert!(near(with(3.0), with(30.0)), "{} {}", with(3.0), with(30.0));
        // Its pull of 0.269 against six rows and what is known: 0.269 / 6.16.
        assert!(near(with(3.0), ODD / 6.16), "{}", with(3.0));
    }

    #[test]
    fn no_deed_takes_less_than_no_time() {
        let found = factors(&vec![row(2, -3.0); 400]);
        assert!(near(found[2], -1.0), "{found:?}");
    }

    #[test]
    fn the_inverse_of_what_is_known_is_the_variance_it_stands_for() {
        let found = inverse(known());
        let scatter = SCATTER * SCATTER;
        assert!(near(found[0][0] * scatter, 0.25) && near(found[0][3] * scatter, 0.16), "{found:?}");
    }
}
