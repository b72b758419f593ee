//! What unit tests of several stages share: small layouts from text.

use crate::diag::{Sources, render};
use crate::ids::{CarIx, Ix, IxVec, TrackIx};
use crate::layout::{Layout, load};
use crate::standing::Standing;

/// A layout from the text of one file, sound or the test stops.
pub(crate) fn layout(text: &str) -> Layout {
    let mut sources = Sources::default();
    sources.add("layout.toml", text);
    let (layout, faults) = load(sources);
    layout.unwrap_or_else(|| panic!("the layout has faults:\n{}", render::text(&faults, false)))
}

/// A line of three places from west to east, yard – town – end, one railroad, one job out and back;
/// N cars `CHT 1`, `CHT 2`, … of 44 ft. Tests add tables of their own.
pub(crate) fn branch(cars: usize, more: &str) -> Layout {
    layout(&branch_text(cars, more))
}

/// The same as text.
pub(crate) fn branch_text(cars: usize, more: &str) -> String {
    let mut text = String::from(
        r#"
[layout]
name = "Branch"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
beyond = "away"
[gateway.away]
name = "Away"
kind = "fiddle"
takes = "yard/out"
gives = "yard/in"
[place.yard]
name = "Yard"
railroad = "CHT"
track.in = { use = "staging", length = "440 scale ft", opens = "both" }
track.out = { use = "staging", length = "440 scale ft", opens = "both" }
track.loop = { use = "runaround", length = "440 scale ft", opens = "both" }
[place.town]
name = "Town"
railroad = "CHT"
track.loop = { use = "runaround", length = "440 scale ft", opens = "both" }
track.mill = { use = "spur", length = "150 scale ft", opens = "east", spots = [{ name = "door 1" }, { name = "door 2" }, { name = "door 3" }] }
track.team = { use = "spur", length = "100 scale ft", opens = "west", off_spot = true }
[[link]]
between = ["yard", "town"]
minutes = 4
[job.turn]
railroad = "CHT"
calls = ["yard", "town", "yard"]
power = "60 scale ft"
"#,
    );
    let car = |number| {
        format!("[[car]]\nmark = \"CHT\"\nnumber = \"{number}\"\ntype = \"XM\"\nlength = \"44 ft\"\n")
    };
    text.extend((1..=cars).map(car));
    text + more
}

/// A track by its id.
pub(crate) fn track(layout: &Layout, id: &str) -> TrackIx {
    layout
        .tracks()
        .iter()
        .find(|(_, track)| track.id.as_str() == id)
        .expect("the test names a track it has")
        .0
}

/// A car by its number from 1, in the order of the roster.
pub(crate) fn car(number: usize) -> CarIx {
    CarIx::new(number - 1)
}

/// A track, and its cars by their numbers, each at a spot of the track by its place there, or at none.
pub(crate) type Row<'r> = (&'r str, &'r [(usize, Option<usize>)]);

/// A standing with these rows: a track, then its cars from west to east.
pub(crate) fn standing(layout: &Layout, rows: &[Row<'_>]) -> Standing {
    let mut standing = Standing::shelved(layout);
    for (id, cars) in rows {
        let track = track(layout, id);
        for (number, spot) in *cars {
            standing.put(car(*number), track, spot.map(|spot| layout.tracks()[track].spots[spot]));
        }
    }
    standing
}

/// What every car weighs, empty.
pub(crate) fn light(layout: &Layout) -> IxVec<CarIx, crate::units::Tons> {
    layout.cars().values().map(|car| car.light).collect()
}
