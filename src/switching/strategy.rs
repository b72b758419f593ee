//! The work of one call: a plain plan, then a search for fewer handlings; and what is left out where neither
//! does it.

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::layout::End;
use crate::network::Network;
use crate::trips::Task;
use crate::units::Tons;

use super::cost::more_work;
use super::fewest;
use super::goals::Goals;
use super::make_up::{Blocks, Law, put_right};
use super::parts::in_parts;
use super::plain::plain;
use super::site::{Handling, Row, Site, Trouble};
use super::{Cut, Refusal};

/// A call as the crew finds it.
pub(super) struct Scene<'a> {
    pub(super) network: &'a Network<'a>,
    pub(super) weights: &'a IxVec<CarIx, Tons>,
    pub(super) call: CallIx,
    pub(super) rows: &'a IxVec<TrackIx, Row>,
    pub(super) train: &'a Cut,
    /// How the train should leave for its next work; nothing if that is all the same, and then the
    /// engine leads.
    pub(super) then: Option<Then>,
    /// Where placarded cars may ride, if any are loaded.
    pub(super) law: Option<&'a Law>,
    /// Where the cars of the train that leaves are left further on.
    pub(super) blocks: &'a Blocks,
    /// How many states a search for fewer handlings may open; none, and the plain ways are good enough.
    pub(super) states: usize,
    /// The movements so far, where this is only a part of the call's work.
    pub(super) begun: Option<&'a Site<'a>>,
}

impl<'a> Scene<'a> {
    /// The law for the train that leaves for another place, and whether it has a caboose.
    pub(super) fn law_ahead(&self) -> Option<(&'a Law, bool)> {
        let call = &self.network.calls()[self.call];
        let leaves = call.ride.as_ref().is_some_and(|ride| ride.way.places.len() > 1);
        let caboose = self.network.layout().jobs()[call.job].power.caboose;
        self.law.filter(|_| leaves).map(|law| (law, caboose))
    }
}

/// The end that a train should be able to work when it comes to its next work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Then {
    pub(super) end: End,
    /// Whether the engine cannot get round its cars there.
    pub(super) must: bool,
}

/// A call's work, done.
#[derive(Clone, Debug)]
pub(super) struct CallWorked {
    pub(super) handlings: Vec<Handling>,
    pub(super) cut: Cut,
    /// Whether no fewer handlings will do.
    pub(super) proved: bool,
    /// How many handlings the orders of the train and of what is left make later.
    pub(super) more_work: usize,
    /// The rows of the tracks that were touched.
    pub(super) rows: Vec<(TrackIx, Row)>,
}

/// How many states a search may open where the plain ways do not do the work at all.
const LOOKS: usize = 300;
/// How many states all such searches of one call may open: a way is mostly found soon, and cars are left out by
/// many searches that find none.
const ALL_LOOKS: usize = 6 * LOOKS;

/// Does the work of one call: with fewer handlings than are known, if any are.
pub(super) fn work_call(
    scene: &Scene<'_>,
    task: &Task,
    known: Option<&CallWorked>,
) -> Result<CallWorked, Refusal> {
    let mut looks = ALL_LOOKS;
    let known = known.and_then(|known| redone(scene, &known.handlings).ok());
    let goals = Goals::new(scene, task);
    match known.map_or_else(|| solve(scene, task, &goals, &mut looks), Ok) {
        Ok(site) => {
            let found = fewest::fewer(scene, task, &goals, &site);
            let site = found.site.unwrap_or(site);
            let more_work = more_work(scene, &site).iter().sum();
            let (handlings, cut, rows) = site.into_parts();
            let touched = |track: TrackIx| handlings.iter().any(|handling| handling.track == track);
            let rows = rows.into_iter().filter(|(track, _)| touched(*track)).collect();
            Ok(CallWorked { handlings, cut, proved: found.proved, more_work, rows })
        }
        Err(trouble @ Trouble::Placarded(car)) => Err(Refusal { call: scene.call, cars: vec![car], trouble }),
        Err(trouble) => Err(Refusal { call: scene.call, cars: left_out(scene, task, &mut looks), trouble }),
    }
}

/// The cars to leave out: the most important are taken on one by one as long as their work can be
/// done together.
fn left_out(scene: &Scene<'_>, task: &Task, looks: &mut usize) -> Vec<CarIx> {
    let mut kept: Vec<CarIx> = Vec::new();
    let mut out: Vec<CarIx> = Vec::new();
    for car in &task.cars {
        kept.push(*car);
        let has = |on: &CarIx| kept.contains(on);
        let smaller = task.only(kept.clone());
        let mut train = scene.train.clone();
        train.cars.retain(|on| has(on) || !task.cars.contains(on));
        train.end = train.end.filter(|_| !train.cars.is_empty());
        let scene = Scene { train: &train, ..*scene };
        if solve(&scene, &smaller, &Goals::new(&scene, &smaller), looks).is_err() {
            kept.pop();
            out.push(*car);
        }
    }
    out
}

/// The best plan for a call; where no plain one will do, its work in parts, or whatever a search finds in the
/// states that are left to it.
fn solve<'a>(scene: &Scene<'a>, task: &Task, goals: &Goals, looks: &mut usize) -> Result<Site<'a>, Trouble> {
    plain(scene, goals).or_else(|trouble| {
        // Without the placarded car the rest can be done.
        if matches!(trouble, Trouble::Placarded(_)) {
            return Err(trouble);
        }
        let search = || {
            // A search with fewer states may find what one with more did not: all have the same.
            if scene.states == 0 || *looks < LOOKS {
                return None;
            }
            let (site, opened) = fewest::any(scene, task, goals, LOOKS);
            *looks = looks.saturating_sub(opened);
            site
        };
        in_parts(scene, task).or_else(search).ok_or(trouble)
    })
}

/// The work of a part of a call, its train waiting where it was left.
pub(super) fn part<'a>(scene: &Scene<'a>, task: &Task) -> Option<Site<'a>> {
    plain(scene, &Goals::new(scene, task)).ok()
}

/// A place before the first movement, or after those that were made.
pub(super) fn fresh<'a>(scene: &Scene<'a>) -> Site<'a> {
    let new = || Site::new(scene.network, scene.weights, scene.call, scene.rows, scene.train.clone());
    scene.begun.cloned().unwrap_or_else(new)
}

/// A call's handlings made once more.
fn redone<'a>(scene: &Scene<'a>, handlings: &[Handling]) -> Result<Site<'a>, Trouble> {
    let mut site = fresh(scene);
    for handling in handlings {
        site.redo(handling, handling.cars.len())?;
    }
    Ok(site)
}

/// Makes a train that is ready fit to go: placarded cars where they may ride, and no cut too long for its lead.
pub(super) fn lawful(site: &mut Site<'_>, scene: &Scene<'_>) -> Result<(), Trouble> {
    if let Some((law, caboose)) = scene.law_ahead() {
        put_right(site, law, caboose)?;
    }
    site.may_go()
}
