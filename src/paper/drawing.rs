//! The drawing of a place's tracks: from the viewer's left to the right, with the ends that have a
//! switch, and the spots in their order. Without scale: it tells ends and order, nothing else.

use crate::ids::Id;
use crate::layout::{End, Opens, TrackUse};
use crate::session::plan::WorldTrack;

use super::names::Names;
use super::sheet::{Block, Drawing, DrawnTrack};

/// The tracks of a place as the viewer sees them.
pub(super) fn of(names: &Names<'_>, place: &str, tracks: &[&Id]) -> Block {
    let left = names.layout.settings().left;
    let mut tracks = tracks.to_vec();
    tracks.sort_by_key(|id| lies(names, id));
    let drawn = tracks.into_iter().filter_map(|id| {
        let track = names.world_track(id)?;
        let opens = |end: End| {
            matches!(
                (track.opens, end),
                (Opens::Both, _) | (Opens::West, End::West) | (Opens::East, End::East)
            )
        };
        let mut spots: Vec<String> = track.spots.iter().map(|spot| names.spot_name(&spot.id)).collect();
        if left == End::East {
            spots.reverse();
        }
        Some(DrawnTrack {
            name: name(names, id),
            opens_left: opens(left),
            opens_right: opens(left.other()),
            spots,
        })
    });
    let tracks: Vec<DrawnTrack> = drawn.collect();
    let (here, there) = (names.words.end(left), names.words.end(left.other()));
    let words = names.words.drawing.caption(place, &*here, there).text();
    Block::Drawing(Drawing { words, tracks })
}

/// The name of a track, with those that are reached only over it: they begin at what looks like its dead end.
fn name(names: &Names<'_>, id: &Id) -> String {
    let over = |track: &&WorldTrack| track.behind.as_ref() == Some(id);
    let past: Vec<String> = names
        .plan
        .world
        .tracks
        .iter()
        .filter(over)
        .map(|track| names.track_name(&track.id).into_owned())
        .collect();
    let own = names.track_name(id);
    if past.is_empty() {
        own.into_owned()
    } else {
        names.words.drawing.past(own, names.words.list(&past)).text()
    }
}

/// Where a track lies among those of its place.
pub(super) type Lies = Vec<(u8, Natural)>;

/// Where a track is drawn: those that trains run through first, as the edge of the others, then yard
/// tracks, then spurs, by their numbers; each below the one through which alone it is reached.
pub(super) fn lies(names: &Names<'_>, track: &Id) -> Lies {
    let Some(described) = names.track(track) else { return vec![(u8::MAX, natural(track.as_str()))] };
    let rank = match described.usage {
        TrackUse::Main | TrackUse::RunAround => 0,
        usage if usage.keeps_cars() => 1,
        _ => 2,
    };
    let own = (rank, natural(&described.name));
    let before = described.behind.map(|behind| &names.layout.tracks()[behind].id);
    // What lies behind itself would never end; the check of the description lets none through.
    let mut path =
        before.filter(|before| *before != track).map_or_else(Vec::new, |before| lies(names, before));
    path.push(own);
    path
}

/// A name in the order in which a reader counts: 2 before 10.
type Natural = Vec<(u64, String)>;

fn natural(name: &str) -> Natural {
    let mut parts = Vec::new();
    let mut rest = name;
    while !rest.is_empty() {
        let words = rest.find(|letter: char| letter.is_ascii_digit()).unwrap_or(rest.len());
        let digits =
            rest[words..].find(|letter: char| !letter.is_ascii_digit()).unwrap_or(rest.len() - words);
        let number = rest[words..words + digits].parse().unwrap_or(u64::MAX);
        parts.push((if words == 0 { number } else { u64::MAX }, rest[..words].to_lowercase()));
        if words > 0 && digits > 0 {
            parts.push((number, String::new()));
        }
        rest = &rest[words + digits..];
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_counted_and_not_spelled() {
        let mut names = ["track 10", "Mill", "2", "track 2", "10", "1a"];
        names.sort_by_key(|name| natural(name));
        assert_eq!(names, ["1a", "2", "10", "Mill", "track 2", "track 10"]);
    }
}
