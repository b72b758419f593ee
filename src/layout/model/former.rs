//! The ids that things had before: how a ledger finds under its new id what it knows by an old one.

use crate::ids::{CarIx, CommodityIx, GatewayIx, Id, IndustryIx, JobIx, LaneIx, PlaceIx, SpotIx, TrackIx};

/// Ids of one kind of thing that nothing bears today, each with what bore it.
pub type FormerIds<I> = Vec<(Id, I)>;

/// `was`, of everything whose id a ledger keeps. No id stands twice in a list, but for the names of spots
/// of different tracks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Former {
    /// Of places: their tracks bore them, too.
    pub places: FormerIds<PlaceIx>,
    /// Of tracks, each with the id of the place where it was.
    pub tracks: FormerIds<TrackIx>,
    /// Of spots: the name alone, on the track where it is.
    pub spots: FormerIds<SpotIx>,
    /// Of customers: lanes without an id of their own bore them, too.
    pub industries: FormerIds<IndustryIx>,
    /// Of gateways: likewise.
    pub gateways: FormerIds<GatewayIx>,
    /// Of commodities: likewise.
    pub commodities: FormerIds<CommodityIx>,
    /// Of lanes.
    pub lanes: FormerIds<LaneIx>,
    /// Of jobs: what they did is looked up by those, too.
    pub jobs: FormerIds<JobIx>,
    /// Marks and numbers of cars.
    pub cars: FormerIds<CarIx>,
}
