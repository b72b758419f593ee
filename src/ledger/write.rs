//! A standing as text: what the ledger keeps.
//!
//! One thing a line, in the order of the layout's tables, ids instead of indices, so that a version
//! control system shows what a session changed and a host moves a car by moving its line.

use std::fmt::{self, Write as _};

use crate::ids::{CarIx, LaneIx};
use crate::layout::Layout;
use crate::standing::{CarState, Condition, Order, Standing, Whereabouts};

/// The format written by this version.
pub(super) const FORMAT: i64 = 2;

/// The first format whose files end with a line that says so: a file that was cut off is known by it.
pub(super) const ENDS: i64 = 2;

const HEAD: &str = "\
# Where every car is and what it is about. setout writes this file and reads it again.
# Rows of tracks run from west to east; a car is moved by moving its line in the rows.
";

/// The text of a standing.
pub(super) fn text(standing: &Standing, layout: &Layout) -> String {
    let mut out = format!("{HEAD}format = {FORMAT}\nsession = {}\n", standing.session);
    out.push_str("\n# Orders not yet done, in the order in which they came due.\n");
    list(&mut out, "orders", &*standing.orders, |out, order| write_order(out, order, layout));
    out.push_str("\n# Orders that ever came due, by lane.\n[due]\n");
    for (lane, described) in layout.lanes().iter() {
        let (key, count) = (key(described.id.as_str()), standing.due_so_far[lane]);
        match standing.due_shift[lane] {
            0 => put(&mut out, format_args!("{key} = {count}\n")),
            shift => put(&mut out, format_args!("{key} = {{ count = {count}, shift = {shift} }}\n")),
        }
    }
    out.push_str("\n# Cars that came and went by each gateway since the first session.\n[gateways]\n");
    for (gateway, described) in layout.gateways().iter() {
        let (key, passed) = (key(described.id.as_str()), standing.passed[gateway]);
        let (received, delivered) = (passed.received, passed.delivered);
        put(&mut out, format_args!("{key} = {{ received = {received}, delivered = {delivered} }}\n"));
    }
    out.push_str("\n[tracks]\n");
    for (track, described) in layout.tracks().iter() {
        let name = key(described.id.as_str());
        list(&mut out, name, standing.on(track), |out, car| write_on_track(out, standing, layout, *car));
    }
    let name_car = |out: &mut String, car: CarIx| put(out, format_args!("{}", car_id(layout, car)));
    out.push_str("\n[beyond]\n");
    for (gateway, described) in layout.gateways().iter() {
        let cars = at(standing, Whereabouts::Beyond(gateway));
        list(&mut out, key(described.id.as_str()), cars, name_car);
    }
    out.push_str("\n[shelf]\n");
    list(&mut out, "cars", at(standing, Whereabouts::Shelf), name_car);
    out.push_str("\n[cars]\n");
    for (car, state) in standing.cars() {
        put(&mut out, format_args!("{} = ", key(layout.cars()[car].id.as_str())));
        write_about(&mut out, state, layout);
        out.push('\n');
    }
    out.push_str("\n# The file is whole.\n[end]\n");
    out
}

fn write_order(out: &mut String, order: &Order, layout: &Layout) {
    let (id, lane) = (quoted(order.id.as_str()), lane_id(layout, order.lane));
    put(out, format_args!("{{ id = {id}, lane = {lane}, due = {}, set = {}", order.due, order.set));
    if let Some(car) = order.car {
        push(out, "car", car_id(layout, car));
    }
    out.push_str(" }");
}

fn at(standing: &Standing, place: Whereabouts) -> impl Iterator<Item = CarIx> {
    standing.cars().filter(move |(_, state)| state.whereabouts() == place).map(|(car, _)| car)
}

fn write_on_track(out: &mut String, standing: &Standing, layout: &Layout, car: CarIx) {
    let id = car_id(layout, car);
    match standing.car(car).spot() {
        Some(spot) => {
            put(out, format_args!("{{ car = {id}, spot = {} }}", quoted(&layout.spots()[spot].name)));
        }
        None => put(out, format_args!("{id}")),
    }
}

/// Writes what is known of one car, in a line.
fn write_about(out: &mut String, state: &CarState, layout: &Layout) {
    put(out, format_args!("{{ is = \"{}\"", word(&state.condition)));
    if let Some(order) = state.condition.order() {
        push(out, "order", quoted(order.as_str()));
    }
    if let Some(lading) = state.condition.lading() {
        push(out, "lading", quoted(layout.commodities()[lading].id.as_str()));
    }
    if let Condition::Loading { order: _, ready } | Condition::Unloading { order: _, lading: _, ready } =
        &state.condition
    {
        push(out, "ready", ready);
    }
    for (name, flag) in [("dirty", state.dirty), ("bad_order", state.bad_order)] {
        if flag {
            push(out, name, true);
        }
    }
    for (name, count) in [("unfinished", state.unfinished), ("services_done", state.services_done)] {
        if count > 0 {
            push(out, name, count);
        }
    }
    push(out, "since", state.since);
    let sessions =
        [("waiting_since", state.waiting_since), ("placed", state.placed), ("repaired", state.repaired)];
    for (name, session) in sessions {
        if let Some(session) = session {
            push(out, name, session);
        }
    }
    if let Some(gateway) = state.came_by {
        push(out, "came_by", quoted(layout.gateways()[gateway].id.as_str()));
    }
    if state.loads > 0 {
        push(out, "loads", state.loads);
    }
    if let Some(lane) = state.last {
        push(out, "last", lane_id(layout, lane));
    }
    out.push_str(" }");
}

fn car_id(layout: &Layout, car: CarIx) -> Text<'_> {
    quoted(layout.cars()[car].id.as_str())
}

fn lane_id(layout: &Layout, lane: LaneIx) -> Text<'_> {
    quoted(layout.lanes()[lane].id.as_str())
}

/// The word for a condition; the reader has the same five.
pub(super) const fn word(condition: &Condition) -> &'static str {
    match condition {
        Condition::Empty => "empty",
        Condition::Ordered { .. } => "ordered",
        Condition::Loading { .. } => "loading",
        Condition::Loaded { .. } => "loaded",
        Condition::Unloading { .. } => "unloading",
    }
}

fn push(out: &mut String, name: &str, value: impl fmt::Display) {
    put(out, format_args!(", {name} = {value}"));
}

fn put(out: &mut String, words: fmt::Arguments<'_>) {
    out.write_fmt(words).expect("writing to text does not fail");
}

/// A list with one item a line; nothing if there is no item.
fn list<T>(
    out: &mut String,
    name: impl fmt::Display,
    items: impl IntoIterator<Item = T>,
    write: impl Fn(&mut String, T),
) {
    let mut items = items.into_iter().peekable();
    if items.peek().is_none() {
        return;
    }
    put(out, format_args!("{name} = [\n"));
    for item in items {
        out.push_str("  ");
        write(out, item);
        out.push_str(",\n");
    }
    out.push_str("]\n");
}

/// A text as TOML has it.
pub(super) enum Text<'t> {
    /// As it is: a key of letters, digits and dashes.
    Bare(&'t str),
    /// A basic string.
    Quoted(&'t str),
}

/// A text as a key.
pub(super) fn key(id: &str) -> Text<'_> {
    let bare = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_');
    if !id.is_empty() && id.bytes().all(bare) { Text::Bare(id) } else { quoted(id) }
}

/// A text as a value.
pub(super) const fn quoted(text: &str) -> Text<'_> {
    Text::Quoted(text)
}

impl fmt::Display for Text<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = match self {
            Text::Bare(text) => return f.write_str(text),
            Text::Quoted(text) => *text,
        };
        f.write_char('"')?;
        let odd = |letter: char| matches!(letter, '"' | '\\') || letter.is_control();
        while let Some((at, letter)) = rest.char_indices().find(|(_, letter)| odd(*letter)) {
            f.write_str(&rest[..at])?;
            match letter {
                '"' | '\\' => write!(f, "\\{letter}")?,
                control => write!(f, "\\U{:08X}", u32::from(control))?,
            }
            rest = &rest[at + letter.len_utf8()..];
        }
        f.write_str(rest)?;
        f.write_char('"')
    }
}
