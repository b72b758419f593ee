//! Two movements in a row at one end of a track made into one, or none.
//!
//! A way of working that is put together from pieces leaves cars and couples to them again at once. Leaving
//! five and coupling two of them is leaving three; leaving one and coupling it with three behind it is
//! coupling three; the cut and the track come out the same. Cost: linear in the movements.

use super::site::{Handling, Movement, Site};
use super::strategy::{Scene, fresh};

/// The same work with fewer movements, if any can be spared.
pub(super) fn tidied<'a>(scene: &Scene<'a>, site: Site<'a>) -> Site<'a> {
    let begun = scene.begun.map_or(0, |begun| begun.log().len());
    if !site.log()[begun..].windows(2).any(|pair| again(&pair[0], &pair[1])) {
        return site;
    }
    let mut steps: Vec<(&Handling, usize)> = Vec::new();
    for handling in &site.log()[begun..] {
        let count = handling.cars.len();
        match steps.pop() {
            Some((left, before)) if again(left, handling) => match before.cmp(&count) {
                std::cmp::Ordering::Less => steps.push((handling, count - before)),
                std::cmp::Ordering::Equal => {}
                std::cmp::Ordering::Greater => steps.push((left, before - count)),
            },
            last => {
                steps.extend(last);
                steps.push((handling, count));
            }
        }
    }
    let mut shorter = fresh(scene);
    for (handling, count) in steps {
        if shorter.redo(handling, count).is_err() {
            return site;
        }
    }
    let same = shorter.cut() == site.cut() && shorter.rows() == site.rows();
    if same && shorter.may_go().is_ok() { shorter } else { site }
}

/// Whether cars are coupled where some were left just before.
fn again(left: &Handling, coupled: &Handling) -> bool {
    left.movement == Movement::Leave
        && coupled.movement == Movement::Couple
        && (left.track, left.end) == (coupled.track, coupled.end)
}
