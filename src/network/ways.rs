//! The cheapest way between two places, for what has to pass.

use petgraph::algo::{astar, dijkstra};
use petgraph::visit::EdgeFiltered;

use super::{Network, passes};
use crate::ids::{IxVec, LinkIx, PlaceIx};
use crate::layout::{End, Limits};
use crate::units::{Length, Minutes, Tons};

/// What has to pass: the longest, highest and heaviest of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Passing {
    /// Over couplers.
    pub length: Length,
    /// Above the rail, if it is known.
    pub height: Option<Length>,
    /// With its load.
    pub weight: Tons,
}

/// A way from one place to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// The places, both ends included.
    pub places: Vec<PlaceIx>,
    /// The links between them.
    pub links: Vec<LinkIx>,
    /// The run over all of them.
    pub minutes: Minutes,
}

/// Why there is no way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoWay {
    /// One of the two places does not exist that day.
    NoPlace(PlaceIx),
    /// No links join the two places at all.
    NotJoined,
    /// Links join them, but not for what has to pass.
    TooLarge,
}

impl Network<'_> {
    /// The way with the fewest minutes for something of this size.
    ///
    /// # Errors
    /// [`NoWay`], with the reason.
    ///
    /// # Complexity
    /// Dijkstra on petgraph: O((places + links) log places).
    pub fn way(&self, passing: &Passing, from: PlaceIx, to: PlaceIx) -> Result<Way, NoWay> {
        let start = self.node(from).ok_or(NoWay::NoPlace(from))?;
        let goal = self.node(to).ok_or(NoWay::NoPlace(to))?;
        let links = self.layout.links();
        let open = EdgeFiltered::from_fn(&self.graph, |edge| passes(links[*edge.weight()].limits, passing));
        let minutes = |link: LinkIx| links[link].minutes.whole_seconds();
        let found = astar(&open, start, |node| node == goal, |edge| minutes(*edge.weight()), |_| 0);
        let Some((seconds, nodes)) = found else {
            let joined = astar(&self.graph, start, |node| node == goal, |_| 1, |_| 0).is_some();
            return Err(if joined { NoWay::TooLarge } else { NoWay::NotJoined });
        };
        let places: Vec<PlaceIx> = nodes.iter().map(|node| self.graph[*node]).collect();
        let links = nodes.windows(2).map(|pair| {
            let [one, other] = pair else { unreachable!("windows of two") };
            self.graph
                .edges_connecting(*one, *other)
                .map(|edge| *edge.weight())
                .filter(|link| passes(links[*link].limits, passing))
                .min_by_key(|link| (minutes(*link), *link))
                .expect("the way goes over open links")
        });
        Ok(Way { links: links.collect(), places, minutes: Minutes::seconds(seconds) })
    }

    /// Whether jobs that run take something of this size from one place to another, over one or several
    /// of them, whatever their order in the session.
    ///
    /// # Complexity
    /// O(calls) for each place that is passed.
    pub fn jobs_take(&self, passing: &Passing, from: PlaceIx, to: PlaceIx) -> bool {
        let places = self.layout.places();
        let mut reached = IxVec::filled(false, places.len());
        reached[from] = true;
        let mut open = vec![from];
        while let Some(place) = open.pop() {
            for call in self.calls.values().filter(|call| call.place == place) {
                let (Some(ride), Some(next)) = (&call.ride, call.next) else { continue };
                let next = self.calls[next].place;
                let takes = passes(ride.limits, passing) && passes(places[next].limits, passing);
                if takes && !reached[next] {
                    reached[next] = true;
                    open.push(next);
                }
            }
        }
        reached[to]
    }

    /// The shortest run from every place to every other, limits left aside.
    pub(super) fn all_distances(&self) -> IxVec<PlaceIx, IxVec<PlaceIx, u32>> {
        let places = self.layout.places();
        let row = |from: PlaceIx| {
            let mut row = IxVec::filled(u32::MAX, places.len());
            if let Some(start) = self.node(from) {
                let seconds = |link: LinkIx| self.layout.links()[link].minutes.whole_seconds();
                let found = dijkstra(&self.graph, start, None, |edge| seconds(*edge.weight()));
                for (place, node) in self.nodes.iter() {
                    if let Some(run) = node.as_ref().and_then(|node| found.get(node)) {
                        row[place] = *run;
                    }
                }
            }
            row
        };
        places.indices().map(row).collect()
    }

    /// The direction in which a link leads away from a place.
    pub fn direction(&self, link: LinkIx, from: PlaceIx) -> End {
        if self.layout.links()[link].west == from { End::East } else { End::West }
    }
}

/// The limits of several links, taken together.
pub(super) fn tightest<'a>(limits: impl Iterator<Item = &'a Limits>) -> Limits {
    fn least<T: Ord>(one: Option<T>, other: Option<T>) -> Option<T> {
        [one, other].into_iter().flatten().min()
    }
    limits.fold(Limits::default(), |all, next| Limits {
        car: least(all.car, next.car),
        height: least(all.height, next.height),
        weight: least(all.weight, next.weight),
        at_once: least(all.at_once, next.at_once),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;
    use crate::testing::branch;
    use crate::units::Date;

    /// Yard – town in 4 minutes, yard – bend – town in 2 + 1, but the bend takes no car over 50 ft.
    const BEND: &str = r#"
[place.bend]
name = "Bend"
railroad = "CHT"
[place.island]
name = "Island"
railroad = "CHT"
[[link]]
between = ["yard", "bend"]
minutes = 2
max_car = "50 ft"
[[link]]
between = ["bend", "town"]
minutes = 1
"#;

    #[test]
    fn a_long_car_takes_the_long_way() {
        let layout = branch(1, BEND);
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let place = |id: &str| layout.places().iter().find(|(_, place)| place.id.as_str() == id).unwrap().0;
        let way = |feet| {
            let passing = Passing { length: Length::scale_feet(feet), ..Passing::default() };
            network.way(&passing, place("yard"), place("town")).unwrap()
        };
        assert_eq!((way(50).minutes.rounded_up(), way(50).places.len()), (3, 3));
        assert_eq!((way(51).minutes.rounded_up(), way(51).places.len()), (4, 2));
    }

    #[test]
    fn a_refusal_says_whether_nothing_joins_or_nothing_this_large_passes() {
        let layout = branch(1, BEND);
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let place = |id: &str| layout.places().iter().find(|(_, place)| place.id.as_str() == id).unwrap().0;
        let small = Passing::default();
        assert_eq!(network.way(&small, place("yard"), place("island")), Err(NoWay::NotJoined));
        let heavy = Passing { length: Length::scale_feet(60), ..small };
        assert!(network.way(&heavy, place("bend"), place("town")).is_ok());
        assert!(network.way(&heavy, place("yard"), place("bend")).is_ok(), "round by the town");
        assert_eq!(network.distance(place("yard"), place("town")), 180);
        assert_eq!(place("yard").place(), 3);
    }
}
