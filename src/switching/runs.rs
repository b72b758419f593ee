//! On which tracks the cars of a train are left that may stand on several: those that hang together, together.
//!
//! A train is left car by car from its far end. Each time the next car goes onto another track than the one
//! before, that is one more cut, so the cars are shared out in the fewest runs: run by run, every track is tried that
//! the next car may stand on, with one car and with as many more as may all stand there and find room. Of all ways
//! by which as many cars are left, the last on the same track, a few are followed, if the rest could be left in the runs that
//! remain, were there room everywhere. Cars whose track is fixed keep it.
//!
//! A worked example: from the far end `a b c d e`, b and d for track 2 and the others for track 3 or 2. By turns
//! that would be five cuts; all on track 2 is one.
//!
//! Complexity: for each run the cars of the train, times its tracks², times [`FOLLOWED`].

use std::collections::BTreeMap;
use std::ops::Range;

use super::Cut;
use crate::ids::{CarIx, IxVec, TrackIx};
use crate::layout::Layout;
use crate::trips::{Elsewhere, SetOut, Spare, Task};
use crate::units::Length;

/// How many ways are followed that have left as many cars, the last of them on the same track.
const FOLLOWED: usize = 6;

/// What more each track may hold, before the first call at its place and after each.
pub(super) type Room = IxVec<TrackIx, Vec<Spare>>;

/// A car to be left.
#[derive(Clone, Debug)]
struct Hangs {
    car: CarIx,
    length: Length,
    /// The tracks on which it may stand, by their numbers among those of all: first its own.
    tracks: Vec<usize>,
    /// As long as it stands there, if it has a choice: so long its room is counted.
    slots: Option<Range<usize>>,
    /// The same, counted in spans.
    spans: usize,
}

/// The cars of a train that a call leaves, from the far end, and where they may be left.
#[derive(Clone, Debug)]
struct Yard {
    hangs: Vec<Hangs>,
    tracks: Vec<TrackIx>,
    /// The spans in which none of them leaves: where each ends, in slots.
    ends: Vec<usize>,
}

/// The tracks of the first cars, and what more each track may hold then in each span.
#[derive(Clone, Debug)]
struct Way {
    chosen: Vec<usize>,
    room: Vec<Spare>,
}

/// The task with those tracks that make the fewest cuts of a train; nothing if its own do as well. What is taken of
/// the spare room is taken off.
pub(super) fn in_runs(
    layout: &Layout,
    (task, elsewhere): (&Task, &[Elsewhere]),
    train: &Cut,
    spare: &mut Room,
) -> Option<Task> {
    if elsewhere.is_empty() {
        return None;
    }
    let yard = Yard::new(layout, (task, elsewhere), train);
    let runs = yard.hangs.chunk_by(|one, other| one.tracks[0] == other.tracks[0]).count();
    let chosen = yard.shared_out(spare, runs.saturating_sub(1))?;
    let mut task = task.clone();
    for (one, track) in yard.hangs.iter().zip(chosen) {
        let Some(slots) = one.slots.clone().filter(|_| track != one.tracks[0]) else { continue };
        let (own, other) = (yard.tracks[one.tracks[0]], yard.tracks[track]);
        spare[own][slots.clone()].iter_mut().for_each(|left| *left = left.with(one.length));
        spare[other][slots].iter_mut().for_each(|left| *left = left.without(one.length));
        for set in task.sets.iter_mut().filter(|set| set.car == one.car && set.spot.is_none()) {
            set.track = other;
        }
    }
    Some(task)
}

/// The cars that another task leaves on other tracks than this one.
pub(super) fn moved<'t>(before: &'t Task, after: &'t Task) -> impl Iterator<Item = SetOut> + 't {
    let both = before.sets.iter().zip(&after.sets);
    both.filter(|(one, other)| one.track != other.track).map(|(_, other)| *other)
}

impl Yard {
    fn new(layout: &Layout, (task, elsewhere): (&Task, &[Elsewhere]), train: &Cut) -> Self {
        let mut yard = Yard { hangs: Vec::new(), tracks: Vec::new(), ends: Vec::new() };
        for car in train.cars.iter().rev() {
            let Some(set) = task.sets.iter().find(|set| set.car == *car) else { continue };
            let others = elsewhere.iter().find(|other| other.car == *car);
            let tracks = std::iter::once(&set.track).chain(others.iter().flat_map(|other| &other.tracks));
            let tracks = tracks.map(|track| yard.number(*track)).collect();
            let slots = others.map(|other| other.slots.clone());
            yard.ends.extend(slots.iter().map(|slots| slots.end));
            yard.hangs.push(Hangs { car: *car, length: layout.cars()[*car].length, tracks, slots, spans: 0 });
        }
        yard.ends.sort_unstable();
        yard.ends.dedup();
        for one in &mut yard.hangs {
            let end = one.slots.as_ref().map_or(0, |slots| slots.end);
            one.spans = yard.ends.iter().take_while(|other| **other <= end).count();
        }
        yard
    }

    fn number(&mut self, track: TrackIx) -> usize {
        let known = self.tracks.iter().position(|known| *known == track);
        known.unwrap_or_else(|| {
            self.tracks.push(track);
            self.tracks.len() - 1
        })
    }

    /// What more each track may hold in each span if none of the cars that have a choice stood there.
    fn room(&self, spare: &Room) -> Vec<Spare> {
        let start = self.hangs.iter().filter_map(|one| Some(one.slots.as_ref()?.start)).min().unwrap_or(0);
        let starts = || std::iter::once(start).chain(self.ends.iter().copied());
        let spans = || starts().zip(&self.ends).map(|(from, until)| from..*until);
        let least = |(track, span): (&TrackIx, Range<usize>)| {
            let slots = &spare[*track][span];
            let length = slots.iter().map(|left| left.length).min().unwrap_or_default();
            Spare { length, cars: slots.iter().map(|left| left.cars).min().unwrap_or(0) }
        };
        let mut room: Vec<Spare> =
            self.tracks.iter().flat_map(|track| spans().map(move |span| (track, span))).map(least).collect();
        for one in self.hangs.iter().filter(|one| one.slots.is_some()) {
            let first = one.tracks[0] * self.ends.len();
            room[first..first + one.spans].iter_mut().for_each(|left| *left = left.with(one.length));
        }
        room
    }

    /// The tracks of all cars in the fewest runs, but no more than so many; nothing if they cannot be shared out so.
    fn shared_out(&self, spare: &Room, most: usize) -> Option<Vec<usize>> {
        let own = |way: &Way| {
            way.chosen.iter().zip(&self.hangs).filter(|(track, one)| one.tracks[0] == **track).count()
        };
        let least = self.least_runs();
        if least[0] > most {
            return None;
        }
        let mut ways = vec![Way { chosen: Vec::new(), room: self.room(spare) }];
        for more in (0..most).rev() {
            let may_end = |way: &Way| least[way.chosen.len()] <= more;
            let mut longer: BTreeMap<(usize, usize), Vec<Way>> = BTreeMap::new();
            for way in &ways {
                self.lengthen(way, may_end, &mut longer);
            }
            let last = self.hangs.len()..;
            let whole = longer.range((last.start, 0)..).flat_map(|(_, ways)| ways);
            if let Some(whole) = whole.rev().max_by_key(|way| own(way)) {
                return Some(whole.chosen.clone());
            }
            ways = longer.into_values().rev().flatten().collect();
        }
        None
    }

    /// In how many runs the cars from each on could be left, were there room everywhere: every run as long as can be.
    fn least_runs(&self) -> Vec<usize> {
        let mut least = vec![0; self.hangs.len() + 1];
        for (from, one) in self.hangs.iter().enumerate().rev() {
            let mut common = one.tracks.clone();
            let joins = |next: &&Hangs| {
                common.retain(|track| next.tracks.contains(track));
                !common.is_empty()
            };
            let run = self.hangs[from..].iter().take_while(joins).count();
            least[from] = 1 + least[from + run];
        }
        least
    }

    /// Adds the ways with one run more that may end in time.
    fn lengthen(
        &self,
        way: &Way,
        may_end: impl Fn(&Way) -> bool,
        longer: &mut BTreeMap<(usize, usize), Vec<Way>>,
    ) {
        let rest = &self.hangs[way.chosen.len()..];
        for track in rest[0].tracks.iter().filter(|track| way.chosen.last() != Some(*track)) {
            let mut way = way.clone();
            for one in rest.iter().take_while(|one| one.tracks.contains(track)) {
                let first = track * self.ends.len();
                if !takes(one, &mut way.room[first..first + one.spans]) {
                    break;
                }
                way.chosen.push(*track);
                if !may_end(&way) {
                    continue;
                }
                let known = longer.entry((way.chosen.len(), *track)).or_default();
                if known.len() < FOLLOWED {
                    known.push(way.clone());
                }
            }
        }
    }
}

/// Whether room is left for a car, which then takes it; one whose track is fixed has its room.
fn takes(one: &Hangs, room: &mut [Spare]) -> bool {
    let fits = room.iter().all(|left| left.length >= one.length && left.cars > 0);
    if fits {
        for left in room {
            *left = left.without(one.length);
        }
    }
    fits
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{branch, car, track};

    /// Five cars of 44 ft in a train, from the engine outwards e d c b a, all to be left: by turns on two tracks.
    fn by_turns(layout: &Layout, free: &[usize]) -> (Task, Vec<Elsewhere>, Cut) {
        let (one, other) = (track(layout, "yard/in"), track(layout, "yard/out"));
        let on = |number: usize| if number.is_multiple_of(2) { other } else { one };
        let sets = (1..=5).map(|number| SetOut { car: car(number), track: on(number), spot: None });
        let elsewhere = free.iter().map(|number| Elsewhere {
            car: car(*number),
            tracks: vec![on(number + 1)],
            slots: 1..2,
        });
        let cars = [5, 4, 3, 2, 1].map(car).to_vec();
        let task = Task { cars: cars.clone(), sets: sets.collect(), ..Task::default() };
        (task, elsewhere.collect(), Cut { cars, end: None })
    }

    /// On which track each car is left, 1 or 2, and how many cars each may still take.
    fn left(free: &[usize], more: u32) -> Option<(Vec<usize>, [u32; 2])> {
        let layout = branch(5, "");
        let (one, other) = (track(&layout, "yard/in"), track(&layout, "yard/out"));
        let (task, elsewhere, train) = by_turns(&layout, free);
        let mut spare = IxVec::filled(vec![Spare::default(); 2], layout.tracks().len());
        let length = layout.cars()[car(1)].length.times(more);
        for track in [one, other] {
            spare[track][1] = Spare { length, cars: 9 };
        }
        let task = in_runs(&layout, (&task, &elsewhere), &train, &mut spare)?;
        let on = |set: &SetOut| if set.track == one { 1 } else { 2 };
        Some((task.sets.iter().map(on).collect(), [spare[one][1].cars, spare[other][1].cars]))
    }

    #[test]
    fn cars_that_may_stand_on_either_track_are_left_at_once() {
        // Two more cars come onto track 1, for which there is room, and leave theirs on track 2.
        assert_eq!(left(&[1, 2, 3, 4, 5], 2), Some((vec![1, 1, 1, 1, 1], [7, 11])));
    }

    #[test]
    fn cars_keep_their_own_track_or_stay_within_the_room() {
        // 2 and 4 must stand on track 2, so that 1, 3 and 5 join them: one cut.
        assert_eq!(left(&[1, 3, 5], 3), Some((vec![2, 2, 2, 2, 2], [12, 6])));
        // With room for one more only, two cuts are left: of all such ways one by which three keep their own track.
        assert_eq!(left(&[1, 2, 3, 4, 5], 1), Some((vec![2, 2, 1, 1, 1], [9, 9])));
        // One that has a choice joins its neighbour; where none has, nothing is won.
        assert_eq!(left(&[1], 3), Some((vec![2, 2, 1, 2, 1], [10, 8])));
        assert_eq!(left(&[], 3), None);
    }
}
