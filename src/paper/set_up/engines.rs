//! Which engines and cabooses stand where when the session begins, in which order, and for which jobs.

use crate::ids::Id;
use crate::layout::End;

use super::super::names::Names;
use super::super::phrase::{Phrase, Piece};
use super::super::sheet::{Column, Group, Row, Table};
use super::by_hand::ByHand;
use super::stands::{Stand, What, stands, switch};

/// All engines by the track on which they stand; from west, so that what leaves first can.
pub(super) fn table(names: &Names<'_>, by_hand: &ByHand<'_>) -> Table {
    let mut groups: Vec<Vec<Stand<'_>>> = Vec::new();
    for stand in stands(names.plan, &by_hand.rows) {
        let at = |stand: &Stand<'_>| (stand.place.clone(), stand.track.map(|track| track.id.clone()));
        match groups.iter_mut().find(|group| at(&group[0]) == at(&stand)) {
            Some(group) => group.push(stand),
            None => groups.push(vec![stand]),
        }
    }
    groups.sort_by_cached_key(|group| {
        (names.walk_to(group[0].place), group[0].track.map(|track| names.walk_to_track(&track.id)))
    });
    let groups = groups.into_iter().map(|group| {
        let mut rows: Vec<Row> = group.iter().flat_map(|stand| rows(names, stand)).collect();
        if group[0].track.and_then(switch) == Some(End::East) {
            rows.reverse();
        }
        Group { head: head(names, by_hand, &group), rows, foot: Phrase::default() }
    });
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let columns = vec![Column::fit(""), Column::fit(words.head_engine()), Column::rest(shared.head_job())];
    Table { columns, second_line: 2, groups: groups.collect() }
}

/// The track, and in which order they stand on it.
fn head(names: &Names<'_>, by_hand: &ByHand<'_>, group: &[Stand<'_>]) -> Phrase {
    let words = &names.words.set_up;
    let Some(track) = group[0].track else {
        return words.no_room(names.place_title(group[0].place));
    };
    let at = super::at(names, &track.id);
    let stood_at = by_hand.rows.get(&track.id).is_some_and(|row| !row.is_empty());
    let end = switch(track);
    match end {
        // Where cars stand an engine is before them, at an end that opens.
        _ if stood_at => words.at_end(at, names.words.end(end.unwrap_or(End::West))),
        _ if group.len() == 1 => Phrase::strong(at),
        Some(_) => words.first_out(at),
        None => words.track_from_west(at),
    }
}

/// An engine, and behind it its caboose.
fn rows(names: &Names<'_>, stand: &Stand<'_>) -> Vec<Row> {
    let (words, shared) = (&names.words.set_up, &names.words.shared);
    let jobs = |jobs: &[&Id]| {
        let mut jobs = jobs.iter().map(|job| names.job_name(job));
        let first = jobs.next().unwrap_or_default();
        jobs.fold(first, |jobs, next| words.then_for(jobs, next).text())
    };
    let what = match stand.what {
        What::Engine(Some(engine)) => Phrase::strong(engine.to_owned()),
        What::Engine(None) => Phrase::of(words.an_engine()),
        What::Caboose => Phrase::strong(shared.caboose()),
    };
    let row = |what: Phrase, for_jobs: Phrase| Row::new([Phrase::of(Piece::Tick), what, for_jobs]);
    let mut rows = vec![row(what.clone(), Phrase::of(jobs(&stand.jobs)))];
    if !stand.caboose.is_empty() {
        rows.push(row(Phrase::strong(shared.caboose()), words.coupled_to(what, jobs(&stand.caboose))));
    }
    rows
}
