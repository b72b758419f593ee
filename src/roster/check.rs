//! Whether the roster is in order: what `layout` finds in it, and what is odd beyond that.

use std::collections::BTreeMap;

use super::card::Card;
use super::{alike, cards, usable};
use crate::diag::{Diagnostic, Diagnostics, FileIx, Severity, Sources};
use crate::ids::Id;
use crate::layout::{self, Car, CarType, Layout};
use crate::units::Length;

/// Lengths over couplers, in feet, that cars of a letter had: the shortest and the longest.
///
/// Common practice, no source; from memory, and wide: what lies outside is a slip of the pen.
const LENGTHS: [(char, u32, u32); 12] = [
    ('X', 30, 95),
    ('B', 30, 95),
    ('V', 30, 65),
    ('R', 30, 90),
    ('S', 30, 90),
    ('G', 30, 75),
    ('H', 24, 75),
    ('L', 24, 80),
    ('T', 24, 80),
    ('F', 26, 125),
    ('N', 18, 50),
    ('M', 15, 130),
];

/// A flat car in several parts that are never parted is longer than any other car.
const ARTICULATED: (&str, u32, u32) = ("FCA", 90, 320);

/// A kind of the layout's own may be so much shorter or longer than usual, in hundredths.
const OWN_KIND: (u32, u32) = (50, 200);

/// Heights above the rail, in feet. The tallest cars of the standard clearance plates have 20 ft 3 in.
const HEIGHTS: (u32, u32) = (4, 21);

/// All that is wrong with the cars of a description, and all that is odd about them.
///
/// Of what is wrong elsewhere only the number is told, as the second value: `layout` could not say
/// everything then.
pub fn check(description: &Sources) -> (Diagnostics, usize) {
    let (layout, found) = layout::load(description.clone());
    let cards = cards(description);
    let places: BTreeMap<FileIx, Vec<(usize, usize)>> = places(&cards);
    let in_roster = |fault: &Diagnostic| {
        let file = &description.file(fault.span.file).name;
        let table = file.rsplit_once('.').is_some_and(|(_, ending)| ending.eq_ignore_ascii_case("csv"));
        table
            || places.get(&fault.span.file).is_some_and(|cars| {
                cars.iter().any(|(start, end)| (*start..=*end).contains(&fault.span.start))
            })
    };
    let mut all = Diagnostics::new(description.clone());
    let mut elsewhere = 0;
    for fault in found.sorted() {
        if in_roster(fault) {
            all.push(fault.clone());
        } else if fault.severity == Severity::Error {
            elsewhere += 1;
        }
    }
    for fault in alike::look_alike(&cards) {
        all.push(fault);
    }
    if let Some(layout) = &layout {
        for fault in odd(layout, &cards) {
            all.push(fault);
        }
    }
    (all, elsewhere)
}

/// Where cars stand, file by file.
fn places(cards: &[Card]) -> BTreeMap<FileIx, Vec<(usize, usize)>> {
    let mut places: BTreeMap<FileIx, Vec<(usize, usize)>> = BTreeMap::new();
    for card in cards {
        let ends = card.says.values().map(|said| said.span.end).chain([card.span.end]);
        let end = ends.max().unwrap_or(card.span.end);
        places.entry(card.span.file).or_default().push((card.span.start, end));
    }
    places
}

/// What is odd about the cars of a sound layout.
fn odd(layout: &Layout, cards: &[Card]) -> Vec<Diagnostic> {
    let by_id: BTreeMap<Id, &Card> = cards.iter().map(|card| (Id::new(card.id()), card)).collect();
    let mut faults = Vec::new();
    for car in layout.cars().values() {
        if let Some(card) = by_id.get(&car.id) {
            faults.extend(length(layout, car, card));
            faults.extend(height(car, card));
            faults.extend(mark(car, card));
        }
    }
    for (car, why) in usable::why_not(layout) {
        if let Some(card) = by_id.get(&car.id) {
            let (reason, way_out) = why.words();
            let message = format!("no lane can ever use `{}`: {reason}", car.id);
            faults.push(Diagnostic::warning("car-without-lane", card.span_of("type"), message).help(way_out));
        }
    }
    faults
}

/// A length that no car of the kind had.
fn length(layout: &Layout, car: &Car, card: &Card) -> Option<Diagnostic> {
    let kind = &layout.types()[car.kind];
    let (least, most) = lengths(kind);
    if (least..=most).contains(&car.length) {
        return None;
    }
    let message = format!("`{}` is {} long; a {} has {least} to {most}", car.id, car.length, kind.meaning);
    let fault = Diagnostic::warning("odd-length", card.span_of("length"), message);
    Some(fault.help("correct its `length` or its `type`; lengths are over couplers, of the prototype"))
}

fn lengths(kind: &CarType) -> (Length, Length) {
    let feet = |least, most| (Length::scale_feet(least), Length::scale_feet(most));
    let code = kind.code.as_str();
    if code == ARTICULATED.0 {
        return feet(ARTICULATED.1, ARTICULATED.2);
    }
    let usual = kind.length.whole_scale_inches();
    let own =
        (Length::scale_inches(usual * OWN_KIND.0 / 100), Length::scale_inches(usual * OWN_KIND.1 / 100));
    let known = LENGTHS.iter().find(|(letter, ..)| code.starts_with(*letter));
    // A kind of the layout's own that begins with one of the letters may be anything.
    match known.map(|(_, least, most)| feet(*least, *most)) {
        Some((least, most)) if (least..=most).contains(&kind.length) => (least, most),
        _ => own,
    }
}

/// A height that no car has.
fn height(car: &Car, card: &Card) -> Option<Diagnostic> {
    let height = car.height?;
    let (least, most) = (Length::scale_feet(HEIGHTS.0), Length::scale_feet(HEIGHTS.1));
    if (least..=most).contains(&height) {
        return None;
    }
    let message = format!("`{}` is {height} high; cars have {least} to {most} above the rail", car.id);
    Some(Diagnostic::warning("odd-height", card.span_of("height"), message).help("correct its `height`"))
}

/// A mark that is nobody's: of no railroad of the layout, and no private owner's.
///
/// Marks of owners that are no railroads end in X; those of containers end in U and those of
/// trailers in Z (the rules of the register of reporting marks).
fn mark(car: &Car, card: &Card) -> Option<Diagnostic> {
    let private = car.mark.ends_with('X') || car.owner.is_some();
    if car.mark.is_empty() || car.railroad.is_some() || private {
        return None;
    }
    let what = match car.mark.chars().last() {
        Some('U') => "; marks that end in U are those of containers",
        Some('Z') => "; marks that end in Z are those of trailers",
        _ => "",
    };
    let message = format!("`{}` is the mark of no railroad of this layout{what}", car.mark);
    let help = "add the railroad, or its mark to `marks`; or say whose car it is: `railroad`, `owner`";
    Some(Diagnostic::warning("nobodys-mark", card.span_of("mark"), message).help(help))
}
