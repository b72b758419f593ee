//! The orders of a plan, by the cars that serve them.

use std::collections::BTreeMap;

use crate::ids::{Id, IndustryIx};
use crate::session::plan::{OrderLine, OrderState, Plan};

use super::Names;
use crate::paper::phrase::Phrase;

impl<'a> Names<'a> {
    /// An order in words: `no. 17, newsprint: Northgate Paper to Ashby by GLN interchange`.
    pub(in crate::paper) fn order(&self, order: &OrderLine) -> Phrase {
        let number = order.id.as_str().strip_prefix(order.lane.as_str());
        let number = number.and_then(|rest| rest.strip_prefix('#')).unwrap_or(order.id.as_str());
        let (from, to) = (self.bound(&order.from), self.bound(&order.to));
        self.words.shared.order(number, self.lading_name(&order.commodity), from, to)
    }

    /// What the plan says, with orders in words for their ids.
    pub(in crate::paper) fn told(&self, said: &str) -> String {
        let named = |text: String, order: &&OrderLine| {
            if holds(&text, order.id.as_str()) {
                text.replace(order.id.as_str(), &self.order(order).text())
            } else {
                text
            }
        };
        let known = said.contains('#').then(|| self.orders.values().copied().rev()).into_iter().flatten();
        known.fold(said.to_owned(), |text, order| named(text, &order))
    }

    /// The order that a car serves.
    pub(in crate::paper) fn order_now(&self, car: &Id) -> Option<&'a OrderLine> {
        let trip = self.trip(car).and_then(|trip| trip.order.as_ref());
        trip.and_then(|order| self.orders.get(order)).or_else(|| self.filled.get(car)).copied()
    }

    /// The order that a car serves, or for which it stands where it has just been unloaded.
    pub(in crate::paper) fn order_of(&self, car: &Id) -> Option<&'a OrderLine> {
        self.order_now(car).or_else(|| self.ended.get(car).copied())
    }

    /// The customers at the ends of an order's lane.
    pub(in crate::paper) fn customers_of_order(&self, order: &OrderLine) -> &[IndustryIx] {
        self.lane_ends.get(&order.lane).map_or(&[], Vec::as_slice)
    }
}

/// Whether a text holds an id. Most texts hold none of many: the id is looked for round the signs that ids of orders have.
fn holds(text: &str, id: &str) -> bool {
    let Some((before, after)) = id.split_once('#') else { return text.contains(id) };
    text.match_indices('#').any(|(at, _)| text[..at].ends_with(before) && text[at + 1..].starts_with(after))
}

/// The orders in such a state, by their cars.
pub(super) fn by_car(plan: &Plan, state: impl Fn(OrderState) -> bool) -> BTreeMap<&Id, &OrderLine> {
    let orders = plan.orders.iter().filter(|order| state(order.state));
    orders.filter_map(|order| Some((order.car.as_ref()?, order))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_found_wherever_it_stands() {
        let text = "for coal#12, and iron #3";
        assert!(holds(text, "coal#12") && holds(text, "coal#1") && holds(text, "iron #3"));
        assert!(!holds(text, "coal#3") && !holds(text, "coal#2") && !holds(text, "pig iron #3"));
        assert!(holds("an id without the sign", "without"));
    }
}
