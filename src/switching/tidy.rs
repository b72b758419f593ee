//! Movements that are spared: two in a row at one end of a track made into one, or none, and ways round.
//!
//! A way of working that is put together from pieces leaves cars and couples to them again at once, or couples
//! cars and leaves them where they stood. Leaving five and coupling two of them is leaving three; leaving one
//! and coupling it with three behind it is coupling three; coupling eight and leaving the outermost again is
//! coupling seven; the cut and the track come out the same. Two of a kind are one. A cut that is left on one track and
//! carried on to another goes to the other at once; one that is carried to another track and fetched there is
//! fetched where it stood. Cost: linear in the movements, and as much again for every way round that is tried.

use super::site::{Handling, Movement, OnTrack, Site};

/// The same work, done on a site as it was at the start, with fewer movements, if any can be spared.
pub(super) fn tidied<'a>(start: &Site<'a>, site: Site<'a>) -> Site<'a> {
    let mut best = in_pairs(start, site);
    while let Some(shorter) = without_a_way_round(start, &best) {
        best = in_pairs(start, shorter);
    }
    best
}

/// With two movements in a row made into one wherever that comes out the same.
fn in_pairs<'a>(start: &Site<'a>, site: Site<'a>) -> Site<'a> {
    let log = own_log(start, &site);
    if !log.windows(2).any(|pair| again(pair[0], pair[1]) || goes_on(pair[0], pair[1])) {
        return site;
    }
    let mut steps: Vec<(&Handling, usize)> = Vec::new();
    for handling in log {
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
    redone(start, &site, &steps).unwrap_or(site)
}

/// The movements since the start.
fn own_log<'s>(start: &Site<'_>, site: &'s Site<'_>) -> Vec<&'s Handling> {
    site.log()[start.log().len()..].iter().map(|handling| &**handling).collect()
}

/// These movements made instead, from the first that is another, if all comes out as it does now.
fn redone<'a>(start: &Site<'a>, site: &Site<'a>, steps: &[(&Handling, usize)]) -> Option<Site<'a>> {
    let log = own_log(start, site).into_iter();
    let both = steps.iter().zip(log.map(|handling| (handling, handling.cars.len())));
    let kept = both.take_while(|(step, done)| std::ptr::eq(step.0, done.0) && step.1 == done.1).count();
    let mut shorter = site.clone();
    shorter.take_back(start.log().len() + kept);
    for (handling, count) in &steps[kept..] {
        shorter.redo(handling, *count).ok()?;
    }
    let same = shorter.cut() == site.cut() && shorter.rows() == site.rows();
    (same && shorter.may_go().is_ok()).then_some(shorter)
}

/// The same work without one of its ways round, if it has one that can be spared.
fn without_a_way_round<'a>(start: &Site<'a>, site: &Site<'a>) -> Option<Site<'a>> {
    let log = own_log(start, site);
    (0..log.len()).find_map(|first| {
        let steps = carried_on(&log, first).or_else(|| carried_there(&log, first))?;
        let steps: Vec<_> = steps.into_iter().map(|handling| (handling, handling.cars.len())).collect();
        redone(start, site, &steps)
    })
}

/// A cut that is left, later coupled again and left elsewhere: left there at once.
fn carried_on<'h>(log: &[&'h Handling], first: usize) -> Option<Vec<&'h Handling>> {
    let left = *log.get(first).filter(|left| left.movement == Movement::Leave)?;
    let fetched = fetched_again(log, first)?;
    let there =
        *log.get(fetched + 1).filter(|there| there.movement == Movement::Leave && alike(there, left))?;
    let between = log[first + 1..fetched].iter();
    Some(log[..first].iter().chain([&there]).chain(between).chain(&log[fetched + 2..]).copied().collect())
}

/// A cut that is coupled, left elsewhere and later coupled there: coupled where it stood, and only then.
fn carried_there<'h>(log: &[&'h Handling], first: usize) -> Option<Vec<&'h Handling>> {
    let stood = *log.get(first).filter(|stood| stood.movement == Movement::Couple)?;
    log.get(first + 1).filter(|left| left.movement == Movement::Leave && alike(left, stood))?;
    let fetched = fetched_again(log, first + 1)?;
    let between = log[first + 2..fetched].iter();
    Some(log[..first].iter().chain(between).chain([&stood]).chain(&log[fetched + 1..]).copied().collect())
}

/// Where just the cut that was left is coupled at the same end, as the next thing that is done on its track.
fn fetched_again(log: &[&Handling], left: usize) -> Option<usize> {
    let next = (left + 1..log.len()).find(|at| log[*at].track == log[left].track)?;
    let again = log[next];
    (again.movement == Movement::Couple && again.end == log[left].end && alike(again, log[left]))
        .then_some(next)
}

/// Whether two movements are of the same cars in the same order.
fn alike(one: &Handling, other: &Handling) -> bool {
    one.cars.iter().map(|on| on.car).eq(other.cars.iter().map(|on| on.car))
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
    fn a_cut_goes_where_it_is_carried_on_to_at_once() {
        let at = |track: usize, mut handling: Handling| {
            handling.track = TrackIx::new(track);
            handling
        };
        let leave = |track, car| at(track, handling(Movement::Leave, End::West, &[(car, None)]));
        let couple = |track, car| at(track, handling(Movement::Couple, End::West, &[(car, None)]));
        let tracks =
            |log: Option<Vec<&Handling>>| log.map(|log| log.iter().map(|step| step.track.place()).collect());
        let round = [leave(1, 7), leave(2, 8), couple(1, 7), leave(3, 7)];
        let on = |log: &[Handling]| tracks(carried_on(&log.iter().collect::<Vec<_>>(), 0));
        assert_eq!(on(&round), Some(vec![3, 2]));
        // Another car has come to the track, and goes along.
        assert_eq!(on(&[leave(1, 7), leave(1, 8), couple(1, 7), leave(3, 7)]), None);
        let round = [couple(1, 7), leave(2, 7), leave(3, 8), couple(2, 7)];
        let there = |log: &[Handling]| tracks(carried_there(&log.iter().collect::<Vec<_>>(), 0));
        assert_eq!(there(&round), Some(vec![3, 1]));
        assert_eq!(there(&[couple(1, 7), leave(2, 7), couple(3, 8)]), None);
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
