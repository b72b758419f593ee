//! Handles and indices.
//!
//! An [`Id`] is the host's own handle: text, stable, seen in files and messages. Inside, every
//! noun has an index of its own (`TrackIx`, `CarIx`, …), minted once by `layout`, so that a track
//! can never be looked up among the cars. [`IxVec`] is a vector that takes only its own index.

use std::fmt;
use std::marker::PhantomData;
use std::ops::{Index, IndexMut};
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The host's handle of a thing: `harbor`, `harbor/2`, `CHT 1234`. A plan names every car and track many
/// times: all copies share one text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(Arc<str>);

impl Id {
    /// Takes a handle as it is written.
    pub fn new(text: impl Into<Arc<str>>) -> Self {
        Id(text.into())
    }

    /// The handle as written.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.0, f)
    }
}

impl Serialize for Id {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer).map(Id::from)
    }
}

impl From<&str> for Id {
    fn from(text: &str) -> Self {
        Id::new(text)
    }
}

impl From<String> for Id {
    fn from(text: String) -> Self {
        Id::new(text)
    }
}

/// An index of one noun.
pub trait Ix: Copy + Ord + fmt::Debug {
    /// The index at a place in its table.
    fn new(place: usize) -> Self;
    /// The place in its table.
    fn place(self) -> usize;
}

macro_rules! indices {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(u32);

        impl Ix for $name {
            fn new(place: usize) -> Self {
                $name(u32::try_from(place).expect("a table never grows beyond four billion rows"))
            }

            fn place(self) -> usize {
                usize::try_from(self.0).expect("usize holds at least 32 bits on every machine built for")
            }
        }
    )*};
}

indices! {
    /// A railroad of the layout.
    RailroadIx;
    /// A place: yard, district, siding.
    PlaceIx;
    /// A track at a place.
    TrackIx;
    /// A car position on a track.
    SpotIx;
    /// A customer.
    IndustryIx;
    /// An edge of the modelled world.
    GatewayIx;
    /// A kind of lading.
    CommodityIx;
    /// A kind of car.
    TypeIx;
    /// A stream of carloads.
    LaneIx;
    /// A job.
    JobIx;
    /// A connection between two places.
    LinkIx;
    /// A car of the roster.
    CarIx;
    /// An order of the session in hand.
    OrderIx;
    /// A call in the session's row of calls.
    CallIx;
}

/// A vector that is read only through its own index.
#[derive(Clone, PartialEq, Eq)]
pub struct IxVec<I, T> {
    items: Vec<T>,
    index: PhantomData<fn(I) -> I>,
}

impl<I: Ix, T> IxVec<I, T> {
    /// An empty vector.
    pub fn new() -> Self {
        IxVec { items: Vec::new(), index: PhantomData }
    }

    /// A vector of `len` copies of a value.
    pub fn filled(value: T, len: usize) -> Self
    where
        T: Clone,
    {
        IxVec::from(vec![value; len])
    }

    /// Appends, and tells the new item's index.
    pub fn push(&mut self, item: T) -> I {
        self.items.push(item);
        I::new(self.items.len() - 1)
    }

    /// How many items there are.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// The items with their indices, in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (I, &T)> + DoubleEndedIterator + '_ {
        self.items.iter().enumerate().map(|(place, item)| (I::new(place), item))
    }

    /// The items alone, in order.
    pub fn values(&self) -> std::slice::Iter<'_, T> {
        self.items.iter()
    }

    /// The items alone, in order, to be changed.
    pub fn values_mut(&mut self) -> std::slice::IterMut<'_, T> {
        self.items.iter_mut()
    }

    /// All indices, in order.
    pub fn indices(&self) -> impl ExactSizeIterator<Item = I> + DoubleEndedIterator + use<I, T> {
        (0..self.items.len()).map(I::new)
    }

    /// The item at an index, if there is one.
    pub fn get(&self, index: I) -> Option<&T> {
        self.items.get(index.place())
    }
}

impl<I: Ix, T> Default for IxVec<I, T> {
    fn default() -> Self {
        IxVec::new()
    }
}

impl<I, T> From<Vec<T>> for IxVec<I, T> {
    fn from(items: Vec<T>) -> Self {
        IxVec { items, index: PhantomData }
    }
}

impl<I: Ix, T> FromIterator<T> for IxVec<I, T> {
    fn from_iter<It: IntoIterator<Item = T>>(items: It) -> Self {
        IxVec::from(items.into_iter().collect::<Vec<_>>())
    }
}

impl<I: Ix, T> Index<I> for IxVec<I, T> {
    type Output = T;

    fn index(&self, index: I) -> &T {
        &self.items[index.place()]
    }
}

impl<I: Ix, T> IndexMut<I> for IxVec<I, T> {
    fn index_mut(&mut self, index: I) -> &mut T {
        &mut self.items[index.place()]
    }
}

impl<I, T: fmt::Debug> fmt::Debug for IxVec<I, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.items, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_index_finds_what_was_pushed_under_it() {
        let mut tracks: IxVec<TrackIx, &str> = IxVec::new();
        let one = tracks.push("lead");
        let two = tracks.push("mill");
        assert_eq!((tracks[one], tracks[two]), ("lead", "mill"));
        assert_eq!(tracks.indices().collect::<Vec<_>>(), [one, two]);
    }
}
