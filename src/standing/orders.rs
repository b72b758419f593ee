//! The orders that are not yet done, in the order in which they came due, and found by their ids.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::{Deref, DerefMut};

use super::Order;
use crate::ids::Id;

/// Open orders. They read as a list; an id once given is not changed there.
#[derive(Clone, Debug, Default)]
pub struct Orders {
    list: Vec<Order>,
    /// For each of the list, how many were added before it, ever: this grows along the list, and does not
    /// change when others leave it.
    numbers: Vec<u64>,
    by_id: BTreeMap<Id, u64>,
    added: u64,
}

impl Orders {
    /// Adds an order at the end.
    pub fn push(&mut self, order: Order) {
        self.by_id.insert(order.id.clone(), self.added);
        self.numbers.push(self.added);
        self.list.push(order);
        self.added += 1;
    }

    /// The order of an id.
    pub fn get(&self, id: &Id) -> Option<&Order> {
        self.list.get(self.place(id)?)
    }

    /// The order of an id, to be changed.
    pub fn get_mut(&mut self, id: &Id) -> Option<&mut Order> {
        let place = self.place(id)?;
        self.list.get_mut(place)
    }

    /// Takes an order off.
    pub fn remove(&mut self, id: &Id) -> Option<Order> {
        let place = self.place(id)?;
        self.by_id.remove(id);
        self.numbers.remove(place);
        Some(self.list.remove(place))
    }

    /// Takes many orders off in one pass; those that are there.
    pub fn remove_all(&mut self, ids: &[Id]) {
        let gone: BTreeSet<u64> = ids.iter().filter_map(|id| self.by_id.remove(id)).collect();
        if gone.is_empty() {
            return;
        }
        let stays: Vec<bool> = self.numbers.iter().map(|number| !gone.contains(number)).collect();
        let mut place = stays.iter();
        self.list.retain(|_| *place.next().expect("there is one for each"));
        let mut place = stays.iter();
        self.numbers.retain(|_| *place.next().expect("there is one for each"));
    }

    /// Keeps those of which this is true.
    pub fn retain(&mut self, mut keep: impl FnMut(&Order) -> bool) {
        let before = std::mem::take(self);
        before.list.into_iter().filter(|order| keep(order)).for_each(|order| self.push(order));
    }

    fn place(&self, id: &Id) -> Option<usize> {
        self.numbers.binary_search(self.by_id.get(id)?).ok()
    }
}

impl Deref for Orders {
    type Target = [Order];

    fn deref(&self) -> &[Order] {
        &self.list
    }
}

impl DerefMut for Orders {
    fn deref_mut(&mut self) -> &mut [Order] {
        &mut self.list
    }
}

impl<'o> IntoIterator for &'o Orders {
    type Item = &'o Order;
    type IntoIter = std::slice::Iter<'o, Order>;

    fn into_iter(self) -> Self::IntoIter {
        self.list.iter()
    }
}

impl PartialEq for Orders {
    fn eq(&self, other: &Self) -> bool {
        self.list == other.list
    }
}

impl Eq for Orders {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{Ix, LaneIx};

    fn order(number: u32) -> Order {
        let id = Id::from(format!("coal#{number}"));
        Order { id, lane: LaneIx::new(0), due: 1, set: number, car: None }
    }

    #[test]
    fn an_order_is_found_by_its_id_whatever_left_the_list_before() {
        let mut orders = Orders::default();
        for number in [4, 9, 1, 7, 3] {
            orders.push(order(number));
        }
        assert_eq!(orders.remove(&order(9).id), Some(order(9)));
        assert_eq!(orders.remove(&order(9).id), None);
        orders.remove_all(&[order(9).id]);
        orders.push(order(9));
        orders.retain(|order| order.set != 7);
        assert_eq!(orders.iter().map(|order| order.set).collect::<Vec<_>>(), [4, 1, 3, 9]);
        assert!([4, 1, 3, 9].iter().all(|number| orders.get(&order(*number).id) == Some(&order(*number))));
        assert_eq!((orders.get(&order(7).id), orders.len()), (None, 4));
    }
}
