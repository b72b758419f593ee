//! Cars.

use std::collections::BTreeMap;

use super::{Context, existence, prototype, text, value, yes};
use crate::diag::Span;
use crate::ids::{Id, IxVec, RailroadIx};
use crate::layout::check::names::car_id;
use crate::layout::codes;
use crate::layout::model::{Car, FixedLoad, LoadLook, Railroad, Visits};
use crate::layout::read::{Look, SaidCar};
use crate::layout::sink::{Sink, Wrong};

/// Whose cars bear which mark.
#[derive(Debug)]
pub(super) struct Marks {
    railroads: BTreeMap<Box<str>, RailroadIx>,
}

impl Marks {
    /// The marks of all railroads; no two share one.
    pub(super) fn new(
        context: &Context<'_, '_>,
        railroads: &IxVec<RailroadIx, Railroad>,
        sink: &mut Sink,
    ) -> Self {
        let mut marks: BTreeMap<Box<str>, RailroadIx> = BTreeMap::new();
        for (index, railroad) in railroads.iter() {
            for mark in &railroad.marks {
                match marks.get(mark) {
                    Some(first) if *first != index => {
                        let wrong = Wrong::new(
                            codes::SAME_MARK,
                            format!(
                                "`{mark}` is the mark of two railroads, `{}` and `{}`",
                                railroads[*first].id, railroad.id
                            ),
                        )
                        .help("a mark belongs to one railroad: take it out of `marks` of the other");
                        let there = mark_span(context, *first, mark);
                        sink.push(wrong.at(mark_span(context, index, mark)).label(there, "it is taken here"));
                    }
                    Some(_) => {}
                    None => {
                        marks.insert(mark.clone(), index);
                    }
                }
            }
        }
        Marks { railroads: marks }
    }
}

fn mark_span(context: &Context<'_, '_>, railroad: RailroadIx, mark: &str) -> Span {
    let said = context.names.railroads.said(railroad);
    said.marks.iter().find(|known| *known.value == *mark).map_or(said.id.span, |known| known.span)
}

/// A car.
pub(super) fn car(
    context: &Context<'_, '_>,
    railroads: &IxVec<RailroadIx, Railroad>,
    marks: &Marks,
    said: &SaidCar,
    sink: &mut Sink,
) -> Car {
    let names = context.names;
    let kind_found = said.kind.as_ref().and_then(|kind| context.types.find(kind, sink));
    let kind_index = super::or_first(kind_found);
    let kind = context.types.kind(kind_index);
    if let Some(number) = said.number.as_ref().filter(|number| number.value.zeros) {
        let figures = &number.value.figures;
        let wrong = Wrong::new(codes::LEADING_ZEROS, format!("the zeros before `{figures}` are taken off"))
            .help(format!("write `{figures}`: numbers are lettered without leading zeros"));
        sink.wrong(number.span, wrong);
    }
    let mark = text(&said.mark).unwrap_or_default();
    let railroad = match &said.railroad {
        Some(railroad) => names.railroads.find(railroad, sink),
        None => marks.railroads.get(&mark).copied(),
    };
    let home = match &said.home {
        Some(gateway) => names.gateways.find(gateway, sink),
        None => railroad.and_then(|railroad| railroads[railroad].beyond),
    };
    let usual_look = if kind.open { LoadLook::LiftsOut } else { LoadLook::Hidden };
    Car {
        id: Id::new(car_id(said).unwrap_or_default()),
        mark,
        number: said.number.as_ref().map(|number| number.value.figures.clone()).unwrap_or_default(),
        kind: kind_index,
        length: prototype(&said.length, sink).unwrap_or(kind.length),
        height: prototype(&said.height, sink),
        railroad,
        owner: text(&said.owner),
        home,
        assigned: said.assigned.as_ref().and_then(|industry| names.industries.find(industry, sink)),
        grade: value(&said.grade).unwrap_or_default(),
        light: value(&said.light).unwrap_or(kind.light),
        capacity: value(&said.capacity).unwrap_or(kind.capacity),
        years: value(&said.years).unwrap_or((None, None)),
        color: text(&said.color),
        look: look(context, said, sink).unwrap_or(usual_look),
        visits: Visits { one_in: value(&said.visits).unwrap_or(1) },
        bad_order: yes(&said.bad_order),
        stands: said.stands.as_ref().and_then(|track| names.tracks.find(track, sink)),
        note: text(&said.note),
        existence: existence(&said.existence, sink),
    }
}

fn look(context: &Context<'_, '_>, said: &SaidCar, sink: &mut Sink) -> Option<LoadLook> {
    let look = said.look.as_ref()?;
    Some(match &look.value {
        Look::Hidden => LoadLook::Hidden,
        Look::LiftsOut => LoadLook::LiftsOut,
        Look::Fixed(None) => LoadLook::Fixed(FixedLoad { commodity: None }),
        Look::Fixed(Some(commodity)) => {
            let name = crate::layout::read::Placed { value: commodity.clone(), span: look.span };
            LoadLook::Fixed(FixedLoad { commodity: context.names.commodities.find(&name, sink) })
        }
    })
}
