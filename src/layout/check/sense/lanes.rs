//! Whether cars of the roster can do the work of each lane.

use std::collections::{BTreeMap, BTreeSet};

use super::View;
use super::fit::{Passing, Profile, end_targets};
use crate::diag::Span;
use crate::ids::{IxVec, LaneIx, PlaceIx};
use crate::layout::codes;
use crate::layout::model::{Lane, LaneEnd, Service, SpotTarget};
use crate::layout::sink::{Sink, Wrong};

impl View<'_, '_> {
    /// The lanes that stand.
    pub(super) fn lanes(&self) -> impl Iterator<Item = (LaneIx, &Lane)> {
        self.draft.layout.lanes.iter().filter(|(index, _)| self.draft.lane_stands(*index))
    }

    fn commodity(&self, lane: &Lane) -> &str {
        self.draft.layout.commodities[lane.commodity].id.as_str()
    }

    fn commodity_span(&self, lane: LaneIx) -> Span {
        let said = self.draft.names.lanes.said(lane);
        said.commodity.as_ref().map_or(said.span, |commodity| commodity.span)
    }

    /// The carriers of a lane that fit somewhere at both its ends.
    fn fitting(&self, index: LaneIx, lane: &Lane) -> Vec<Profile> {
        let ends = self.ends(lane);
        let fits = |profile: &&Profile| {
            ends.iter()
                .all(|targets| targets.iter().any(|target| profile.fits(self.draft, *target, lane.commodity)))
        };
        self.carriers[index].iter().filter(fits).copied().collect()
    }

    fn ends(&self, lane: &Lane) -> [Vec<SpotTarget>; 2] {
        [end_targets(self.draft, lane, lane.from, true), end_targets(self.draft, lane, lane.to, false)]
    }

    /// The places of those spots that a sort of car fits.
    fn places(&self, targets: &[SpotTarget], profile: &Profile, lane: &Lane) -> BTreeSet<PlaceIx> {
        let fitting = targets.iter().filter(|target| profile.fits(self.draft, **target, lane.commodity));
        fitting.map(|target| self.draft.layout.place_of(*target)).collect()
    }
}

/// No car of the roster may carry a lane's commodity.
pub(super) fn no_car_for_lane(view: &View<'_, '_>, sink: &mut Sink) {
    for (index, lane) in view.lanes().filter(|(index, _)| view.carriers[*index].is_empty()) {
        let draft = view.draft;
        let kinds: Vec<String> = lane
            .kinds(&draft.layout.commodities)
            .iter()
            .map(|kind| format!("`{}`", draft.layout.types[*kind].code))
            .collect();
        let wrong = Wrong::new(
            codes::NO_CAR_FOR_LANE,
            format!("no car of the roster may carry `{}`", view.commodity(lane)),
        )
        .help(format!(
            "it takes a car of {}, of its grade, in its service and its years",
            kinds.join(" or ")
        ));
        sink.wrong(view.commodity_span(index), wrong);
    }
}

/// Cars may carry a lane's commodity, but none fits a spot at each end.
pub(super) fn cars_do_not_fit(view: &View<'_, '_>, sink: &mut Sink) {
    for (index, lane) in view.lanes() {
        let Some(shortest) = view.carriers[index].iter().map(|profile| profile.length).min() else {
            continue;
        };
        if !view.fitting(index, lane).is_empty() {
            continue;
        }
        let said = view.draft.names.lanes.said(index);
        let [from, to] = view.ends(lane);
        let nowhere = |targets: &[SpotTarget]| {
            !view.carriers[index]
                .iter()
                .any(|profile| targets.iter().any(|target| profile.fits(view.draft, *target, lane.commodity)))
        };
        let (name, ends) = match (nowhere(&from), nowhere(&to)) {
            (true, _) => (&said.from, "its spots there"),
            (false, true) => (&said.to, "its spots there"),
            (false, false) => (&said.to, "spots at both ends"),
        };
        let span = name.as_ref().map_or(said.span, |name| name.span);
        let message = format!("no car of the roster that may carry `{}` fits {ends}", view.commodity(lane));
        let wrong = Wrong::new(codes::CARS_DO_NOT_FIT, message)
            .help(format!("the shortest is {shortest}: look at length, `holds` and limits of the tracks"));
        sink.wrong(span, wrong);
    }
}

/// Cars fit at both ends of a lane, but none passes the links between.
pub(super) fn cars_cannot_pass(view: &View<'_, '_>, sink: &mut Sink) {
    let mut parts: BTreeMap<Passing, IxVec<PlaceIx, usize>> = BTreeMap::new();
    for (index, lane) in view.lanes() {
        let fitting = view.fitting(index, lane);
        let [from, to] = view.ends(lane);
        let passes = |profile: &Profile| {
            let passing = profile.passing(view.draft, lane.commodity);
            let parts = parts.entry(passing).or_insert_with(|| joined_parts(view, profile, lane));
            let begins: BTreeSet<usize> =
                view.places(&from, profile, lane).iter().map(|place| parts[*place]).collect();
            view.places(&to, profile, lane).iter().any(|place| begins.contains(&parts[*place]))
        };
        if fitting.is_empty() || fitting.iter().any(passes) {
            continue;
        }
        let said = view.draft.names.lanes.said(index);
        let message = format!("no car of the roster that may carry `{}` gets there", view.commodity(lane));
        let wrong = Wrong::new(codes::CARS_CANNOT_PASS, message).help(what_stops(view, &fitting, lane));
        sink.wrong(said.to.as_ref().map_or(said.span, |to| to.span), wrong);
    }
}

/// Which links no car passes, for the host to look at.
fn what_stops(view: &View<'_, '_>, fitting: &[Profile], lane: &Lane) -> String {
    let layout = &view.draft.layout;
    let closed: Vec<String> = layout
        .links
        .iter()
        .filter(|(index, link)| {
            view.draft.link_stands(*index)
                && !fitting.iter().any(|profile| profile.passes(view.draft, link.limits, lane.commodity))
        })
        .map(|(_, link)| format!("`{}` to `{}`", layout.places[link.west].id, layout.places[link.east].id))
        .collect();
    match &closed[..] {
        [] => "look whether links join both ends, and at the limits of each".to_owned(),
        closed => format!("none of them passes {}, loaded", closed.join(" or ")),
    }
}

/// The parts into which the links that stand join all places for a sort of car: each place's part.
fn joined_parts(view: &View<'_, '_>, profile: &Profile, lane: &Lane) -> IxVec<PlaceIx, usize> {
    let layout = &view.draft.layout;
    let mut ways: IxVec<PlaceIx, Vec<PlaceIx>> = IxVec::filled(Vec::new(), layout.places.len());
    for (index, link) in layout.links.iter() {
        if view.draft.link_stands(index) && profile.passes(view.draft, link.limits, lane.commodity) {
            ways[link.west].push(link.east);
            ways[link.east].push(link.west);
        }
    }
    let mut parts = IxVec::filled(None, layout.places.len());
    for (part, first) in layout.places.indices().enumerate() {
        let mut open = vec![first];
        while let Some(place) = open.pop() {
            if parts[place].is_none() {
                parts[place] = Some(part);
                open.extend(&ways[place]);
            }
        }
    }
    parts.values().map(|part| part.unwrap_or_default()).collect()
}

/// A spot that no car of its lanes fits, though another spot of the same customer will do.
pub(super) fn spot_without_car(view: &View<'_, '_>, sink: &mut Sink) {
    let mut used: BTreeMap<SpotTarget, bool> = BTreeMap::new();
    for (index, lane) in view.lanes() {
        if view.fitting(index, lane).is_empty() {
            continue;
        }
        for (end, targets) in [lane.from, lane.to].into_iter().zip(view.ends(lane)) {
            if !matches!(end, LaneEnd::Industry(_)) {
                continue;
            }
            for target in targets
                .into_iter()
                .filter(|target| view.draft.track_stands(view.draft.layout.track_of(*target)))
            {
                let fits = view.carriers[index]
                    .iter()
                    .any(|profile| profile.fits(view.draft, target, lane.commodity));
                *used.entry(target).or_default() |= fits;
            }
        }
    }
    for (target, _) in used.into_iter().filter(|(_, fits)| !fits) {
        let draft = view.draft;
        let (id, span) = match target {
            SpotTarget::Spot(spot) => (&draft.layout.spots[spot].id, draft.spots_said[spot].name.span),
            SpotTarget::Track(track) => {
                (&draft.layout.tracks[track].id, draft.names.tracks.said(track).id.span)
            }
        };
        let wrong = Wrong::new(codes::SPOT_WITHOUT_CAR, format!("no car of the roster can use `{id}`"))
            .help("measure it again, or take it out of what its customers ship and receive");
        sink.wrong(span, wrong);
    }
}

/// Something is done on the way of a lane that no track offers.
pub(super) fn service_not_offered(view: &View<'_, '_>, sink: &mut Sink) {
    let tracks = view.draft.layout.tracks.iter().filter(|(track, _)| view.draft.track_stands(*track));
    let offered: BTreeSet<Service> = tracks.flat_map(|(_, track)| track.offers.iter().copied()).collect();
    for (index, _) in view.lanes() {
        for service in &view.draft.names.lanes.said(index).on_the_way {
            if !offered.contains(&service.value) {
                let word = service.value.word();
                let wrong =
                    Wrong::new(codes::SERVICE_NOT_OFFERED, format!("no track offers to {word} a car"))
                        .help(format!("let a track offer it: `offers = [\"{word}\"]`"));
                sink.wrong(service.span, wrong);
            }
        }
    }
}
