//! Prints, as JSON, the links of a layout and what every way over them costs for cars of several
//! sizes, so that another program can find the ways again: `cargo run --example ways -- FOLDER`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::collections::BTreeSet;
use std::error::Error;
use std::io::Write;
use std::path::PathBuf;
use std::time::Instant;

use serde_json::{Value, json};
use setout::layout::{self, Layout, Limits};
use setout::network::{Network, Passing};
use setout::units::{Length, Tons};

#[path = "../benches/folder.rs"]
mod folder;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("usage: ways FOLDER")?);
    let (layout, _) = layout::load(folder::sources(&folder)?);
    let layout = layout.ok_or("the description has faults: `setout check` shows them")?;
    let date = layout.settings().days.of_session(1);
    let network = Network::new(&layout, date);
    let id = |place| layout.places()[place].id.clone();
    let places: Vec<_> = layout.places().indices().filter(|place| network.has_place(*place)).collect();
    let links = layout.links().values().filter(|link| link.existence.on(date)).map(|link| {
        json!({ "west": id(link.west), "east": id(link.east), "seconds": link.minutes.whole_seconds(),
                "limits": limits(&link.limits) })
    });
    let links: Vec<Value> = links.collect();
    let mut profiles = Vec::new();
    for (length, height, weight) in sizes(&layout) {
        let passing = Passing { length, height, weight };
        let pairs = places.iter().flat_map(|from| places.iter().map(move |to| (from, to)));
        let (found, nanoseconds) = timed(|| {
            pairs.clone().map(|(from, to)| network.way(&passing, *from, *to).ok()).collect::<Vec<_>>()
        });
        let ways: Vec<Value> = pairs
            .zip(found)
            .map(|((from, to), way)| {
                let over = way.as_ref().map(|way| way.places.iter().copied().map(id).collect::<Vec<_>>());
                let seconds = way.map(|way| way.minutes.whole_seconds());
                json!({ "from": id(*from), "to": id(*to), "seconds": seconds, "over": over })
            })
            .collect();
        profiles
            .push(json!({ "length": length, "height": height, "weight": weight, "nanoseconds": nanoseconds,
                              "ways": ways }));
    }
    let places: Vec<_> = places.into_iter().map(id).collect();
    let answer = json!({ "date": date, "places": places, "links": links, "profiles": profiles });
    writeln!(std::io::stdout().lock(), "{answer}")?;
    Ok(())
}

fn limits(limits: &Limits) -> Value {
    json!({ "car": limits.car, "height": limits.height, "weight": limits.weight })
}

/// Sizes worth asking about: nothing at all, the cars of the roster, and what just passes and just
/// fails each limit of a link.
fn sizes(layout: &Layout) -> BTreeSet<(Length, Option<Length>, Tons)> {
    let nothing = (Length::ZERO, None, Tons::default());
    let mut sizes = BTreeSet::from([nothing]);
    for car in layout.cars().values() {
        sizes.insert((car.length, car.height, car.light));
        sizes.insert((car.length, car.height, car.light + car.capacity));
    }
    for limits in layout.links().values().map(|link| link.limits) {
        let inch = Length::scale_inches(1);
        if let Some(car) = limits.car {
            sizes.extend([(car, None, Tons::default()), (car + inch, None, Tons::default())]);
        }
        if let Some(height) = limits.height {
            sizes.extend([height, height + inch].map(|high| (Length::ZERO, Some(high), Tons::default())));
        }
        if let Some(weight) = limits.weight {
            sizes.extend([weight, weight + Tons::new(1)].map(|heavy| (Length::ZERO, None, heavy)));
        }
    }
    sizes
}

#[allow(clippy::disallowed_methods, reason = "the time is measured, it decides nothing")]
fn timed<T>(work: impl FnOnce() -> T) -> (T, u64) {
    let start = Instant::now();
    let done = work();
    (done, u64::try_from(start.elapsed().as_nanos()).unwrap_or(u64::MAX))
}
