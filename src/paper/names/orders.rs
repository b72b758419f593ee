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
            if text.contains(order.id.as_str()) {
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

/// The orders in such a state, by their cars.
pub(super) fn by_car(plan: &Plan, state: impl Fn(OrderState) -> bool) -> BTreeMap<&Id, &OrderLine> {
    let orders = plan.orders.iter().filter(|order| state(order.state));
    orders.filter_map(|order| Some((order.car.as_ref()?, order))).collect()
}
