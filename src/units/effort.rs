//! What is counted of a crew's work: the deeds, not the time they take.

use std::iter::Sum;
use std::ops::Add;

use serde::{Deserialize, Serialize};

use super::Minutes;

/// What a call, or a whole job, asks of a crew: the counts that a pace turns into minutes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Effort {
    /// Movements with a cut, those of run-arounds not counted.
    pub handlings: u32,
    /// Cars in those movements.
    pub cars: u32,
    /// Joints coupled and uncoupled in them.
    pub couplings: u32,
    /// Turnouts thrown: one whenever the engine works another track, or another end, than before.
    pub turnouts: u32,
    /// Cars placed at marked spots.
    pub spots: u32,
    /// Times the engine goes to the other end of the place.
    pub run_arounds: u32,
    /// Cars that the crew must find on its list and do something with.
    pub reading: u32,
    /// The minutes of the links of the run to the next call, in seconds, whatever the pace.
    #[serde(default)]
    pub links: Minutes,
}

impl Add for Effort {
    type Output = Effort;

    fn add(self, other: Effort) -> Effort {
        Effort {
            handlings: self.handlings + other.handlings,
            cars: self.cars + other.cars,
            couplings: self.couplings + other.couplings,
            turnouts: self.turnouts + other.turnouts,
            spots: self.spots + other.spots,
            run_arounds: self.run_arounds + other.run_arounds,
            reading: self.reading + other.reading,
            links: self.links + other.links,
        }
    }
}

impl Sum for Effort {
    fn sum<I: Iterator<Item = Effort>>(parts: I) -> Effort {
        parts.fold(Effort::default(), Add::add)
    }
}
