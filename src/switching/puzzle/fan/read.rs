//! Reading a question: rows of letters.

use std::collections::BTreeMap;

use super::Fault;

/// What a row says of one track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Said {
    /// These cars, from the switch inward.
    Cars(Vec<char>),
    /// Anything may stand there.
    Anything,
}

impl Said {
    /// The cars that are named.
    pub(super) fn cars(&self) -> &[char] {
        match self {
            Said::Cars(cars) => cars,
            Said::Anything => &[],
        }
    }
}

/// A row of tracks with room for so many cars each.
pub(super) fn rows(text: &str, tracks: &[usize]) -> Result<Vec<Said>, Fault> {
    let parts: Vec<&str> = text.split('/').collect();
    if parts.len() != tracks.len() {
        return Err(Fault::Tracks { row: text.into(), expected: tracks.len(), found: parts.len() });
    }
    let mut rows = Vec::new();
    for (track, (cars, room)) in parts.iter().zip(tracks).enumerate() {
        if *cars == "*" {
            rows.push(Said::Anything);
            continue;
        }
        if let Some(sign) = cars.chars().find(|sign| !sign.is_alphanumeric()) {
            return Err(Fault::Letter(sign));
        }
        if cars.chars().count() > *room {
            return Err(Fault::Room { track: track + 1, room: *room, cars: (*cars).into() });
        }
        rows.push(Said::Cars(cars.chars().collect()));
    }
    Ok(rows)
}

/// The same for a start, where every car is named: first the cars on the lead, if `:` parts them from
/// the others, from its switch end like those of tracks.
pub(super) fn start(text: &str, lead: usize, tracks: &[usize]) -> Result<Vec<Vec<char>>, Fault> {
    let (on_lead, on_tracks) = text.split_once(':').unwrap_or(("", text));
    if on_lead.chars().count() > lead {
        return Err(Fault::Lead { room: lead, cars: on_lead.into() });
    }
    let mut said = rows(on_lead, &[lead])?;
    said.extend(rows(on_tracks, tracks)?);
    if said.contains(&Said::Anything) {
        return Err(Fault::Open);
    }
    Ok(said.iter().map(|row| row.cars().to_vec()).collect())
}

/// A class for each letter, from 1: one for each that the goal names, and one more for all the others.
pub(super) fn classes(
    start: &[Vec<char>],
    goal: &[Said],
    tracks: &[usize],
) -> Result<BTreeMap<char, u8>, Fault> {
    let mut counts: BTreeMap<char, (usize, usize)> = BTreeMap::new();
    for car in start.iter().flatten() {
        counts.entry(*car).or_default().0 += 1;
    }
    for car in goal.iter().flat_map(Said::cars) {
        counts.entry(*car).or_default().1 += 1;
    }
    let named = counts.values().filter(|(_, wanted)| *wanted > 0).count();
    let others = u8::try_from(named + 1).map_err(|_| Fault::TooLarge(named))?;
    let mut classes = BTreeMap::new();
    let (mut next, mut left) = (1, 0);
    for (car, (there, wanted)) in counts {
        match wanted {
            0 => {
                left += there;
                classes.insert(car, others);
            }
            _ if wanted == there => {
                classes.insert(car, next);
                next += 1;
            }
            _ => return Err(Fault::Cars(car)),
        }
    }
    let open = goal.iter().zip(tracks).filter(|(said, _)| **said == Said::Anything).map(|(_, room)| *room);
    if left > open.sum() {
        return Err(Fault::Nowhere(left));
    }
    Ok(classes)
}
