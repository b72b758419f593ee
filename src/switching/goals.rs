//! What the tracks of a place shall look like when a call's work is done.

use std::borrow::Cow;

use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::End;
use crate::trips::{SetOut, Task};

use super::site::{OnTrack, Site};
use super::strategy::Scene;

/// What the tracks of a place shall look like.
pub(super) struct Goals {
    pub(super) tracks: Vec<Goal>,
    /// The orders in which they may be worked: as they are, and as the cars they give make a train in
    /// the order of its calls from either end.
    pub(super) orders: Vec<Vec<usize>>,
    /// The cars that are taken from their tracks.
    pulls: Vec<CarIx>,
}

/// What one track shall look like, worked from the west and worked from the east. Where the order of
/// the cars that come is all the same there are two rows to choose from: as they lie in the cut, and
/// turned about. Cars that may stand at each other's spots are put there in both orders too, and as the
/// trips have them.
pub(super) struct Goal {
    pub(super) track: TrackIx,
    from_west: Vec<Vec<OnTrack>>,
    from_east: Vec<Vec<OnTrack>>,
    /// The cars that may stand at each other's spots, by group.
    exchange: Vec<Vec<CarIx>>,
    /// The cars that may come to stand anywhere on the track.
    loose: Vec<CarIx>,
    /// Whether others come to its spots.
    spotted: bool,
}

impl Goals {
    /// The tracks with cars to leave come first, then those that only give cars.
    pub(super) fn new(scene: &Scene<'_>, task: &Task) -> Self {
        let place = &scene.network.layout().places()[scene.network.calls()[scene.call].place];
        let mut tracks: Vec<(bool, Goal)> = Vec::new();
        for track in &place.tracks {
            let gives = scene.rows[*track].iter().any(|on| task.pulls.contains(&on.car));
            let sets: Vec<SetOut> = task.sets.iter().copied().filter(|set| set.track == *track).collect();
            if gives || !sets.is_empty() {
                let goal = |end| rows_wanted(scene, task, *track, &sets, end);
                let (from_west, from_east) = (goal(End::West), goal(End::East));
                let comes = |group: &&Vec<CarIx>| sets.iter().any(|set| group.contains(&set.car));
                let exchange = task.exchange.iter().filter(comes).cloned().collect();
                let loose: Vec<CarIx> =
                    sets.iter().filter(|set| set.spot.is_none()).map(|set| set.car).collect();
                let spotted = loose.len() < sets.len();
                let goal = Goal { track: *track, from_west, from_east, exchange, loose, spotted };
                tracks.push((sets.is_empty(), goal));
            }
        }
        tracks.sort_by_key(|(only_gives, goal)| (*only_gives, goal.track));
        let orders = orders(scene, task, &tracks);
        let tracks = tracks.into_iter().map(|(_, goal)| goal).collect();
        Goals { tracks, orders, pulls: task.pulls.clone() }
    }

    /// Whether every track is one of the rows that a search looks for.
    pub(super) fn are_variants(&self, site: &Site<'_>) -> bool {
        self.tracks.iter().all(|goal| goal.is_a_variant(site))
    }

    /// Where the outermost of so many cars of the cut may be left for good at once, and how many: on a track
    /// where they may stand anywhere, and from which nothing has to come out any more.
    pub(super) fn home(&self, site: &Site<'_>, end: End, most: usize) -> Option<(TrackIx, usize)> {
        let cut = &site.cut().cars;
        let goal = self.tracks.iter().find(|goal| cut.last().is_some_and(|car| goal.loose.contains(car)))?;
        let same = cut.iter().rev().take(most).take_while(|car| goal.loose.contains(car)).count();
        let outer = &cut[cut.len() - same..];
        let described = &site.network().layout().tracks()[goal.track];
        let stays = |on: &OnTrack| goal.came(on) || !self.pulls.contains(&on.car);
        let ready = !goal.spotted
            && described.opens.at(end)
            && described.behind.is_none()
            && site.network().may_switch(site.call(), goal.track)
            && site.row(goal.track).iter().all(stays)
            && site.room(goal.track) >= site.length_of(outer)
            && outer.iter().all(|car| site.takes(goal.track, *car));
        (ready && same > 0).then_some((goal.track, same))
    }

    /// The tracks that are worked.
    pub(super) fn tracks(&self) -> impl Iterator<Item = TrackIx> + '_ {
        self.tracks.iter().map(|goal| goal.track)
    }

    /// The rows that a track may have in the end; none for one that is not worked.
    pub(super) fn variants(&self, track: TrackIx) -> Vec<&[OnTrack]> {
        let goals = self.tracks.iter().filter(|goal| goal.track == track);
        let mut rows: Vec<&[OnTrack]> = Vec::new();
        for row in goals.flat_map(|goal| goal.from_west.iter().chain(&goal.from_east)) {
            if !rows.contains(&row.as_slice()) {
                rows.push(row);
            }
        }
        rows
    }

    /// Whether every track holds the cars that it shall, each at its spot or one that it may have instead;
    /// cars without one in any order.
    pub(super) fn met(&self, site: &Site<'_>) -> bool {
        self.tracks.iter().all(|goal| {
            let sorted = |row: &[OnTrack]| {
                let mut row: Vec<(CarIx, Option<SpotIx>)> =
                    row.iter().map(|on| (goal.stands_for(on.car), on.spot)).collect();
                row.sort_unstable();
                row
            };
            sorted(site.row(goal.track)) == sorted(&goal.from_west[0])
        })
    }

    pub(super) fn changes(&self, track: TrackIx) -> bool {
        self.tracks.iter().any(|goal| goal.track == track)
    }

    pub(super) fn done(&self, site: &Site<'_>, home: Option<TrackIx>) -> bool {
        self.tracks.iter().all(|goal| Some(goal.track) == home || goal.done(site))
    }
}

impl Goal {
    /// Whether the track is as it shall be, cars that may stand anywhere on it in any order.
    pub(super) fn done(&self, site: &Site<'_>) -> bool {
        let row = site.row(self.track);
        let firm = |on: &&OnTrack| !self.loose.contains(&on.car);
        let met = |wanted: &&Vec<OnTrack>| {
            row.len() == wanted.len()
                && row.iter().filter(|on| self.came(on)).count() == self.loose.len()
                && row
                    .iter()
                    .filter(firm)
                    .zip(wanted.iter().filter(firm))
                    .all(|(is, shall)| self.same(is, shall))
        };
        self.from_west.iter().chain(&self.from_east).any(|wanted| met(&wanted))
    }

    /// Whether the track is one of the rows that it may have, cars that may stand anywhere on it taken for
    /// each other.
    fn is_a_variant(&self, site: &Site<'_>) -> bool {
        let row = site.row(self.track);
        let same = |is: &OnTrack, shall: &OnTrack| self.came(is) && self.came(shall) || self.same(is, shall);
        let met = |wanted: &Vec<OnTrack>| {
            row.len() == wanted.len() && row.iter().zip(wanted).all(|(is, shall)| same(is, shall))
        };
        self.from_west.iter().chain(&self.from_east).any(met)
    }

    /// Whether this is a car that may stand anywhere on the track, and does.
    fn came(&self, on: &OnTrack) -> bool {
        on.spot.is_none() && self.loose.contains(&on.car)
    }

    fn same(&self, is: &OnTrack, shall: &OnTrack) -> bool {
        is.spot == shall.spot && self.stands_for(is.car) == self.stands_for(shall.car)
    }

    /// The first of the cars that may stand at a car's spot, or the car itself.
    fn stands_for(&self, car: CarIx) -> CarIx {
        self.exchange.iter().find(|group| group.contains(&car)).map_or(car, |group| group[0])
    }

    /// Whether fewer cars come out of a track if it is put right from this end.
    pub(super) fn is_nearer(&self, site: &Site<'_>, end: End) -> bool {
        let out = |end: End| {
            let stay = self.wanted(site, end).iter().map(|wanted| site.right(self.track, end, wanted)).max();
            site.row(self.track).len() - stay.unwrap_or(0)
        };
        out(end) < out(end.other())
    }

    /// The rows that the track may have when the rest of its work is done from an end: cars that came already
    /// stay where they are.
    pub(super) fn wanted(&self, site: &Site<'_>, end: End) -> Cow<'_, [Vec<OnTrack>]> {
        let rows = match end {
            End::West => &self.from_west,
            End::East => &self.from_east,
        };
        let now = site.row(self.track);
        if !now.iter().any(|on| self.came(on)) {
            return Cow::Borrowed(rows);
        }
        let mut all: Vec<Vec<OnTrack>> = Vec::new();
        for wanted in rows {
            let mut inward: Vec<OnTrack> = now.iter().copied().filter(|on| wanted.contains(on)).collect();
            let mut comes: Vec<OnTrack> = wanted.iter().copied().filter(|on| !now.contains(on)).collect();
            turned(&mut inward, end);
            turned(&mut comes, end);
            for on in comes.into_iter().rev() {
                insert(&mut inward, on, end);
            }
            turned(&mut inward, end);
            if !all.contains(&inward) {
                all.push(inward);
            }
        }
        Cow::Owned(all)
    }
}

fn orders(scene: &Scene<'_>, task: &Task, tracks: &[(bool, Goal)]) -> Vec<Vec<usize>> {
    let as_they_are: Vec<usize> = (0..tracks.len()).collect();
    let block = |number: &usize| {
        let on = scene.rows[tracks[*number].1.track].iter().map(|on| on.car);
        let given = on.filter(|car| task.pulls.contains(car));
        given
            .filter_map(|car| scene.blocks.of(car).filter(|block| block.taken == scene.call))
            .min()
            .filter(|_| tracks[*number].0)
    };
    let mut orders = vec![as_they_are.clone()];
    let mut first_call_first = as_they_are.clone();
    first_call_first.sort_by_key(block);
    let mut first_call_last = as_they_are;
    first_call_last.sort_by_key(|number| (block(number).is_some(), std::cmp::Reverse(block(number))));
    for order in [first_call_last, first_call_first] {
        if !orders.contains(&order) {
            orders.push(order);
        }
    }
    orders
}

/// The rows that a track may have when its work is done from one end.
fn rows_wanted(
    scene: &Scene<'_>,
    task: &Task,
    track: TrackIx,
    sets: &[SetOut],
    end: End,
) -> Vec<Vec<OnTrack>> {
    // The outermost car of the cut is left first, and so stands deepest; cars pulled at this call
    // come to the outside of the cut.
    let depth = |set: &SetOut| scene.train.cars.iter().position(|car| *car == set.car).unwrap_or(usize::MAX);
    let mut sets = sets.to_vec();
    sets.sort_by_key(|set| std::cmp::Reverse(depth(set)));
    let about: Vec<SetOut> = sets.iter().rev().copied().collect();
    let mut rows = Vec::new();
    let mut orders = vec![sets, about];
    if !task.exchange.is_empty() {
        let exchanged = orders.iter().map(|sets| exchanged(task, sets, end));
        orders = exchanged.chain(orders.iter().cloned()).collect();
    }
    for order in &orders {
        let row = wanted(scene, task, track, order, end);
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    rows
}

/// Cars to be left in this order, those that may stand at each other's spots at the deepest that is left of
/// them.
fn exchanged(task: &Task, sets: &[SetOut], end: End) -> Vec<SetOut> {
    let mut sets = sets.to_vec();
    for group in &task.exchange {
        let mut spots: Vec<Option<SpotIx>> =
            sets.iter().filter(|set| group.contains(&set.car)).map(|set| set.spot).collect();
        spots.sort_unstable();
        if end == End::East {
            spots.reverse();
        }
        for set in sets.iter_mut().filter(|set| group.contains(&set.car)) {
            set.spot = spots.pop().flatten();
        }
    }
    sets
}

/// A track's row, from west to east, when its work is done from one end: what stays keeps its
/// order, a car for a spot stands by the order of the spots, any other nearest to that end, the
/// first named deepest.
fn wanted(scene: &Scene<'_>, task: &Task, track: TrackIx, sets: &[SetOut], end: End) -> Vec<OnTrack> {
    let mut inward: Vec<OnTrack> =
        scene.rows[track].iter().copied().filter(|on| !task.pulls.contains(&on.car)).collect();
    turned(&mut inward, end);
    for set in sets {
        insert(&mut inward, OnTrack { car: set.car, spot: set.spot }, end);
    }
    turned(&mut inward, end);
    inward
}

/// Puts one more car into a row as it stands inward from an end: by the order of the spots, or nearest to that
/// end.
fn insert(inward: &mut Vec<OnTrack>, new: OnTrack, end: End) {
    let nearer = |on: &OnTrack| match (on.spot, new.spot) {
        (Some(standing), Some(new)) if end == End::West => standing < new,
        (Some(standing), Some(new)) => standing > new,
        _ => false,
    };
    let place = inward.iter().rposition(nearer).map_or(0, |last| last + 1);
    inward.insert(place, new);
}

/// Turns a row from west to east into one inward from an end, and back.
fn turned(row: &mut [OnTrack], end: End) {
    if end == End::East {
        row.reverse();
    }
}
