//! Cars left on other tracks: which shifts of trips are made.
//!
//! A shift is tried by working the calls again with it, and made where that comes to fewer handlings: first those of
//! which the crews have the cars in hand most often. What is won at one track changes what can be won at others, so a
//! host who waits for it gets several rounds.
//!
//! Cost: the calls that change worked again for each shift that is tried.

use std::cmp::Reverse;

use super::Care;
use super::made_up::cost;
use crate::ids::CallIx;
use crate::network::Network;
use crate::switching::Worked;
use crate::trips::{Bans, Planner, Shift, Trips};

/// How many shifts are tried where the host does not wait for more.
const TRIED: usize = 4;

/// How many times all shifts are gone through at most where the host waits.
const ROUNDS: usize = 4;

/// Makes what spares handlings. The calls are worked again by `work`, which may give up when the calls until the last
/// one that it is told came to more handlings than before.
pub(super) fn shifted(
    network: &Network<'_>,
    planner: &mut Planner<'_>,
    (bans, care): (&Bans, Care),
    (mut trips, mut worked): (Trips, Worked),
    mut work: impl FnMut(&Trips, (&Worked, CallIx)) -> Option<Worked>,
) -> (Trips, Worked) {
    let (rounds, most) = match care {
        Care::Quick => (0, 0),
        Care::Full => (1, TRIED),
        Care::Thorough => (ROUNDS, usize::MAX),
    };
    let mut tried = 0;
    for _ in 0..rounds {
        let before = cost(network, &worked);
        let mut shifts = planner.shifts(bans);
        shifts.sort_by_cached_key(|shift| Reverse(in_hand(&worked, shift)));
        for shift in shifts {
            if tried == most {
                break;
            }
            planner.shift(&shift, bans, |other| {
                tried += 1;
                let Some(done) = work(other, (&worked, shift.last.unwrap_or(shift.call))) else {
                    return false;
                };
                let pays = cost(network, &done) < cost(network, &worked);
                if pays {
                    (trips, worked) = (other.clone(), done);
                }
                pays
            });
        }
        if cost(network, &worked) == before {
            break;
        }
    }
    (trips, worked)
}

/// How often crews have cars of a shift in hand, when they leave them and when they take them on.
fn in_hand(worked: &Worked, shift: &Shift) -> usize {
    let touches = |call: CallIx| {
        let handlings = worked.calls[call].handlings.iter();
        handlings.filter(|handling| handling.cars.iter().any(|on| shift.cars.contains(&on.car))).count()
    };
    touches(shift.call) + shift.last.map_or(0, touches)
}
