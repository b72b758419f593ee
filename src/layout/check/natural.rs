//! The order that people expect: `2` before `10`.

use std::cmp::Ordering;

/// Compares texts with their runs of figures as numbers; texts that differ never compare equal.
pub(super) fn compare(one: &str, other: &str) -> Ordering {
    let (mut left, mut right) = (one, other);
    while !left.is_empty() && !right.is_empty() {
        let ((left_run, left_rest), (right_run, right_rest)) = (run(left), run(right));
        let order = match (figures(left_run), figures(right_run)) {
            (true, true) => by_value(left_run, right_run),
            _ => left_run.cmp(right_run),
        };
        if order != Ordering::Equal {
            return order;
        }
        (left, right) = (left_rest, right_rest);
    }
    left.len().cmp(&right.len()).then_with(|| one.cmp(other))
}

fn figures(run: &str) -> bool {
    run.starts_with(|letter: char| letter.is_ascii_digit())
}

/// Splits off the figures, or the letters, that a text begins with.
fn run(text: &str) -> (&str, &str) {
    let first = figures(text);
    text.split_at(text.find(|letter: char| letter.is_ascii_digit() != first).unwrap_or(text.len()))
}

fn by_value(one: &str, other: &str) -> Ordering {
    let (one, other) = (one.trim_start_matches('0'), other.trim_start_matches('0'));
    one.len().cmp(&other.len()).then_with(|| one.cmp(other))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_comes_before_ten() {
        let mut tracks = ["x10", "10", "2", "x2", "mill", "2a", "02"];
        tracks.sort_by(|one, other| compare(one, other));
        assert_eq!(tracks, ["02", "2", "2a", "10", "mill", "x2", "x10"]);
    }
}
