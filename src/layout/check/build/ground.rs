//! Railroads, places, tracks and links.

use std::collections::BTreeMap;

use super::{Context, all, existence, id, limits, need, or_first, room, set, text, value, yes};
use crate::ids::{IxVec, LinkIx, PlaceIx, RailroadIx, TrackIx};
use crate::layout::codes;
use crate::layout::model::{Lead, Link, Opens, Place, Railroad, Service, Track, TrackUse};
use crate::layout::read::{Name, SaidLink, SaidPlace, SaidRailroad, SaidTrack};
use crate::layout::sink::{Sink, Wrong, near_miss};
use crate::units::Minutes;

/// The railroads.
pub(super) fn railroads(context: &Context<'_, '_>, sink: &mut Sink) -> IxVec<RailroadIx, Railroad> {
    context.names.railroads.iter().map(|(_, said)| railroad(context, said, sink)).collect()
}

fn railroad(context: &Context<'_, '_>, said: &SaidRailroad, sink: &mut Sink) -> Railroad {
    let marks = if said.marks.is_empty() {
        vec![said.id.value.clone()]
    } else {
        said.marks.iter().map(|mark| mark.value.clone()).collect()
    };
    let home = yes(&said.home);
    let beyond = match &said.beyond {
        Some(gateway) => context.names.gateways.find(gateway, sink),
        None if home => None,
        None => {
            // The one gateway behind which the road lies, if there is just one.
            let mut behind = context.names.gateways.iter().filter(|(_, gateway)| {
                gateway.railroad.as_ref().is_some_and(|railroad| railroad.value == said.id.value)
            });
            behind.next().filter(|_| behind.next().is_none()).map(|(gateway, _)| gateway)
        }
    };
    Railroad {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_default(),
        home,
        beyond,
        marks,
        reversed: yes(&said.reversed),
    }
}

/// A place; its title and tracks come with [`finish_places`].
pub(super) fn place(context: &Context<'_, '_>, said: &SaidPlace, sink: &mut Sink) -> Place {
    let railroads = &context.names.railroads;
    let railroad = need(railroads, said.railroad.as_ref(), sink);
    let mut worked_by = set(railroads, &said.worked_by, sink);
    if said.worked_by.is_empty() {
        worked_by.push(railroad);
    }
    let name = text(&said.name).unwrap_or_default();
    Place {
        id: id(&said.id),
        title: name.clone(),
        name,
        railroad,
        lead: Lead { west: room(context, &said.lead_west, sink), east: room(context, &said.lead_east, sink) },
        worked_by,
        limits: limits(&said.limits, sink),
        hidden: yes(&said.hidden),
        note: text(&said.note),
        existence: existence(&said.existence, sink),
        tracks: Vec::new(),
    }
}

/// Gives every place its tracks, and a title that no other place has.
pub(super) fn finish_places(
    places: &mut IxVec<PlaceIx, Place>,
    tracks: &IxVec<TrackIx, Track>,
    railroads: &IxVec<RailroadIx, Railroad>,
) {
    for (index, track) in tracks.iter() {
        places[track.place].tracks.push(index);
    }
    let mut names: BTreeMap<Box<str>, u32> = BTreeMap::new();
    for place in places.values() {
        *names.entry(place.name.clone()).or_default() += 1;
    }
    for place in places.values_mut() {
        let shared = names.get(&place.name).is_some_and(|count| *count > 1);
        if let Some(railroad) = railroads.get(place.railroad).filter(|_| shared) {
            place.title = format!("{} ({})", place.name, railroad.id).into();
        }
    }
}

/// A track.
pub(super) fn track(
    context: &Context<'_, '_>,
    places: &IxVec<PlaceIx, Place>,
    index: TrackIx,
    said: &SaidTrack,
    sink: &mut Sink,
) -> Track {
    let place = or_first(context.names.places.get(&said.place.value));
    let place_said = context.names.places.said(place);
    if place_said.unsaid && place_said.id.span == said.place.span {
        let message = format!("tracks at `{0}`, but no table `[place.{0}]`", said.place.value);
        let others = context.names.places.ids().filter(|id| **id != *said.place.value);
        sink.wrong(said.place.span, Wrong::new(codes::UNKNOWN_NAME, message).near(&said.place.value, others));
    }
    let length = room(context, &said.length, sink).unwrap_or_default();
    let full = value(&said.full).or(value(&place_said.full)).unwrap_or(context.full);
    let worked_by = set(&context.names.railroads, &said.worked_by, sink);
    Track {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_else(|| said.short.clone()),
        place,
        usage: value(&said.usage).unwrap_or(TrackUse::Yard),
        length,
        working: full.of(length),
        opens: value(&said.opens).unwrap_or(Opens::Both),
        behind: behind(context, said, sink),
        offers: {
            let mut offers: Vec<_> = said.offers.iter().map(|service| service.value).collect();
            // A repair track repairs, whatever else it offers.
            let repairs = value(&said.usage) == Some(TrackUse::Repair);
            offers.extend(repairs.then_some(Service::Repair));
            offers.sort_unstable();
            offers.dedup();
            offers
        },
        spots: context.spots.of_track(index).to_vec(),
        off_spot: yes(&said.off_spot),
        holds: said.holds.iter().filter_map(|kind| context.types.find(kind, sink)).collect(),
        worked_by: if said.worked_by.is_empty() { places[place].worked_by.clone() } else { worked_by },
        limits: limits(&said.limits, sink),
        note: text(&said.note),
        existence: existence(&said.existence, sink),
    }
}

/// The track in front, named by its short id.
fn behind(context: &Context<'_, '_>, said: &SaidTrack, sink: &mut Sink) -> Option<TrackIx> {
    let name = said.behind.as_ref()?;
    let found = context.names.tracks.get(&format!("{}/{}", said.place.value, name.value));
    if found.is_none() {
        unknown_track(context, &said.place.value, name, sink);
    }
    found
}

/// Says that a place has no such track.
pub(super) fn unknown_track(context: &Context<'_, '_>, place: &str, name: &Name, sink: &mut Sink) {
    let wrong = Wrong::new(codes::UNKNOWN_NAME, format!("no track `{}` at `{place}`", name.value));
    let prefix = format!("{place}/");
    let known = context.names.tracks.ids().filter_map(|id| id.strip_prefix(&prefix));
    let wrong = match near_miss(&name.value, known) {
        Some(near) => wrong.help(format!("did you mean `{near}`?")),
        None if name.value.starts_with(&prefix) => {
            wrong.help(format!("here the track alone is meant: `{}`", &name.value[prefix.len()..]))
        }
        None => wrong,
    };
    sink.wrong(name.span, wrong);
}

/// A link.
pub(super) fn link(context: &Context<'_, '_>, index: LinkIx, said: &SaidLink, sink: &mut Sink) -> Link {
    let ends = all(&context.names.places, &said.between, sink);
    let end = |place: usize| or_first(ends.get(place).copied());
    if let ([_, second], [west, east]) = (&said.between[..], &ends[..])
        && west == east
    {
        let wrong = Wrong::new(codes::JOINED_TO_ITSELF, format!("a link from `{0}` to `{0}`", second.value))
            .help("name the west place first, then the east place");
        sink.wrong(second.span, wrong);
    }
    Link {
        ix: index,
        west: end(0),
        east: end(1),
        minutes: Minutes::new(value(&said.minutes).unwrap_or(0)),
        limits: limits(&said.limits, sink),
        grade: value(&said.grade).unwrap_or(0),
        existence: existence(&said.existence, sink),
    }
}
