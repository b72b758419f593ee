//! Switching: for each call, the handlings that do its work.
//!
//! Takes the network, the standing, and for every call which cars are to be pulled and where cars
//! are to be left; gives every handling in order and the rows that result. It upholds rules 2, 3
//! (leads) and 4: nothing is coupled but what stands outermost, nothing is left where it has no
//! room, and no cut outgrows its lead. Each movement is tried on [`site::Site`], which refuses what
//! cannot be done, so what comes out can be done by construction. It upholds rule 11 besides: no train
//! leaves for another place with a placarded car where the layout's table does not let it ride ([`make_up`]).
//!
//! First come plain ways of working: a track that must change is opened down to the deepest car that
//! moves and put together again ([`rebuild`]); a cut is worked on the engine, or left on an empty
//! double-ended track and fetched piece by piece, whichever needs fewer handlings ([`plain`]); ways that
//! begin alike are worked once as far as they do ([`steps`]). Then a search looks for fewer ([`fewest`]),
//! and says whether what is kept is proved fewest. What the plain ways cannot do at once is done in several
//! trips ([`parts`]), or in whatever way a search finds. What that cannot do either is refused with the
//! reason and the cars to leave out, so that `trips` can plan again without them.
//!
//! Cars that may stand on several tracks are left in as few cuts as can be ([`runs`]).
//! Cars that may stand at each other's spots ([`exchange`](crate::trips::Task::exchange)) are put there in the order that takes the
//! fewest handlings.
//!
//! What a call came to before is remembered ([`memory`]).
//!
//! Cost: for each call a few dozen trials, each linear in the cars it touches, and as many states as
//! the search may open.

mod cost;
mod fewest;
mod goals;
mod make_up;
mod memory;
mod parts;
mod plain;
pub mod puzzle;
mod rebuild;
mod runs;
pub mod search;
mod session;
mod site;
pub mod sorting;
mod steps;
mod strategy;
mod tidy;

pub use make_up::{Staged, in_order};
pub use memory::Memory;
pub use site::{Handling, Movement, OnTrack, Row, Trouble};

use std::rc::Rc;

use crate::ids::{CallIx, CarIx, IxVec, TrackIx};
use crate::layout::{End, Layout};
use crate::network::Network;
use crate::standing::Standing;
use crate::traffic::Hand;
use crate::trips::{SetOut, Trips};
use crate::units::Tons;

/// A job's cars, all on one side of its engine.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cut {
    /// From the engine outwards.
    pub cars: Vec<CarIx>,
    /// The end of tracks that the engine can work with them: with cars on its west side, ends that
    /// open east. Nothing while it is light.
    pub end: Option<End>,
}

/// All the work of a session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Worked {
    /// For each call its handlings, and the train that leaves it.
    pub calls: IxVec<CallIx, CallDone>,
    /// Tracks on which cars that come by hand stand in another order than they were named in.
    pub staged: Vec<Staged>,
    /// Cars that a call leaves on other tracks than it was asked to, which are as good.
    pub chosen: Vec<(CallIx, SetOut)>,
    /// What stands on each track at the end, from west to east.
    pub rows: IxVec<TrackIx, Row>,
}

/// The work of one call.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CallDone {
    /// The rows of the place's tracks that it touches, as it finds them, from west to east.
    pub found: Vec<(TrackIx, Row)>,
    /// The handlings, in order.
    pub handlings: Vec<Handling>,
    /// Whether no fewer handlings will do.
    pub proved: bool,
    /// The train that leaves.
    pub train: Cut,
}

/// Why a call's work cannot be done as asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// The call.
    pub call: CallIx,
    /// The cars to leave out.
    pub cars: Vec<CarIx>,
    /// What stops it.
    pub trouble: Trouble,
}

/// What crews find before a session, and how hard fewer handlings are looked for.
#[derive(Clone, Copy, Debug)]
pub struct Crews<'a> {
    /// The network with its row of calls.
    pub network: &'a Network<'a>,
    /// Where all cars stand.
    pub standing: &'a Standing,
    /// What hands put onto the layout.
    pub hands: &'a [Hand],
    /// What each car weighs.
    pub weights: &'a IxVec<CarIx, Tons>,
    /// How many states may be opened for each call, to find fewer handlings than the plain ways need or to prove
    /// that there are none.
    pub states: usize,
}

impl Crews<'_> {
    /// Works all calls in the order of the row. What is in memory must be of the same layout on the same day.
    ///
    /// # Errors
    /// The first call whose work cannot be done, with the cars that are best left out.
    pub fn work(&self, trips: &Trips, memory: &mut Memory) -> Result<Worked, Refusal> {
        let mut session = self.session(trips);
        for call in self.network.calls().indices() {
            session.call(call, memory)?;
        }
        Ok(session.done)
    }

    /// The same for trips that differ from those that were worked so at one call, and where its cars are taken on:
    /// nothing where that cannot be done, or as soon as more handlings were made than then, once that call is done.
    pub fn work_anew(
        &self,
        trips: &Trips,
        memory: &mut Memory,
        (before, from): (&Worked, CallIx),
    ) -> Option<Worked> {
        let mut session = self.session(trips);
        let handlings = |worked: &Worked, call: CallIx| worked.calls[call].handlings.len();
        let (mut new, mut old) = (0, 0);
        for call in self.network.calls().indices() {
            session.call(call, memory).ok()?;
            (new, old) = (new + handlings(&session.done, call), old + handlings(before, call));
            if call >= from && new > old {
                return None;
            }
        }
        Some(session.done)
    }

    fn session<'s>(&'s self, trips: &'s Trips) -> session::Session<'s> {
        let layout = self.network.layout();
        let staged = make_up::staged(self.network, self.standing, self.hands, trips);
        let mut placed = make_up::placed(self.hands);
        placed.extend(staged.iter().cloned());
        let rows = rows_of(layout, self.standing, &staged);
        session::Session {
            network: self.network,
            trips,
            weights: self.weights,
            states: self.states,
            law: make_up::Law::new(layout, self.standing, self.hands),
            spare: trips.spare.clone(),
            placed,
            trains: IxVec::filled(Cut::default(), layout.jobs().len()),
            done: Worked { calls: IxVec::new(), staged, chosen: Vec::new(), rows },
        }
    }
}

/// What stands on each track before the session, in the order in which hands put it there.
fn rows_of(layout: &Layout, standing: &Standing, staged: &[Staged]) -> IxVec<TrackIx, Row> {
    let on = |car: &CarIx| OnTrack { car: *car, spot: standing.car(*car).spot() };
    let tracks = layout.tracks().indices();
    let mut rows: IxVec<TrackIx, Row> =
        tracks.map(|track| Rc::new(standing.on(track).iter().map(on).collect())).collect();
    for (track, cars) in staged {
        let row = Rc::make_mut(&mut rows[*track]);
        row.truncate(row.len() - cars.len());
        row.extend(cars.iter().map(on));
    }
    rows
}

#[cfg(test)]
mod tests;
