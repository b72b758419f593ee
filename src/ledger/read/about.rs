//! What a line of `[cars]` says a car is about.

use super::super::names::Names;
use super::super::walk::Value;
use super::Reader;
use crate::ids::{CarIx, Id};
use crate::standing::Condition;

impl<'t> Reader<'t> {
    pub(super) fn about(&mut self, car: CarIx, value: &'t Value<'t>) {
        let (mut is, mut order, mut lading, mut ready) = ("", None, None, None);
        let place = value.span().start;
        let mut state = self.standing.car(car).clone();
        state.bad_order = false;
        // What a lane that is gone carried may be gone with it.
        let ended = self.ended_order(value);
        for (key, place, value) in self.walk.entries(value) {
            match key {
                "is" => is = self.walk.text(value).unwrap_or_default(),
                "order" => order = self.walk.text(value).map(Id::from),
                "lading" if ended.is_some() => {
                    lading = self.walk.text(value).and_then(|name| self.names.commodities.get(name).copied());
                }
                "lading" => {
                    lading =
                        self.named(value, "commodity", |names, name| names.commodities.get(name).copied());
                }
                "ready" => ready = self.walk.number(value),
                "dirty" => state.dirty = self.walk.truth(value).unwrap_or_default(),
                "bad_order" => state.bad_order = self.walk.truth(value).unwrap_or_default(),
                "repaired" => state.repaired = self.walk.number(value),
                "unfinished" => state.unfinished = self.walk.number(value).unwrap_or_default(),
                "placed" => state.placed = self.walk.number(value),
                "services_done" => state.services_done = self.walk.number(value).unwrap_or_default(),
                "since" => state.since = self.walk.number(value).unwrap_or_default(),
                "waiting_since" => state.waiting_since = self.walk.number(value),
                "came_by" => {
                    state.came_by =
                        self.named(value, "gateway", |names, name| names.gateways.get(name).copied());
                }
                "loads" => state.loads = self.walk.number(value).unwrap_or_default(),
                // A lane that is gone has no door to come to again.
                "last" => {
                    let lane = self.walk.text(value);
                    state.last = lane.and_then(|lane| self.names.lanes.get(lane).copied());
                }
                other => self.unknown(place, other),
            }
        }
        if let Some(ended) = ended {
            self.order_ends(car, ended, is, state);
            return;
        }
        state.condition = match (is, order, lading, ready) {
            ("empty", None, None, None) => Condition::Empty,
            ("ordered", Some(order), None, None) => Condition::Ordered { order },
            ("loading", Some(order), None, Some(ready)) => Condition::Loading { order, ready },
            ("loaded", Some(order), Some(lading), None) => Condition::Loaded { order, lading },
            ("unloading", Some(order), Some(lading), Some(ready)) => {
                Condition::Unloading { order, lading, ready }
            }
            _ => {
                let text = "expected a car that is `empty`; `ordered` with its `order`; `loading` with `order` and \
                            `ready`; `loaded` with `order` and `lading`; or `unloading` with all three";
                self.walk.fault(place, text);
                Condition::Empty
            }
        };
        *self.standing.car_mut(car) = state;
    }

    fn named<T>(
        &mut self,
        value: &'t Value<'t>,
        noun: &str,
        find: impl Fn(&Names<'t>, &str) -> Option<T>,
    ) -> Option<T> {
        let name = self.walk.text(value)?;
        let found = find(&self.names, name);
        if found.is_none() {
            let text = format!("{noun} `{name}` is not in the layout: give it back, or mend this line");
            self.walk.fault(value.span().start, text);
        }
        found
    }
}
