//! Places and their tracks: room, working limit, and what stands there.

use serde::Serialize;

use crate::ids::{Id, TrackIx};
use crate::layout::{Layout, Opens};
use crate::network::Network;
use crate::standing::Standing;
use crate::units::Length;

/// A place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PlaceLine {
    /// Its id.
    pub id: Id,
    /// Its name, with the railroad where two places share one.
    pub title: Box<str>,
    /// Whose place it is.
    pub railroad: Id,
    /// Room past the western switches in scale inches, if it is limited.
    pub lead_west: Option<Length>,
    /// Room past the eastern switches in scale inches, if it is limited.
    pub lead_east: Option<Length>,
    /// Its tracks.
    pub tracks: Vec<TrackLine>,
}

/// A track.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TrackLine {
    /// Its id, with the place's.
    pub id: Id,
    /// What the paper calls it.
    pub name: Box<str>,
    /// What it is for.
    #[serde(rename = "use")]
    pub usage: &'static str,
    /// Where its switch is.
    pub opens: Opens,
    /// Its room in scale inches.
    pub length: Length,
    /// Its room in cars of the layout's usual length.
    pub cars: u32,
    /// Its working limit in scale inches.
    pub working: Length,
    /// Its working limit in cars.
    pub working_cars: u32,
    /// How many spots it has.
    pub spots: usize,
    /// The cars that stand there.
    pub standing_cars: usize,
    /// Their length in scale inches.
    pub standing_length: Length,
}

/// The places that are there.
pub(super) fn places(network: &Network<'_>, standing: Option<&Standing>) -> Vec<PlaceLine> {
    let layout = network.layout();
    let there = layout.places().iter().filter(|(ix, _)| network.has_place(*ix));
    there
        .map(|(_, place)| PlaceLine {
            id: place.id.clone(),
            title: place.title.clone(),
            railroad: layout.railroads()[place.railroad].id.clone(),
            lead_west: place.lead.west,
            lead_east: place.lead.east,
            tracks: place
                .tracks
                .iter()
                .filter(|track| network.has_track(**track))
                .map(|track| line(layout, standing, *track))
                .collect(),
        })
        .collect()
}

fn line(layout: &Layout, standing: Option<&Standing>, ix: TrackIx) -> TrackLine {
    let track = &layout.tracks()[ix];
    let row = standing.map_or(&[][..], |standing| standing.on(ix));
    TrackLine {
        id: track.id.clone(),
        name: track.name.clone(),
        usage: track.usage.word(),
        opens: track.opens,
        length: track.length,
        cars: whole_cars(layout, track.length),
        working: track.working,
        working_cars: whole_cars(layout, track.working),
        spots: track.spots.len(),
        standing_cars: row.len(),
        standing_length: row.iter().map(|car| layout.cars()[*car].length).sum(),
    }
}

/// How many cars of the layout's usual length fit.
pub(super) fn whole_cars(layout: &Layout, length: Length) -> u32 {
    length.whole_scale_inches() / layout.settings().car.whole_scale_inches().max(1)
}
