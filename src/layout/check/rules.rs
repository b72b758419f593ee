//! What things must be to each other: one function a rule, in the order in which they run.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use crate::ids::{Ix, IxVec, JobIx, PlaceIx, TrackIx};
use crate::layout::codes;
use crate::layout::model::{LaneEnd, TrackUse};
use crate::layout::read::Name;
use crate::layout::sink::{Sink, Wrong};
use crate::units::Length;

/// A rule reads the draft, and tells what is wrong.
type Rule = fn(&Draft<'_>, &mut Sink);

/// The rules, by priority: a lower number runs first. None speaks of a thing that is not sound.
const RULES: [(u32, Rule); 13] = [
    (10, cyclic_behind),
    (11, cyclic_after),
    (20, part_without_length),
    (21, spots_too_long),
    (30, no_cars_stand_here),
    (31, track_kept_clear),
    (32, track_too_short),
    (33, power_too_long),
    (40, joined_to_itself),
    (41, not_shipped),
    (42, not_received),
    (50, unreachable_call),
    (51, engine_cut_off),
];

/// Runs all rules.
pub(super) fn run(draft: &Draft<'_>, sink: &mut Sink) {
    debug_assert!(RULES.is_sorted_by_key(|(priority, _)| *priority));
    for (_, rule) in RULES {
        rule(draft, sink);
    }
}

/// The first cycle that each index runs into, told once, at the lowest index in it.
fn cycles<I: Ix>(indices: impl Iterator<Item = I>, next: impl Fn(I) -> Vec<I>) -> Vec<I> {
    let mut told = Vec::new();
    let mut done: BTreeSet<I> = BTreeSet::new();
    for start in indices {
        if done.contains(&start) {
            continue;
        }
        // Everything reachable from `start`, itself counted only if a way leads back to it.
        let mut seen: BTreeSet<I> = BTreeSet::new();
        let mut open = next(start);
        while let Some(index) = open.pop() {
            if seen.insert(index) {
                open.extend(next(index));
            }
        }
        if seen.contains(&start) {
            told.push(start);
            done.extend(seen);
        }
    }
    told
}

fn cyclic_behind(draft: &Draft<'_>, sink: &mut Sink) {
    let tracks = &draft.layout.tracks;
    for track in cycles(tracks.indices(), |track: TrackIx| tracks[track].behind.into_iter().collect()) {
        if let Some(behind) = &draft.names.tracks.said(track).behind {
            let wrong = Wrong::new(
                codes::CYCLIC_BEHIND,
                format!("track `{}` is behind itself: no engine reaches it", tracks[track].id),
            )
            .help("`behind` names the track nearer to the switch");
            sink.wrong(behind.span, wrong);
        }
    }
}

fn cyclic_after(draft: &Draft<'_>, sink: &mut Sink) {
    let jobs = &draft.layout.jobs;
    for job in cycles(jobs.indices(), |job: JobIx| jobs[job].after.clone()) {
        let said = draft.names.jobs.said(job);
        let span = said.after.first().map_or(said.id.span, |after| after.span);
        let wrong = Wrong::new(
            codes::CYCLIC_AFTER,
            format!("job `{}` waits for itself: it never begins", jobs[job].id),
        )
        .help("take one job out of `after`");
        sink.wrong(span, wrong);
    }
}

fn part_without_length(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, spot) in draft.layout.spots.iter() {
        let said = draft.spots_said[index];
        if spot.cars.is_none() && said.length.is_none() && draft.names.tracks.sound(spot.track) {
            let wrong = Wrong::new(
                codes::PART_WITHOUT_LENGTH,
                format!("spot `{}` takes any number of cars, but has no length", spot.name),
            )
            .help("give it a `length`, or say how many `cars` it takes");
            sink.wrong(said.name.span, wrong);
        }
    }
}

fn spots_too_long(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, track) in draft.layout.tracks.iter() {
        if !draft.names.tracks.sound(index) {
            continue;
        }
        let spots = track.spots.iter().filter_map(|spot| draft.layout.spots[*spot].length);
        let together: Length = spots.sum();
        let said = draft.names.tracks.said(index);
        if let Some(length) = said.length.as_ref().filter(|_| together > track.length) {
            let message =
                format!("the spots of `{}` are {together} together, the track is {}", track.id, track.length);
            let wrong =
                Wrong::new(codes::SPOTS_TOO_LONG, message).help("measure the track and its spots again");
            sink.wrong(length.span, wrong);
        }
    }
}

fn no_cars_stand_here(draft: &Draft<'_>, sink: &mut Sink) {
    let mut refuse = |track: Option<TrackIx>, name: &Name, what: &str| {
        let Some(track) = track else { return };
        if draft.layout.tracks[track].usage == TrackUse::Engine {
            let message = format!("`{}` is an engine track: {what}", draft.layout.tracks[track].id);
            let wrong = Wrong::new(codes::NO_CARS_STAND_HERE, message).help("name a track for cars");
            sink.wrong(name.span, wrong);
        }
    };
    for (index, car) in draft.layout.cars.iter() {
        if let Some(stands) = &draft.names.cars.said(index).stands {
            refuse(car.stands, stands, "no car stands there");
        }
    }
    for (index, _) in draft.layout.gateways.iter() {
        let said = draft.names.gateways.said(index);
        for name in said.takes.iter().chain(&said.gives) {
            refuse(draft.names.tracks.get(&name.value), name, "no gateway takes or gives cars there");
        }
    }
}

fn track_kept_clear(draft: &Draft<'_>, sink: &mut Sink) {
    let tracks = &draft.names.tracks;
    let mut refuse = |track: Option<TrackIx>, name: &Name, who: &str| {
        let Some(track) = track else { return };
        let (what, why) = match draft.layout.tracks[track].usage {
            TrackUse::Main => ("the through track", "trains pass there"),
            TrackUse::RunAround => ("a run-around", "engines get round their cars there"),
            _ => return,
        };
        let message =
            format!("`{}` is {what}, and {who} would keep cars on it", draft.layout.tracks[track].id);
        let help = format!("{why}: name another track, or change its `use`");
        sink.wrong(name.span, Wrong::new(codes::TRACK_KEPT_CLEAR, message).help(help));
    };
    for (index, _) in draft.layout.gateways.iter() {
        let said = draft.names.gateways.said(index);
        for name in said.takes.iter().chain(&said.gives) {
            refuse(tracks.get(&name.value), name, "a gateway");
        }
    }
    for (index, _) in draft.layout.industries.iter() {
        let said = draft.names.industries.said(index);
        let here = said.place.as_ref().map_or("", |place| &*place.value);
        for name in said.ships.iter().chain(&said.receives).flat_map(|(_, spots)| spots) {
            // `track/spot` of its own place, or `place/track/spot`.
            let parts: Vec<&str> = name.value.split('/').map(str::trim).collect();
            let at_home = tracks.get(&format!("{here}/{}", parts[0]));
            let elsewhere = || tracks.get(&format!("{}/{}", parts[0], parts.get(1)?));
            refuse(at_home.or_else(elsewhere), name, "a customer");
        }
    }
}

fn track_too_short(draft: &Draft<'_>, sink: &mut Sink) {
    let tracks = &draft.layout.tracks;
    let mut standing: IxVec<TrackIx, u64> = IxVec::filled(0, tracks.len());
    let inches = |length: Length| u64::from(length.whole_scale_inches());
    for (index, car) in draft.layout.cars.iter() {
        let Some(track) = car.stands.filter(|_| draft.names.cars.sound(index)) else { continue };
        let before = standing[track];
        standing[track] += inches(car.length);
        // Told once, at the first car that has no room.
        let room = inches(tracks[track].length);
        if draft.names.tracks.sound(track) && before <= room && standing[track] > room {
            let said = draft.names.cars.said(index);
            let span = said.stands.as_ref().map_or(said.span, |stands| stands.span);
            let message = format!(
                "the cars that stand on `{}` are longer than its {}, from `{}` on",
                tracks[track].id, tracks[track].length, car.id
            );
            let wrong = Wrong::new(codes::TRACK_TOO_SHORT, message).help("put some of them elsewhere");
            sink.wrong(span, wrong);
        }
    }
}

fn power_too_long(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, job) in draft.layout.jobs.iter().filter(|(index, _)| draft.names.jobs.sound(*index)) {
        let Some(longest) = job.max.length.filter(|longest| job.power.length > *longest) else { continue };
        let said = draft.names.jobs.said(index);
        let message = format!(
            "the engines of `{}` are {} long, and its longest train {longest}, engines included",
            job.id, job.power.length
        );
        let wrong = Wrong::new(codes::POWER_TOO_LONG, message)
            .help("give it a longer `max`, or measure its `power` again");
        sink.wrong(said.max_length.as_ref().map_or(said.id.span, |longest| longest.span), wrong);
    }
}

fn joined_to_itself(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, lane) in draft.layout.lanes.iter() {
        let said = draft.names.lanes.said(index);
        let Some(to) = said.to.as_ref().filter(|_| draft.names.lanes.sound(index) && lane.from == lane.to)
        else {
            continue;
        };
        let wrong = Wrong::new(codes::JOINED_TO_ITSELF, format!("a lane from `{0}` to `{0}`", to.value))
            .help("a carload goes from one end to another");
        sink.wrong(to.span, wrong);
    }
}

fn not_shipped(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, lane) in draft.layout.lanes.iter() {
        let LaneEnd::Industry(industry) = lane.from else { continue };
        let said = draft.names.lanes.said(index);
        if !draft.names.lanes.sound(index) || !draft.names.industries.sound(industry) {
            continue;
        }
        let customer = &draft.layout.industries[industry];
        if let Some(from) = said.from.as_ref().filter(|_| customer.loads_at(lane.commodity).is_empty()) {
            sink.push(handles_not(draft, industry, lane.commodity, "ship", from));
        }
    }
}

fn not_received(draft: &Draft<'_>, sink: &mut Sink) {
    for (index, lane) in draft.layout.lanes.iter() {
        let LaneEnd::Industry(industry) = lane.to else { continue };
        let said = draft.names.lanes.said(index);
        if !draft.names.lanes.sound(index) || !draft.names.industries.sound(industry) {
            continue;
        }
        let customer = &draft.layout.industries[industry];
        if let Some(to) = said.to.as_ref().filter(|_| customer.unloads_at(lane.commodity).is_empty()) {
            sink.push(handles_not(draft, industry, lane.commodity, "receive", to));
        }
    }
}

/// That a customer does not ship or receive what a lane says.
fn handles_not(
    draft: &Draft<'_>,
    industry: crate::ids::IndustryIx,
    commodity: crate::ids::CommodityIx,
    verb: &str,
    end: &Name,
) -> crate::diag::Diagnostic {
    let (customer, commodity) = (&draft.layout.industries[industry], &draft.layout.commodities[commodity].id);
    let (code, table) = match verb {
        "ship" => (codes::NOT_SHIPPED, &customer.ships),
        _ => (codes::NOT_RECEIVED, &customer.receives),
    };
    let known: Vec<String> =
        table.iter().map(|(known, _)| format!("`{}`", draft.layout.commodities[*known].id)).collect();
    let help = match &known[..] {
        [] => format!("it {verb}s nothing: add `{verb}s.{commodity}` with its spots"),
        known => format!("it {verb}s {}: add `{verb}s.{commodity}` with its spots", known.join(", ")),
    };
    Wrong::new(code, format!("`{}` does not {verb} `{commodity}`", customer.id))
        .help(help)
        .at(end.span)
        .label(draft.names.industries.said(industry).id.span, "the customer is here")
}

fn unreachable_call(draft: &Draft<'_>, sink: &mut Sink) {
    // If a link is broken, nobody knows what it would reach.
    if draft.layout.links.indices().any(|link| !draft.names.links.sound(link)) || draft.lost_links {
        return;
    }
    let groups = connected(draft);
    for (index, job) in draft.layout.jobs.iter() {
        if !draft.names.jobs.sound(index) {
            continue;
        }
        // Held against the first call, so that the way back from an island is not told as well.
        let Some(first) = job.calls.first() else { continue };
        for (call, said) in job.calls.iter().zip(&draft.names.jobs.said(index).calls) {
            if groups[call.place] != groups[first.place] {
                let places = &draft.layout.places;
                let message =
                    format!("no link leads from `{}` to `{}`", places[first.place].id, places[call.place].id);
                let wrong = Wrong::new(codes::UNREACHABLE_CALL, message)
                    .help("add a `[[link]]`, or take the call out of the job");
                sink.wrong(said.at.span, wrong);
            }
        }
    }
}

/// An engine that two jobs have must be brought from the one to the other.
fn engine_cut_off(draft: &Draft<'_>, sink: &mut Sink) {
    if draft.layout.links.indices().any(|link| !draft.names.links.sound(link)) || draft.lost_links {
        return;
    }
    let (groups, places) = (connected(draft), &draft.layout.places);
    let mut begins: BTreeMap<&str, PlaceIx> = BTreeMap::new();
    for (index, job) in draft.layout.jobs.iter().filter(|(index, _)| draft.names.jobs.sound(*index)) {
        let (Some(said), Some(first)) = (&draft.names.jobs.said(index).engine, job.calls.first()) else {
            continue;
        };
        let known = *begins.entry(&said.value).or_insert(first.place);
        if groups[known] != groups[first.place] {
            let (from, to) = (&places[known].id, &places[first.place].id);
            let message =
                format!("another job has this engine, and no link leads from there, `{from}`, to `{to}`");
            let wrong = Wrong::new(codes::ENGINE_CUT_OFF, message)
                .help("add a `[[link]]`, or give the job an engine of its own");
            sink.wrong(said.span, wrong);
        }
    }
}

/// For each place, the lowest place that links join it with, whether or not they are built yet.
fn connected(draft: &Draft<'_>) -> IxVec<PlaceIx, PlaceIx> {
    let mut groups: IxVec<PlaceIx, PlaceIx> = draft.layout.places.indices().collect();
    for link in draft.layout.links.values() {
        let (west, east) = (root(&mut groups, link.west), root(&mut groups, link.east));
        groups[west.max(east)] = west.min(east);
    }
    for place in draft.layout.places.indices() {
        groups[place] = root(&mut groups, place);
    }
    groups
}

/// The lowest place known so far of those joined with one.
fn root(groups: &mut IxVec<PlaceIx, PlaceIx>, mut place: PlaceIx) -> PlaceIx {
    while groups[place] != place {
        groups[place] = groups[groups[place]];
        place = groups[place];
    }
    place
}
