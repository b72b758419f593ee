//! Orders that come due, steady in the long run and uneven from day to day.
//!
//! A lane of rate r a working day has `floor(r·t + phase + wobble(t))` orders due by working day t.
//! The phase is drawn once for the lane, the wobble for each lane and day and is never larger than
//! half the spread, so the running total cannot drift from the rate by more than the spread; days
//! differ all the same. A lane with a least gap has orders due only on every so many working days. All
//! sums are in whole numbers.

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
        let day = working_days(layout.settings().days, works, FIRST_COUNTED, session);
        let in_gap = lane.gap.count() > 1 && !day.is_multiple_of(lane.gap.count());
        if !runs(layout, ix, session) || !works.has(network.date().weekday()) || in_gap {
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
    // Early wobbles may have been larger: the total never falls.
    let reach = u32::try_from(stray / above.max(1)).unwrap_or(u32::MAX).saturating_add(1).min(now);
    let sets = (now - reach..=now).map(|day| {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Ix;
    use crate::testing::branch;

    fn lane(rate: &str, more: &str) -> Layout {
        branch(
            1,
            &format!(
                r#"
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
works = "Mon-Fri"
ships.flour = ["mill/door 1"]
[[lane]]
commodity = "flour"
from = "mill"
to = "away"
carloads = "{rate}"
{more}
"#
            ),
        )
    }

    /// How many orders come due in each of so many sessions, seeds changing from session to session.
    fn due(layout: &Layout, sessions: i32) -> Vec<usize> {
        let mut standing = Standing::shelved(layout);
        (1..=sessions)
            .map(|session| {
                let network = Network::new(layout, layout.settings().days.of_session(session));
                let before = standing.orders.len();
                come_due(&network, &mut standing, session, Chance::new(session.unsigned_abs().into()));
                standing.orders.len() - before
            })
            .collect()
    }

    #[test]
    fn in_the_long_run_a_lane_keeps_its_rate_and_its_days_differ() {
        let layout = lane("9 a week", "spread = 2");
        let due = due(&layout, 70);
        // Ten weeks of seven sessions: 90 carloads, give or take the spread.
        let total: usize = due.iter().sum();
        assert!((88..=92).contains(&total), "{total}");
        assert!(
            due.chunks(7).all(|week| week[5..] == [0, 0]),
            "nothing comes due on days the mill does not work"
        );
        let kinds: std::collections::BTreeSet<usize> = due.iter().copied().collect();
        assert!(kinds.len() > 2, "every day was alike: {kinds:?}");
    }

    #[test]
    fn a_set_comes_due_together() {
        let layout = lane("6 a week", "together = 3");
        let due = due(&layout, 70);
        assert!(due.iter().all(|cars| cars % 3 == 0), "{due:?}");
        let total: usize = due.iter().sum();
        assert!((57..=63).contains(&total), "{total}");
    }

    #[test]
    fn a_gap_keeps_sets_apart() {
        let layout = lane("5 a week", "gap = \"3 days\"");
        let due = due(&layout, 70);
        let days: Vec<usize> = (0..70).filter(|day| due[*day] > 0).collect();
        let working = |from: usize, to: usize| (from + 1..=to).filter(|day| day % 7 < 5).count();
        assert!(days.windows(2).all(|pair| working(pair[0], pair[1]) >= 3), "{days:?}");
    }

    #[test]
    fn a_lane_does_not_owe_what_it_never_ran() {
        let layout = lane("10 a week", "");
        let mut standing = Standing::shelved(&layout);
        let network = Network::new(&layout, layout.settings().days.of_session(200));
        come_due(&network, &mut standing, 200, Chance::new(1));
        assert!(standing.orders.len() <= 4, "{}", standing.orders.len());
        assert!(standing.due_so_far[LaneIx::new(0)] > 100);
    }
}
