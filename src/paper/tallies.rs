//! What is counted on the host's page: the kinds of car that orders asked for, and the gateways.

use crate::ids::Id;

use super::names::Names;
use super::phrase::Phrase;
use super::sheet::{Block, Column, Group, Row, Table};

/// The kinds of car that orders asked for tonight: how many, and how many got one.
pub(super) fn kinds(names: &Names<'_>) -> Block {
    if names.plan.kinds.is_empty() {
        return Block::Say(Phrase::of("No order asks for a car."));
    }
    let rows = names.plan.kinds.iter().map(|line| {
        let codes = line.kinds.iter().map(Id::as_str).collect::<Vec<_>>().join(" or ");
        let unfilled = Phrase::of(line.unfilled.to_string());
        let counts = [line.ordered, line.filled, line.held].map(|count| Phrase::of(count.to_string()));
        let unfilled = if line.unfilled > 0 { Phrase::strong(line.unfilled.to_string()) } else { unfilled };
        let row = Row::new([Phrase::of(codes)].into_iter().chain(counts).chain([unfilled]));
        if line.why.is_empty() { row } else { row.with(Phrase::of(line.why.join("; "))) }
    });
    let columns = vec![
        Column::rest("Kind"),
        Column::number("Ordered"),
        Column::number("Filled"),
        Column::number("Held"),
        Column::number("Unfilled"),
    ];
    Block::Table(Table {
        columns,
        second_line: 0,
        groups: vec![Group { rows: rows.collect(), ..Group::default() }],
    })
}

/// What every gateway brought and took, and what stands on its tracks.
pub(super) fn gateways(names: &Names<'_>) -> Block {
    if names.plan.gateways.is_empty() {
        return Block::Say(Phrase::of("The layout has no gateway."));
    }
    let rows = names.plan.gateways.iter().map(|line| {
        let oldest = line.oldest.as_ref().map_or_else(Phrase::default, |oldest| {
            Phrase::of(&oldest.car).then(match oldest.since {
                since if since < 1 => ", since before".to_owned(),
                since => format!(", session {since}"),
            })
        });
        let both = |tonight: u32, in_all: u32| Phrase::of(format!("{tonight} / {in_all}"));
        Row::new([
            Phrase::of(names.gateway_name(&line.gateway)),
            both(line.received, line.received_in_all),
            both(line.delivered, line.delivered_in_all),
            Phrase::of(format!("{:+}", line.net)),
            Phrase::of(line.standing.to_string()),
            oldest,
        ])
    });
    let columns = vec![
        Column::rest("Tonight / in all"),
        Column::number("Received"),
        Column::number("Delivered"),
        Column::number("Net"),
        Column::number("Standing"),
        Column::fit("Oldest"),
    ];
    Block::Table(Table::plain(columns, rows.collect()))
}
