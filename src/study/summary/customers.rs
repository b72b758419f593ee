//! Customers, and the jobs that reach them.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::ids::{CommodityIx, Id, JobIx, TrackIx};
use crate::layout::{Industry, Layout, SpotTarget};
use crate::network::Network;
use crate::units::Weekdays;

/// A customer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CustomerLine {
    /// Its id.
    pub id: Id,
    /// Its name.
    pub name: Box<str>,
    /// Where it is.
    pub place: Id,
    /// The days it works, in words.
    pub works: Box<str>,
    /// What it ships.
    pub ships: Vec<Id>,
    /// What it receives.
    pub receives: Vec<Id>,
    /// The tracks its spots are on.
    pub tracks: Vec<Id>,
    /// The jobs that reach one of them at least.
    pub jobs: Vec<Id>,
}

/// The customers that are there.
pub(super) fn customers(network: &Network<'_>) -> Vec<CustomerLine> {
    let there = network.layout().industries().values();
    there
        .filter(|industry| industry.existence.on(network.date()) && network.has_place(industry.place))
        .map(|industry| line(network, industry))
        .collect()
}

fn line(network: &Network<'_>, industry: &Industry) -> CustomerLine {
    let layout = network.layout();
    let ids = |table: &[(CommodityIx, Vec<SpotTarget>)]| {
        table.iter().map(|(commodity, _)| layout.commodities()[*commodity].id.clone()).collect()
    };
    let tracks = tracks(layout, industry);
    CustomerLine {
        id: industry.id.clone(),
        name: industry.name.clone(),
        place: layout.places()[industry.place].id.clone(),
        works: if industry.works == Weekdays::EVERY {
            "every day".into()
        } else {
            industry.works.to_string().into()
        },
        ships: ids(&industry.ships),
        receives: ids(&industry.receives),
        jobs: jobs(network, industry, &tracks),
        tracks: tracks.into_iter().map(|track| layout.tracks()[track].id.clone()).collect(),
    }
}

/// The jobs of a road that may serve it, with a call at which they may switch one of its tracks.
fn jobs(network: &Network<'_>, industry: &Industry, tracks: &BTreeSet<TrackIx>) -> Vec<Id> {
    let jobs = network.layout().jobs();
    let serves =
        |job: JobIx| industry.served_by.is_empty() || industry.served_by.contains(&jobs[job].railroad);
    let calls = network.calls().iter().filter(|(call, row)| {
        serves(row.job) && tracks.iter().any(|track| network.may_switch(*call, *track))
    });
    let reaching: BTreeSet<JobIx> = calls.map(|(_, row)| row.job).collect();
    reaching.into_iter().map(|job| jobs[job].id.clone()).collect()
}

fn tracks(layout: &Layout, industry: &Industry) -> BTreeSet<TrackIx> {
    let targets = industry.ships.iter().chain(&industry.receives).flat_map(|(_, targets)| targets);
    targets.map(|target| layout.track_of(*target)).collect()
}
