//! `[railroad.ID]`, `[place.ID]`, `[place.ID.track.ID]`, `[[link]]`.

use toml::de::DeValue;

use super::{existence, limits, name};
use crate::layout::codes;
use crate::layout::model::{Opens, Service, TrackUse};
use crate::layout::read::fields::{Fields, Maybe, Name, Placed};
use crate::layout::read::node::{Node, Read, id, id_value, text, truth, whole, word};
use crate::layout::read::quantity::{Measure, count, grade, length, mark, percent};
use crate::layout::read::said::{SaidLink, SaidPlace, SaidRailroad, SaidSpot, SaidTrack};
use crate::layout::sink::Wrong;
use crate::units::Cars;

const OPENS: [(&str, Opens); 3] = [("west", Opens::West), ("east", Opens::East), ("both", Opens::Both)];

/// The longest run over one link, in minutes.
const LONGEST_RUN: u32 = 240;

/// `[railroad.ID]`.
pub(in crate::layout::read) fn railroad(id: Name, mut fields: Fields<'_, '_>) -> SaidRailroad {
    SaidRailroad {
        id,
        name: fields.need("name", text),
        home: fields.read("home", truth),
        beyond: fields.read("beyond", name),
        marks: fields.list("marks", mark),
        reversed: fields.read("reversed", truth),
        sound: fields.finish(),
    }
}

/// `[place.ID]`, without its tracks.
pub(in crate::layout::read) fn place(id: Name, mut fields: Fields<'_, '_>) -> SaidPlace {
    let lead: Option<(Maybe<Measure>, Maybe<Measure>)> =
        fields.inner("lead", |lead| (lead.read("west", length), lead.read("east", length)));
    let (lead_west, lead_east) = lead.unwrap_or_default();
    SaidPlace {
        unsaid: false,
        id,
        name: fields.need("name", text),
        railroad: fields.need("railroad", name),
        lead_west,
        lead_east,
        full: fields.read("full", percent),
        worked_by: fields.list("worked_by", name),
        was: fields.list("was", id_value),
        limits: limits(&mut fields),
        hidden: fields.read("hidden", truth),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}

/// `[place.ID.track.ID]`.
pub(in crate::layout::read) fn track(place: &Name, id: Name, mut fields: Fields<'_, '_>) -> SaidTrack {
    let full_id = format!("{}/{}", place.value, id.value).into();
    SaidTrack {
        id: Placed { value: full_id, span: id.span },
        place: place.clone(),
        short: id.value,
        name: fields.read("name", text),
        usage: fields.need("use", |node| word(node, &TrackUse::WORDS)),
        length: fields.need("length", length),
        opens: fields.need("opens", |node| word(node, &OPENS)),
        behind: fields.read("behind", name),
        offers: fields.list("offers", |node| word(node, &Service::WORDS)),
        full: fields.read("full", percent),
        off_spot: fields.read("off_spot", truth),
        holds: fields.list("holds", name),
        spots: spots(&mut fields),
        was: fields.list("was", |node| former_track(&place.value, node)),
        worked_by: fields.list("worked_by", name),
        limits: limits(&mut fields),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}

/// A former id of a track: a handle at the same place, or `place/track`.
fn former_track(place: &str, node: Node<'_>) -> Read<Box<str>> {
    let words = node.expect_words("an id")?;
    let (place, track) = words.split_once('/').unwrap_or((place, words));
    Ok(format!("{}/{}", id(place)?, id(track)?).into())
}

fn spots(fields: &mut Fields<'_, '_>) -> Vec<SaidSpot> {
    let items = fields.items("spots");
    items
        .into_iter()
        .filter_map(|(node, span)| {
            let spot = fields.within("this spot".to_owned(), "spots", node, span, |spot| {
                let name = spot.need("name", spot_name);
                let (length, cars) = (spot.read("length", length), spot.read("cars", cars_at_spot));
                let was = spot.list("was", spot_name);
                name.map(|name| SaidSpot { name, length, cars, was })
            });
            spot.flatten()
        })
        .collect()
}

/// A spot's name may have blanks, but must be found again in `track/spot`.
fn spot_name(node: Node<'_>) -> Read<Box<str>> {
    let words = text(node)?;
    if words.contains(['/', '#', '>']) {
        return Err(Wrong::new(codes::BAD_ID, format!("`{words}` cannot be the name of a spot"))
            .help("leave `/`, `#` and `>` out of it"));
    }
    Ok(words)
}

/// How many cars a spot takes; `"any"` is as many as fit.
fn cars_at_spot(node: Node<'_>) -> Read<Option<Cars>> {
    match node {
        Node::Value(DeValue::String(words)) if words.trim() == "any" => Ok(None),
        Node::Value(DeValue::String(words)) => {
            Err(Wrong::new(codes::UNKNOWN_WORD, format!("expected a whole number or `any`, found `{words}`")))
        }
        _ => count(node).map(Some),
    }
}

/// `[[link]]`.
pub(in crate::layout::read) fn link(mut fields: Fields<'_, '_>) -> SaidLink {
    let between = fields.need_list("between", name);
    if let [_] | [_, _, _, ..] = &between[..] {
        let wrong =
            Wrong::new(codes::WRONG_TYPE, format!("`between`: expected two places, found {}", between.len()))
                .help("name the west place first, then the east place");
        fields.sink().wrong(between[0].span, wrong);
    }
    SaidLink {
        between,
        minutes: fields.need("minutes", |node| whole(node, 0, LONGEST_RUN)),
        limits: limits(&mut fields),
        grade: fields.read("grade", grade),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}
