//! The interchange report: what every gateway brings and takes before the first job, which is before the session, and
//! what the jobs of one railroad set on a transfer track and those of another take from it.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::session::plan::{Event, WorldTrack};

use super::names::Names;
use super::phrase::{Phrase, Piece};
use super::sheet::{Block, Column, Group, Row, Sheet, Table};
use super::tallies;

/// The report of all gateways.
pub(super) fn sheet(names: &Names<'_>) -> Sheet {
    let mut sheet = super::sheet("interchange", &names.words.forms.interchange(), names);
    let (words, shared) = (&names.words.interchange, &names.words.shared);
    sheet.blocks.extend(tallies::gateways(names, words.totals()));
    let mut ladings: BTreeMap<&Id, Option<&Id>> =
        names.plan.before.tracks.values().flatten().map(|car| (&car.car, car.lading.as_ref())).collect();
    let mut received: BTreeMap<&Id, Vec<Row>> = BTreeMap::new();
    let mut delivered: BTreeMap<&Id, Vec<Row>> = BTreeMap::new();
    for event in &names.plan.events {
        match event {
            Event::Released { car, lading } => {
                ladings.insert(car, lading.as_ref());
            }
            Event::Placed { car, track, gateway, lading } => {
                ladings.insert(car, lading.as_ref());
                received.entry(gateway).or_default().push(row(names, car, lading.as_ref(), track));
            }
            Event::Lifted { car, track, gateway } => {
                let lading = ladings.get(car).copied().flatten();
                delivered.entry(gateway).or_default().push(row(names, car, lading, track));
            }
            _ => {}
        }
    }
    for line in &names.plan.gateways {
        sheet.blocks.push(Block::heading(names.gateway_name(&line.gateway)));
        let groups =
            [(words.received(), &mut received), (words.delivered(), &mut delivered)].map(|(word, rows)| {
                let rows = rows.remove(&line.gateway).unwrap_or_default();
                let foot = if rows.is_empty() { words.none() } else { Phrase::default() };
                Group { head: Phrase::strong(word).then(format!(" ({})", rows.len())), rows, foot }
            });
        let columns = vec![
            Column::fit(""),
            Column::fit(shared.head_car()),
            Column::fit(shared.head_load()),
            Column::fit(shared.head_track()),
            Column::rest(shared.head_what()),
        ];
        sheet.blocks.push(Block::Table(Table { columns, second_line: 1, groups: groups.into() }));
    }
    sheet.blocks.extend(between(names, &ladings).into_iter().flatten());
    sheet
}

/// The word that a plan has for the use of a track where cars change railroads.
const INTERCHANGE: &str = "interchange";

/// A car's stay on a track where railroads meet: the jobs that set it there and took it, if any did.
#[derive(Debug)]
struct Stay<'a> {
    car: &'a Id,
    set: Option<&'a Id>,
    taken: Option<&'a Id>,
}

impl<'a> Stay<'a> {
    /// The railroad that both sets the car there and takes it: it does not change railroads.
    fn same_road(&self, names: &Names<'a>) -> Option<&'a Id> {
        let road = |job: &Id| {
            let mut jobs = names.plan.world.jobs.iter();
            jobs.find(|known| known.id == *job).map(|known| &known.railroad)
        };
        let set = road(self.set?)?;
        (road(self.taken?)? == set).then_some(set)
    }
}

/// What changes railroads on the layout, by the tracks that no gateway has.
fn between(names: &Names<'_>, ladings: &BTreeMap<&Id, Option<&Id>>) -> Option<[Block; 2]> {
    let (words, shared) = (&names.words.interchange, &names.words.shared);
    let world = &names.plan.world;
    let of_gateway = |track: &WorldTrack| {
        world
            .gateways
            .iter()
            .any(|gateway| gateway.takes.contains(&track.id) || gateway.gives.contains(&track.id))
    };
    let mut tracks: Vec<&WorldTrack> =
        world.tracks.iter().filter(|track| &*track.usage == INTERCHANGE && !of_gateway(track)).collect();
    tracks.sort_by_cached_key(|track| names.walk_to_track(&track.id));
    let groups: Vec<Group> = tracks
        .into_iter()
        .map(|track| {
            let stays = stays(names, track);
            let rows = stays.iter().map(|stay| {
                let set = stay.set.map_or_else(|| words.stood(), |job| words.set_by(names.job_name(job)));
                let taken =
                    stay.taken.map_or_else(|| words.left(), |job| words.taken_by(names.job_name(job)));
                let same = stay.same_road(names).map(|road| words.same_road(names.railroad_name(road)));
                let lading = ladings.get(stay.car).copied().flatten();
                let cells = [Phrase::of(Piece::Tick), Phrase::of(stay.car), names.load(lading)];
                Row::new(cells.into_iter().chain([Phrase::row([set, taken].into_iter().chain(same), "; ")]))
            });
            let at = format!("{}, {}", names.place_of(&track.id), names.track_name(&track.id));
            let head = Phrase::strong(at).then(format!(" ({})", stays.len()));
            let foot = if stays.is_empty() { words.none() } else { by_road(names, &stays) };
            Group { head, rows: rows.collect(), foot }
        })
        .collect();
    let columns = vec![
        Column::fit(""),
        Column::fit(shared.head_car()),
        Column::fit(shared.head_load()),
        Column::rest(words.by_whom()),
    ];
    let table = Table { columns, second_line: 1, groups };
    (!table.groups.is_empty()).then(|| [Block::heading(words.between()), Block::Table(table)])
}

/// The cars of a track, in the order in which they come onto it.
fn stays<'a>(names: &Names<'a>, track: &WorldTrack) -> Vec<Stay<'a>> {
    let before = names.plan.before.tracks.get(&track.id).into_iter().flatten();
    let mut stays: Vec<Stay<'a>> =
        before.map(|standing| Stay { car: &standing.car, set: None, taken: None }).collect();
    for call in &names.plan.work {
        for work in call.cars.iter().filter(|work| work.from != work.to) {
            if work.from.as_ref() == Some(&track.id) {
                let stay = stays.iter_mut().rfind(|stay| *stay.car == work.car);
                if let Some(stay) = stay {
                    stay.taken = Some(&call.job);
                }
            } else if work.to.as_ref() == Some(&track.id) {
                stays.push(Stay { car: &work.car, set: Some(&call.job), taken: None });
            }
        }
    }
    stays
}

/// How many cars each railroad sets on a track, and how many it takes.
fn by_road(names: &Names<'_>, stays: &[Stay<'_>]) -> Phrase {
    let words = &names.words.interchange;
    let roads = names.plan.world.railroads.iter().filter_map(|road| {
        let is_its = |job: &Id| {
            names.plan.world.jobs.iter().any(|known| known.id == *job && known.railroad == road.id)
        };
        let set = stays.iter().filter(|stay| stay.set.is_some_and(is_its)).count();
        let taken = stays.iter().filter(|stay| stay.taken.is_some_and(is_its)).count();
        let brought = (set > 0).then(|| words.brought(set));
        let fetched = (taken > 0).then(|| words.fetched(taken));
        let did = Phrase::row(brought.into_iter().chain(fetched), ", ");
        (!did.is_empty()).then(|| words.road(names.railroad_name(&road.id), did))
    });
    Phrase::row(roads, "; ")
}

fn row(names: &Names<'_>, car: &Id, lading: Option<&Id>, track: &Id) -> Row {
    Row::new([
        Phrase::of(Piece::Tick),
        Phrase::of(car),
        names.load(lading),
        Phrase::words(&names.track_name(track)),
        names.looks_in_short(car),
    ])
}
