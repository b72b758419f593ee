//! The cars that are free in the look ahead, kept so that the first that will do is found at once.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::{CarIx, GatewayIx};
use crate::layout::{Lane, LaneEnd};
use crate::network::Network;
use crate::traffic::fits::fits;

/// A car in the look ahead: where it is free, and since when.
#[derive(Clone, Copy, Debug)]
pub(super) enum Free {
    /// On the layout, from a session on; that session only, if it has a way home.
    Here(i32),
    /// Out beyond a gateway, since a session.
    Out(GatewayIx, i32),
    /// On the shelf.
    Shelf,
    /// Not at all.
    Never,
}

/// The free cars of one kind by where they are, those first that have been there longest.
#[derive(Clone, Debug, Default)]
pub(super) struct Idle {
    here: BTreeSet<(i32, CarIx)>,
    out: BTreeMap<GatewayIx, BTreeSet<(i32, CarIx)>>,
    shelf: BTreeSet<CarIx>,
}

impl Idle {
    /// The car that a lane's order gets: nearest first, then longest there first.
    pub(super) fn nearest(&self, network: &Network<'_>, lane: &Lane, session: i32) -> Option<CarIx> {
        let layout = network.layout();
        let will_do = |car: CarIx| fits(network, lane, car, false);
        let first = |cars: &BTreeSet<(i32, CarIx)>, rest: i32| {
            let rested = cars.iter().take_while(|(since, _)| since + rest <= session);
            rested.copied().find(|(_, car)| will_do(*car))
        };
        let back = |gateway: GatewayIx| layout.gateways()[gateway].back.count().cast_signed();
        let shelf = || self.shelf.iter().copied().find(|car| layout.settings().shelf && will_do(*car));
        let out = self.out.iter();
        match lane.from {
            LaneEnd::Industry(_) => first(&self.here, 0)
                .or_else(|| out.filter_map(|(gateway, cars)| first(cars, back(*gateway))).min())
                .map(|(_, car)| car)
                .or_else(shelf),
            LaneEnd::Beyond(by, _) => {
                let others = out.filter(|(gateway, _)| **gateway != by);
                let others = || others.filter_map(|(from, cars)| first(cars, back(*from) + back(by))).min();
                let own = self.out.get(&by).and_then(|cars| first(cars, back(by)));
                own.map(|(_, car)| car).or_else(shelf).or_else(|| others().map(|(_, car)| car))
            }
        }
    }

    /// A car is free there no more.
    pub(super) fn take_out(&mut self, car: CarIx, free: Free) {
        match free {
            Free::Here(since) => drop(self.here.remove(&(since, car))),
            Free::Out(gateway, since) => drop(self.out.entry(gateway).or_default().remove(&(since, car))),
            Free::Shelf => drop(self.shelf.remove(&car)),
            Free::Never => {}
        }
    }

    /// A car is free there.
    pub(super) fn put_in(&mut self, car: CarIx, free: Free) {
        match free {
            Free::Here(since) => drop(self.here.insert((since, car))),
            Free::Out(gateway, since) => drop(self.out.entry(gateway).or_default().insert((since, car))),
            Free::Shelf => drop(self.shelf.insert(car)),
            Free::Never => {}
        }
    }
}
