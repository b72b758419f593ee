//! Jobs: transfers to the gateways, a drill in the yard, turns up and down the arms.

use std::fmt::Write as _;

use super::Draft;
use super::draw::Draw;

pub(super) fn call(draft: &mut Draft) {
    let mut draw = Draw::new(draft.seed, "jobs");
    let mut jobs: Vec<(String, &str, &str, Vec<String>)> = Vec::new();
    let yard = || "yard".to_owned();
    for (at, gateway) in draft.gateways.iter().enumerate() {
        let Some(place) = &gateway.place else { continue };
        let calls = vec![place.clone(), yard(), place.clone()];
        jobs.push((format!("transfer-{at}"), gateway.railroad, "transfer", calls));
    }
    if draw.odds(3, 4) {
        jobs.push(("drill".to_owned(), "ALD", "yard", vec![yard()]));
    }
    for railroad in ["ALD", "BRK"] {
        for west in [true, false] {
            let towns = draft.towns.iter().filter(|town| town.west == west && town.railroad == railroad);
            let mut calls: Vec<String> = towns.map(|town| town.id.clone()).collect();
            if calls.is_empty() {
                continue;
            }
            if draw.odds(1, 3) {
                // Out and back by the same towns: work that does not lie one way lies the other.
                let back: Vec<String> = calls.iter().rev().skip(1).cloned().collect();
                calls.extend(back);
            }
            calls.insert(0, yard());
            calls.push(yard());
            let side = if west { "west" } else { "east" };
            jobs.push((format!("{side}-turn-{}", railroad.to_lowercase()), railroad, "local", calls.clone()));
            if draw.odds(1, 4) {
                jobs.push((format!("{side}-night-{}", railroad.to_lowercase()), railroad, "local", calls));
            }
        }
    }
    for (at, gateway) in draft.gateways.iter().enumerate() {
        let Some(place) = &gateway.place else { continue };
        if draw.odds(2, 3) {
            let calls = if draw.odds(1, 2) {
                vec![yard(), place.clone()]
            } else {
                vec![place.clone(), yard(), place.clone()]
            };
            jobs.push((format!("evening-{at}"), gateway.railroad, "transfer", calls));
        }
    }
    let timed = draw.odds(1, 2);
    let mut before: Option<String> = None;
    for (at, (id, railroad, kind, calls)) in jobs.into_iter().enumerate() {
        let mut text = format!(
            "[job.{id}]\nname = \"{id}\"\nrailroad = \"{railroad}\"\nkind = \"{kind}\"\ncalls = {calls:?}\n"
        );
        let order = match before {
            _ if timed => format!("on_duty = \"{}:{}0\"\n", 5 + at, draw.between(0, 5)),
            Some(before) => format!("after = [\"{before}\"]\n"),
            None => String::new(),
        };
        text += &order;
        text += &max(&mut draw, kind);
        let _ = writeln!(text, "power = \"{} scale ft\"", draw.one(&[45, 60, 120]));
        draft.folder.add(text);
        before = Some(id);
    }
}

fn max(draw: &mut Draw, kind: &str) -> String {
    let mut limits = Vec::new();
    if draw.odds(1, 2) {
        limits.push(format!("cars = {}", draw.between(if kind == "transfer" { 7 } else { 4 }, 14)));
    }
    if draw.odds(1, 4) {
        limits.push(format!("length = \"{} cars\"", draw.between(8, 16)));
    }
    if draw.odds(1, 6) {
        limits.push(format!("tons = {}", draw.between(7, 14) * 100));
    }
    if limits.is_empty() { String::new() } else { format!("max = {{ {} }}\n", limits.join(", ")) }
}
