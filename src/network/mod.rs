//! The network: what is connected on the day of the session, and the row of calls.
//!
//! Takes a [`Layout`] and a day, and gives a [`Network`]: the places and links that exist on that
//! day as a petgraph graph, the cheapest way between two places for what has to pass, and the
//! session as a row of calls in the order of events. It upholds the parts of rule 5 that do not
//! depend on where cars stand: which links a car may pass, which tracks a job may switch.
//!
//! Cost: one shortest way (Dijkstra) for each pair of neighbouring calls.

mod light;
mod row;
mod ways;

pub use light::Light;
pub use row::{Ride, RowCall, Runs, USUAL_CALL};
pub use ways::{NoWay, Passing, Way};

use std::collections::BTreeMap;

use petgraph::graph::{NodeIndex, UnGraph};

use crate::ids::{CallIx, CarIx, Ix, IxVec, JobIx, LinkIx, PlaceIx, RailroadIx, SpotIx, TrackIx};
use crate::layout::{Layout, Limits, Opens, SpotTarget, Track, TrackUse};
use crate::units::{Date, Tons};

/// What is connected on one day.
#[derive(Clone, Debug)]
pub struct Network<'l> {
    layout: &'l Layout,
    date: Date,
    graph: UnGraph<PlaceIx, LinkIx>,
    /// Every place's node; places that do not exist that day have none.
    nodes: IxVec<PlaceIx, Option<NodeIndex>>,
    tracks: IxVec<TrackIx, bool>,
    /// The railroads that alone serve a spot, or a track without spots, where its customers say so.
    served_by: (IxVec<SpotIx, Vec<RailroadIx>>, IxVec<TrackIx, Vec<RailroadIx>>),
    /// Seconds from every place to every other over all links.
    distances: IxVec<PlaceIx, IxVec<PlaceIx, u32>>,
    calls: IxVec<CallIx, RowCall>,
    /// By job, the run of its engine to where it begins, where another job leaves it elsewhere.
    light: BTreeMap<JobIx, Light>,
    /// The limits of all links and places together.
    narrowest: Limits,
    /// For every track the calls at which its job may switch it, a bit a call.
    switched: IxVec<TrackIx, Vec<u64>>,
}

impl<'l> Network<'l> {
    /// The network of a layout on a day.
    pub fn new(layout: &'l Layout, date: Date) -> Self {
        Network::running(layout, date, &Runs::default())
    }

    /// The network on a day on which not all jobs run, or not in their usual order.
    pub fn running(layout: &'l Layout, date: Date, runs: &Runs) -> Self {
        let mut graph = UnGraph::default();
        let nodes: IxVec<PlaceIx, Option<NodeIndex>> = layout
            .places()
            .iter()
            .map(|(ix, place)| place.existence.on(date).then(|| graph.add_node(ix)))
            .collect();
        for (ix, link) in layout.links().iter() {
            if let (true, Some(west), Some(east)) =
                (link.existence.on(date), nodes[link.west], nodes[link.east])
            {
                graph.add_edge(west, east, ix);
            }
        }
        let tracks = layout
            .tracks()
            .values()
            .map(|track| track.existence.on(date) && nodes[track.place].is_some())
            .collect();
        let links = layout.links().values().map(|link| &link.limits);
        let mut network = Network {
            layout,
            date,
            graph,
            nodes,
            tracks,
            served_by: served_by(layout),
            distances: IxVec::new(),
            calls: IxVec::new(),
            light: BTreeMap::new(),
            narrowest: ways::tightest(links.chain(layout.places().values().map(|place| &place.limits))),
            switched: IxVec::new(),
        };
        network.distances = network.all_distances();
        network.calls = row::row(&network, runs);
        network.light = light::light(&network);
        network.switched = network.calls_that_switch();
        network
    }

    /// The layout it was made from.
    pub const fn layout(&self) -> &'l Layout {
        self.layout
    }

    /// The day it was made for.
    pub const fn date(&self) -> Date {
        self.date
    }

    /// The session as a row of calls, in the order of events.
    pub const fn calls(&self) -> &IxVec<CallIx, RowCall> {
        &self.calls
    }

    /// The run of a job's engine, by itself, to where the job begins; nothing where it is there.
    pub fn light(&self, job: JobIx) -> Option<&Light> {
        self.light.get(&job)
    }

    /// Whether a place exists that day.
    pub fn has_place(&self, place: PlaceIx) -> bool {
        self.nodes[place].is_some()
    }

    /// Whether a track exists that day.
    pub fn has_track(&self, track: TrackIx) -> bool {
        self.tracks[track]
    }

    /// Whether a job may switch a track at one of its calls.
    pub fn may_switch(&self, call: CallIx, track: TrackIx) -> bool {
        let (word, bit) = (call.place() / 64, call.place() % 64);
        self.switched[track].get(word).is_some_and(|calls| calls & (1 << bit) != 0)
    }

    /// Whether some call may switch one track that may not switch another: only then does a car gain
    /// by being moved from the other to the one.
    pub fn opens_calls(&self, track: TrackIx, over: TrackIx) -> bool {
        self.switched[track].iter().zip(&self.switched[over]).any(|(calls, known)| calls & !known != 0)
    }

    fn calls_that_switch(&self) -> IxVec<TrackIx, Vec<u64>> {
        let mut calls_at: IxVec<PlaceIx, Vec<CallIx>> = IxVec::filled(Vec::new(), self.nodes.len());
        for (ix, call) in self.calls.iter() {
            calls_at[call.place].push(ix);
        }
        let calls_of = |(track, described): (TrackIx, &Track)| {
            let mut calls = vec![0; self.calls.len().div_ceil(64)];
            if !self.tracks[track] || described.usage == TrackUse::Engine {
                return calls;
            }
            for ix in &calls_at[described.place] {
                let job = &self.layout.jobs()[self.calls[*ix].job];
                let stop = &job.calls[self.calls[*ix].stop].tracks;
                if (stop.is_empty() || stop.contains(&track)) && described.worked_by.contains(&job.railroad) {
                    calls[ix.place() / 64] |= 1 << (ix.place() % 64);
                }
            }
            calls
        };
        self.layout.tracks().iter().map(calls_of).collect()
    }

    /// Whether a job's railroad serves the customers of a spot, or of a track without spots.
    pub fn may_serve(&self, call: CallIx, track: TrackIx, spot: Option<SpotIx>) -> bool {
        let roads = spot.map_or(&self.served_by.1[track], |spot| &self.served_by.0[spot]);
        roads.is_empty() || roads.contains(&self.layout.jobs()[self.calls[call].job].railroad)
    }

    /// Whether a car, with what it weighs now, may stand on a track at all.
    pub fn takes(&self, track: TrackIx, car: CarIx, weight: Tons) -> bool {
        let described = &self.layout.tracks()[track];
        let kind = self.layout.cars()[car].kind;
        let passing = self.passing(car, weight);
        self.tracks[track]
            && (described.holds.is_empty() || described.holds.contains(&kind))
            && passes(described.limits, &passing)
            && passes(self.layout.places()[described.place].limits, &passing)
    }

    /// Whether a crew can bring a car from one track to another within one call, as the tracks lie, whatever
    /// stands on them. From a dead end of one hand to one of the other the engine must get to the other
    /// end of the car: on a track that opens at both and has room for it, past which it can get.
    pub fn can_bring(&self, call: CallIx, way: (TrackIx, TrackIx), car: CarIx, weight: Tons) -> bool {
        let tracks = self.layout.tracks();
        let hands = (tracks[way.0].opens, tracks[way.1].opens);
        if !matches!(hands, (Opens::West, Opens::East) | (Opens::East, Opens::West)) {
            return true;
        }
        let through: Vec<TrackIx> = self.layout.places()[self.calls[call].place]
            .tracks
            .iter()
            .copied()
            .filter(|track| self.tracks[*track] && tracks[*track].opens == Opens::Both)
            .collect();
        let lets_round = |track: &TrackIx| {
            self.may_switch(call, *track)
                && self.takes(*track, car, weight)
                && self.layout.cars()[car].length <= tracks[*track].length
                && (matches!(tracks[*track].usage, TrackUse::RunAround | TrackUse::Main) || through.len() > 1)
        };
        through.iter().any(lets_round)
    }

    /// Whether something of this size may pass every link and place there is.
    pub fn passes_everywhere(&self, passing: &Passing) -> bool {
        passes(self.narrowest, passing)
    }

    /// What a car asks of a link.
    pub fn passing(&self, car: CarIx, weight: Tons) -> Passing {
        let car = &self.layout.cars()[car];
        Passing { length: car.length, height: car.height, weight }
    }

    /// The jobs that run that day, in the order of their first calls.
    pub fn jobs(&self) -> impl Iterator<Item = JobIx> + '_ {
        self.calls.values().filter(|call| call.previous.is_none()).map(|call| call.job)
    }

    /// Seconds over the links from one place to another, whatever is in the way for large cars;
    /// as far as can be where they are not joined.
    pub fn distance(&self, from: PlaceIx, to: PlaceIx) -> u32 {
        self.distances[from][to]
    }

    /// From a place to every other, the calls of the session that pass until a car that stands there can
    /// have been brought; all calls and one more where no jobs bring it.
    ///
    /// # Complexity
    /// O(calls + places + jobs).
    pub fn events_from(&self, from: PlaceIx) -> IxVec<PlaceIx, u32> {
        let never = u32::try_from(self.calls.len() + 1).unwrap_or(u32::MAX);
        let mut there = IxVec::filled(never, self.layout.places().len());
        let mut aboard = IxVec::filled(false, self.layout.jobs().len());
        there[from] = 0;
        for (passed, call) in (1..).zip(self.calls.values()) {
            if there[call.place] < passed {
                aboard[call.job] = true;
            } else if aboard[call.job] {
                there[call.place] = passed;
            }
        }
        there
    }

    fn node(&self, place: PlaceIx) -> Option<NodeIndex> {
        self.nodes[place]
    }
}

/// For every spot, and every track without spots, all railroads by which alone its customers are served, if they are.
fn served_by(layout: &Layout) -> (IxVec<SpotIx, Vec<RailroadIx>>, IxVec<TrackIx, Vec<RailroadIx>>) {
    let mut spots = IxVec::filled(Vec::new(), layout.spots().len());
    let mut tracks = IxVec::filled(Vec::new(), layout.tracks().len());
    for industry in layout.industries().values() {
        for target in industry.ships.iter().chain(&industry.receives).flat_map(|(_, spots)| spots) {
            let roads: &mut Vec<RailroadIx> = match target {
                SpotTarget::Spot(spot) => &mut spots[*spot],
                SpotTarget::Track(track) => &mut tracks[*track],
            };
            for road in &industry.served_by {
                if !roads.contains(road) {
                    roads.push(*road);
                }
            }
        }
    }
    (spots, tracks)
}

/// Whether something of this size may pass what has these limits.
pub fn passes(limits: Limits, passing: &Passing) -> bool {
    limits.car.is_none_or(|most| passing.length <= most)
        && limits.weight.is_none_or(|most| passing.weight <= most)
        && match (limits.height, passing.height) {
            (Some(most), Some(height)) => height <= most,
            _ => true,
        }
}
