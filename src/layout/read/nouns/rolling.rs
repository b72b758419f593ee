//! `[type.CODE]` and cars, from `[[car]]` or from a row of a spreadsheet.

use super::{existence, name};
use crate::layout::model::Grade;
use crate::layout::read::fields::{Fields, Name};
use crate::layout::read::node::{text, truth, word};
use crate::layout::read::quantity::{length, look, mark, marked_number, tons, uic_number, visits, years};
use crate::layout::read::said::{SaidCar, SaidType};

/// `[type.CODE]`.
pub(in crate::layout::read) fn kind(id: Name, mut fields: Fields<'_, '_>) -> SaidType {
    let said = SaidType {
        id,
        meaning: fields.need("meaning", text),
        open: fields.need("open", truth),
        length: fields.need("length", length),
        light: fields.read("light", tons),
        capacity: fields.read("capacity", tons),
    };
    fields.finish();
    said
}

/// The keys of a car, which are also the columns of a roster.
pub const CAR_KEYS: [&str; 23] = [
    "mark",
    "number",
    "type",
    "length",
    "height",
    "railroad",
    "owner",
    "home",
    "assigned",
    "grade",
    "light",
    "capacity",
    "years",
    "color",
    "load",
    "visits",
    "bad_order",
    "stands",
    "was",
    "note",
    "state",
    "since",
    "until",
];

/// A car.
pub(in crate::layout::read) fn car(mut fields: Fields<'_, '_>) -> SaidCar {
    let (marked, mark) = (fields.has("mark"), fields.read("mark", mark));
    SaidCar {
        span: fields.span(),
        mark,
        number: if marked { fields.need("number", marked_number) } else { fields.need("number", uic_number) },
        kind: fields.need("type", name),
        length: fields.read("length", length),
        height: fields.read("height", length),
        railroad: fields.read("railroad", name),
        owner: fields.read("owner", text),
        home: fields.read("home", name),
        assigned: fields.read("assigned", name),
        grade: fields.read("grade", |node| word(node, &Grade::WORDS)),
        light: fields.read("light", tons),
        capacity: fields.read("capacity", tons),
        years: fields.read("years", years),
        color: fields.read("color", text),
        look: fields.read("load", look),
        visits: fields.read("visits", visits),
        bad_order: fields.read("bad_order", truth),
        stands: fields.read("stands", name),
        was: fields.list("was", text),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}
