//! What a template may use. `docs/forms.md` lists it; a test holds both together.

use std::collections::BTreeMap;

use minijinja::value::{Serde, Value};
use serde::Serialize;

use super::{Format, Look, style};
use crate::ids::Id;
use crate::layout::Layout;
use crate::paper::sheet::{Block, Sheet};
use crate::paper::words::Words;
use crate::session::plan::Plan;

const SCRIPT: &str = include_str!("../forms/ticks.js");

/// What a host's template may ask for besides the sheet: the whole plan, and the names of things.
#[derive(Debug)]
pub(super) struct Beside {
    plan: Value,
    names: Value,
}

/// Names by id.
#[derive(Debug, Serialize)]
struct Titles<'a> {
    commodity: BTreeMap<&'a Id, &'a str>,
    customer: BTreeMap<&'a Id, &'a str>,
    gateway: BTreeMap<&'a Id, &'a str>,
    job: BTreeMap<&'a Id, &'a str>,
    place: BTreeMap<&'a Id, &'a str>,
    railroad: BTreeMap<&'a Id, &'a str>,
    spot: BTreeMap<&'a Id, &'a str>,
    track: BTreeMap<&'a Id, &'a str>,
}

impl Beside {
    pub(super) fn new(plan: &Plan, layout: &Layout) -> Self {
        let titles = Titles {
            commodity: layout.commodities().values().map(|it| (&it.id, &*it.name)).collect(),
            customer: layout.industries().values().map(|it| (&it.id, &*it.name)).collect(),
            gateway: layout.gateways().values().map(|it| (&it.id, &*it.name)).collect(),
            job: layout.jobs().values().map(|it| (&it.id, &*it.name)).collect(),
            place: layout.places().values().map(|it| (&it.id, &*it.title)).collect(),
            railroad: layout.railroads().values().map(|it| (&it.id, &*it.name)).collect(),
            spot: layout.spots().values().map(|it| (&it.id, &*it.name)).collect(),
            track: layout.tracks().values().map(|it| (&it.id, &*it.name)).collect(),
        };
        Beside { plan: Value::from(Serde(plan)), names: Value::from(Serde(&titles)) }
    }
}

/// The head of a sheet.
#[derive(Debug, Serialize)]
struct Head<'a> {
    name: &'a str,
    form: &'static str,
    job: Option<&'a Id>,
    kind: &'a str,
    title: &'a str,
    whose: &'a str,
    when: String,
    metric: bool,
}

/// One part of a sheet: a heading and all below it.
#[derive(Debug, Serialize)]
struct Part<'a> {
    name: String,
    heading: String,
    laid: Value,
    /// What it says, before it is laid out: for the host's templates only, since it costs time.
    #[serde(skip_serializing_if = "Option::is_none")]
    blocks: Option<&'a [Block]>,
}

pub(super) fn of(
    sheet: &Sheet,
    laid: Vec<String>,
    format: Format,
    look: Look,
    words: &Words,
    beside: Option<&Beside>,
) -> Value {
    let parts: Vec<Value> = sheet
        .parts()
        .into_iter()
        .zip(laid)
        .map(|(blocks, laid)| {
            let heading = match blocks.first() {
                Some(Block::Heading { words, .. }) => words.letters(&sheet.measure),
                _ => String::new(),
            };
            Value::from(Serde(Part {
                name: slug(&heading),
                heading,
                laid: Value::from_safe_string(laid),
                blocks: beside.map(|_| blocks),
            }))
        })
        .collect();
    let head = Head {
        name: &sheet.name,
        form: sheet.form,
        job: sheet.job.as_ref(),
        kind: &sheet.kind,
        title: &sheet.title,
        whose: &sheet.whose,
        when: sheet.when.to_string(),
        metric: sheet.measure.metric,
    };
    let mut values = BTreeMap::from([
        ("sheet", Value::from(Serde(head))),
        ("parts", Value::from(parts)),
        ("columns", Value::from(look.columns)),
        ("language", Value::from(&*words.shared.language())),
        ("paper", Value::from(look.size.word())),
        ("cards", Value::from(if look.duplex { "two-sided" } else { "one-sided" })),
    ]);
    if format == Format::Html {
        values.insert("style", Value::from_safe_string(style::sheet(sheet, look, words)));
        values.insert("script", Value::from_safe_string(SCRIPT.to_owned()));
    }
    if let Some(beside) = beside {
        values.insert("plan", beside.plan.clone());
        values.insert("names", beside.names.clone());
    }
    Value::from(values)
}

/// The handle of a heading: `2-northgate`; `head` for what stands before the first.
fn slug(heading: &str) -> String {
    if heading.is_empty() {
        return "head".to_owned();
    }
    let mut slug = String::with_capacity(heading.len());
    for word in heading.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()) {
        slug.push_str(if slug.is_empty() { "" } else { "-" });
        slug.push_str(word);
    }
    slug.to_lowercase()
}
