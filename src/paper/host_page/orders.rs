//! What became of every order: a line each, with its reason where it waits or is cancelled.

use crate::session::plan::OrderState;

use super::super::names::Names;
use super::super::phrase::Phrase;
use super::super::sheet::{Block, Column, Group, Row, Table};

/// The orders by their states, those that need the host first.
pub(super) fn table(names: &Names<'_>) -> Block {
    let (words, shared) = (&names.words.host_page, &names.words.shared);
    let states = [
        (OrderState::Waiting, words.orders_waiting()),
        (OrderState::Cancelled, words.orders_cancelled()),
        (OrderState::Filled, words.orders_filled()),
        (OrderState::Done, words.orders_done()),
    ];
    let mut groups = Vec::new();
    for (state, title) in states {
        let orders = names.plan.orders.iter().filter(|order| order.state == state);
        let rows: Vec<Row> = orders
            .map(|order| {
                let car = order.car.as_ref().map_or_else(Phrase::default, Phrase::of);
                let lading = names.lading_name(&order.commodity);
                let what = words.order(lading, names.bound(&order.from), names.bound(&order.to));
                let row = Row::new([car, due(names, order.due), what]);
                // What has a car is told by its card.
                match state {
                    OrderState::Waiting | OrderState::Cancelled => row.with(names.why(order)),
                    OrderState::Filled | OrderState::Done => row,
                }
            })
            .collect();
        if !rows.is_empty() {
            let head = Phrase::strong(title).then(format!(" ({})", rows.len()));
            groups.push(Group { head, rows, foot: Phrase::default() });
        }
    }
    if groups.is_empty() {
        return Block::Say(words.no_orders());
    }
    let columns = vec![
        Column::fit(shared.head_car()),
        Column::number(words.head_due()),
        Column::rest(words.head_order()),
    ];
    Block::Table(Table { columns, second_line: 2, groups })
}

/// The session in which an order came due; those before the first only ran the railroad in.
fn due(names: &Names<'_>, session: i32) -> Phrase {
    if session < 1 { Phrase::of(names.words.host_page.due_before()) } else { Phrase::of(session.to_string()) }
}
