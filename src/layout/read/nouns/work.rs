//! `[job.ID]`.

use toml::de::DeValue;

use super::{existence, name};
use crate::diag::Span;
use crate::layout::model::JobKind;
use crate::layout::read::fields::{Fields, Name};
use crate::layout::read::node::{Node, id_value, text, truth, whole, word};
use crate::layout::read::quantity::{clock, count, length, tons};
use crate::layout::read::said::{SaidCall, SaidJob, SaidMeet};

/// The highest number in the order in which jobs are dropped.
const LAST_DROPPED: u32 = 1_000;

/// `[job.ID]`.
pub(in crate::layout::read) fn job(id: Name, mut fields: Fields<'_, '_>) -> SaidJob {
    let max = fields
        .inner("max", |max| (max.read("cars", count), max.read("length", length), max.read("tons", tons)));
    let (max_cars, max_length, max_tons) = max.unwrap_or_default();
    SaidJob {
        id,
        name: fields.read("name", text),
        railroad: fields.need("railroad", name),
        kind: fields.read("kind", |node| word(node, &JobKind::WORDS)),
        calls: calls(&mut fields),
        on_duty: fields.read("on_duty", clock),
        after: fields.list("after", name),
        meets: meets(&mut fields),
        max_cars,
        max_length,
        max_tons,
        power: fields.read("power", length),
        engine: fields.read("engine", text),
        caboose: fields.read("caboose", truth),
        crew: fields.read("crew", |node| whole(node, 1, 2)),
        drop: fields.read("drop", |node| whole(node, 0, LAST_DROPPED)),
        was: fields.list("was", id_value),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}

fn calls(fields: &mut Fields<'_, '_>) -> Vec<SaidCall> {
    let items = fields.need_items("calls");
    items.into_iter().filter_map(|(node, span)| call(fields, node, span)).collect()
}

fn meets(fields: &mut Fields<'_, '_>) -> Vec<SaidMeet> {
    let items = fields.items("meets");
    items.into_iter().filter_map(|(node, span)| meet(fields, node, span)).collect()
}

/// A meet: a job alone, or a table that says where.
fn meet<'a>(fields: &mut Fields<'a, '_>, node: Node<'a>, span: Span) -> Option<SaidMeet> {
    if !matches!(node, Node::Value(DeValue::Table(_))) {
        let with = fields.read_item("meets", node, span, name)?;
        return Some(SaidMeet { with, at: Vec::new() });
    }
    let meet = fields.within("this meet".to_owned(), "meets", node, span, |meet| {
        let (with, at) = (meet.need("with", name), meet.list("at", name));
        with.map(|with| SaidMeet { with, at })
    });
    meet.flatten()
}

/// A call: a place alone, or a table that says more.
fn call<'a>(fields: &mut Fields<'a, '_>, node: Node<'a>, span: Span) -> Option<SaidCall> {
    if !matches!(node, Node::Value(DeValue::Table(_))) {
        let at = fields.read_item("calls", node, span, name)?;
        return Some(SaidCall { at, tracks: Vec::new(), time: None });
    }
    let call = fields.within("this call".to_owned(), "calls", node, span, |call| {
        let (at, tracks, time) = (call.need("at", name), call.list("tracks", name), call.read("time", clock));
        at.map(|at| SaidCall { at, tracks, time })
    });
    call.flatten()
}
