//! Where every car is, and in what state.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::ids::Id;

/// Where every car is.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rows {
    /// The cars on each track, from west to east; tracks with no car are left out.
    pub tracks: BTreeMap<Id, Vec<RowCar>>,
    /// The cars beyond each gateway, in order of their ids.
    pub beyond: BTreeMap<Id, Vec<RowCar>>,
    /// The cars on the shelf.
    pub shelf: Vec<RowCar>,
    /// The orders that are not done, in the order in which they came due.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub orders: Vec<OpenOrder>,
}

/// An order that is not done.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct OpenOrder {
    /// The order.
    pub id: Id,
    /// The car that serves it, if it has one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub car: Option<Id>,
}

/// A car in a row.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct RowCar {
    /// The car.
    pub car: Id,
    /// The spot it stands at, if it stands at one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub spot: Option<Id>,
    /// What is in it, if it is loaded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lading: Option<Id>,
    /// Whether it must be repaired before it is loaded.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub bad_order: bool,
    /// Whether its last load left it dirty.
    #[serde(skip_serializing_if = "super::is_false", default)]
    pub dirty: bool,
}
