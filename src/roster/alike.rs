//! Cars whose numbers a crew, or the host at the keyboard, takes for one another.
//!
//! The slips are those of people who copy numbers: two neighbouring figures change places, one
//! figure is written twice or once too little, a letter of the mark is wrong. Only cars of one kind are held together: a
//! box car and a tank car nobody confuses. Where both numbers lie in equal steps with others of their kind and mark, they are of
//! series, and figures change places in those by the run of the numbers. Common practice, no source.

use std::collections::BTreeMap;

use super::card::Card;
use crate::diag::Diagnostic;

/// Numbers shorter than this differ by one slip all the time.
const SHORTEST: usize = 4;

/// The widest step of a series: cars are numbered in ones, twos, fives, tens or twenties.
const WIDEST_STEP: u32 = 25;

/// The cars by kind, mark and number, each with its place in the roster.
type Numbered<'c> = BTreeMap<(String, String, String), (usize, &'c Card)>;

/// Warns of every pair, once, at the car that comes second in the roster.
pub(super) fn look_alike(cards: &[Card]) -> Vec<Diagnostic> {
    let name = |card: &Card| {
        (card.words("type").to_owned(), card.words("mark").to_owned(), figures(card.words("number")))
    };
    let all: Numbered<'_> =
        cards.iter().enumerate().map(|(place, card)| (name(card), (place, card))).collect();
    let mut faults = Vec::new();
    for (place, card) in cards.iter().enumerate() {
        let (kind, mark, number) = name(card);
        if mark.is_empty() || number.len() < SHORTEST {
            continue;
        }
        let numbers =
            swapped(&number).into_iter().map(|other| (mark.clone(), other, "with two figures changed over"));
        let doubled = doubled(&number).into_iter().map(|other| (mark.clone(), other, "with a figure twice"));
        let marks =
            swapped(&mark).into_iter().map(|other| (other, number.clone(), "under a mark much like it"));
        for (mark, number, how) in numbers.chain(doubled).chain(marks) {
            let Some((other_place, other)) = all.get(&(kind.clone(), mark, number)) else { continue };
            // A pair of swapped figures is found from both its cars; a doubled figure from one.
            let (first, second) = if *other_place < place { (*other, card) } else { (card, *other) };
            if *other_place > place && how != "with a figure twice" {
                continue;
            }
            if in_series(&all, name(card)) && in_series(&all, name(other)) {
                continue;
            }
            let message = format!("`{}` is `{}` {how}", second.id(), first.id());
            faults.push(
                Diagnostic::warning("look-alike-number", second.span_of("number"), message)
                    .label(first.span_of("number"), "the other")
                    .help("compare both numbers with the cars; if they are right, all is well"),
            );
        }
    }
    faults
}

/// Whether the number after this one or before it is another car of the kind, or two more lie in equal steps with it.
fn in_series(all: &Numbered<'_>, (kind, mark, number): (String, String, String)) -> bool {
    let Ok(number) = number.parse::<u32>() else { return false };
    let there = |number: Option<u32>| {
        number.is_some_and(|number| all.contains_key(&(kind.clone(), mark.clone(), number.to_string())))
    };
    if there(number.checked_add(1)) || there(number.checked_sub(1)) {
        return true;
    }
    (2..=WIDEST_STEP).any(|step| {
        let (down, up) = (there(number.checked_sub(step)), there(number.checked_add(step)));
        (down && (up || there(number.checked_sub(2 * step)))) || (up && there(number.checked_add(2 * step)))
    })
}

fn figures(number: &str) -> String {
    number.trim_start_matches('0').to_owned()
}

/// All words that differ by two neighbours that changed places.
fn swapped(word: &str) -> Vec<String> {
    let signs: Vec<char> = word.chars().collect();
    let pairs = (1..signs.len()).filter(|place| signs[*place - 1] != signs[*place]);
    pairs
        .map(|place| {
            let mut other = signs.clone();
            other.swap(place - 1, place);
            other.into_iter().collect()
        })
        .collect()
}

/// All words in which one of two neighbours that are alike is missing.
fn doubled(word: &str) -> Vec<String> {
    let signs: Vec<char> = word.chars().collect();
    let mut others = Vec::new();
    for place in (1..signs.len()).filter(|place| signs[*place - 1] == signs[*place]) {
        let mut other = signs.clone();
        other.remove(place);
        others.push(other.into_iter().collect());
    }
    others.dedup();
    others
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cars, of one kind and mark, that are said to look like another one.
    fn told(numbers: &[u32]) -> Vec<String> {
        let rows = numbers.iter().map(|number| format!("CHT,{number},XM\n"));
        let mut sources = crate::diag::Sources::default();
        sources.add("cars.csv", "mark,number,type\n".to_owned() + &rows.collect::<String>());
        look_alike(&crate::roster::cards(&sources))
            .into_iter()
            .map(|fault| fault.message.to_string())
            .collect()
    }

    #[test]
    fn numbers_of_series_are_no_slips_and_a_number_that_stands_alone_may_be_one() {
        // 1012 and 1021, 1213 and 1231, and many more.
        let through: Vec<u32> = (1000..1300).collect();
        assert_eq!(told(&through), Vec::<String>::new());
        for step in [2, 3, 5, 10, 25] {
            let in_steps: Vec<u32> = (1000..5000).step_by(step).collect();
            assert_eq!(told(&in_steps), Vec::<String>::new(), "in steps of {step}");
        }
        assert_eq!(told(&[1234, 1235, 1243]), ["`CHT 1243` is `CHT 1234` with two figures changed over"]);
        // 1243 is none of 1210, 1222, 1234, 1246, nor does it lie in equal steps with two of them.
        let slip = [1210, 1222, 1234, 1246, 1243];
        assert_eq!(told(&slip), ["`CHT 1243` is `CHT 1234` with two figures changed over"]);
    }

    #[test]
    fn slips_are_made_as_people_make_them() {
        assert_eq!(swapped("1223"), ["2123", "1232"]);
        assert_eq!(doubled("12234"), ["1234"]);
        assert_eq!(doubled("1222"), ["122"]);
    }
}
