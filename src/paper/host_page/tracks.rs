//! How full the tracks are after the session, against the limit they should not pass: a row for each place, as
//! one walks along the layout.

use crate::session::plan::{RowCar, WorldPlace, WorldTrack};
use crate::units::Length;

use super::super::names::Names;
use super::super::phrase::Phrase;
use super::super::sheet::{Block, Column, Row, Table};

/// The word that a plan has for the use of a track where cars wait between jobs.
const YARD: &str = "yard";

/// The words that a plan has for the uses of tracks on which no car is left.
const CLEAR: [&str; 3] = ["engine", "main", "runaround"];

/// The places that hold cars, with their tracks.
pub(super) fn table(names: &Names<'_>) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let mut places: Vec<&WorldPlace> = names.plan.world.places.iter().collect();
    places.sort_by_key(|place| names.walk_to(&place.id));
    let rows: Vec<Row> = places.into_iter().filter_map(|place| row(names, place)).collect();
    if rows.is_empty() {
        return Block::Say(words.no_tracks());
    }
    let columns = vec![
        Column::rest(shared.head_where()),
        Column::number(shared.head_cars()),
        Column::number(shared.head_taken()),
        Column::number(shared.head_limit()),
    ];
    Block::Table(Table::plain(columns, rows))
}

fn row(names: &Names<'_>, place: &WorldPlace) -> Option<Row> {
    let words = &names.words.host_page;
    let tracks = || names.plan.world.tracks.iter().filter(|track| track.place == place.id);
    let mut full: Vec<&WorldTrack> = tracks().filter(|track| !standing(names, track).is_empty()).collect();
    full.sort_by_cached_key(|track| names.walk_to_track(&track.id));
    if full.is_empty() {
        return None;
    }
    let count: usize = full.iter().map(|track| standing(names, track).len()).sum();
    let taken = full.iter().map(|track| taken(names, track)).sum::<Length>();
    let kept_clear = |track: &WorldTrack| CLEAR.contains(&&*track.usage) && standing(names, track).is_empty();
    let limit = tracks().filter(|track| !kept_clear(track)).map(|track| track.working).sum::<Length>();
    let each = full.iter().map(|track| {
        let taken = self::taken(names, track);
        let said = words.track(names.track_name(&track.id), taken, track.working);
        if taken > track.working { said.then(" ").followed_by(words.over_limit()) } else { said }
    });
    let told = Phrase::row(each.chain([yard(names, tracks())]), "; ");
    let cells = [
        Phrase::strong(names.place_title(&place.id)),
        Phrase::of(count.to_string()),
        Phrase::of(taken),
        Phrase::of(limit),
    ];
    Some(Row::new(cells).with(told))
}

/// The yard tracks of a place taken together, where it has several.
fn yard<'a>(names: &Names<'_>, tracks: impl Iterator<Item = &'a WorldTrack>) -> Phrase {
    let yard: Vec<&WorldTrack> = tracks.filter(|track| &*track.usage == YARD).collect();
    if yard.len() < 2 {
        return Phrase::default();
    }
    let taken: Length = yard.iter().map(|track| taken(names, track)).sum();
    let limit: Length = yard.iter().map(|track| track.working).sum();
    let words = &names.words.host_page;
    if taken > limit { words.yard_over(taken, limit) } else { words.yard(taken, limit) }
}

fn standing<'a>(names: &Names<'a>, track: &WorldTrack) -> &'a [RowCar] {
    names.plan.after.tracks.get(&track.id).map_or(&[], Vec::as_slice)
}

fn taken(names: &Names<'_>, track: &WorldTrack) -> Length {
    let cars = standing(names, track).iter().filter_map(|standing| names.world_car(&standing.car));
    cars.map(|car| car.length).sum()
}
