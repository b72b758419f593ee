//! The list for a walk round the layout: every track with the cars that should stand there, to be changed
//! until it is what somebody sees, and read again as part of a record (`facts::rows`).

use std::collections::BTreeMap;
use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::ids::Id;
use crate::layout::{Layout, track_words};
use crate::session::plan::{Plan, RowCar, WorldTrack};

const HEAD: &str = "\
# Walk round with it and a pencil; then make it what you saw, and close with it.
# A car a line, in order from the end that its track's head names: take lines
# out, move them, add them:  [ ] CHT 1234   or, at a spot,  [ ] CHT 1234 at pit
# A number alone does where no other car has it. `at no spot`: beside the spots.
# What is in a box, and what follows a #, is for you. A car to be repaired is
# [ ] CHT 1234 bad order ; `loaded` and `empty` are said like that, too.
# A track without its head was not looked at: it is taken to be as planned.
";

const OFF: &str = "
# ==== Off the layout ====
# Cars that should be on the layout and are not. Those that should be away need
# no line.

shelf
[ ] ____
";

/// How many columns a line has.
const COLUMNS: usize = 80;

/// The text of the list.
pub(super) fn text(plan: &Plan, layout: &Layout) -> String {
    let (session, revision) = (plan.session, plan.revision);
    let mut out = format!(
        "# {}, session {session}: what stands where.\n{HEAD}\nwalk of session {session}, plan {revision}\n",
        plan.layout
    );
    let looks = looks(plan, layout);
    for place in &plan.world.places {
        let tracks = plan.world.tracks.iter().filter(|track| track.place == place.id).peekable();
        let mut tracks = tracks;
        if tracks.peek().is_some() {
            write!(out, "\n# ==== {} ====\n", place.title).expect("writing to text does not fail");
        }
        for track in tracks {
            let row = plan.after.tracks.get(&track.id).map_or(&[][..], Vec::as_slice);
            write_track(&mut out, layout, track, row, &looks);
        }
    }
    out.push_str(OFF);
    for gateway in &plan.world.gateways {
        let away = plan.after.beyond.get(&gateway.id).map_or(0, Vec::len);
        let head = format!("beyond {}", gateway.id);
        push(&mut out, "\n", &head, &format!("{}; {away} away as planned", gateway.name));
        out.push_str("[ ] ____\n");
    }
    out
}

/// What a car looks like, by car.
fn looks<'a>(plan: &'a Plan, layout: &'a Layout) -> BTreeMap<&'a Id, String> {
    let colors: BTreeMap<&Id, &str> =
        layout.cars().values().filter_map(|car| Some((&car.id, car.color.as_deref()?))).collect();
    let cars = plan.world.cars.iter().map(|car| {
        let color = colors.get(&car.id).map(|color| format!(", {color}")).unwrap_or_default();
        (&car.id, format!("{}{color}", car.kind))
    });
    cars.collect()
}

fn write_track(
    out: &mut String,
    layout: &Layout,
    track: &WorldTrack,
    row: &[RowCar],
    looks: &BTreeMap<&Id, String>,
) {
    let described = layout.tracks().values().find(|known| known.id == track.id);
    let name = described.map_or_else(|| track.id.to_string(), |known| track_words(&known.name, &known.id));
    push(out, "\n", &format!("track {} from west", track.id), &name);
    let name = |spot: &Id| spot.as_str().strip_prefix(&format!("{}/", track.id)).map(str::to_owned);
    let widest = row.iter().map(|car| car.car.as_str().width()).max().unwrap_or(0).max("____".len());
    let mut spots = track.spots.iter().map(|spot| &spot.id).peekable();
    for car in row {
        // Spots that are free have a line to write in, in their order.
        while let Some(spot) = spots.peek().filter(|spot| car.spot.as_ref().is_some_and(|at| at != **spot)) {
            let free = !row.iter().any(|other| other.spot.as_ref() == Some(*spot));
            if free {
                push_free(out, widest, name(spot));
            }
            spots.next();
        }
        let at = match &car.spot {
            Some(spot) => name(spot).map(|name| format!(" at {name}")).unwrap_or_default(),
            None if track.spots.is_empty() => String::new(),
            None => " at no spot".to_owned(),
        };
        let load = car.lading.as_ref().map_or_else(|| "E".to_owned(), |lading| format!("L {lading}"));
        let looks = looks.get(&car.car).map(|looks| format!("; {looks}")).unwrap_or_default();
        push(out, "", &format!("[ ] {}{at}", padded(car.car.as_str(), widest, &at)), &(load + &looks));
    }
    for spot in spots.filter(|spot| !row.iter().any(|car| car.spot.as_ref() == Some(*spot))) {
        push_free(out, widest, name(spot));
    }
    if track.spots.is_empty() {
        out.push_str("[ ] ____\n");
    }
}

fn push_free(out: &mut String, widest: usize, spot: Option<String>) {
    let at = spot.map(|spot| format!(" at {spot}")).unwrap_or_default();
    writeln!(out, "[ ] {}{at}", padded("____", widest, &at)).expect("writing to text does not fail");
}

fn padded(name: &str, widest: usize, follows: &str) -> String {
    let blank = if follows.is_empty() { 0 } else { widest.saturating_sub(name.width()) };
    format!("{name}{}", " ".repeat(blank))
}

/// Where comments begin, if there is room.
const COMMENTS: usize = 34;

/// A line with a comment, which is cut off at a word where the page ends.
fn push(out: &mut String, before: &str, words: &str, comment: &str) {
    let blank = " ".repeat(COMMENTS.saturating_sub(words.width()));
    let mut line = format!("{words}{blank} #");
    for word in comment.split(' ') {
        if line.width() + 1 + word.width() > COLUMNS {
            break;
        }
        line.extend([" ", word]);
    }
    out.extend([before, line.trim_end_matches([' ', '#', ';', ',']), "\n"]);
}
