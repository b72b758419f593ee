//! A place as the search sees it: its tracks, the units that stand there, and the two movements.

use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::End;
use crate::switching::make_up::{Block, Riding, Rule, more_work};
use crate::switching::search::{Cost, Guess, Problem};
use crate::switching::site::{Site, Trouble};

use super::bound::{AllNeeds, Known};
use super::goal::Goal;
use super::stand::{BASE, BESIDE, BESIDE_ANY, LEFT, Row, Stand, State, UNITS, side};

/// The room where there is no limit: half of what can be said, so that sums stay within it.
pub(super) const NO_LIMIT: u32 = u32::MAX / 2;

/// What a handling costs: more than all the work that an order is said to make for others ([`rest`]).
pub(super) const HANDLING: Cost = 16;

/// The kind of a car that goes along with the train.
pub(super) const ALONG: u8 = 0;

/// A car, or cars that hold side by side. Units that are alike in everything are one and the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Unit {
    /// What the goal sees of it.
    pub(super) kind: u8,
    /// How many cars it is.
    pub(super) cars: usize,
    /// Their length in scale inches.
    pub(super) length: u32,
    /// The tracks that take it, a bit each.
    pub(super) takes: u16,
    /// The track where it is to stand; nothing if it goes along.
    pub(super) home: Option<u8>,
    /// How it may ride.
    pub(super) riding: Riding,
    /// Where it goes on, if that is looked at.
    pub(super) block: Option<Block>,
}

/// A track.
#[derive(Clone, Debug)]
pub(super) struct Lane {
    pub(super) track: TrackIx,
    /// Whether it opens west, and east.
    pub(super) opens: [bool; 2],
    /// The room for units, in scale inches.
    pub(super) room: u32,
    /// The track through which it is reached.
    pub(super) behind: Option<usize>,
    /// Whether the engine can always get past cars on it.
    pub(super) passes: bool,
    /// The rows that it may have in the end.
    pub(super) goals: Vec<Goal>,
}

/// What is the same in all states.
#[derive(Debug)]
pub(super) struct Place {
    pub(super) units: Vec<Unit>,
    pub(super) lanes: Vec<Lane>,
    /// The room for cars on the lead at the west end, and at the east end.
    pub(super) leads: [u32; 2],
    /// Ends from which the train may go straight into a track that opens there, and whether it may into
    /// one that opens at both.
    pub(super) straight: Option<End>,
    /// The end by which the train goes.
    pub(super) leaves: Option<End>,
    /// The end that its cut works when it goes.
    pub(super) end: Option<End>,
    /// What is asked of it on its way, if it goes to another place.
    pub(super) rule: Option<Rule>,
    /// Whether a track outside this place lets the engine past.
    pub(super) passes: bool,
    /// Whether nothing was left out that a crew could use.
    pub(super) all: bool,
    pub(super) known: Known,
}

/// One movement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Step {
    lane: u8,
    end: End,
    couple: bool,
    /// How many cars.
    cars: u8,
}

impl Place {
    /// The track of a step.
    pub(super) fn track(&self, step: Step) -> TrackIx {
        self.lanes[usize::from(step.lane)].track
    }

    /// Makes a step on the real tracks.
    pub(super) fn make(
        &self,
        site: &mut Site<'_>,
        step: Step,
        spot: impl Fn(CarIx) -> Option<SpotIx>,
    ) -> Result<(), Trouble> {
        let (track, cars) = (self.track(step), usize::from(step.cars));
        if step.couple { site.couple(track, step.end, cars) } else { site.leave(track, step.end, cars, spot) }
    }

    /// Whether orders are told apart by the work that they make for others.
    pub(super) fn has_blocks(&self) -> bool {
        self.units.iter().any(|unit| unit.block.is_some())
    }

    fn unit(&self, unit: u8) -> &Unit {
        &self.units[usize::from(unit)]
    }

    /// What the goal sees of a unit.
    pub(super) fn kind(&self, unit: u8) -> u8 {
        if unit == BASE { BASE } else { self.unit(unit).kind }
    }

    /// The track where a unit is to stand; nothing if it goes along, or is not touched.
    pub(super) fn home(&self, unit: u8) -> Option<u8> {
        if unit == BASE { None } else { self.unit(unit).home }
    }

    fn block(&self, unit: u8) -> Option<Block> {
        if unit == BASE { None } else { self.unit(unit).block }
    }

    /// The work that an order of units makes for those who take them on.
    fn more_work(&self, row: &Row) -> usize {
        more_work(row.units().iter().filter_map(|unit| self.block(*unit)))
    }

    fn length(&self, row: &Row) -> u32 {
        row.units().iter().filter(|unit| **unit != BASE).map(|unit| self.unit(*unit).length).sum()
    }

    fn can_pass(&self, stand: &Stand, lane: usize) -> bool {
        let other = |(at, lane_at): (usize, &Lane)| {
            at != lane && lane_at.opens == [true; 2] && stand.rows[at].is_empty()
        };
        self.passes || self.lanes[lane].passes || self.lanes.iter().enumerate().any(other)
    }

    /// Whether nothing is left to do in this state.
    fn finished(&self, stand: &Stand) -> bool {
        stand.cut.units().iter().all(|unit| self.kind(*unit) == ALONG)
            && (stand.cut.is_empty() || stand.end == self.end)
            && self.is_lawful(stand)
            && self.lanes.iter().zip(&stand.rows).all(|(lane, row)| {
                let kinds = || row.units().iter().map(|unit| self.kind(*unit));
                let units = row.units().len();
                lane.goals.iter().any(|goal| goal.units == units && goal.right(kinds(), End::West) == units)
            })
    }

    /// Whether every car on the cut may ride where it does.
    pub(super) fn is_lawful(&self, stand: &Stand) -> bool {
        self.rule.is_none_or(|rule| {
            let mut train = [Riding::default(); UNITS];
            let cut = stand.cut.units();
            train.iter_mut().zip(cut).for_each(|(riding, unit)| *riding = self.unit(*unit).riding);
            rule.offender(&train[..cut.len()]).is_none()
        })
    }

    /// Every movement, with the state it leads to and the same as it stands.
    fn every_move(&self, stand: &Stand, last: Option<Step>, each: &mut impl FnMut(Step, &Stand)) {
        // One copy is changed for each movement, and changed back.
        let mut next = *stand;
        for (at, lane) in self.lanes.iter().enumerate() {
            if lane.behind.is_some_and(|front| !stand.rows[front].is_empty()) {
                continue;
            }
            for end in [End::West, End::East] {
                // Two movements in a row at one end are one.
                let again = last.is_some_and(|last| usize::from(last.lane) == at && last.end == end);
                if again || !lane.opens[side(end)] || stand.end.is_some_and(|works| works != end) {
                    continue;
                }
                self.couples((stand, &mut next), at, end, each);
                if stand.end.is_some() {
                    self.leaves((stand, &mut next), at, end, each);
                }
            }
        }
    }

    /// Every couple at an end of a track.
    fn couples(
        &self,
        (stand, next): (&Stand, &mut Stand),
        at: usize,
        end: End,
        each: &mut impl FnMut(Step, &Stand),
    ) {
        let left = (stand.left >> (3 * at)) & 7;
        let round = left & 3 == LEFT[side(end.other())];
        if round && (left & BESIDE != 0 || !self.can_pass(stand, at)) {
            return;
        }
        next.left &= !(7 << (3 * at)) & !BESIDE_ANY;
        (next.end, next.moved) = (Some(end), true);
        let (mut cars, mut length) = (0, self.length(&stand.cut));
        while let Some(unit) = next.rows[at].outermost(end) {
            cars += self.unit(unit).cars;
            length += self.unit(unit).length;
            if next.cut.put(End::East, unit).is_none() {
                break;
            }
            next.rows[at].take(end);
            if length > self.leads[side(end)] {
                // It fits only if the train goes away at once.
                let goes =
                    self.leaves.is_some_and(|leaves| self.lanes[at].opens == [true; 2] || leaves == end);
                if !goes || !self.finished(next) {
                    continue;
                }
            }
            let Some(step) = Step::new(at, end, true, cars) else { break };
            each(step, next);
        }
        next.put_back(stand, at);
    }

    /// Every leave at an end of a track.
    fn leaves(
        &self,
        (stand, next): (&Stand, &mut Stand),
        at: usize,
        end: End,
        each: &mut impl FnMut(Step, &Stand),
    ) {
        let lane = &self.lanes[at];
        let straight =
            !stand.moved && self.straight.is_some_and(|from| lane.opens == [true; 2] || from == end);
        if !straight && self.length(&stand.cut) > self.leads[side(end)] {
            return;
        }
        next.moved = true;
        next.left &= !(7 << (3 * at)) & !BESIDE_ANY;
        if lane.opens == [true; 2] {
            next.left |= LEFT[side(end)] << (3 * at);
        }
        let beside = lane.opens == [true; 2] && !stand.rows[at].is_empty();
        let (mut cars, mut length) = (0, self.length(&stand.rows[at]));
        while let Some(unit) = next.cut.take(End::East) {
            cars += self.unit(unit).cars;
            length += self.unit(unit).length;
            if length > lane.room
                || self.unit(unit).takes & (1 << at) == 0
                || next.rows[at].put(end, unit).is_none()
            {
                break;
            }
            if next.cut.is_empty() {
                next.end = None;
                next.left |= (u64::from(beside) * BESIDE) << (3 * at);
            }
            let Some(step) = Step::new(at, end, false, cars) else { break };
            each(step, next);
        }
        next.put_back(stand, at);
    }

    /// Whether a movement has parted cars that are alike to the goal, though it could have taken one more: of little use
    /// to a search that follows few states.
    fn parts_alike(&self, next: &Stand, step: Step) -> bool {
        let (lane, row) = (&self.lanes[usize::from(step.lane)], &next.rows[usize::from(step.lane)]);
        let (Some(on_cut), Some(on_track)) = (next.cut.outermost(End::East), row.outermost(step.end)) else {
            return false;
        };
        let seen = |unit: u8| (self.kind(unit), self.block(unit));
        if seen(on_cut) != seen(on_track) {
            return false;
        }
        let (unit, length, most) = if step.couple {
            (on_track, self.length(&next.cut), self.leads[side(step.end)])
        } else {
            (on_cut, self.length(row), lane.room)
        };
        let takes = step.couple || self.unit(unit).takes & (1 << step.lane) != 0;
        takes && length + self.unit(unit).length <= most
    }

    /// Whether a couple takes only cars that are to stay on the track, though nothing must come out of it, or there is
    /// more to take until it does: of as little use, save where cars behind the track are reached.
    fn takes_what_stays(&self, needs: &AllNeeds, (stand, next): (&Stand, &Stand), step: Step) -> bool {
        let at = usize::from(step.lane);
        if !step.couple || self.lanes.iter().any(|lane| lane.behind == Some(at)) {
            return false;
        }
        let taken = &next.cut.units()[stand.cut.units().len()..];
        let stays = |unit: &u8| *unit == BASE || self.home(*unit) == Some(step.lane);
        taken.iter().all(stays) && (needs.is_clear(at) || !next.rows[at].units().iter().all(stays))
    }
}

impl Step {
    /// A movement; nothing if it is of more cars than can be said.
    fn new(at: usize, end: End, couple: bool, cars: usize) -> Option<Self> {
        Some(Step { lane: u8::try_from(at).ok()?, end, couple, cars: u8::try_from(cars).ok()? })
    }
}

/// What the work costs that orders make for those who take cars on: it tells ways with as many handlings apart.
pub(super) fn rest(more_work: usize) -> Cost {
    Cost::try_from(more_work).map_or(HANDLING - 1, |work| work.min(HANDLING - 1))
}

impl Problem for Place {
    type State = State;
    type Move = Step;

    fn moves(&self, state: State, last: Option<Step>, each: &mut impl FnMut(Step, State, Cost)) {
        let stand = Stand::unpack(&state, self.lanes.len());
        self.every_move(&stand, last, &mut |step, next| {
            if let Some(state) = next.pack(self.lanes.len()) {
                each(step, state, HANDLING);
            }
        });
    }

    fn bounded_moves(
        &self,
        state: State,
        last: Option<Step>,
        each: &mut impl FnMut(Step, Cost, &dyn Fn() -> Option<Cost>, &dyn Fn() -> Option<State>),
    ) {
        let stand = Stand::unpack(&state, self.lanes.len());
        let needs = AllNeeds::new(self, &stand);
        self.every_move(&stand, last, &mut |step, next| {
            let least = || Some(needs.guess_beside(self, next, usize::from(step.lane)).least);
            each(step, HANDLING, &least, &|| next.pack(self.lanes.len()));
        });
    }

    fn guessed_moves(
        &self,
        state: State,
        last: Option<Step>,
        each: &mut impl FnMut(Step, Cost, Guess, &dyn Fn() -> Option<State>),
    ) {
        let stand = Stand::unpack(&state, self.lanes.len());
        let needs = AllNeeds::new(self, &stand);
        self.every_move(&stand, last, &mut |step, next| {
            if self.parts_alike(next, step) || self.takes_what_stays(&needs, (&stand, next), step) {
                return;
            }
            let guess = needs.guess_beside(self, next, usize::from(step.lane));
            each(step, HANDLING, guess, &|| next.pack(self.lanes.len()));
        });
    }

    fn bound(&self, state: State) -> Option<Cost> {
        let stand = Stand::unpack(&state, self.lanes.len());
        Some(AllNeeds::new(self, &stand).guess(self, &stand).least)
    }

    fn price(&self) -> Cost {
        HANDLING
    }

    fn rest(&self, done: State) -> Cost {
        let stand = Stand::unpack(&done, self.lanes.len());
        let rows = stand.rows[..self.lanes.len()].iter().chain([&stand.cut]);
        rest(rows.map(|row| self.more_work(row)).sum())
    }

    fn done(&self, state: State) -> bool {
        self.finished(&Stand::unpack(&state, self.lanes.len()))
    }
}
