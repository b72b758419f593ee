//! What is counted on the host's page: the kinds of car that orders asked for, and the gateways.

use crate::ids::Id;
use crate::session::plan::KindLine;

use super::names::Names;
use super::phrase::Phrase;
use super::sheet::{Block, Column, Group, Row, Table};
use super::words::{Label, in_short};

/// The kinds of car that orders asked for tonight: how many, and how many got one.
pub(super) fn kinds(names: &Names<'_>) -> Block {
    let words = &names.words.host_page;
    if names.plan.kinds.is_empty() {
        return Block::Say(words.no_kinds());
    }
    let codes = |line: &KindLine| {
        let codes = line.kinds.iter().map(|kind| kind_in_words(names, kind));
        codes.reduce(|said, kind| words.or_kind(said, kind).text()).unwrap_or_default()
    };
    let (whole, short): (Vec<&KindLine>, Vec<&KindLine>) =
        names.plan.kinds.iter().partition(|line| line.filled == line.ordered);
    let all = whole.iter().map(|line| Phrase::of(format!("{} {}", line.filled, codes(line))));
    let all = Phrase::row(all, ", ");
    if short.is_empty() {
        return Block::Say(words.all_filled(all));
    }
    let rows = short.into_iter().map(|line| {
        let codes = codes(line);
        let unfilled = Phrase::of(line.unfilled.to_string());
        let counts = [line.ordered, line.filled, line.held].map(|count| Phrase::of(count.to_string()));
        let unfilled = if line.unfilled > 0 { Phrase::strong(line.unfilled.to_string()) } else { unfilled };
        let row = Row::new([Phrase::of(codes)].into_iter().chain(counts).chain([unfilled]));
        row.with(why(names, line))
    });
    let columns = vec![
        Column::rest(words.head_kind()),
        Column::number(words.head_ordered()),
        Column::number(words.head_filled()),
        Column::number(words.head_held()),
        Column::number(words.head_unfilled()),
    ];
    let foot = if all.is_empty() { all } else { words.all_filled(all) };
    let groups = vec![Group { head: Phrase::default(), rows: rows.collect(), foot }];
    Block::Table(Table { columns, second_line: 0, groups })
}

/// Why orders of a kind are not filled.
fn why(names: &Names<'_>, line: &KindLine) -> Phrase {
    let said: Option<Vec<Phrase>> = line.told.iter().map(|told| names.say(told)).collect();
    match said {
        Some(said) if said.len() == line.why.len() => Phrase::row(said, "; "),
        _ => Phrase::of(names.told(&line.why.join("; "))),
    }
}

/// The code of a kind of car, as the roster has it, and what it means in short.
fn kind_in_words(names: &Names<'_>, code: &Id) -> String {
    let kind = names.layout.types().values().find(|kind| kind.code == *code);
    let meaning = kind.map(|kind| in_short(names.words.kinds.said(code.as_str(), &kind.meaning)));
    meaning
        .filter(|meaning| *meaning != code.as_str())
        .map_or_else(|| code.to_string(), |meaning| format!("{code} {meaning}"))
}

/// What every gateway brought and took, and what stands on its tracks, with its heading.
pub(super) fn gateways(names: &Names<'_>, title: Label) -> [Block; 2] {
    let words = &names.words.host_page;
    if names.plan.gateways.is_empty() {
        return [Block::heading(title), Block::Say(words.no_gateways())];
    }
    let rows = names.plan.gateways.iter().map(|line| {
        let oldest = line.oldest.as_ref().map_or_else(Phrase::default, |oldest| match oldest.since {
            since if since < 1 => words.since_before(&oldest.car),
            since => words.since_session(&oldest.car, since.to_string()),
        });
        let both = |tonight: u32, in_all: u32| Phrase::of(format!("{tonight} / {in_all}"));
        Row::new([
            Phrase::of(names.gateway_name(&line.gateway)),
            both(line.received, line.received_in_all),
            both(line.delivered, line.delivered_in_all),
            Phrase::of(if line.net == 0 { "0".to_owned() } else { format!("{:+}", line.net) }),
            Phrase::of(line.standing.to_string()),
            oldest,
        ])
    });
    let columns = vec![
        Column::rest(words.head_gateway()),
        Column::number(words.head_received()),
        Column::number(words.head_delivered()),
        Column::number(words.head_net()),
        Column::number(words.head_standing()),
        Column::fit(words.head_oldest()),
    ];
    let note = words.gateways_note();
    [
        Block::Heading { words: Phrase::of(title), aside: Phrase::default(), note },
        Block::Table(Table::plain(columns, rows.collect())),
    ]
}
