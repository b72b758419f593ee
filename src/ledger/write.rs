//! A standing as text: what the ledger keeps.
//!
//! One thing a line, in the order of the layout's tables, ids instead of indices, so that a version
//! control system shows what a session changed and a host moves a car by moving its line.

use std::fmt::Write as _;

use crate::ids::{CarIx, CommodityIx, GatewayIx, Id};
use crate::layout::Layout;
use crate::standing::{CarState, Condition, Standing, Whereabouts};

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
    orders(&mut out, standing, layout);
    out.push_str("\n# Orders that ever came due, by lane.\n[due]\n");
    for (lane, described) in layout.lanes().iter() {
        let count = standing.due_so_far[lane].to_string();
        let value = match standing.due_shift[lane] {
            0 => count,
            shift => format!("{{ count = {count}, shift = {shift} }}"),
        };
        line(&mut out, &described.id, &value);
    }
    out.push_str("\n# Cars that came and went by each gateway since the first session.\n[gateways]\n");
    for (gateway, described) in layout.gateways().iter() {
        let passed = standing.passed[gateway];
        let text = format!("{{ received = {}, delivered = {} }}", passed.received, passed.delivered);
        line(&mut out, &described.id, &text);
    }
    out.push_str("\n[tracks]\n");
    for (track, described) in layout.tracks().iter() {
        let cars = standing.on(track).iter().map(|car| on_track(standing, layout, *car));
        list(&mut out, &key(described.id.as_str()), cars);
    }
    out.push_str("\n[beyond]\n");
    for (gateway, described) in layout.gateways().iter() {
        let cars = at(standing, layout, Whereabouts::Beyond(gateway));
        list(&mut out, &key(described.id.as_str()), cars);
    }
    out.push_str("\n[shelf]\n");
    list(&mut out, "cars", at(standing, layout, Whereabouts::Shelf));
    out.push_str("\n[cars]\n");
    for (car, state) in standing.cars() {
        line(&mut out, &layout.cars()[car].id, &about(state, layout));
    }
    out.push_str("\n# The file is whole.\n[end]\n");
    out
}

fn orders(out: &mut String, standing: &Standing, layout: &Layout) {
    let orders = standing.orders.iter().map(|order| {
        let mut text = format!(
            "{{ id = {}, lane = {}, due = {}, set = {}",
            quoted(order.id.as_str()),
            quoted(layout.lanes()[order.lane].id.as_str()),
            order.due,
            order.set
        );
        if let Some(car) = order.car {
            push(&mut text, "car", &quoted(layout.cars()[car].id.as_str()));
        }
        text + " }"
    });
    out.push_str("\n# Orders not yet done, in the order in which they came due.\n");
    list(out, "orders", orders);
}

fn at(standing: &Standing, layout: &Layout, place: Whereabouts) -> impl Iterator<Item = String> {
    let cars = standing.cars().filter(move |(_, state)| state.whereabouts() == place);
    cars.map(|(car, _)| quoted(layout.cars()[car].id.as_str()))
}

fn on_track(standing: &Standing, layout: &Layout, car: CarIx) -> String {
    let id = quoted(layout.cars()[car].id.as_str());
    match standing.car(car).spot() {
        Some(spot) => format!("{{ car = {id}, spot = {} }}", quoted(&layout.spots()[spot].name)),
        None => id,
    }
}

/// What is known of one car, in a line.
fn about(state: &CarState, layout: &Layout) -> String {
    let mut text = format!("{{ is = \"{}\"", word(&state.condition));
    if let Some(order) = state.condition.order() {
        push(&mut text, "order", &quoted(order.as_str()));
    }
    if let Some(lading) = state.condition.lading() {
        push(&mut text, "lading", &commodity(layout, lading));
    }
    if let Condition::Loading { order: _, ready } | Condition::Unloading { order: _, lading: _, ready } =
        &state.condition
    {
        push(&mut text, "ready", &ready.to_string());
    }
    for (name, flag) in [("dirty", state.dirty), ("bad_order", state.bad_order)] {
        if flag {
            push(&mut text, name, "true");
        }
    }
    for (name, count) in [("unfinished", state.unfinished), ("services_done", state.services_done)] {
        if count > 0 {
            push(&mut text, name, &count.to_string());
        }
    }
    push(&mut text, "since", &state.since.to_string());
    let sessions =
        [("waiting_since", state.waiting_since), ("placed", state.placed), ("repaired", state.repaired)];
    for (name, session) in sessions {
        if let Some(session) = session {
            push(&mut text, name, &session.to_string());
        }
    }
    if let Some(gateway) = state.came_by {
        push(&mut text, "came_by", &gateway_id(layout, gateway));
    }
    if state.loads > 0 {
        push(&mut text, "loads", &state.loads.to_string());
    }
    if let Some(lane) = state.last {
        push(&mut text, "last", &quoted(layout.lanes()[lane].id.as_str()));
    }
    text + " }"
}

fn commodity(layout: &Layout, commodity: CommodityIx) -> String {
    quoted(layout.commodities()[commodity].id.as_str())
}

fn gateway_id(layout: &Layout, gateway: GatewayIx) -> String {
    quoted(layout.gateways()[gateway].id.as_str())
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

fn push(text: &mut String, name: &str, value: &str) {
    write!(text, ", {name} = {value}").expect("writing to text does not fail");
}

fn line(out: &mut String, id: &Id, value: &str) {
    writeln!(out, "{} = {value}", key(id.as_str())).expect("writing to text does not fail");
}

/// A list with one item a line; nothing if there is no item.
fn list(out: &mut String, name: &str, items: impl Iterator<Item = String>) {
    let mut items = items.peekable();
    if items.peek().is_none() {
        return;
    }
    writeln!(out, "{name} = [").expect("writing to text does not fail");
    for item in items {
        writeln!(out, "  {item},").expect("writing to text does not fail");
    }
    out.push_str("]\n");
}

pub(super) fn key(id: &str) -> String {
    let bare = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_');
    if !id.is_empty() && id.bytes().all(bare) { id.to_owned() } else { quoted(id) }
}

/// A basic string of TOML.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for char in text.chars() {
        match char {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            control if control.is_control() => {
                write!(out, "\\U{:08X}", u32::from(control)).expect("writing to text does not fail");
            }
            plain => out.push(plain),
        }
    }
    out.push('"');
    out
}
