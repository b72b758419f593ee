//! What a crew or a host must know of a car beyond where it goes.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::layout::{LoadLook, Service};
use crate::session::plan::{Event, Plan, TripLine};

use super::names::Names;
use super::phrase::Phrase;

/// What was done to cars by hand or by customers before the first job, and what is done on the way.
#[derive(Debug, Default)]
pub(super) struct Notes<'a> {
    /// The cars whose load changed since the last session or that were put on the layout.
    fresh: BTreeSet<&'a Id>,
    /// What is done to a car on a track.
    served: BTreeMap<(&'a Id, &'a Id), Vec<Service>>,
    /// The cars that must be repaired.
    bad: BTreeSet<&'a Id>,
    /// What the cars were emptied of since the last session.
    emptied: BTreeMap<&'a Id, &'a Id>,
}

impl<'a> Notes<'a> {
    pub(super) fn new(plan: &'a Plan) -> Self {
        let mut notes = Notes::default();
        let before = || plan.before.tracks.values().flatten();
        let ladings: BTreeMap<&Id, &Id> =
            before().filter_map(|standing| Some((&standing.car, standing.lading.as_ref()?))).collect();
        let before = before();
        notes.bad.extend(before.filter(|standing| standing.bad_order).map(|standing| &standing.car));
        for event in &plan.events {
            match event {
                Event::Released { car, lading } => {
                    notes.fresh.insert(car);
                    let was = ladings.get(car).filter(|_| lading.is_none());
                    notes.emptied.extend(was.map(|was| (car, *was)));
                }
                Event::Placed { car, .. } => {
                    notes.fresh.insert(car);
                }
                Event::BadOrder { car } => {
                    notes.bad.insert(car);
                }
                Event::Lifted { car, .. } => {
                    notes.bad.remove(car);
                }
                Event::Served { car, track, service } => {
                    notes.served.entry((car, track)).or_default().push(*service);
                    if *service == Service::Repair {
                        notes.bad.remove(car);
                    }
                }
                _ => {}
            }
        }
        notes
    }

    /// Whether a car must be repaired.
    pub(super) fn is_bad(&self, car: &Id) -> bool {
        self.bad.contains(car)
    }

    /// That a car must be repaired, and where it goes for that, if it is known.
    pub(super) fn bad_order(&self, names: &Names<'_>, car: &Id) -> Option<Phrase> {
        let shared = &names.words.shared;
        self.is_bad(car).then(|| {
            let goes = names.trip(car).and_then(|trip| repaired_at(names, trip));
            goes.map_or_else(|| shared.bad_order(), |bound| shared.bad_order_for(bound))
        })
    }

    /// The same for a crew that leaves it on a track which is not where it is repaired, with who takes it on from there:
    /// else a crew at the right place would take it on by itself.
    fn bad_order_left(&self, names: &Names<'_>, car: &Id, left: &Id) -> Option<Phrase> {
        let trip = names.trip(car).filter(|_| self.is_bad(car))?;
        let (place, bound) = (trip.legs.iter().position(|leg| leg.to == *left)?, repaired_at(names, trip)?);
        let shared = &names.words.shared;
        match trip.legs.get(place + 1) {
            Some(next) => Some(shared.bad_order_next(bound, names.job_name(&next.job))),
            None => (!trip.arrives).then(|| shared.bad_order_later(bound)),
        }
    }

    /// What a crew must not overlook: placards, that the car must be repaired, what the host notes of it, and
    /// what is done to it on the track where it is left, unless it stands there already: then another list says so.
    pub(super) fn special(
        &self,
        names: &Names<'_>,
        car: &'a Id,
        lading: Option<&Id>,
        left: Option<&'a Id>,
        holds: bool,
    ) -> Phrase {
        let shared = &names.words.shared;
        let placards = self.placards(names, car, lading);
        let note = names.car(car).and_then(|car| car.note.as_deref());
        let note = note.map(|note| Phrase::strong(note.to_owned()));
        let services =
            left.filter(|_| !holds).and_then(|track| Some((track, self.served.get(&(car, track))?)));
        let services = services.into_iter().flat_map(|(track, services)| {
            let on =
                |service: &Service| shared.service_at(names.words.service(*service), names.track_name(track));
            services.iter().map(on)
        });
        let left_bad = left.and_then(|track| self.bad_order_left(names, car, track));
        let bad_order = left_bad.or_else(|| self.bad_order(names, car));
        Phrase::row(placards.into_iter().chain(bad_order).chain(note).chain(services), "; ")
    }

    /// The placards that a car bears, for its load or for what is left of it.
    pub(super) fn placards(&self, names: &Names<'_>, car: &Id, lading: Option<&Id>) -> Option<Phrase> {
        let loaded = names.placard(lading).map(|group| names.words.shared.placarded(group));
        loaded.or_else(|| self.residue(names, car, lading))
    }

    /// What is left in a tank car that was emptied of what bears placards: it bears them still (49 CFR 174.85(c)).
    fn residue(&self, names: &Names<'_>, car: &Id, lading: Option<&Id>) -> Option<Phrase> {
        let was = self.emptied.get(car).filter(|_| lading.is_none())?;
        let group = names.placard(Some(was)).filter(|_| names.is_tank(car))?;
        Some(names.words.shared.residue(names.lading_name(was), group))
    }

    /// How the load of an open car must look; of one that lifts out only where the car is found so.
    pub(super) fn load(&self, names: &Names<'_>, car: &Id, lading: Option<&Id>, found: bool) -> Phrase {
        let Some(described) = names.car(car) else { return Phrase::default() };
        let shared = &names.words.shared;
        match (&described.look, found && self.fresh.contains(car), lading) {
            (LoadLook::Fixed(_), ..) => shared.load_fixed(),
            (LoadLook::LiftsOut, true, Some(_)) => shared.load_in(),
            (LoadLook::LiftsOut, true, None) => shared.load_out(),
            (LoadLook::LiftsOut, false, _) | (LoadLook::Hidden, ..) => Phrase::default(),
        }
    }
}

/// Where the trip of a bad order ends. Of several tracks that repair it, a trip that does not get there tonight may
/// come to any.
fn repaired_at(names: &Names<'_>, trip: &TripLine) -> Option<String> {
    if !trip.for_repair {
        let shop = names.home_by(&trip.bound).map(|gateway| names.words.shared.shop_by(gateway).text());
        return Some(shop.unwrap_or_else(|| names.bound(&trip.bound)));
    }
    let (track, spot) = match (trip.legs.last(), trip.goals.last().map(Vec::as_slice)) {
        (Some(leg), _) if trip.arrives => (&leg.to, leg.spot.as_ref()),
        (_, Some([only])) if names.track(only).is_some() => (only, None),
        _ => return None,
    };
    Some(names.whereabouts(track, spot, &trip.car))
}
