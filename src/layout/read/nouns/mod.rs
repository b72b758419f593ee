//! One function a noun: which keys it has, which must be there, and what kind of value each is.

mod ground;
mod rolling;
mod settings;
mod traffic;
mod work;

pub(super) use ground::{link, place, railroad, track};
pub use rolling::CAR_KEYS;
pub(super) use rolling::{car, kind};
pub(super) use settings::{layout, pace, placards};
pub(super) use traffic::{commodity, gateway, industry, lane};
pub(super) use work::job;

use super::fields::Fields;
use super::node::{Node, Read, text, word};
use super::quantity::{count, date, length, tons};
use super::said::{SaidExistence, SaidLimits};
use crate::layout::model::State;

/// `state`, `since`, `until`, which everything that can exist has.
fn existence(fields: &mut Fields<'_, '_>) -> SaidExistence {
    const WORDS: [(&str, State); 2] = [("planned", State::Planned), ("out of service", State::OutOfService)];
    SaidExistence {
        state: fields.read("state", |node| word(node, &WORDS)).map(|state| state.value),
        since: fields.read("since", date),
        until: fields.read("until", date),
    }
}

/// `max_car`, `max_height`, `max_weight`, `max_cars`.
fn limits(fields: &mut Fields<'_, '_>) -> SaidLimits {
    SaidLimits {
        car: fields.read("max_car", length),
        height: fields.read("max_height", length),
        weight: fields.read("max_weight", tons),
        at_once: fields.read("max_cars", count),
    }
}

/// A name of something else, resolved by `check`.
fn name(node: Node<'_>) -> Read<Box<str>> {
    text(node)
}
