//! From the tracks of a call to what the search sees of them.

use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::{End, Opens, TrackUse};
use crate::trips::{SetOut, Task};
use crate::units::Length;

use super::bound::Known;
use super::goal::Goal;
use super::place::{ALONG, Lane, NO_LIMIT, Place, Unit};
use super::stand::{BASE, Row, Stand, State, TRACKS, UNITS};
use crate::switching::goals::Goals;
use crate::switching::make_up::Block;
use crate::switching::site::OnTrack;
use crate::switching::strategy::Scene;

/// On how many tracks without work cars may wait.
const WAITING: usize = 4;

/// With fewer states than this, only places of at most [`FEW_TRACKS`] tracks are searched: at larger ones there are so
/// many movements that nothing is found.
const MANY_STATES: usize = 400;

/// The most tracks of a place that is searched with few states.
const FEW_TRACKS: usize = 10;

/// Where a car that is set out may stand: at a spot of a track, anywhere on it, or at any spot that its
/// group may exchange.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    At(TrackIx, Option<SpotIx>),
    Group(usize),
}

/// Gathers what is the same in all states.
struct Builder<'s, 'a> {
    scene: &'s Scene<'a>,
    task: &'s Task,
    goals: &'s Goals,
    /// The tracks that a search looks at; those that are worked, or stand before such, come first.
    tracks: Vec<TrackIx>,
    units: Vec<Unit>,
    /// The next kind that is not given.
    next: u8,
    /// The kinds of cars that are set out.
    kinds: Vec<(Wanted, u8)>,
    /// The kinds of cars that hold, by the first car of a unit.
    holds: Vec<(CarIx, u8)>,
    /// The blocks that are told apart.
    blocks: Vec<Block>,
    /// The most room that a track without work has.
    widest: Length,
    all: bool,
}

/// A place with the state in which the crew finds it; nothing if it is too large for a state, or for so many of them.
pub(super) fn place(
    scene: &Scene<'_>,
    task: &Task,
    goals: &Goals,
    (end, states): (Option<End>, usize),
) -> Option<(Place, State)> {
    let mut builder = Builder {
        scene,
        task,
        goals,
        tracks: Vec::new(),
        units: Vec::new(),
        next: ALONG + 1,
        kinds: Vec::new(),
        holds: Vec::new(),
        blocks: if states < MANY_STATES { Vec::new() } else { mixed(scene, task) },
        widest: Length::ZERO,
        all: true,
    };
    builder.choose();
    if builder.tracks.len() > if states < MANY_STATES { FEW_TRACKS } else { TRACKS } {
        return None;
    }
    let mut rows = [Row::default(); TRACKS];
    let mut lanes = Vec::new();
    for (at, track) in builder.tracks.clone().into_iter().enumerate() {
        lanes.push(builder.lane(track, &mut rows[at])?);
    }
    let mut cut = Row::default();
    for car in &scene.train.cars {
        let kind = builder.kind_of(*car)?;
        let unit = builder.unit(kind, &[*car])?;
        cut.put(End::East, unit)?;
    }
    let call = &scene.network.calls()[scene.call];
    let layout = scene.network.layout();
    let lead = layout.places()[call.place].lead;
    let power = layout.jobs()[call.job].power.length;
    let for_cars = |end| lead.at(end).map_or(NO_LIMIT, |lead| inches(lead.less(power)));
    let comes_in = |previous| scene.network.calls()[previous].ride.as_ref().map(|ride| ride.comes_in);
    let place = Place {
        leads: [for_cars(End::West), for_cars(End::East)],
        straight: call.previous.and_then(comes_in),
        leaves: call.ride.as_ref().map(|ride| ride.leaves),
        end,
        rule: scene.law_ahead().map(|(law, caboose)| law.rule(caboose)),
        passes: builder.passes_elsewhere(),
        all: builder.all,
        known: Known::new(lanes.len()),
        units: builder.units,
        lanes,
    };
    let state = Stand::new(&rows, cut, scene.train.end).pack(place.lanes.len())?;
    Some((place, state))
}

fn inches(length: Length) -> u32 {
    length.whole_scale_inches()
}

impl Builder<'_, '_> {
    /// Chooses the tracks: all that are worked, those before them, and some on which cars can wait.
    fn choose(&mut self) {
        let layout = self.scene.network.layout();
        let tracks = layout.tracks();
        for track in self.goals.tracks() {
            let fronts = std::iter::successors(Some(track), |track| tracks[*track].behind);
            for track in fronts {
                if !self.tracks.contains(&track) {
                    self.tracks.push(track);
                }
            }
        }
        let place = &layout.places()[self.scene.network.calls()[self.scene.call].place];
        let mut waiting: Vec<(TrackIx, bool, Length)> = Vec::new();
        for track in place.tracks.iter().copied() {
            let described = &tracks[track];
            let free = !self.tracks.contains(&track)
                && self.scene.network.has_track(track)
                && self.scene.network.may_switch(self.scene.call, track)
                && described.behind.is_none();
            let row = &self.scene.rows[track];
            let room = described.length.less(row.iter().map(|on| layout.cars()[on.car].length).sum());
            if free && room > Length::ZERO {
                if described.limits.at_once.is_some() {
                    self.all = false;
                    continue;
                }
                waiting.push((track, described.opens == Opens::Both && row.is_empty(), room));
            }
        }
        // Those that let the engine round first, then the roomiest.
        waiting.sort_by_key(|(track, through, room)| (!through, std::cmp::Reverse(*room), *track));
        self.all &= waiting.len() <= WAITING;
        waiting.truncate(WAITING);
        self.widest = waiting.iter().map(|(_, _, room)| *room).max().unwrap_or(Length::ZERO);
        self.tracks.extend(waiting.iter().map(|(track, _, _)| *track));
    }

    /// A track, and the row on it.
    fn lane(&mut self, track: TrackIx, row: &mut Row) -> Option<Lane> {
        let layout = self.scene.network.layout();
        let described = &layout.tracks()[track];
        let on = &self.scene.rows[track];
        let length = |cars: &[OnTrack]| cars.iter().map(|on| layout.cars()[on.car].length).sum::<Length>();
        let mut lane = Lane {
            track,
            opens: [described.opens.at(End::West), described.opens.at(End::East)],
            room: inches(described.length),
            behind: described.behind.and_then(|front| self.tracks.iter().position(|known| *known == front)),
            passes: matches!(described.usage, TrackUse::RunAround | TrackUse::Main),
            goals: Vec::new(),
        };
        let worked = self.goals.variants(track);
        let before =
            !worked.is_empty() || self.tracks.iter().any(|back| layout.tracks()[*back].behind == Some(track));
        if !before {
            lane.room -= inches(length(on));
            if !on.is_empty() {
                row.put(End::East, BASE)?;
            }
            lane.goals.push(self.goal(track, &[], [!on.is_empty(), false])?);
            return Some(lane);
        }
        let wanted: Vec<&[OnTrack]> = if worked.is_empty() { vec![on] } else { worked };
        let (first, last) = stays(described.opens, on, &wanted);
        lane.room -= inches(length(&on[..first])) + inches(length(&on[last..]));
        if first > 0 {
            row.put(End::East, BASE)?;
        }
        for unit in self.parted(&on[first..last], &wanted) {
            row.put(End::East, unit)?;
        }
        if last < on.len() {
            row.put(End::East, BASE)?;
        }
        let (west, east) = (first > 0, last < on.len());
        for wanted in wanted {
            let moved = &wanted[first..wanted.len() - (on.len() - last)];
            let goal = self.goal(track, moved, [west, east])?;
            if !lane.goals.contains(&goal) {
                lane.goals.push(goal);
            }
        }
        Some(lane)
    }

    /// What a track shall look like, with the cars that are not touched at its west end, or its east end.
    fn goal(&mut self, track: TrackIx, wanted: &[OnTrack], [west, east]: [bool; 2]) -> Option<Goal> {
        let task = self.task;
        let loose = |set: &&SetOut| set.track == track && set.spot.is_none() && task.group(set.car).is_none();
        let mut comes = task.sets.iter().filter(loose);
        let count = comes.clone().count();
        let loose = match comes.next() {
            Some(set) => Some(self.set_kind(set.car, track, None)?),
            None => None,
        };
        let mut goal = Goal::new(loose, count);
        if west {
            goal.put(BASE, None, false);
        }
        for on in wanted {
            if let Some(kind) = self.wanted_kind(track, on)? {
                goal.put(kind, on.spot, task.sets.iter().any(|set| set.car == on.car));
            }
        }
        if east {
            goal.put(BASE, None, false);
        }
        (goal.units <= UNITS).then_some(goal)
    }

    /// The units of a row: cars that hold, and stand side by side now and in the end, are one.
    fn parted(&mut self, on: &[OnTrack], wanted: &[&[OnTrack]]) -> Vec<u8> {
        let at = |row: &[OnTrack], car: CarIx| row.iter().position(|on| on.car == car);
        let together = |one: CarIx, other: CarIx| {
            wanted.iter().all(|row| match (at(row, one), at(row, other)) {
                (Some(one), Some(other)) => other == one + 1,
                _ => false,
            })
        };
        let mut units = Vec::new();
        let mut from = 0;
        while from < on.len() {
            let mut cars = vec![on[from].car];
            if self.holds(on[from].car) {
                while let Some(next) =
                    on.get(from + cars.len()).filter(|next| together(cars[cars.len() - 1], next.car))
                {
                    cars.push(next.car);
                }
            }
            from += cars.len();
            let Some(kind) = self.kind_of(cars[0]) else { return vec![u8::MAX; UNITS + 1] };
            let Some(unit) = self.unit(kind, &cars) else { return vec![u8::MAX; UNITS + 1] };
            units.push(unit);
        }
        units
    }

    fn holds(&self, car: CarIx) -> bool {
        !self.task.pulls.contains(&car) && self.task.sets.iter().all(|set| set.car != car)
    }

    /// What the goal sees of a car that stands somewhere or comes in the train.
    fn kind_of(&mut self, car: CarIx) -> Option<u8> {
        if let Some(set) = self.task.sets.iter().find(|set| set.car == car) {
            return self.set_kind(car, set.track, set.spot);
        }
        if self.task.pulls.contains(&car) || self.scene.train.cars.contains(&car) {
            return Some(ALONG);
        }
        if let Some((_, kind)) = self.holds.iter().find(|(known, _)| *known == car) {
            return Some(*kind);
        }
        let kind = self.new_kind()?;
        self.holds.push((car, kind));
        Some(kind)
    }

    /// What stands in a wanted row for a car; nothing for one that is part of the unit before it.
    #[allow(clippy::option_option, reason = "the outer one says that there are too many kinds")]
    fn wanted_kind(&mut self, track: TrackIx, on: &OnTrack) -> Option<Option<u8>> {
        if self.task.sets.iter().any(|set| set.car == on.car) {
            return self.set_kind(on.car, track, on.spot).map(Some);
        }
        Some(self.holds.iter().find(|(known, _)| *known == on.car).map(|(_, kind)| *kind))
    }

    fn set_kind(&mut self, car: CarIx, track: TrackIx, spot: Option<SpotIx>) -> Option<u8> {
        let wanted = self.task.group(car).map_or(Wanted::At(track, spot), Wanted::Group);
        if let Some((_, kind)) = self.kinds.iter().find(|(known, _)| *known == wanted) {
            return Some(*kind);
        }
        let kind = self.new_kind()?;
        self.kinds.push((wanted, kind));
        Some(kind)
    }

    fn new_kind(&mut self) -> Option<u8> {
        let kind = self.next;
        self.next = kind.checked_add(1).filter(|next| *next < BASE)?;
        Some(kind)
    }

    /// The unit of cars that move together.
    fn unit(&mut self, kind: u8, cars: &[CarIx]) -> Option<u8> {
        let layout = self.scene.network.layout();
        let length: Length = cars.iter().map(|car| layout.cars()[*car].length).sum();
        // Cars that hold side by side could be put on two tracks where no single one has the room.
        self.all &= cars.len() == 1 || length <= self.widest;
        let takes = |track: TrackIx| {
            cars.iter().all(|car| self.scene.network.takes(track, *car, self.scene.weights[*car]))
        };
        let takes = self.tracks.iter().enumerate().filter(|(_, track)| takes(**track));
        let takes = takes.fold(0, |mask, (at, _)| mask | 1 << at);
        let home = self.home(cars[0]);
        let riding =
            self.scene.law.filter(|_| kind == ALONG).map(|law| law.riding(cars[0])).unwrap_or_default();
        let block = self.scene.blocks.of(cars[0]).filter(|block| self.blocks.contains(block));
        let unit = Unit { kind, cars: cars.len(), length: inches(length), takes, home, riding, block };
        let known = self.units.iter().position(|other| *other == unit);
        let at = known.unwrap_or(self.units.len());
        if known.is_none() {
            self.units.push(unit);
        }
        u8::try_from(at).ok().filter(|at| *at < BASE)
    }

    /// The track where a car is to stand, unless it goes along.
    fn home(&self, car: CarIx) -> Option<u8> {
        let set = self.task.sets.iter().find(|set| set.car == car).map(|set| set.track);
        let stands = |track: &&TrackIx| self.scene.rows[**track].iter().any(|on| on.car == car);
        let holds = || self.tracks.iter().find(stands).filter(|_| self.holds(car)).copied();
        let home = set.or_else(holds)?;
        u8::try_from(self.tracks.iter().position(|track| *track == home)?).ok()
    }

    /// Whether a track that is not looked at is clear, and lets the engine past.
    fn passes_elsewhere(&self) -> bool {
        let layout = self.scene.network.layout();
        let place = &layout.places()[self.scene.network.calls()[self.scene.call].place];
        place.tracks.iter().any(|track| {
            !self.tracks.contains(track)
                && self.scene.network.has_track(*track)
                && layout.tracks()[*track].opens == Opens::Both
                && self.scene.rows[*track].is_empty()
        })
    }
}

/// The blocks that can be mixed with others: those of the train, and of the cars that are left on a track.
fn mixed(scene: &Scene<'_>, task: &Task) -> Vec<Block> {
    let track = |car: CarIx| task.sets.iter().find(|set| set.car == car).map(|set| set.track);
    let cars = scene.train.cars.iter().chain(&task.pulls);
    let mut all: Vec<(Option<TrackIx>, Block)> =
        cars.filter_map(|car| Some((track(*car), scene.blocks.of(*car)?))).collect();
    all.sort_unstable();
    all.dedup();
    let parts = all.chunk_by(|one, other| one.0 == other.0).filter(|part| part.len() > 1);
    parts.flatten().map(|(_, block)| *block).collect()
}

/// The part of a row that may have to move, as places from and until: what stands deepest, and is the
/// same in every wanted row, is not touched.
fn stays(opens: Opens, on: &[OnTrack], wanted: &[&[OnTrack]]) -> (usize, usize) {
    let same = |place: &usize, from_west: bool| {
        let at = |row: &[OnTrack]| {
            let place = if from_west { Some(*place) } else { row.len().checked_sub(place + 1) };
            place.and_then(|place| row.get(place).copied())
        };
        wanted.iter().all(|row| at(row) == at(on))
    };
    match opens {
        Opens::East => ((0..on.len()).take_while(|place| same(place, true)).count(), on.len()),
        Opens::West => (0, on.len() - (0..on.len()).take_while(|place| same(place, false)).count()),
        Opens::Both => (0, on.len()),
    }
}
