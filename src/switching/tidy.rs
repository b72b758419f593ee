//! Two movements in a row at one end of a track made into one, or none.
//!
//! A way of working that is put together from pieces leaves cars and couples to them again at once, or couples
//! cars and leaves them where they stood. Leaving five and coupling two of them is leaving three; leaving one
//! and coupling it with three behind it is coupling three; coupling eight and leaving the outermost again is
//! coupling seven; the cut and the track come out the same. Two of a kind are one. Cost: linear in the movements.

use super::site::{Handling, Movement, OnTrack, Site};
use super::strategy::{Scene, fresh};

/// The same work with fewer movements, if any can be spared.
pub(super) fn tidied<'a>(scene: &Scene<'a>, site: Site<'a>) -> Site<'a> {
    let begun = scene.begun.map_or(0, |begun| begun.log().len());
    if !site.log()[begun..].windows(2).any(|pair| again(&pair[0], &pair[1]) || goes_on(&pair[0], &pair[1])) {
        return site;
    }
    let mut steps: Vec<(&Handling, usize)> = Vec::new();
    for handling in &site.log()[begun..] {
        let count = handling.cars.len();
        match steps.pop() {
            Some((before, cars)) if again(before, handling) => match cars.cmp(&count) {
                std::cmp::Ordering::Less => steps.push((handling, count - cars)),
                std::cmp::Ordering::Equal => {}
                std::cmp::Ordering::Greater => steps.push((before, cars - count)),
            },
            Some((before, cars)) if goes_on(before, handling) => steps.push((handling, cars + count)),
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

/// Whether cars are coupled where some were left just before, or left where some were coupled, as they stood.
fn again(before: &Handling, after: &Handling) -> bool {
    let moved = |on: &OnTrack| before.cars.iter().any(|was| was.car == on.car && was.spot != on.spot);
    before.movement != after.movement
        && (before.track, before.end) == (after.track, after.end)
        && (after.movement == Movement::Couple || !after.cars.iter().any(moved))
}

/// Whether the second movement only goes on with the first.
fn goes_on(before: &Handling, after: &Handling) -> bool {
    before.movement == after.movement
        && (before.track, before.end) == (after.track, after.end)
        && (after.movement == Movement::Couple || before.cars.iter().all(|on| on.spot.is_none()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{CarIx, Ix, SpotIx, TrackIx};
    use crate::layout::End;

    fn handling(movement: Movement, end: End, cars: &[(usize, Option<usize>)]) -> Handling {
        let on = |(car, spot): &(usize, Option<usize>)| OnTrack {
            car: CarIx::new(*car),
            spot: spot.map(SpotIx::new),
        };
        Handling { movement, track: TrackIx::new(0), end, cars: cars.iter().map(on).collect() }
    }

    #[test]
    fn cars_that_are_put_back_as_they_stood_need_not_be_coupled() {
        let coupled = handling(Movement::Couple, End::West, &[(1, None), (2, Some(5))]);
        let back = |end, spot| handling(Movement::Leave, end, &[(2, spot)]);
        assert!(again(&coupled, &back(End::West, Some(5))));
        // Not if it comes to another spot, or was left at the other end.
        assert!(!again(&coupled, &back(End::West, None)));
        assert!(!again(&coupled, &back(End::East, Some(5))));
        assert!(again(&back(End::West, None), &coupled));
    }

    #[test]
    fn two_cuts_left_one_before_the_other_are_one() {
        let leave = |car, spot| handling(Movement::Leave, End::East, &[(car, spot)]);
        assert!(goes_on(&leave(1, None), &leave(2, Some(5))));
        // The spot of the first would be lost.
        assert!(!goes_on(&leave(1, Some(4)), &leave(2, None)));
        assert!(!goes_on(&leave(1, None), &handling(Movement::Couple, End::East, &[(1, None)])));
    }
}
