//! What was seen on a walk, held against what else is known: only what differs is a fact.
//!
//! A car that was seen where the plan, and all that is said besides, have it says nothing; one that was seen
//! elsewhere is there; one of a track that was looked at and that nobody saw is asked for.

use std::collections::BTreeMap;

use super::replay::{self, Ids};
use super::room::{Row, fits};
use super::{Evening, put_down, whereabouts};
use crate::ids::{CarIx, TrackIx};
use crate::ledger::facts::{Facts, Seen, Stays, place_words};
use crate::standing::Whereabouts;

/// The facts with what was seen among them, or a line for everything that cannot be.
///
/// # Errors
/// With a line for each car that is said elsewhere or not seen, and each track that cannot hold its row.
///
/// # Complexity
/// A replay for each round; a round more only where a car that is elsewhere makes room for others.
pub fn seen(evening: &Evening<'_>, facts: &Facts) -> Result<Facts, Vec<String>> {
    let layout = evening.layout;
    let ids = Ids::new(layout);
    let mut told = Facts { walked: BTreeMap::new(), ..facts.clone() };
    let mut faults = Vec::new();
    loop {
        let mut replayed = replay::replay(&ids, evening.plan, &told);
        // What cannot be is told when everything is known.
        put_down(evening, &told, &mut replayed);
        let at = whereabouts(layout, &replayed.rows);
        let mut differ = false;
        for (track, seen) in on_tracks(facts) {
            let there = Whereabouts::Track(track, seen.spot);
            if at[seen.car] == Some(there) {
                continue;
            }
            differ = true;
            if let Some(said) = facts.cars.get(&seen.car) {
                faults.push(contradicted(evening, seen, there, *said));
            }
            told.cars.insert(seen.car, Stays::At(there));
        }
        if !differ {
            faults.extend(not_seen(evening, facts, &replayed.rows.values().collect::<Vec<_>>()));
            for (track, row) in &facts.walked {
                let cars: Row = row.cars.iter().map(|seen| (seen.car, seen.spot)).collect();
                if !fits(layout, *track, &cars) {
                    faults.push(no_room(evening, *track, &row.cars));
                } else if cars != replayed.rows[*track] {
                    told.rows.insert(*track, cars);
                }
            }
            break;
        }
    }
    if faults.is_empty() { Ok(told) } else { Err(faults) }
}

fn on_tracks(facts: &Facts) -> impl Iterator<Item = (TrackIx, &Seen)> {
    facts.walked.iter().flat_map(|(track, row)| row.cars.iter().map(|seen| (*track, seen)))
}

fn contradicted(evening: &Evening<'_>, seen: &Seen, there: Whereabouts, said: Stays) -> String {
    let layout = evening.layout;
    let said = match said {
        Stays::Left => "left where it stood".to_owned(),
        Stays::At(place) => format!("at `{}`", place_words(layout, place)),
    };
    format!(
        "{}: `{}` is seen at `{}`, and said to be {said}: leave only the one that is true",
        seen.origin,
        layout.cars()[seen.car].id,
        place_words(layout, there)
    )
}

/// The cars that should stand on a track that was looked at, and that no line has.
fn not_seen(evening: &Evening<'_>, facts: &Facts, rows: &[&Row]) -> Vec<String> {
    let layout = evening.layout;
    let mut faults = Vec::new();
    for (track, row) in layout.tracks().indices().zip(rows) {
        let Some(walked) = facts.walked.get(&track) else { continue };
        let gone = row.iter().filter(|(car, _)| !walked.cars.iter().any(|seen| seen.car == *car));
        let line = |(car, _): &(CarIx, _)| {
            format!(
                "{}: `{}` should stand on `{}` and was seen nowhere: write its line where it stands, or under \
                 `shelf` if it is off the layout",
                walked.origin,
                layout.cars()[*car].id,
                layout.tracks()[track].id
            )
        };
        faults.extend(gone.map(line));
    }
    faults
}

fn no_room(evening: &Evening<'_>, track: TrackIx, row: &[Seen]) -> String {
    let layout = evening.layout;
    let described = &layout.tracks()[track];
    let origin = row.first().map_or("", |seen| seen.origin.as_str());
    let spots: Vec<_> = row.iter().filter_map(|seen| seen.spot).collect();
    let names: Vec<String> = row.iter().map(|seen| format!("`{}`", layout.cars()[seen.car].id)).collect();
    let id = &described.id;
    if !spots.is_sorted() {
        return format!(
            "{origin}: the cars of `{id}` stand against the order of its spots, from west to east {}: put each at \
             its spot, or `at no spot`",
            described
                .spots
                .iter()
                .map(|spot| format!("`{}`", layout.spots()[*spot].name))
                .collect::<Vec<_>>()
                .join(", ")
        );
    }
    format!(
        "{origin}: `{id}` cannot hold {}, by its length, its spots or the kinds of car it takes: say where each of \
         them really is, or mend the track's description",
        names.join(", ")
    )
}
