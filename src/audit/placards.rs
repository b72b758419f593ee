//! Rule 11: where placarded cars ride in a train that goes from place to place.
//!
//! The cars on each side of the engine are a row, counted from the engine; an occupied caboose stands
//! beyond the last car of the row that comes last. By 49 CFR 174.85(d), or what the layout has made of it, a
//! loaded tank car with placards, and any car of group 1, is no nearer to either than the table's place where
//! the row is long enough, else as near the middle as can be, and never nearer than the table's other place;
//! a car of group 4 is never nearer than that either. Rows of the table keep neighbours apart. By 174.85(c) a tank
//! car that was emptied of what bears placards before the session has a car between it and either that is no tank
//! car with placards. For model railroads; real work follows the regulations and the carrier's own rules.

use super::Found;
use super::facts::Facts;
use super::scene::Scene;
use super::train::Consist;
use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{WorldJob, WorldPlacards};

/// A car of a row, in the table's words.
struct Rides<'p> {
    car: &'p Id,
    kind: &'p str,
    lading: Option<&'p Id>,
    group: Option<u32>,
    /// Whether it is a tank car with what is left of a placarded load.
    residue: bool,
}

/// Checks both rows of a train.
pub(super) fn check(
    facts: &Facts<'_>,
    scene: &Scene<'_>,
    job: &WorldJob,
    consist: &Consist<'_>,
    direction: End,
    found: &mut Found,
) {
    let Some(table) = &facts.plan.world.placards else { return };
    let outwards = |end: End| -> Vec<&Id> {
        match end {
            End::West => consist.west.iter().rev().copied().collect(),
            End::East => consist.east.clone(),
        }
    };
    // A train that is pushed has its caboose before it: still beyond the last car from the engine.
    let behind = direction.other();
    let last = if outwards(behind).is_empty() { direction } else { behind };
    for end in [End::West, End::East] {
        let row = outwards(end);
        let row: Vec<Rides<'_>> = row.into_iter().map(|car| rides(facts, scene, table, car)).collect();
        if row.iter().any(|car| car.group.is_some() || car.residue) {
            let caboose = job.caboose && end == last;
            ends(table, job, &row, caboose, found);
            covered(table, job, &row, caboose, found);
            neighbours(table, job, &row, found);
        }
    }
}

fn rides<'p>(facts: &Facts<'p>, scene: &Scene<'p>, table: &WorldPlacards, car: &'p Id) -> Rides<'p> {
    let lading = scene.lading(car);
    let kind = facts.cars.get(car).map_or("", |car| car.kind.as_str());
    let group = |lading: &Id| table.groups.get(lading).copied();
    let residue = kind.starts_with('T') && scene.emptied_of(car).and_then(group).is_some();
    Rides { car, kind, lading, group: lading.and_then(group), residue }
}

impl Rides<'_> {
    fn is_tank(&self) -> bool {
        self.kind.starts_with('T')
    }

    /// Whether it belongs into the middle of a train.
    fn far(&self) -> bool {
        self.group.is_some_and(|group| self.is_tank() || group == 1)
    }

    /// Whether the words of a row of the table mean this car.
    fn is(&self, words: &str, table: &WorldPlacards) -> bool {
        let Some(lading) = self.lading else { return false };
        match words {
            "open load" => {
                table.shifts.contains(lading) && table.open.iter().any(|kind| kind.as_str() == self.kind)
            }
            // Not racks for automobiles, trailers and containers; bulkheads make it an open car.
            "loaded flat" => {
                self.kind.starts_with('F')
                    && !self.kind.starts_with("FB")
                    && !["FA", "FC", "FCA"].contains(&self.kind)
            }
            "running engine" => self.kind.starts_with("RP"),
            _ => self.group.is_some_and(|group| words == format!("group {group}")),
        }
    }
}

/// Nobody too near to the engine or the caboose.
fn ends(table: &WorldPlacards, job: &WorldJob, row: &[Rides<'_>], caboose: bool, found: &mut Found) {
    let between = row.iter().filter(|car| !car.far()).count();
    let count = |places: u32| usize::try_from(places).unwrap_or(usize::MAX);
    let (nearest, short) = (count(table.nearest), count(table.nearest_short));
    let buffers = nearest.saturating_sub(1);
    let long = if caboose { between / 2 >= buffers } else { between >= buffers };
    let middle = between / 2 + 1;
    for (place, car) in row.iter().enumerate() {
        let least = match (car.far(), car.group) {
            (true, _) if long => nearest,
            (true, _) => middle.max(short),
            (false, Some(4)) => short,
            _ => continue,
        };
        let mut near = |what: &str, counted: usize| {
            if counted < least {
                let text = format!(
                    "`{}` has placards and rides {counted} from the {what} of `{}`, not {least} or more",
                    car.car, job.id
                );
                found.say(11, text);
            }
        };
        near("engine", place + 1);
        if caboose {
            near("caboose", row.len() - place);
        }
    }
}

/// A car between residue and the engine or the caboose, unless the layout lets placarded cars ride next to them.
fn covered(table: &WorldPlacards, job: &WorldJob, row: &[Rides<'_>], caboose: bool, found: &mut Found) {
    let covers = |car: &Rides<'_>| !(car.is_tank() && (car.group.is_some() || car.residue));
    for (place, car) in row.iter().enumerate().filter(|(_, car)| car.residue && table.nearest_short > 1) {
        let mut bare = |what: &str, between: &[Rides<'_>]| {
            if !between.iter().any(covers) {
                let text = format!(
                    "`{}` has residue and no car but tank cars with placards between it and the {what} of `{}`",
                    car.car, job.id
                );
                found.say(11, text);
            }
        };
        bare("engine", &row[..place]);
        if caboose {
            bare("caboose", &row[place + 1..]);
        }
    }
}

/// Nobody next to what the table keeps apart.
fn neighbours(table: &WorldPlacards, job: &WorldJob, row: &[Rides<'_>], found: &mut Found) {
    for pair in row.windows(2) {
        let [one, other] = pair else { continue };
        for (car, beside) in [(one, other), (other, one)] {
            let rows =
                table.apart.iter().filter(|row| Some(row.group) == car.group && row.tank == car.is_tank());
            let words = rows.flat_map(|row| &row.from).find(|words| beside.is(words, table));
            if let Some(words) = words {
                let text = format!(
                    "`{}` has placards and rides next to `{}` ({words}) in the train of `{}`",
                    car.car, beside.car, job.id
                );
                found.say(11, text);
            }
        }
    }
}
