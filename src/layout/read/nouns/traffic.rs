//! `[industry.ID]`, `[gateway.ID]`, `[commodity.ID]`, `[[lane]]`.

use super::{existence, name};
use crate::layout::codes;
use crate::layout::model::{GatewayKind, Grade, Service};
use crate::layout::read::fields::{Fields, Name};
use crate::layout::read::node::{Node, Read, id_value, text, truth, whole, word};
use crate::layout::read::quantity::{count, odds, rate, season, span, tons, weekdays};
use crate::layout::read::said::{
    SaidCommodity, SaidFreeTime, SaidGateway, SaidHandled, SaidIndustry, SaidLane,
};
use crate::layout::sink::Wrong;

/// The most that a running total may stray, and the most carloads in one set.
const MOST_IN_A_SET: u32 = 1_000;

/// `[industry.ID]`.
pub(in crate::layout::read) fn industry(id: Name, mut fields: Fields<'_, '_>) -> SaidIndustry {
    SaidIndustry {
        id,
        name: fields.need("name", text),
        place: fields.need("place", name),
        works: fields.read("works", weekdays),
        ships: handled(&mut fields, "ships"),
        receives: handled(&mut fields, "receives"),
        served_by: fields.list("served_by", name),
        in_turn: fields.read("in_turn", truth),
        limit: fields.read("limit", count),
        shut: fields.read("shut", truth),
        unfinished: fields.read("unfinished", odds),
        was: fields.list("was", id_value),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}

fn handled(fields: &mut Fields<'_, '_>, key: &'static str) -> Vec<SaidHandled> {
    let keyed = fields.keyed(key);
    keyed
        .into_iter()
        .map(|(commodity, node, span)| {
            let spots = fields.list_in(&format!("{key}.{}", commodity.value), node, span, name);
            (commodity, spots)
        })
        .collect()
}

/// `[gateway.ID]`.
pub(in crate::layout::read) fn gateway(id: Name, mut fields: Fields<'_, '_>) -> SaidGateway {
    SaidGateway {
        id,
        name: fields.need("name", text),
        kind: fields.need("kind", |node| word(node, &GatewayKind::WORDS)),
        takes: fields.need_list("takes", name),
        gives: fields.need_list("gives", name),
        beyond: fields.list("beyond", city),
        was: fields.list("was", id_value),
        railroad: fields.read("railroad", name),
        back: fields.read("back", span),
        limit: fields.read("limit", count),
        note: fields.read("note", text),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}

/// A city may have blanks, but must be found again in `gateway/city`.
fn city(node: Node<'_>) -> Read<Box<str>> {
    let words = text(node)?;
    if words.contains(['/', '#', '>']) {
        return Err(Wrong::new(codes::BAD_ID, format!("`{words}` cannot be the name of a city"))
            .help("leave `/`, `#` and `>` out of it"));
    }
    Ok(words)
}

/// `[commodity.ID]`.
pub(in crate::layout::read) fn commodity(id: Name, mut fields: Fields<'_, '_>) -> SaidCommodity {
    SaidCommodity {
        id,
        name: fields.read("name", text),
        cars: fields.need_list("cars", name),
        grade: fields.read("grade", |node| word(node, &Grade::WORDS)),
        clean: fields.read("clean", truth),
        soils: fields.read("soils", truth),
        placard: fields.read("placard", |node| whole(node, 1, 4)),
        tons: fields.read("tons", tons),
        perishable: fields.read("perishable", truth),
        shifts: fields.read("shifts", truth),
        stcc: fields.read("stcc", stcc),
        was: fields.list("was", id_value),
        sound: fields.finish(),
    }
}

/// A number of the Standard Transportation Commodity Code: two to seven figures.
fn stcc(node: Node<'_>) -> Read<Box<str>> {
    let words = text(node)?;
    let figures = words.bytes().filter(u8::is_ascii_digit).count();
    let plain = words.bytes().all(|byte| byte.is_ascii_digit() || byte == b' ');
    if plain && (2..=7).contains(&figures) {
        Ok(words)
    } else {
        Err(Wrong::new(
            codes::OUT_OF_BOUNDS,
            format!("expected two to seven figures such as `26 211`, found `{words}`"),
        ))
    }
}

/// `[[lane]]`.
pub(in crate::layout::read) fn lane(mut fields: Fields<'_, '_>) -> SaidLane {
    let season = fields.inner("season", |inner| {
        let (first, last) = (inner.need("first", season), inner.need("last", season));
        Some((first?.value, last?.value))
    });
    let free_time = fields.inner("free_time", |inner| SaidFreeTime {
        load: inner.read("load", span),
        unload: inner.read("unload", span),
        ..SaidFreeTime::default()
    });
    SaidLane {
        span: fields.span(),
        // A lane's usual id has blanks in it, so its own may have them too.
        id: fields.read("id", text),
        was: fields.list("was", text),
        commodity: fields.need("commodity", name),
        from: fields.need("from", name),
        to: fields.need("to", name),
        carloads: fields.need("carloads", rate),
        spread: fields.read("spread", |node| whole(node, 0, MOST_IN_A_SET)),
        together: fields.read("together", |node| whole(node, 1, MOST_IN_A_SET)),
        load: fields.read("load", span),
        unload: fields.read("unload", span),
        free_time: free_time.unwrap_or_default(),
        on_the_way: fields.list("on_the_way", |node| word(node, &Service::WORDS)),
        season: season.flatten(),
        gap: fields.read("gap", span),
        cancel_after: fields.read("cancel_after", span),
        promised: fields.read("promised", truth),
        cars: fields.list("cars", name),
        existence: existence(&mut fields),
        sound: fields.finish(),
    }
}
