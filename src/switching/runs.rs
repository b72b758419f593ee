//! On which tracks the cars of a train are left that may stand on several: those that hang together, together.
//!
//! A train is left car by car from its far end. Each time the next car goes onto another track than the one
//! before, that is one more cut, so the cars are shared out in the fewest runs: from the far end on always the
//! longest run of cars that may all stand on one track, and for which it has room. Cars whose track is fixed
//! keep it.
//!
//! A worked example: from the far end `a b c d e`, b and d for track 2 and the others for track 3 or 2. By turns
//! that would be five cuts; all on track 2 is one.
//!
//! Complexity: cars² of the train, times the tracks that they may choose from.

use std::collections::BTreeMap;

use super::Cut;
use crate::ids::{CarIx, IxVec, TrackIx};
use crate::layout::Layout;
use crate::trips::{SetOut, Spare, Task};

/// A car to be left, and the tracks on which it may stand: first its own.
#[derive(Clone, Debug)]
struct Hangs {
    car: CarIx,
    tracks: Vec<TrackIx>,
    /// Whether it has a choice, so that its room is counted.
    free: bool,
}

/// The task with those tracks that make the fewest cuts of a train; nothing if its own do as well. What is taken of
/// the spare room is taken off.
pub(super) fn in_runs(
    layout: &Layout,
    task: &Task,
    train: &Cut,
    spare: &mut IxVec<TrackIx, Spare>,
) -> Option<Task> {
    if task.elsewhere.is_empty() {
        return None;
    }
    let hangs: Vec<Hangs> = train.cars.iter().rev().filter_map(|car| hangs(task, *car)).collect();
    let mut room: BTreeMap<TrackIx, Spare> = BTreeMap::new();
    for track in hangs.iter().filter(|one| one.free).flat_map(|one| &one.tracks) {
        room.entry(*track).or_insert(spare[*track]);
    }
    for one in hangs.iter().filter(|one| one.free) {
        let own = room.entry(one.tracks[0]).or_default();
        (own.length, own.cars) = (own.length + layout.cars()[one.car].length, own.cars.saturating_add(1));
    }
    let chosen = shared_out(layout, &hangs, &mut room)?;
    let cuts = |tracks: &mut dyn Iterator<Item = TrackIx>| {
        let mut last = None;
        tracks.filter(|track| last.replace(*track) != Some(*track)).count()
    };
    if cuts(&mut chosen.iter().copied()) >= cuts(&mut hangs.iter().map(|one| one.tracks[0])) {
        return None;
    }
    for (track, left) in room {
        let before = &mut spare[track];
        *before = Spare { length: before.length.min(left.length), cars: before.cars.min(left.cars) };
    }
    let mut task = task.clone();
    for (one, track) in hangs.iter().zip(chosen) {
        for set in task.sets.iter_mut().filter(|set| set.car == one.car && set.spot.is_none()) {
            set.track = track;
        }
    }
    Some(task)
}

/// The cars that another task leaves on other tracks than this one.
pub(super) fn moved<'t>(before: &'t Task, after: &'t Task) -> impl Iterator<Item = SetOut> + 't {
    let both = before.sets.iter().zip(&after.sets);
    both.filter(|(one, other)| one.track != other.track).map(|(_, other)| *other)
}

fn hangs(task: &Task, car: CarIx) -> Option<Hangs> {
    let own = task.sets.iter().find(|set| set.car == car)?.track;
    let others = task.elsewhere.iter().find(|(other, _)| *other == car).map(|(_, tracks)| tracks);
    let tracks = std::iter::once(own).chain(others.into_iter().flatten().copied()).collect();
    Some(Hangs { car, tracks, free: others.is_some() })
}

/// The track of each car, in the fewest runs; nothing if some car then has no room.
fn shared_out(layout: &Layout, hangs: &[Hangs], room: &mut BTreeMap<TrackIx, Spare>) -> Option<Vec<TrackIx>> {
    let mut chosen: Vec<TrackIx> = Vec::with_capacity(hangs.len());
    while chosen.len() < hangs.len() {
        let rest = &hangs[chosen.len()..];
        let run = |track: &TrackIx| {
            let mut left = room.get(track).copied().unwrap_or_default();
            rest.iter().take_while(|one| one.tracks.contains(track) && takes(layout, one, &mut left)).count()
        };
        let own =
            |track: &TrackIx, run: usize| rest[..run].iter().filter(|one| one.tracks[0] == *track).count();
        let ways = rest[0].tracks.iter().map(|track| (run(track), *track));
        let (length, track) =
            ways.max_by_key(|(length, track)| (*length, own(track, *length), std::cmp::Reverse(*track)))?;
        if length == 0 {
            return None;
        }
        for one in &rest[..length] {
            takes(layout, one, room.entry(track).or_default());
        }
        chosen.extend(std::iter::repeat_n(track, length));
    }
    Some(chosen)
}

/// Whether room is left for a car, which then takes it; one whose track is fixed has its room.
fn takes(layout: &Layout, one: &Hangs, left: &mut Spare) -> bool {
    if !one.free {
        return true;
    }
    let length = layout.cars()[one.car].length;
    if length > left.length || left.cars == 0 {
        return false;
    }
    *left = Spare { length: left.length.less(length), cars: left.cars - 1 };
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{branch, car, track};

    /// Five cars of 44 ft in a train, from the engine outwards e d c b a, all to be left: by turns on two tracks.
    fn by_turns(layout: &Layout, free: &[usize]) -> (Task, Cut) {
        let (one, other) = (track(layout, "yard/in"), track(layout, "yard/out"));
        let on = |number: usize| if number.is_multiple_of(2) { other } else { one };
        let sets = (1..=5).map(|number| SetOut { car: car(number), track: on(number), spot: None });
        let elsewhere = free.iter().map(|number| (car(*number), vec![on(number + 1)]));
        let cars = [5, 4, 3, 2, 1].map(car).to_vec();
        let task = Task {
            cars: cars.clone(),
            sets: sets.collect(),
            elsewhere: elsewhere.collect(),
            ..Task::default()
        };
        (task, Cut { cars, end: None })
    }

    /// On which track each car is left, 1 or 2, and how many cars each may still take.
    fn left(free: &[usize], more: u32) -> Option<(Vec<usize>, [u32; 2])> {
        let layout = branch(5, "");
        let (one, other) = (track(&layout, "yard/in"), track(&layout, "yard/out"));
        let (task, train) = by_turns(&layout, free);
        let mut spare = IxVec::filled(Spare::default(), layout.tracks().len());
        let length = layout.cars()[car(1)].length.times(more);
        (spare[one], spare[other]) = (Spare { length, cars: 9 }, Spare { length, cars: 9 });
        let task = in_runs(&layout, &task, &train, &mut spare)?;
        let on = |set: &SetOut| if set.track == one { 1 } else { 2 };
        Some((task.sets.iter().map(on).collect(), [spare[one].cars, spare[other].cars]))
    }

    #[test]
    fn cars_that_may_stand_on_either_track_are_left_at_once() {
        // Two more cars come onto track 1, for which there is room.
        assert_eq!(left(&[1, 2, 3, 4, 5], 2), Some((vec![1, 1, 1, 1, 1], [7, 9])));
    }

    #[test]
    fn cars_keep_their_own_track_or_stay_within_the_room() {
        // 2 and 4 must stand on track 2, so that 1, 3 and 5 join them: one cut.
        assert_eq!(left(&[1, 3, 5], 3), Some((vec![2, 2, 2, 2, 2], [9, 6])));
        // With room for one more only, the three that are on track 1 and one other stand there, then one on track 2.
        assert_eq!(left(&[1, 2, 3, 4, 5], 1), Some((vec![1, 1, 1, 1, 2], [8, 9])));
        // One that has a choice joins its neighbour; where none has, nothing is won.
        assert_eq!(left(&[1], 3), Some((vec![2, 2, 1, 2, 1], [9, 8])));
        assert_eq!(left(&[], 3), None);
    }
}
