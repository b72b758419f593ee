//! Orders that come due, steady in the long run and uneven from day to day.
//!
//! A lane of rate r a working day has `floor(r·t + phase + wobble(t))` orders due by working day t.
//! The phase is drawn once for the lane, the wobble for each lane and day and is never larger than
//! half the spread, so the running total cannot drift from the rate by more than the spread; days
//! differ all the same. All sums are in whole numbers.

use super::calendar::{FIRST_COUNTED, lane_works, runs, working_days};
use crate::chance::Chance;
use crate::ids::{Id, LaneIx};
use crate::layout::{Duration, Lane, Layout};
use crate::network::Network;
use crate::standing::{Order, Standing};
use crate::units::Weekdays;

/// Adds the orders that come due in a session.
pub(super) fn come_due(network: &Network<'_>, standing: &mut Standing, session: i32, chance: Chance) {
    let layout = network.layout();
    for (ix, lane) in layout.lanes().iter() {
        let works = works(layout, lane);
        if !runs(layout, ix, session) || !works.has(network.date().weekday()) {
            continue;
        }
        let due = due_by(layout, ix, works, session, chance);
        if standing.due_so_far[ix] == 0 {
            // A new lane, or the very first session: it does not owe what it never ran.
            standing.due_so_far[ix] = due_by(layout, ix, works, session - 1, chance);
        }
        let first = standing.due_so_far[ix] + 1;
        for number in first..=due {
            let set = first + (number - first) / lane.together * lane.together;
            let id = Id::from(format!("{}#{number}", lane.id));
            standing.orders.push(Order { id, lane: ix, due: session, set, car: None });
        }
        standing.due_so_far[ix] = standing.due_so_far[ix].max(due);
    }
}

fn works(layout: &Layout, lane: &Lane) -> Weekdays {
    if lane.rate.per == Duration::Session { Weekdays::EVERY } else { lane_works(layout, lane) }
}

/// How many orders of a lane are due by a session.
fn due_by(layout: &Layout, ix: LaneIx, works: Weekdays, session: i32, chance: Chance) -> u32 {
    let lane = &layout.lanes()[ix];
    let days = layout.settings().days;
    let now = working_days(days, works, FIRST_COUNTED, session);
    // Carloads in a working day are carloads in twelve weeks over working days in twelve weeks;
    // sets, not cars, come due, so `together` goes below the line.
    let above = u64::from(lane.rate.in_twelve_weeks());
    let days_in_twelve_weeks =
        if lane.rate.per == Duration::Day { 84 } else { 12 * u64::from(works.count().max(1)) };
    let below = days_in_twelve_weeks * u64::from(lane.together);
    let phase = phase(lane, below);
    let stray = u64::from(lane.spread) * below / u64::from(lane.together);
    let gap = lane.gap.count().max(1);
    // Early wobbles may have been larger: the total never falls.
    let reach = u32::try_from(stray / above.max(1)).unwrap_or(u32::MAX).saturating_add(1).min(now);
    let sets = (now - reach..=now).map(|day| day - day % gap).map(|day| {
        let wobble = if stray == 0 {
            0
        } else {
            chance.stream("wobble", &format!("{}|{day}", lane.id)).below(stray + 1)
        };
        // The wobble is drawn from 0 to the spread, and half the spread taken off.
        (above * u64::from(day) + phase + wobble).saturating_sub(stray / 2) / below
    });
    let sets = sets.max().unwrap_or(0);
    u32::try_from(sets).unwrap_or(u32::MAX / lane.together) * lane.together
}

/// The phase of a lane: drawn from its id alone, so that no seed moves it.
fn phase(lane: &Lane, below: u64) -> u64 {
    Chance::new(0).stream("phase", lane.id.as_str()).below(below.max(1))
}
