//! Customers: `[industry.ID]`.

use super::{Existence, Odds, SpotTarget};
use crate::ids::{CommodityIx, Id, PlaceIx, RailroadIx};
use crate::units::{Cars, Weekdays};

/// A customer: what it ships and receives, where, and on which days.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Industry {
    /// Its id.
    pub id: Id,
    /// `name`.
    pub name: Box<str>,
    /// `place`: where its spots are.
    pub place: PlaceIx,
    /// `works`: the days on which it loads and unloads.
    pub works: Weekdays,
    /// `ships.COMMODITY`: the spots where each is loaded, in order of preference.
    pub ships: Vec<(CommodityIx, Vec<SpotTarget>)>,
    /// `receives.COMMODITY`: the spots where each is unloaded, in order of preference.
    pub receives: Vec<(CommodityIx, Vec<SpotTarget>)>,
    /// `served_by`: the railroads whose jobs bring its cars; those that work its tracks, if empty.
    pub served_by: Vec<RailroadIx>,
    /// `in_turn`: it takes cars in the order of their arrival.
    pub in_turn: bool,
    /// `limit`: the most cars it takes in one session.
    pub limit: Option<Cars>,
    /// `shut`: on days on which it does not work, no car is brought to it.
    pub shut: bool,
    /// `unfinished`: how often it is not done with a car in its time.
    pub unfinished: Odds,
    /// `note`: a line for the paper.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}

impl Industry {
    /// Where it loads a commodity.
    pub fn loads_at(&self, commodity: CommodityIx) -> &[SpotTarget] {
        spots(&self.ships, commodity)
    }

    /// Where it unloads a commodity.
    pub fn unloads_at(&self, commodity: CommodityIx) -> &[SpotTarget] {
        spots(&self.receives, commodity)
    }
}

fn spots(table: &[(CommodityIx, Vec<SpotTarget>)], commodity: CommodityIx) -> &[SpotTarget] {
    table.iter().find(|(known, _)| *known == commodity).map_or(&[], |(_, spots)| spots)
}
