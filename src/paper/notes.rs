//! What a crew or a host must know of a car beyond where it goes.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::layout::LoadLook;
use crate::session::plan::{Event, Plan};

use super::names::Names;
use super::phrase::Phrase;

/// What was done to cars by hand or by customers before the first job, and what is done on the way.
#[derive(Debug, Default)]
pub(super) struct Notes<'a> {
    /// The cars whose load changed since the last session or that were put on the layout.
    fresh: BTreeSet<&'a Id>,
    /// What is done to a car on a track.
    served: BTreeMap<(&'a Id, &'a Id), Vec<&'static str>>,
}

impl<'a> Notes<'a> {
    pub(super) fn new(plan: &'a Plan) -> Self {
        let mut notes = Notes::default();
        for event in &plan.events {
            match event {
                Event::Released { car, .. } | Event::Placed { car, .. } => {
                    notes.fresh.insert(car);
                }
                Event::Served { car, track, service } => {
                    notes.served.entry((car, track)).or_default().push(service.word());
                }
                _ => {}
            }
        }
        notes
    }

    /// What is to be said of a car with its load: where it is left on a track, of its stay there;
    /// where it is found, of how its load must look.
    pub(super) fn of(
        &self,
        names: &Names<'_>,
        car: &'a Id,
        lading: Option<&Id>,
        left: Option<&'a Id>,
        found: bool,
    ) -> Phrase {
        let mut said: Vec<Phrase> = Vec::new();
        if let Some(group) = names.placard(lading) {
            said.push(Phrase::strong(format!("PLACARDED, group {group}")));
        }
        if let Some(described) = names.car(car) {
            match (&described.look, found && self.fresh.contains(car), lading) {
                (LoadLook::Fixed(_), ..) => said.push(Phrase::of("its load is fixed")),
                (LoadLook::LiftsOut, true, Some(_)) => said.push(Phrase::of("its load must be in")),
                (LoadLook::LiftsOut, true, None) => said.push(Phrase::of("its load must be out")),
                (LoadLook::LiftsOut, false, _) | (LoadLook::Hidden, ..) => {}
            }
            said.extend(described.note.as_deref().map(Phrase::strong));
        }
        for service in left.and_then(|track| self.served.get(&(car, track))).into_iter().flatten() {
            said.push(Phrase::strong(format!("{service} it here")));
        }
        Phrase::row(said, "; ")
    }
}
