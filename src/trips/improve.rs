//! Better trips: exchange, removal and another try.
//!
//! The cars have chosen one by one, and an early car may hold room that others need more. So every
//! car that was left behind tries to come through by ousting others, who then look for another way, in
//! a few manners. After that small groups of cars that meet the one left behind are lifted together and
//! choose again in an order drawn by chance. What makes the trips worth more is kept ([`Worth`]). How
//! much is tried is counted in trips looked for, never in time.
//!
//! [`Worth`]: super::worth::Worth

use super::Bans;
use super::draft::{Draft, Manner};
use crate::chance::Stream;

/// How many trips may be looked for in one session to better those that were chosen first.
pub(super) const TRIPS_TRIED: usize = 600;

/// The manners in which a car that was left behind ousts others, the least bold first.
pub(super) const MANNERS: [Manner; 6] = [
    Manner { depth: 1, victim: 0, sideways: false },
    Manner { depth: 1, victim: 1, sideways: false },
    Manner { depth: 3, victim: 0, sideways: false },
    Manner { depth: 3, victim: 1, sideways: false },
    Manner { depth: 6, victim: 0, sideways: false },
    Manner { depth: 3, victim: 2, sideways: false },
];

/// How many cars are lifted together, at least and at most.
const GROUP: (u64, u64) = (2, 6);

/// Betters a draft until so many trips have been looked for, or nothing is left to be bettered.
pub(super) fn improve(draft: &mut Draft<'_>, bans: &Bans, mut chance: Stream, most: usize) {
    let end = draft.tried + most;
    let mut hope: Vec<Option<bool>> = vec![None; draft.trips().len()];
    while draft.tried < end && oust_once(draft, bans, &mut hope, end) {}
    let mut best = (draft.worth(), draft.trips().to_vec());
    while draft.tried < end {
        let left: Vec<usize> =
            (0..hope.len()).filter(|place| !draft.arrives(*place) && hope[*place] == Some(true)).collect();
        let Some(left_behind) = chance.pick(&left).copied() else { break };
        let mut group = draft.neighbours(left_behind);
        chance.shuffle(&mut group);
        let size = GROUP.0 + chance.below(GROUP.1 - GROUP.0 + 1);
        group.truncate(usize::try_from(size - 1).expect("a small number"));
        group.push(left_behind);
        if chance.below(2) == 0 {
            let last = group.len() - 1;
            group.swap(0, last);
        }
        let depth = usize::try_from(chance.below(4)).expect("a small number");
        let victim = usize::try_from(chance.below(3)).expect("a small number");
        draft.change(&group, bans, Manner { depth: depth + 1, victim, sideways: true });
        if draft.worth() > best.0 {
            best = (draft.worth(), draft.trips().to_vec());
        }
    }
    if draft.worth() < best.0 {
        draft.restore(&best.1);
    }
}

/// Lets every car that was left behind, and could arrive if it were alone, try to oust others. Tells
/// whether any came through.
fn oust_once(draft: &mut Draft<'_>, bans: &Bans, hope: &mut [Option<bool>], end: usize) -> bool {
    let mut any = false;
    for (place, hope) in hope.iter_mut().enumerate() {
        if draft.arrives(place) || !*hope.get_or_insert_with(|| draft.has_hope(place, bans)) {
            continue;
        }
        for manner in MANNERS {
            if draft.tried >= end {
                return false;
            }
            if draft.change(&[place], bans, manner) {
                any = true;
                break;
            }
        }
    }
    any
}
