//! Rule 2, and what rule 5 says of a single track: what may stand on it, and how much of it.

use super::Found;
use super::facts::Facts;
use super::scene::{Scene, Stand};
use crate::ids::Id;
use crate::session::plan::{WorldCar, WorldLimits, WorldTrack};
use crate::units::{Cars, Length, Tons};

/// A number of things as `u32`, for comparison with a limit.
pub(super) fn count(things: usize) -> Cars {
    Cars::new(u32::try_from(things).unwrap_or(u32::MAX))
}

/// Checks a track onto which cars have just come.
pub(super) fn came(facts: &Facts<'_>, scene: &Scene<'_>, track: &Id, came: &[&Id], found: &mut Found) {
    let Some(known) = facts.tracks.get(track) else { return };
    for car in came {
        takes(facts, scene, known, car, found);
    }
    let row = scene.row(track);
    if known.limits.at_once.is_some_and(|most| count(row.len()) > most) {
        found.say(5, format!("{} stand on `{track}`, more than it takes at once", count(row.len())));
    }
    for text in overfull(facts, known, row) {
        found.say(2, text);
    }
    order(facts, track, row, found);
}

/// Checks the rows that the session begins with. Where the host has made a track shorter, its cars
/// are still there: the plan may not add to them, and must have told the host.
pub(super) fn before(facts: &Facts<'_>, scene: &Scene<'_>, found: &mut Found) {
    for (track, row) in scene.rows() {
        let Some(described) = facts.described.get(track) else {
            found.say(1, format!("cars stand on `{track}`, which the layout does not have"));
            continue;
        };
        order(facts, track, row, found);
        let Some(known) = facts.tracks.get(track) else { continue };
        let told = || {
            let names = [track.as_str(), described.name.as_ref()];
            let mut notices = facts.plan.notices.iter();
            notices.any(|notice| names.iter().any(|name| notice.text.contains(name)))
        };
        for text in overfull(facts, known, row) {
            if !told() {
                found.say(2, format!("{text} before the session, and no notice says so"));
            }
        }
    }
}

fn overfull(facts: &Facts<'_>, track: &WorldTrack, row: &[Stand<'_>]) -> Vec<String> {
    let mut texts = Vec::new();
    let long: Length = row.iter().map(|stand| facts.length(stand.car)).sum();
    if long > track.length {
        texts.push(format!(
            "`{}` holds {}, but has room for {}",
            track.id,
            inches(long),
            inches(track.length)
        ));
    }
    for spot in &track.spots {
        let here: Vec<&Stand<'_>> = row.iter().filter(|stand| stand.spot == Some(&spot.id)).collect();
        if spot.cars.is_some_and(|most| count(here.len()) > most) {
            texts.push(format!("{} stand at `{}`, more than it takes", count(here.len()), spot.id));
        }
        let long: Length = here.iter().map(|stand| facts.length(stand.car)).sum();
        if let Some(room) = spot.length.filter(|room| long > *room) {
            texts.push(format!("`{}` holds {}, but has room for {}", spot.id, inches(long), inches(room)));
        }
    }
    texts
}

/// Lengths are told to the inch: a breach may be one inch.
pub(super) fn inches(length: Length) -> String {
    format!("{} scale inches", length.whole_scale_inches())
}

/// Cars at spots stand in the order of the spots, and at spots of their own track.
fn order(facts: &Facts<'_>, track: &Id, row: &[Stand<'_>], found: &mut Found) {
    let mut last: Option<(usize, &Id)> = None;
    for stand in row {
        let Some(spot) = stand.spot else { continue };
        let Some(fact) = facts.spots.get(spot).filter(|fact| fact.track == track) else {
            // A track that is closed today has no spots in the plan's world.
            if facts.tracks.contains_key(track) {
                found.say(2, format!("`{}` stands on `{track}` at `{spot}`, no spot of it", stand.car));
            }
            continue;
        };
        if let Some((number, other)) = last
            && number > fact.number
        {
            let text =
                format!("`{}` at `{}` stands east of `{other}`, against the order of spots", stand.car, spot);
            found.say(2, text);
        }
        last = Some((fact.number, stand.car));
    }
}

fn takes(facts: &Facts<'_>, scene: &Scene<'_>, track: &WorldTrack, car: &Id, found: &mut Found) {
    let Some(known) = facts.cars.get(car) else { return };
    if track.usage.as_ref() == "engine" {
        found.say(2, format!("`{car}` comes onto `{}`, an engine track", track.id));
    }
    if !track.holds.is_empty() && !track.holds.contains(&known.kind) {
        found.say(2, format!("`{car}` is of kind {}, which `{}` does not take", known.kind, track.id));
    }
    let weight = facts.weight(car, scene.lading(car));
    let place = facts.places.get(&track.place).map(|place| place.limits);
    for limits in [Some(track.limits), place].into_iter().flatten() {
        for text in passes(&limits, known, weight) {
            found.say(5, format!("`{car}` {text} for `{}`", track.id));
        }
    }
}

/// What forbids a car to pass, whatever the number of cars.
pub(super) fn passes(limits: &WorldLimits, car: &WorldCar, weight: Tons) -> Vec<&'static str> {
    let mut texts = Vec::new();
    if limits.car.is_some_and(|most| car.length > most) {
        texts.push("is too long");
    }
    if limits.height.is_some_and(|most| car.height.is_some_and(|height| height > most)) {
        texts.push("is too high");
    }
    if limits.weight.is_some_and(|most| weight > most) {
        texts.push("is too heavy");
    }
    texts
}
