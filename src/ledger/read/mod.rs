//! A standing from text: the way back from `write`.
//!
//! The host may have moved a line, taken a car out of the roster, or removed a track since the
//! file was written. Whatever no longer fits is a fault with its line and a way out; or, in a file that
//! setout wrote and nobody touched, it is the layout that changed, and [`adrift`] finds a place for the cars; orders of
//! lanes that are gone end.
//! Nothing that matters to a car is dropped silently. A car of the roster that the file does not name is a new
//! car, on the shelf.

mod about;
mod adrift;

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeValue;

use super::happened::room::slot;
use super::names::Names;
use super::walk::{Value, Walk, entries};
use super::write::{ENDS, FORMAT};
use crate::error::Result;
use crate::ids::{CarIx, Id, SpotIx, TrackIx};
use crate::layout::Layout;
use crate::standing::{Away, Order, Passed, Standing};
use adrift::Lost;
pub use adrift::{Adrift, Change, Ended};

/// Reads a standing that a host may have changed by hand: everything must fit.
///
/// # Errors
/// [`crate::error::Error::Ledger`] with every line that does not fit the layout.
///
/// # Complexity
/// O(n log n) for n cars and orders.
pub(super) fn standing(path: &Path, text: &str, layout: &Layout) -> Result<Standing> {
    Ok(read(path, text, layout, None)?.0)
}

/// Reads a standing that nobody touched since setout wrote it: what does not fit is what the layout no
/// longer has. Gives what became of the cars and orders there, too.
///
/// # Errors
/// As above, for what makes no sense whatever the layout has.
pub(super) fn untouched(path: &Path, text: &str, layout: &Layout) -> Result<(Standing, Vec<Change>)> {
    read(path, text, layout, Some(Vec::new()))
}

fn read(
    path: &Path,
    text: &str,
    layout: &Layout,
    adrift: Option<Vec<Lost>>,
) -> Result<(Standing, Vec<Change>)> {
    let mut walk = Walk::new(text);
    let table = walk.parse();
    let names = Names::new(layout);
    let standing = Standing::shelved(layout);
    let mut reader = Reader { walk, names, standing, placed: BTreeMap::new(), adrift, ended: Vec::new() };
    if let Some(table) = &table {
        let newer = table.get_ref().get("format").and_then(newer);
        match newer {
            // What a newer setout means by its lines cannot be known: only this is said.
            Some((place, format)) => reader.walk.fault(
                place,
                format!(
                    "format {format} is newer than this setout, which reads {FORMAT}: use a newer setout"
                ),
            ),
            None => reader.file(table.get_ref(), text.len()),
        }
    }
    let found = reader.settle();
    match reader.walk.failure(path) {
        Some(failure) => Err(failure),
        None => Ok((reader.standing, found)),
    }
}

fn newer(value: &Value<'_>) -> Option<(usize, i64)> {
    match value.get_ref() {
        DeValue::Integer(digits) => {
            let format: i64 = digits.as_str().parse().ok()?;
            (format > FORMAT).then_some((value.span().start, format))
        }
        _ => None,
    }
}

struct Reader<'t> {
    walk: Walk<'t>,
    names: Names<'t>,
    standing: Standing,
    /// Cars that have a place already, and where the file says so.
    placed: BTreeMap<CarIx, usize>,
    /// Cars whose place the layout no longer has; nothing where everything must fit.
    adrift: Option<Vec<Lost>>,
    /// Orders whose lanes the layout no longer has.
    ended: Vec<Ended>,
}

impl<'t> Reader<'t> {
    fn file(&mut self, table: &'t toml::de::DeTable<'t>, end: usize) {
        let format = table.get("format").and_then(|value| self.walk.number::<i64>(value));
        if format.is_some_and(|format| format >= ENDS) && table.get("end").is_none() {
            let text = "the file stops before its `[end]`: the rest of it is lost, put back a whole copy";
            self.walk.fault(end, text);
        }
        for wanted in ["format", "session"] {
            if table.get(wanted).is_none() {
                self.walk.fault(0, format!("no `{wanted}`: this is no standing that setout wrote"));
            }
        }
        // Orders come first: cars refer to them.
        let order = |key: &str| (key != "orders", key != "tracks");
        let mut rows: Vec<_> = entries(table).collect();
        rows.sort_by_key(|(key, place, _)| (order(key), *place));
        for (key, place, value) in rows {
            match key {
                "format" | "end" => {}
                "session" => self.standing.session = self.walk.number(value).unwrap_or_default(),
                "orders" => self.orders(value),
                "due" => self.due(value),
                "gateways" => self.gateways(value),
                "tracks" => self.tracks(value),
                "beyond" => self.beyond(value),
                "shelf" => self.shelf(value),
                "cars" => self.cars(value),
                other => self.unknown(place, other),
            }
        }
    }

    fn unknown(&mut self, place: usize, key: &str) {
        self.walk.fault(place, format!("`{key}` means nothing here: take it out"));
    }

    fn orders(&mut self, value: &'t Value<'t>) {
        let mut seen: BTreeMap<Id, usize> = BTreeMap::new();
        for item in self.walk.list(value) {
            let (mut id, mut lane, mut due, mut set, mut car) = (None, None, None, None, None);
            let mut gone = None;
            for (key, place, value) in self.walk.entries(item) {
                match key {
                    "id" => id = self.walk.text(value).map(Id::from),
                    "lane" => {
                        lane = self.lane(value);
                        gone = self.walk.text(value).filter(|_| lane.is_none() && self.adrift.is_some());
                    }
                    "due" => due = self.walk.number(value),
                    "set" => set = self.walk.number(value),
                    "car" => car = self.car(value),
                    other => self.unknown(place, other),
                }
            }
            if let (Some(order), Some(lane)) = (&id, gone) {
                let (order, lane) = (order.clone(), Id::from(lane));
                self.ended.push(Ended { order, lane, car: None, was_loaded: false, to_shelf: false });
                continue;
            }
            let (Some(id), Some(lane), Some(due), Some(set)) = (id, lane, due, set) else {
                self.walk.fault(item.span().start, "an order needs its `id`, `lane`, `due` and `set`");
                continue;
            };
            if seen.insert(id.clone(), 0).is_some() {
                self.walk
                    .fault(item.span().start, format!("order `{id}` stands twice: take one of them out"));
            }
            self.standing.orders.push(Order { id, lane, due, set, car });
        }
    }

    fn lane(&mut self, value: &'t Value<'t>) -> Option<crate::ids::LaneIx> {
        let name = self.walk.text(value)?;
        let found = self.names.lanes.get(name).copied();
        if found.is_none() && self.adrift.is_none() {
            self.walk.fault(
                value.span().start,
                format!(
                    "lane `{name}` is not in the layout: give it back, with `state = \"out of service\"` if it is to \
                     end, until its orders are done, or take its lines out and make their cars `empty`"
                ),
            );
        }
        found
    }

    fn due(&mut self, value: &'t Value<'t>) {
        for (key, _, value) in self.walk.entries(value) {
            // The count of a lane that is gone is of no use to anybody.
            let (count, shift) = self.count_and_shift(value);
            if let (Some(lane), Some(count)) = (self.names.lanes.get(key), count) {
                (self.standing.due_so_far[*lane], self.standing.due_shift[*lane]) = (count, shift);
            }
        }
    }

    /// A count alone, or with what a changed description shifts it by.
    fn count_and_shift(&mut self, value: &'t Value<'t>) -> (Option<u32>, i32) {
        if !matches!(value.get_ref(), DeValue::Table(_)) {
            return (self.walk.number(value), 0);
        }
        let (mut count, mut shift) = (None, 0);
        for (key, place, value) in self.walk.entries(value) {
            match key {
                "count" => count = self.walk.number(value),
                "shift" => shift = self.walk.number(value).unwrap_or_default(),
                other => self.unknown(place, other),
            }
        }
        (count, shift)
    }

    fn gateways(&mut self, value: &'t Value<'t>) {
        for (key, _, value) in self.walk.entries(value) {
            let mut passed = Passed::default();
            for (key, place, value) in self.walk.entries(value) {
                match key {
                    "received" => passed.received = self.walk.number(value).unwrap_or_default(),
                    "delivered" => passed.delivered = self.walk.number(value).unwrap_or_default(),
                    other => self.unknown(place, other),
                }
            }
            // The count of a gateway that is gone is of no use to anybody.
            if let Some(gateway) = self.names.gateways.get(key) {
                self.standing.passed[*gateway] = passed;
            }
        }
    }

    fn tracks(&mut self, value: &'t Value<'t>) {
        for (key, place, value) in self.walk.entries(value) {
            let Some(track) = self.names.tracks.get(key).copied() else {
                if self.adrift.is_some() {
                    self.off_track(key, value);
                    continue;
                }
                let standing: Vec<String> = self
                    .walk
                    .list(value)
                    .iter()
                    .filter_map(|item| car_of(item).map(|car| format!("`{car}`")))
                    .collect();
                self.walk.fault(
                    place,
                    format!(
                        "track `{key}` is not in the layout, and {} stand on it: move their lines to another track, \
                         or give the track back",
                        standing.join(", ")
                    ),
                );
                continue;
            };
            // Two tracks that became one: what stood on the second joins what stood on the first.
            let mut row = self.row(track);
            let first = row.is_empty();
            for item in self.walk.list(value) {
                let (car, spot) = self.stand(item, track);
                self.sold(item, car, key);
                let Some(car) = car.filter(|car| self.place(*car, item.span().start)) else { continue };
                if !first {
                    row.insert(slot(&row, spot), (car, spot));
                    continue;
                }
                let last = row.iter().rev().find_map(|(_, spot)| *spot);
                if last.is_some_and(|last| spot.is_some_and(|spot| spot < last)) {
                    let text = "this car stands against the order of spots: put its line where its spot is";
                    self.walk.fault(item.span().start, text);
                }
                row.push((car, spot));
            }
            self.without_room(track, key, &mut row);
            self.standing.arrange(track, row);
        }
    }

    /// A car on a track: its id alone, or with its spot.
    fn stand(&mut self, item: &'t Value<'t>, track: TrackIx) -> (Option<CarIx>, Option<SpotIx>) {
        if !matches!(item.get_ref(), DeValue::Table(_)) {
            return (self.car(item), None);
        }
        let (mut car, mut spot) = (None, None);
        for (key, place, value) in self.walk.entries(item) {
            match key {
                "car" => car = self.car(value),
                "spot" => spot = self.spot(value, track),
                other => self.unknown(place, other),
            }
        }
        (car, spot)
    }

    fn spot(&mut self, value: &'t Value<'t>, track: TrackIx) -> Option<SpotIx> {
        let name = self.walk.text(value)?;
        let found = self.names.spot(track, name);
        if found.is_none() && self.adrift.is_none() {
            let id = &self.names.layout.tracks()[track].id;
            let text = format!("track `{id}` has no spot `{name}`: name another one, or take `spot` out");
            self.walk.fault(value.span().start, text);
        }
        found
    }

    fn beyond(&mut self, value: &'t Value<'t>) {
        for (key, place, value) in self.walk.entries(value) {
            let gateway = self.names.gateways.get(key).copied();
            if gateway.is_none() && self.adrift.is_none() {
                let text = format!(
                    "gateway `{key}` is not in the layout: move its cars to another gateway, or give it back"
                );
                self.walk.fault(place, text);
            }
            for item in self.walk.list(value) {
                let Some(car) = self.car(item).filter(|car| self.place(*car, item.span().start)) else {
                    continue;
                };
                match (gateway, &mut self.adrift) {
                    (Some(gateway), _) => self.standing.take_away(car, Away::Beyond(gateway)),
                    (None, Some(adrift)) => adrift.push(Lost::Away(car, key.to_owned())),
                    (None, None) => {}
                }
            }
        }
    }

    fn shelf(&mut self, value: &'t Value<'t>) {
        for (key, place, value) in self.walk.entries(value) {
            if key != "cars" {
                self.unknown(place, key);
                continue;
            }
            for item in self.walk.list(value) {
                if let Some(car) = self.car(item) {
                    self.place(car, item.span().start);
                }
            }
        }
    }

    /// Whether a car has no place yet; a car in two places is a fault.
    fn place(&mut self, car: CarIx, place: usize) -> bool {
        let twice = self.placed.insert(car, place).is_some();
        if twice {
            let id = &self.names.layout.cars()[car].id;
            self.walk.fault(place, format!("`{id}` has a place already: leave it only where it is"));
        }
        !twice
    }

    fn car(&mut self, value: &'t Value<'t>) -> Option<CarIx> {
        let name = self.walk.text(value)?;
        self.known_car(name, value.span().start)
    }

    fn known_car(&mut self, name: &str, place: usize) -> Option<CarIx> {
        let found = self.names.cars.get(name).copied();
        if found.is_none() && self.adrift.is_none() {
            let text =
                format!("`{name}` is not in the roster: give it back to the roster, or take it out here");
            self.walk.fault(place, text);
        }
        found
    }

    fn cars(&mut self, value: &'t Value<'t>) {
        let known: std::collections::BTreeSet<Id> =
            self.standing.orders.iter().map(|order| order.id.clone()).collect();
        for (key, place, value) in self.walk.entries(value) {
            let Some(car) = self.known_car(key, place) else { continue };
            self.about(car, value);
            if let Some(order) =
                self.standing.car(car).condition.order().filter(|order| !known.contains(*order))
            {
                let text =
                    format!("`{key}` serves order `{order}`, which is not among the orders: make it `empty`");
                self.walk.fault(place, text);
            }
        }
    }
}

/// The car that a line of a row names, for a message.
fn car_of<'t>(item: &'t Value<'t>) -> Option<&'t str> {
    match item.get_ref() {
        DeValue::String(car) => Some(car),
        DeValue::Table(table) => match table.get("car")?.get_ref() {
            DeValue::String(car) => Some(car),
            _ => None,
        },
        _ => None,
    }
}
