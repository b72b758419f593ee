//! Whether jobs reach what is to be worked.

use std::collections::BTreeSet;

use super::View;
use crate::ids::{IndustryIx, IxVec, JobIx, PlaceIx, TrackIx};
use crate::layout::check::draft::Draft;
use crate::layout::codes;
use crate::layout::model::{End, Opens, TrackUse};
use crate::layout::sink::{Sink, Wrong};

impl View<'_, '_> {
    /// The tracks where a customer has spots, as far as they stand.
    fn tracks_of(&self, industry: IndustryIx) -> BTreeSet<TrackIx> {
        let customer = &self.draft.layout.industries[industry];
        let targets = customer.ships.iter().chain(&customer.receives).flat_map(|(_, targets)| targets);
        let tracks = targets.map(|target| self.draft.layout.track_of(*target));
        tracks.filter(|track| self.draft.track_stands(*track)).collect()
    }

    /// The jobs that may switch a track, with which of their calls.
    fn calls_at(&self, track: TrackIx) -> Vec<(JobIx, usize)> {
        let described = &self.draft.layout.tracks[track];
        let works = |(job, call): &(JobIx, usize)| {
            let job = &self.draft.layout.jobs[*job];
            let tracks = &job.calls[*call].tracks;
            described.worked_by.contains(&job.railroad) && (tracks.is_empty() || tracks.contains(&track))
        };
        self.calls[described.place].iter().copied().filter(works).collect()
    }

    /// Whether a job may bring the cars of a customer.
    fn serves(&self, job: JobIx, industry: IndustryIx) -> bool {
        let served_by = &self.draft.layout.industries[industry].served_by;
        served_by.is_empty() || served_by.contains(&self.draft.layout.jobs[job].railroad)
    }
}

/// For each place, the jobs that stand and call there, with which of their calls.
pub(super) fn calls(draft: &Draft<'_>) -> IxVec<PlaceIx, Vec<(JobIx, usize)>> {
    let mut calls = IxVec::filled(Vec::new(), draft.layout.places.len());
    for (index, job) in draft.layout.jobs.iter().filter(|(index, _)| draft.job_stands(*index)) {
        for (number, call) in job.calls.iter().enumerate() {
            calls[call.place].push((index, number));
        }
    }
    calls
}

/// A customer, or one of its tracks, that no job works.
pub(super) fn customer_not_reached(view: &View<'_, '_>, sink: &mut Sink) {
    for (index, customer) in view.draft.layout.industries.iter() {
        if !view.draft.industry_stands(index) {
            continue;
        }
        let tracks = view.tracks_of(index);
        let missed: Vec<TrackIx> = tracks
            .iter()
            .copied()
            .filter(|track| !view.calls_at(*track).iter().any(|(job, _)| view.serves(*job, index)))
            .collect();
        let span = view.draft.names.industries.said(index).id.span;
        let help = "a job of a railroad that works the track, and serves the customer, must call there";
        if missed.is_empty() {
            continue;
        }
        if missed.len() == tracks.len() {
            let wrong = Wrong::new(codes::CUSTOMER_NOT_REACHED, format!("no job reaches `{}`", customer.id));
            sink.wrong(span, wrong.help(help));
            continue;
        }
        for track in missed {
            let message = format!(
                "no job reaches `{}`, a track of `{}`",
                view.draft.layout.tracks[track].id, customer.id
            );
            let wrong = Wrong::new(codes::CUSTOMER_NOT_REACHED, message).help(help);
            let track_span = view.draft.names.tracks.said(track).id.span;
            sink.push(wrong.at(span).label(track_span, "the track is here"));
        }
    }
}

/// A spur where every job comes with its cars on the wrong side, and cannot run around them.
///
/// An engine that leads its train into a place eastward has its cars to the west of it, and works
/// the ends that open east; it changes sides on a track that opens at both ends. At its first call
/// it takes cars from whatever side it likes. Where a job could not have run around its cars at the
/// call before, it may come in shoving them, and nothing is said.
pub(super) fn spur_not_workable(view: &View<'_, '_>, sink: &mut Sink) {
    let draft = view.draft;
    for (index, track) in draft.layout.tracks.iter() {
        let end = match track.opens {
            Opens::West => End::West,
            Opens::East => End::East,
            Opens::Both => continue,
        };
        if track.usage != TrackUse::Spur || !draft.track_stands(index) || has_run_around(view, track.place) {
            continue;
        }
        let calls = view.calls_at(index);
        let wrong_side = |(job, call): &(JobIx, usize)| comes_wrong(view, *job, *call, end);
        if calls.is_empty() || !calls.iter().all(wrong_side) {
            continue;
        }
        let message = format!(
            "no job can work `{}`: it opens {}, and every job comes with its cars on the other side",
            track.id,
            end.word()
        );
        let wrong = Wrong::new(codes::SPUR_NOT_WORKABLE, message)
            .help("let a job come from the other direction, or describe a track that opens at both ends");
        let said = draft.names.tracks.said(index);
        sink.wrong(said.opens.as_ref().map_or(said.id.span, |opens| opens.span), wrong);
    }
}

/// Whether a place has a track on which an engine could get round its cars.
fn has_run_around(view: &View<'_, '_>, place: PlaceIx) -> bool {
    let tracks = &view.draft.layout.tracks;
    view.draft.layout.places[place].tracks.iter().any(|track| {
        tracks[*track].opens == Opens::Both
            && tracks[*track].usage != TrackUse::Engine
            && view.draft.track_stands(*track)
    })
}

/// Whether a job surely comes to a call with its cars where it cannot work an end.
fn comes_wrong(view: &View<'_, '_>, job: JobIx, call: usize, end: End) -> bool {
    let calls = &view.draft.layout.jobs[job].calls;
    let Some(before) = call.checked_sub(1).map(|before| calls[before].place) else { return false };
    let place = calls[call].place;
    // Its cars are on the west when it came in from the west: then it works ends that open east.
    before != place && has_run_around(view, before) && !comes_from(view, before, place).contains(&end.other())
}

/// The ends of a place at which a train from another place may come in, whatever way it takes.
fn comes_from(view: &View<'_, '_>, from: PlaceIx, place: PlaceIx) -> BTreeSet<End> {
    let links = || {
        let links = view.draft.layout.links.iter();
        links.filter(|(index, _)| view.draft.link_stands(*index)).map(|(_, link)| link)
    };
    let mut seen = BTreeSet::from([from]);
    let mut open = vec![from];
    let mut ends = BTreeSet::new();
    while let Some(here) = open.pop() {
        for link in links().filter(|link| link.west == here || link.east == here) {
            let next = if link.west == here { link.east } else { link.west };
            if next == place {
                ends.insert(if link.east == place { End::West } else { End::East });
            } else if seen.insert(next) {
                open.push(next);
            }
        }
    }
    ends
}

/// A place whose only track is a dead end for several cars.
///
/// To reach the inner one of two cars a crew must put the outer one somewhere else than on its train, where
/// that carries cars for other places. Common practice, no source: it stands on the running track meanwhile.
pub(super) fn nowhere_to_set_aside(view: &View<'_, '_>, sink: &mut Sink) {
    let draft = view.draft;
    for place in draft.layout.places.values() {
        let tracks = place.tracks.iter().copied();
        let mut tracks = tracks.filter(|track| {
            draft.track_stands(*track) && draft.layout.tracks[*track].usage != TrackUse::Engine
        });
        let (Some(index), None) = (tracks.next(), tracks.next()) else { continue };
        let track = &draft.layout.tracks[index];
        if track.usage != TrackUse::Spur || track.opens == Opens::Both || track.spots.len() < 2 {
            continue;
        }
        let message = format!(
            "`{}` is the only track of its place and holds several cars: there is nowhere to set one aside",
            track.id
        );
        let wrong = Wrong::new(codes::NOWHERE_TO_SET_ASIDE, message)
            .help("describe the running track that passes it, with `use = \"main\"`");
        sink.wrong(draft.names.tracks.said(index).id.span, wrong);
    }
}

/// An interchange track that only one railroad may work: nothing changes hands there.
pub(super) fn interchange_for_one(view: &View<'_, '_>, sink: &mut Sink) {
    let layout = &view.draft.layout;
    let of_gateways: BTreeSet<TrackIx> = layout
        .gateways
        .values()
        .flat_map(|gateway| gateway.takes.iter().chain(&gateway.gives))
        .copied()
        .collect();
    for (index, track) in layout.tracks.iter() {
        if track.usage != TrackUse::Interchange
            || track.worked_by.len() > 1
            || of_gateways.contains(&index)
            || !view.draft.track_stands(index)
        {
            continue;
        }
        let message = format!("only one railroad works the interchange track `{}`", track.id);
        let wrong = Wrong::new(codes::INTERCHANGE_FOR_ONE, message)
            .help("list both in `worked_by`, or make it a track of a gateway");
        let said = view.draft.names.tracks.said(index);
        sink.wrong(said.usage.as_ref().map_or(said.id.span, |usage| usage.span), wrong);
    }
}
