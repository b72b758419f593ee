//! The layout's names, to be looked up, former ones included.
//!
//! Ids that are made of others follow them: a track bears the former ids of its place, a spot those of its
//! track, and a lane without an id of its own those of its commodity and ends.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::ids::{CarIx, CommodityIx, GatewayIx, Id, IxVec, LaneIx, PlaceIx, SpotIx, TrackIx};
use crate::layout::{Lane, LaneEnd, Layout};

/// Things by their ids.
pub(super) type ById<'l, I> = BTreeMap<Cow<'l, str>, I>;

/// Every name that a ledger file may use.
pub(super) struct Names<'l> {
    pub(super) layout: &'l Layout,
    pub(super) cars: ById<'l, CarIx>,
    pub(super) places: ById<'l, PlaceIx>,
    pub(super) tracks: ById<'l, TrackIx>,
    pub(super) gateways: ById<'l, GatewayIx>,
    pub(super) commodities: ById<'l, CommodityIx>,
    pub(super) lanes: ById<'l, LaneIx>,
}

impl<'l> Names<'l> {
    pub(super) fn new(layout: &'l Layout) -> Self {
        let former = layout.former();
        Names {
            layout,
            cars: by_id(&former.cars, layout.cars().iter().map(|(ix, car)| (&car.id, ix))),
            places: by_id(&former.places, layout.places().iter().map(|(ix, place)| (&place.id, ix))),
            tracks: tracks(layout),
            gateways: by_id(&former.gateways, layout.gateways().iter().map(|(ix, gate)| (&gate.id, ix))),
            commodities: by_id(
                &former.commodities,
                layout.commodities().iter().map(|(ix, kind)| (&kind.id, ix)),
            ),
            lanes: lanes(layout),
        }
    }

    /// A spot of a track by its name.
    pub(super) fn spot(&self, track: TrackIx, name: &str) -> Option<SpotIx> {
        let spots = self.layout.spots();
        let today = self.layout.tracks()[track].spots.iter().find(|spot| *spots[**spot].name == *name);
        let former = || {
            let mut former = self.layout.former().spots.iter();
            former
                .find(|(id, spot)| id.as_str() == name && spots[*spot].track == track)
                .map(|(_, spot)| *spot)
        };
        today.copied().or_else(former)
    }

    /// A spot by its whole id.
    pub(super) fn spot_of(&self, id: &Id) -> Option<SpotIx> {
        let (track, name) = id.as_str().rsplit_once('/')?;
        self.spot(*self.tracks.get(track)?, name)
    }
}

/// Today's ids go in last, so that they win over former ones.
fn by_id<'l, I: Copy>(former: &'l [(Id, I)], today: impl Iterator<Item = (&'l Id, I)>) -> ById<'l, I> {
    let mut ids: ById<'l, I> = former.iter().map(|(id, ix)| (Cow::Borrowed(id.as_str()), *ix)).collect();
    ids.extend(today.map(|(id, ix)| (Cow::Borrowed(id.as_str()), ix)));
    ids
}

/// Tracks by their ids, and by those that they had when their places bore former ones.
fn tracks(layout: &Layout) -> ById<'_, TrackIx> {
    let mut tracks: ById<'_, TrackIx> = BTreeMap::new();
    let own = by_id(&layout.former().tracks, layout.tracks().iter().map(|(ix, track)| (&track.id, ix)));
    for (old, place) in &layout.former().places {
        let today = layout.places()[*place].id.as_str();
        for (id, track) in &own {
            if let Some(short) = id.split_once('/').filter(|(place, _)| *place == today) {
                tracks.insert(Cow::Owned(format!("{old}/{}", short.1)), *track);
            }
        }
    }
    tracks.extend(own);
    tracks
}

/// Lanes by their ids, and by the ids they had when their ends or their commodity bore a former one: a lane
/// whose id was made from them keeps its orders.
fn lanes(layout: &Layout) -> ById<'_, LaneIx> {
    let table: &IxVec<LaneIx, Lane> = layout.lanes();
    let mut lanes: ById<'_, LaneIx> = BTreeMap::new();
    for (ix, lane) in table.iter() {
        for former in former(layout, lane) {
            lanes.insert(Cow::Owned(former), ix);
        }
    }
    lanes.extend(by_id(&layout.former().lanes, table.iter().map(|(ix, lane)| (&lane.id, ix))));
    lanes
}

fn former(layout: &Layout, lane: &Lane) -> Vec<String> {
    let old = layout.former();
    if old.industries.is_empty() && old.gateways.is_empty() && old.commodities.is_empty() {
        return Vec::new();
    }
    let Some((commodity, ends)) = lane.id.as_str().split_once(": ") else { return Vec::new() };
    let Some((from, to)) = ends.split_once(" > ") else { return Vec::new() };
    let names = |end: LaneEnd, today: &str| match end {
        LaneEnd::Industry(industry) => {
            with_former(&old.industries, industry, &layout.industries()[industry].id, today)
        }
        LaneEnd::Beyond(gateway, _) => {
            with_former(&old.gateways, gateway, &layout.gateways()[gateway].id, today)
        }
    };
    let kind = &layout.commodities()[lane.commodity].id;
    let kinds = with_former(&old.commodities, lane.commodity, kind, commodity);
    let (froms, tos) = (names(lane.from, from), names(lane.to, to));
    let mut ids = Vec::new();
    for kind in &kinds {
        for from in &froms {
            ids.extend(tos.iter().map(|to| format!("{kind}: {from} > {to}")));
        }
    }
    ids
}

/// A part of a lane's id, and what it was when the thing in it bore former ids: `lakes/Millport` names a
/// gateway and a city beyond it.
fn with_former<I: PartialEq + Copy>(former: &[(Id, I)], thing: I, id: &Id, today: &str) -> Vec<String> {
    let mut names = vec![today.to_owned()];
    if let Some(rest) =
        today.strip_prefix(id.as_str()).filter(|rest| rest.is_empty() || rest.starts_with('/'))
    {
        let old = former.iter().filter(|(_, bearer)| *bearer == thing);
        names.extend(old.map(|(old, _)| format!("{old}{rest}")));
    }
    names
}
