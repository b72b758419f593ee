//! `[layout]`, `[pace]`, `[placards]`.

use crate::layout::codes;
use crate::layout::model::{CarService, End, Neighbour};
use crate::layout::read::fields::Fields;
use crate::layout::read::node::{Node, Read, text, truth, whole, word};
use crate::layout::read::quantity::{date, length, minutes, odds, percent, scale, share, span};
use crate::layout::read::said::{SaidApart, SaidFreeTime, SaidLayout, SaidPace, SaidPlacards};
use crate::layout::sink::{Wrong, wrong_type};
use crate::units::Minutes;

const ENDS: [(&str, End); 2] = [("west", End::West), ("east", End::East)];

const CAR_SERVICE: [(&str, CarService); 3] =
    [("by the book", CarService::ByTheBook), ("two thirds", CarService::TwoThirds), ("off", CarService::Off)];

/// The longest session, in hours.
const MOST_HOURS: f64 = 24.0;

/// The furthest that a placarded car may have to stand from an engine.
const MOST_APART: u32 = 100;

/// The slowest crew, in percent of the pace.
const SLOWEST: u32 = 1_000;

fn hours(node: Node<'_>) -> Read<Minutes> {
    let expected = format!("hours from 0.5 to {MOST_HOURS}, such as `3` or `2.5`");
    let number = node.decimal().ok_or_else(|| wrong_type(&expected, &node.found()))?;
    if !(0.5..=MOST_HOURS).contains(&number) {
        return Err(Wrong::new(codes::OUT_OF_BOUNDS, format!("expected {expected}, found {}", node.found())));
    }
    let quarters = (1..=96u32).rev().find(|quarter| f64::from(*quarter) / 4.0 <= number + 1e-9).unwrap_or(1);
    Ok(Minutes::new(quarters * 15))
}

/// `[layout]`.
pub(in crate::layout::read) fn layout(mut fields: Fields<'_, '_>) -> SaidLayout {
    let mut days = (None, None);
    if fields.need("days", |node| Ok(node.kind())).is_some() {
        fields.inner("days", |inner| days = (inner.need("first", date), inner.need("last", date)));
    }
    let free_time = fields.inner("free_time", |inner| SaidFreeTime {
        load: inner.read("load", span),
        unload: inner.read("unload", span),
        weekends: inner.read("weekends", truth),
        holidays: inner.list("holidays", date),
    });
    let said = SaidLayout {
        span: fields.span(),
        name: fields.need("name", text),
        scale: fields.need("scale", scale),
        first: days.0,
        last: days.1,
        hours: fields.read("hours", hours),
        left: fields.read("left", |node| word(node, &ENDS)),
        car: fields.read("car", length),
        full: fields.read("full", percent),
        shelf: fields.read("shelf", truth),
        car_service: fields.read("car_service", |node| word(node, &CAR_SERVICE)),
        metric: fields.read("metric", truth),
        bad_orders: fields.read("bad_orders", odds),
        repair: fields.read("repair", span),
        free_time: free_time.unwrap_or_default(),
    };
    fields.finish();
    said
}

/// `[pace]`.
pub(in crate::layout::read) fn pace(mut fields: Fields<'_, '_>) -> SaidPace {
    let said = SaidPace {
        span: fields.span(),
        handling: fields.read("handling", minutes),
        car: fields.read("car", minutes),
        coupling: fields.read("coupling", minutes),
        turnout: fields.read("turnout", minutes),
        spot: fields.read("spot", minutes),
        run_around: fields.read("run_around", minutes),
        reading: fields.read("reading", minutes),
        running: fields.read("running", minutes),
        crew: fields.read("crew", |node| share(node, SLOWEST)),
        learn: fields.read("learn", truth),
    };
    fields.finish();
    said
}

fn neighbour(node: Node<'_>) -> Read<Neighbour> {
    const WORDS: [(&str, Neighbour); 7] = [
        ("open load", Neighbour::OpenLoad),
        ("loaded flat", Neighbour::LoadedFlat),
        ("running engine", Neighbour::RunningEngine),
        ("group 1", Neighbour::Group(1)),
        ("group 2", Neighbour::Group(2)),
        ("group 3", Neighbour::Group(3)),
        ("group 4", Neighbour::Group(4)),
    ];
    word(node, &WORDS)
}

/// `[placards]`.
pub(in crate::layout::read) fn placards(mut fields: Fields<'_, '_>) -> SaidPlacards {
    let said = SaidPlacards {
        span: fields.span(),
        apply: fields.read("apply", truth),
        nearest: fields.read("nearest", |node| whole(node, 1, MOST_APART)),
        nearest_short: fields.read("nearest_short", |node| whole(node, 1, MOST_APART)),
        apart: fields.has("apart").then(|| {
            let rows = fields.items("apart");
            rows.into_iter()
                .filter_map(|(node, span)| {
                    fields.within("this row of `apart`".to_owned(), "apart", node, span, |row| SaidApart {
                        group: row.need("group", |node| whole(node, 1, 4)),
                        tank: row.need("tank", truth),
                        from: row.need_list("from", neighbour),
                    })
                })
                .collect()
        }),
    };
    fields.finish();
    said
}
