//! The best trip for one car, the others being where they are.
//!
//! Tonight's arrival comes first: the walk is made with as few legs as there are stages, and with a few
//! more if that finds nothing. What cannot arrive tonight goes as near as it can on a way that arrives
//! in one of the sessions after.

use std::collections::BTreeMap;

use super::aside::{self, Wanted};
use super::question::{Movable, Question, Reach, Way};
use super::reach::{Goals, SESSIONS};
use super::room::{END, Room};
use super::walk::Walk;
use super::{Bans, Hindrance, Trip};
use crate::layout::SpotTarget;
use crate::network::Network;
use crate::traffic::{Demand, Purpose, Stage, Wish};

/// How many legs more than stages a way has at most, unless there is no other.
const MORE_LEGS: u32 = 3;

/// Finds trips.
#[derive(Debug)]
pub(super) struct Search<'a> {
    network: &'a Network<'a>,
    demand: &'a Demand,
    wanted: Wanted,
    walk: Walk<'a>,
    /// All different lists of goals.
    goals: Vec<Goals>,
    /// By wish and stage, its list.
    lists: Vec<Vec<usize>>,
    /// Where cars are put aside; looked at when it is first asked.
    aside: Option<(Stage, Goals)>,
}

/// What a trip is planned among.
#[derive(Clone, Copy)]
pub(super) struct Among<'r> {
    /// What is free; the car itself is nowhere in it.
    pub(super) room: &'r Room,
    /// What switching refused.
    pub(super) bans: &'r Bans,
}

impl<'a> Search<'a> {
    pub(super) fn new(network: &'a Network<'a>, demand: &'a Demand) -> Self {
        let mut known: BTreeMap<&[SpotTarget], usize> = BTreeMap::new();
        let mut goals = Vec::new();
        let mut number = |stage: &'a Stage| {
            *known.entry(&stage.goals).or_insert_with(|| {
                goals.push(Goals::new(network, &stage.goals));
                goals.len() - 1
            })
        };
        let lists = demand.wishes.iter().map(|wish| wish.stages.iter().map(&mut number).collect()).collect();
        Search {
            network,
            demand,
            wanted: Wanted::new(network.layout(), demand),
            walk: Walk::new(network),
            goals,
            lists,
            aside: None,
        }
    }

    /// The goals of a wish's last stage.
    pub(super) fn last_goals(&self, place: usize) -> Option<&Goals> {
        self.lists[place].last().map(|list| &self.goals[*list])
    }

    /// How far a car gets. One that is kept off its own spot at least leaves a spot that others wait
    /// for: two cars that wait for each other's spots would wait for ever. Nothing if it must leave the
    /// track it stands on, because another comes there, and cannot.
    pub(super) fn trip(&mut self, among: Among<'_>, place: usize) -> Option<Trip> {
        let wish = &self.demand.wishes[place];
        let pressed = self.pressed(among.room, wish);
        let mut trip = self.forward(among, place);
        let kept_off = matches!(
            trip.hindrance,
            Some(Hindrance::Full(_) | Hindrance::KeptOff(_) | Hindrance::Banned(..))
        );
        let in_the_way = (kept_off || trip.sessions.is_none()) && self.wanted.stands_in_the_way(wish.car);
        if trip.legs.is_empty() && (pressed || in_the_way) {
            trip.legs = self.aside(among, wish);
            trip.aside = !trip.legs.is_empty();
        }
        (!pressed || !trip.legs.is_empty()).then_some(trip)
    }

    /// A way to arrive tonight that takes places from cars that may be moved; nothing if there is none.
    pub(super) fn ousting(&mut self, among: Among<'_>, place: usize, movable: Movable<'_>) -> Option<Trip> {
        let wish = &self.demand.wishes[place];
        let lists = self.lists[place].iter().map(|list| &self.goals[*list]).collect();
        let mut question = question(among, wish, &wish.stages, lists, self.network);
        question.movable = Some(movable);
        tonight(&mut self.walk, &mut question).map(Trip::from)
    }

    /// Whether a car must leave where it stands, because another comes there.
    fn pressed(&self, room: &Room, wish: &Wish) -> bool {
        let Some(start) = room.start(wish.car) else { return false };
        !matches!(room.until(self.network, start, wish.car, 0), 0 | END)
    }

    fn forward(&mut self, among: Among<'_>, place: usize) -> Trip {
        let wish = &self.demand.wishes[place];
        let lists: Vec<&Goals> = self.lists[place].iter().map(|list| &self.goals[*list]).collect();
        let mut trip = Trip::default();
        if lists.iter().any(|goals| goals.is_empty()) {
            trip.hindrance = Some(Hindrance::NoGoal);
            trip.told = Some(Hindrance::NoGoal);
            return trip;
        }
        let mut question = question(among, wish, &wish.stages, lists, self.network);
        let way = tonight(&mut self.walk, &mut question).or_else(|| later(&mut self.walk, &mut question));
        let hindrance = question.hindrance(|_| true);
        if let Some(way) = way {
            trip = Trip { told: Some(way.told.clone()), ..Trip::from(way) };
        }
        if trip.sessions == Some(0) {
            trip.told = None;
        } else {
            trip.told = trip.told.or_else(|| Some(hindrance.clone()));
            trip.hindrance = Some(hindrance);
        }
        trip
    }

    /// Tonight's way for a car to a track where it may wait.
    fn aside(&mut self, among: Among<'_>, wish: &Wish) -> Vec<super::Leg> {
        let (stage, goals) = self.aside.get_or_insert_with(|| {
            let stage = Stage { purpose: Purpose::Wait, goals: aside::tracks(self.network.layout()) };
            let goals = Goals::new(self.network, &stage.goals);
            (stage, goals)
        });
        let stages = std::slice::from_ref(&*stage);
        let mut question = question(among, wish, stages, vec![&*goals], self.network);
        question.kept_off = None;
        let mut legs = tonight(&mut self.walk, &mut question).map_or(Vec::new(), |way| way.legs);
        for leg in &mut legs {
            leg.ends_stage = None;
        }
        legs
    }
}

impl From<Way> for Trip {
    fn from(way: Way) -> Self {
        let stages = way.legs.iter().filter(|leg| leg.ends_stage.is_some()).count();
        let sessions = u32::try_from(way.session).ok().filter(|_| !way.off_spot);
        Trip {
            legs: way.legs,
            stages,
            off_spot: way.off_spot,
            aside: false,
            sessions,
            hindrance: None,
            told: None,
            onward: way.onward,
            made_up: None,
        }
    }
}

fn question<'q>(
    among: Among<'q>,
    wish: &'q Wish,
    stages: &'q [Stage],
    goals: Vec<&'q Goals>,
    network: &Network<'_>,
) -> Question<'q> {
    let weight = among.room.weight(wish.car);
    let start = among.room.start(wish.car).expect("only cars that stand on a track have wishes");
    Question {
        start,
        room: among.room,
        bans: among.bans.name(wish.car).then_some(among.bans),
        car: wish.car,
        passing: network.passing(wish.car, weight),
        stages,
        goals,
        movable: None,
        kept_off: wish.kept_off,
        met: Vec::new(),
    }
}

/// The best way to arrive tonight: with as few legs as can be, unless more legs keep it from passing a
/// working limit, or from standing only near its spot.
fn tonight(walk: &mut Walk<'_>, question: &mut Question<'_>) -> Option<Way> {
    let mut best: Option<Way> = None;
    for more in 0..=MORE_LEGS {
        let Some(way) = walk.walk(question, reach(question, 1, more)) else { continue };
        if best.as_ref().is_none_or(|best| way.rank() < best.rank()) {
            best = Some(way);
        } else if best.as_ref().is_some_and(|best| !best.off_spot) {
            break;
        }
        if best.as_ref().is_some_and(|best| !best.off_spot && best.cost.beyond == 0 && best.cost.ousted < 2) {
            break;
        }
    }
    best
}

/// The first way to arrive in one of the sessions after, with as few legs as can be. What comes from afar,
/// or has something done to it off its way, has many legs: such a way is looked for last.
fn later(walk: &mut Walk<'_>, question: &mut Question<'_>) -> Option<Way> {
    let mut reaches = (2..=SESSIONS).flat_map(|sessions| (0..=MORE_LEGS).map(move |more| (sessions, more)));
    let near = reaches.find_map(|(sessions, more)| walk.walk(question, reach(question, sessions, more)));
    near.or_else(|| walk.walk(question, Reach { sessions: SESSIONS, legs: u32::MAX }))
}

fn reach(question: &Question<'_>, sessions: usize, more: u32) -> Reach {
    Reach { sessions, legs: u32::try_from(question.stages.len()).unwrap_or(u32::MAX / 2) + more }
}
