//! The page to carry round the layout: every track with its cars as planned, to tap what differs.
//!
//! One file of HTML with its style, its script and its data in it, and nothing from elsewhere. What
//! is entered stays in the browser until it is saved as a record, in the words that `close --record`
//! reads ([`docs/ledger.md`](../../../docs/ledger.md)). Here only the data are gathered from the
//! plan; what is done with them is in `page.js`.

use std::collections::BTreeMap;

use serde::Serialize;

use super::html::escaped;
use super::names::Names;
use super::words::Words;
use crate::ids::Id;
use crate::layout::Layout;
use crate::session::plan::{Deed, Event, Plan, RowCar};

const PAGE: &str = include_str!("page.html");
const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// What the page knows of the session.
#[derive(Debug, Serialize)]
struct Session<'a> {
    layout: &'a str,
    #[serde(rename = "session")]
    number: i32,
    revision: u32,
    /// As text: a script's numbers are not as wide.
    seed: String,
    places: Vec<Place>,
    away: Vec<Row<'a>>,
    jobs: Vec<Job<'a>>,
}

#[derive(Debug, Serialize)]
struct Place {
    title: String,
    tracks: Vec<Track>,
}

#[derive(Debug, Serialize)]
struct Track {
    id: Id,
    name: String,
    spots: Vec<Named>,
    cars: Vec<Car>,
}

/// The cars beyond a gateway, or on the shelf.
#[derive(Debug, Serialize)]
struct Row<'a> {
    id: &'a str,
    name: String,
    cars: Vec<Car>,
}

#[derive(Debug, Serialize)]
struct Named {
    id: Id,
    name: String,
}

#[derive(Debug, Serialize)]
struct Job<'a> {
    id: &'a Id,
    name: &'a str,
    calls: Vec<String>,
    minutes: Option<u32>,
}

/// A car where the plan leaves it.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Car {
    id: Id,
    load: String,
    looks: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    spot: Option<Id>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spot_name: Option<String>,
    /// The job that moves it last, and at which of its calls.
    #[serde(skip_serializing_if = "Option::is_none")]
    job: Option<Id>,
    #[serde(skip_serializing_if = "Option::is_none")]
    call: Option<u32>,
    /// Where it stood before the first job.
    #[serde(skip_serializing_if = "Option::is_none")]
    stood: Option<String>,
}

/// The page of a session.
pub fn walk_page(plan: &Plan, layout: &Layout) -> String {
    let words = Words::default();
    let names = Names::new(plan, layout, &words);
    let when = format!("{}, session {}, plan {}", words.day(plan.date), plan.session, plan.revision);
    let placarded =
        plan.after.tracks.values().flatten().any(|car| names.placard(car.lading.as_ref()).is_some());
    let placarded = if placarded {
        format!("<p>{}</p>\n", escaped(&words.shared.caution().text()))
    } else {
        String::new()
    };
    let data = serde_json::to_string(&session(&names)).expect("text and numbers are always data");
    // `<` could end the element that the data stand in.
    let data = data.replace('<', "\\u003c");
    let title = format!("{}: what happened in session {}", plan.layout, plan.session);
    let parts = [
        ("{{title}}", escaped(&title)),
        ("{{layout}}", escaped(&plan.layout)),
        ("{{when}}", escaped(&when)),
        ("{{placarded}}", placarded),
        ("{{style}}", STYLE.to_owned()),
        ("{{data}}", data),
        ("{{script}}", SCRIPT.to_owned()),
    ];
    filled(PAGE, &parts)
}

/// A text with every mark in it replaced, once each; what is put in is not looked at again.
fn filled(text: &str, parts: &[(&str, String)]) -> String {
    let mut out = String::with_capacity(text.len() + parts.iter().map(|(_, part)| part.len()).sum::<usize>());
    let mut rest = text;
    while let Some(start) = rest.find("{{") {
        out.push_str(&rest[..start]);
        rest = &rest[start..];
        if let Some((mark, part)) = parts.iter().find(|(mark, _)| rest.starts_with(mark)) {
            out.push_str(part);
            rest = &rest[mark.len()..];
        } else {
            out.push_str("{{");
            rest = &rest["{{".len()..];
        }
    }
    out.push_str(rest);
    out
}

/// Who moves a car last and where it stood, by car.
struct Courses<'a> {
    moved: BTreeMap<&'a Id, (&'a Id, u32)>,
    stood: BTreeMap<&'a Id, String>,
}

fn courses<'a>(names: &Names<'a>) -> Courses<'a> {
    let plan = names.plan;
    let mut stood: BTreeMap<&Id, String> = BTreeMap::new();
    for (track, row) in &plan.before.tracks {
        for car in row {
            stood.insert(&car.car, at(names, track, car.spot.as_ref()));
        }
    }
    for event in &plan.events {
        match event {
            Event::Placed { car, track, .. } => {
                stood.insert(car, at(names, track, None));
            }
            Event::Lifted { car, .. } => {
                stood.remove(car);
            }
            _ => {}
        }
    }
    let mut moved = BTreeMap::new();
    for call in &plan.work {
        for work in call.cars.iter().filter(|work| !matches!(work.deed, Deed::Leave | Deed::Hold)) {
            moved.insert(&work.car, (&call.job, call.call));
        }
    }
    Courses { moved, stood }
}

/// A place for cars in words: place, track, spot.
fn at(names: &Names<'_>, track: &Id, spot: Option<&Id>) -> String {
    let spot = spot.map(|spot| format!(", {}", names.spot_name(spot))).unwrap_or_default();
    format!("{}, {}{spot}", names.place_of(track), names.track_name(track))
}

fn session<'a>(names: &Names<'a>) -> Session<'a> {
    let plan = names.plan;
    let courses = courses(names);
    let cars = |row: &[RowCar]| row.iter().map(|standing| car(names, &courses, standing)).collect();
    let places = plan.world.places.iter().filter_map(|place| {
        let tracks: Vec<Track> = plan
            .world
            .tracks
            .iter()
            .filter(|track| track.place == place.id)
            .map(|track| Track {
                id: track.id.clone(),
                name: names.track_name(&track.id).into_owned(),
                spots: track
                    .spots
                    .iter()
                    .map(|spot| Named { id: spot.id.clone(), name: names.spot_name(&spot.id) })
                    .collect(),
                cars: cars(plan.after.tracks.get(&track.id).map_or(&[], Vec::as_slice)),
            })
            .collect();
        (!tracks.is_empty()).then(|| Place { title: place.title.to_string(), tracks })
    });
    let beyond = plan.world.gateways.iter().map(|gateway| Row {
        id: gateway.id.as_str(),
        name: format!("Beyond {}", gateway.name),
        cars: cars(plan.after.beyond.get(&gateway.id).map_or(&[], Vec::as_slice)),
    });
    let shelf = Row { id: "shelf", name: "On the shelf".to_owned(), cars: cars(&plan.after.shelf) };
    Session {
        layout: &plan.layout,
        number: plan.session,
        revision: plan.revision,
        seed: plan.seed.to_string(),
        places: places.collect(),
        away: beyond.chain([shelf]).collect(),
        jobs: plan.world.jobs.iter().map(|job| self::job(names, job)).collect(),
    }
}

fn job<'a>(names: &Names<'a>, job: &'a crate::session::plan::WorldJob) -> Job<'a> {
    Job {
        id: &job.id,
        name: &job.name,
        calls: job.calls.iter().map(|place| names.place_title(place)).collect(),
        minutes: names.minutes(&job.id).map(|told| told.seconds.rounded_up()),
    }
}

fn car(names: &Names<'_>, courses: &Courses<'_>, standing: &RowCar) -> Car {
    let id = &standing.car;
    let kind = names.world_car(id).map_or("", |car| car.kind.as_str());
    let color = names.car(id).and_then(|car| car.color.as_deref());
    let looks = [Some(kind), color].into_iter().flatten().filter(|words| !words.is_empty());
    let moved = courses.moved.get(id);
    Car {
        id: id.clone(),
        load: standing
            .lading
            .as_ref()
            .map_or_else(|| "E".to_owned(), |lading| format!("L {}", names.lading_name(lading))),
        looks: looks.collect::<Vec<_>>().join(", "),
        spot: standing.spot.clone(),
        spot_name: standing.spot.as_ref().map(|spot| names.spot_name(spot)),
        job: moved.map(|(job, _)| (*job).clone()),
        call: moved.map(|(_, call)| *call),
        stood: courses.stood.get(id).cloned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_replaced_and_what_is_put_in_is_left_alone() {
        let parts = [("{{a}}", "{{b}}".to_owned()), ("{{b}}", "x".to_owned())];
        assert_eq!(filled("<{{a}}{{b}}{{c}}>", &parts), "<{{b}}x{{c}}>");
    }
}
