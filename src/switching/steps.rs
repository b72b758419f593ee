//! The steps of plain plans, so that plans which begin alike make them once.
//!
//! A step that is made from the same state of the place comes to the same every time, and what it came to is known
//! from then on. A movement is made anew only where no plan has come before, so the last one, as the same value in
//! memory, tells the state.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::site::{Handling, Site, Trouble};
use crate::layout::End;

/// What a plan does next.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Step {
    /// It leaves the train.
    Drop,
    /// It takes the engine to the other end of its cut.
    RunAround,
    /// It puts the track with this number right from an end.
    PutRight(usize, End),
    /// All is done: it makes the train ready to go.
    GetReady,
}

/// What came of something that was tried and taken back.
pub(super) struct Tried {
    /// The movements, if it can be done.
    pub(super) made: Option<Vec<Rc<Handling>>>,
    /// What stopped it, or another way to do it.
    pub(super) trouble: Option<Trouble>,
}

impl Tried {
    /// Tries something.
    pub(super) fn new(site: &mut Site<'_>, work: impl FnOnce(&mut Site<'_>) -> Result<(), Trouble>) -> Self {
        let before = site.log().len();
        let done = work(site);
        let made = site.take_back(before);
        Tried { made: done.is_ok().then_some(made), trouble: done.err() }
    }
}

/// A state of the place: the last movement that led there.
type State = Option<*const Handling>;

/// All steps that were made from one start.
#[derive(Default)]
pub(super) struct Steps {
    known: BTreeMap<(State, Step), Tried>,
    ends: BTreeSet<State>,
}

impl Steps {
    /// Makes a step, which is tried if it is not known; whether it can be made, and what stopped it or another way to
    /// make it.
    pub(super) fn make(
        &mut self,
        site: &mut Site<'_>,
        step: Step,
        tried: impl FnOnce(&mut Site<'_>) -> Tried,
    ) -> (bool, Option<Trouble>) {
        let known = self.known.entry((state(site), step)).or_insert_with(|| tried(site));
        for handling in known.made.iter().flatten() {
            site.make(Rc::clone(handling));
        }
        (known.made.is_some(), known.trouble)
    }

    /// Whether no plan has ended so before.
    pub(super) fn is_new(&mut self, site: &Site<'_>) -> bool {
        self.ends.insert(state(site))
    }
}

fn state(site: &Site<'_>) -> State {
    site.log().last().map(Rc::as_ptr)
}
