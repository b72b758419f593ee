//! The roster by kind of car, against what the lanes need.

use std::collections::BTreeMap;

use serde::Serialize;

use super::lanes;
use crate::ids::{Id, TypeIx};
use crate::layout::Layout;
use crate::standing::{Standing, Whereabouts};
use crate::units::Date;

/// A kind of car.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct TypeLine {
    /// Its code.
    #[serde(rename = "type")]
    pub code: Box<str>,
    /// In plain words.
    pub meaning: Box<str>,
    /// Cars of the roster that may run.
    pub roster: u32,
    /// Of those, the ones that run for one customer alone.
    pub assigned: u32,
    /// Of those, the ones on the layout now, if cars have been placed.
    pub on_layout: Option<u32>,
    /// Cars kept busy by the lanes whose first choice it is, at least.
    pub needed: u32,
    /// The lanes for which it is a later choice.
    pub also_for: Vec<Id>,
}

/// The kinds of car that the roster has or a lane wants.
pub(super) fn types(layout: &Layout, standing: Option<&Standing>, date: Date) -> Vec<TypeLine> {
    let mut lines: BTreeMap<TypeIx, TypeLine> = BTreeMap::new();
    for (ix, car) in layout.cars().iter() {
        let (first, last) = car.years;
        let in_years =
            first.is_none_or(|year| year <= date.year()) && last.is_none_or(|year| date.year() <= year);
        if !car.existence.on(date) || !in_years {
            continue;
        }
        let line = lines.entry(car.kind).or_default();
        line.roster += 1;
        line.assigned += u32::from(car.assigned.is_some());
        if let Some(standing) = standing {
            let here = matches!(standing.car(ix).whereabouts(), Whereabouts::Track(..));
            line.on_layout = Some(line.on_layout.unwrap_or(0) + u32::from(here));
        }
    }
    for lane in layout.lanes().values().filter(|lane| lanes::runs(layout, lane, date)) {
        let busy = lanes::busy_cars(layout, lane);
        for (place, kind) in lanes::kinds(layout, lane).iter().enumerate() {
            let line = lines.entry(*kind).or_default();
            if place == 0 {
                line.needed += busy;
            } else {
                line.also_for.push(lane.id.clone());
            }
        }
    }
    for (kind, line) in &mut lines {
        let kind = &layout.types()[*kind];
        line.code = kind.code.as_str().into();
        line.meaning = kind.meaning.clone();
    }
    lines.into_values().collect()
}
