//! The layout's names, to be looked up, former ones included.

use std::collections::BTreeMap;

use crate::ids::{CarIx, CommodityIx, GatewayIx, IxVec, LaneIx, TrackIx};
use crate::layout::{Lane, LaneEnd, Layout};

/// Every name that a ledger file may use.
pub(super) struct Names<'l> {
    pub(super) layout: &'l Layout,
    pub(super) cars: BTreeMap<&'l str, CarIx>,
    pub(super) tracks: BTreeMap<&'l str, TrackIx>,
    pub(super) gateways: BTreeMap<&'l str, GatewayIx>,
    pub(super) commodities: BTreeMap<&'l str, CommodityIx>,
    pub(super) lanes: BTreeMap<String, LaneIx>,
}

impl<'l> Names<'l> {
    pub(super) fn new(layout: &'l Layout) -> Self {
        Names {
            layout,
            cars: layout.cars().iter().map(|(ix, car)| (car.id.as_str(), ix)).collect(),
            tracks: layout.tracks().iter().map(|(ix, track)| (track.id.as_str(), ix)).collect(),
            gateways: layout.gateways().iter().map(|(ix, gate)| (gate.id.as_str(), ix)).collect(),
            commodities: layout.commodities().iter().map(|(ix, kind)| (kind.id.as_str(), ix)).collect(),
            lanes: lanes(layout),
        }
    }
}

/// Lanes by their ids, and by the ids they had when their customers bore a former id: a lane whose
/// id was made from its ends keeps its orders when an industry is renamed.
fn lanes(layout: &Layout) -> BTreeMap<String, LaneIx> {
    let table: &IxVec<LaneIx, Lane> = layout.lanes();
    let mut lanes = BTreeMap::new();
    for (ix, lane) in table.iter() {
        for former in former(layout, lane) {
            lanes.insert(former, ix);
        }
    }
    // Today's ids go last, so that they win over a former one.
    lanes.extend(table.iter().map(|(ix, lane)| (lane.id.as_str().to_owned(), ix)));
    lanes
}

fn former(layout: &Layout, lane: &Lane) -> Vec<String> {
    let Some((commodity, ends)) = lane.id.as_str().split_once(": ") else { return Vec::new() };
    let Some((from, to)) = ends.split_once(" > ") else { return Vec::new() };
    let names = |end: LaneEnd, today: &str| -> Vec<String> {
        let mut names = vec![today.to_owned()];
        if let LaneEnd::Industry(industry) = end {
            let industry = &layout.industries()[industry];
            if industry.id.as_str() == today {
                names.extend(industry.was.iter().map(ToString::to_string));
            }
        }
        names
    };
    let froms = names(lane.from, from);
    let tos = names(lane.to, to);
    froms.iter().flat_map(|from| tos.iter().map(move |to| format!("{commodity}: {from} > {to}"))).collect()
}
