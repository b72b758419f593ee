//! Orders that come due, steady in the long run and uneven from day to day.
//!
//! A lane of rate r a working day has `floor(r·t + phase + wobble(t))` orders due by working day t.
//! The phase is drawn once for the lane, the wobble for each lane and day and is never larger than
//! half the spread, so the running total cannot drift from the rate by more than the spread; days
//! differ all the same. A set comes whole, so the total is never nearer than half a set to the rate. A
//! lane with a least gap has orders due only on every so many working days. Only days on which the lane
//! runs are counted. All sums are in whole numbers.
//!
//! The ledger keeps how many orders ever came due. When the host changes a lane, what it owes by its
//! new description may jump; it then goes on from where it is ([`Standing::due_shift`]).

use super::calendar::{FIRST_COUNTED, days_run, lane_works, runs};
use super::{Lean, Leans};
use crate::chance::Chance;
use crate::ids::{Id, LaneIx};
use crate::layout::{Duration, Lane, Layout};
use crate::network::Network;
use crate::standing::{Order, Standing};
use crate::units::Weekdays;

/// What the lanes that run in a session owe by then.
#[derive(Clone, Debug)]
pub(super) struct Owed(Vec<(LaneIx, By)>);

impl Owed {
    /// What is owed, with everything drawn that does not depend on how lanes lean. A lane that is new, or
    /// described otherwise than it was, is counted on from where it is.
    pub(super) fn of(network: &Network<'_>, standing: &mut Standing, session: i32, chance: Chance) -> Self {
        let layout = network.layout();
        let date = layout.settings().days.of_session(session);
        let mut owed = Vec::new();
        for (ix, lane) in layout.lanes().iter() {
            let works = works(layout, lane);
            if !runs(layout, ix, date) || !works.has(network.date().weekday()) {
                continue;
            }
            let day = days_run(layout, ix, works, FIRST_COUNTED, session);
            if lane.gap.count() <= 1 || day.is_multiple_of(lane.gap.count()) {
                owed.push((ix, due(layout, ix, day, standing, chance)));
            }
        }
        Owed(owed)
    }

    /// Adds the orders that come due in the session.
    pub(super) fn come_due(self, layout: &Layout, standing: &mut Standing, session: i32, leans: &Leans) {
        for (ix, by) in self.0 {
            let lane = &layout.lanes()[ix];
            let by_now = i64::from(by.leaning(leans.get(&ix).copied()));
            let due = u32::try_from(by_now + i64::from(standing.due_shift[ix])).unwrap_or(0);
            let first = standing.due_so_far[ix] + 1;
            for number in first..=due {
                let set = first + (number - first) / lane.together * lane.together;
                let id = Id::from(format!("{}#{number}", lane.id));
                standing.orders.push(Order { id, lane: ix, due: session, set, car: None });
            }
            standing.due_so_far[ix] = standing.due_so_far[ix].max(due);
        }
    }
}

/// A lane at its rate, without the unevenness of days.
#[derive(Clone, Copy, Debug)]
pub(super) struct Steady {
    /// Sets in a day, as a fraction, and the phase over the same denominator.
    above: u64,
    below: u64,
    phase: u64,
    together: u32,
}

impl Steady {
    /// Of a lane.
    pub(super) fn of(layout: &Layout, lane: &Lane) -> Self {
        let (above, days) = rate(lane, works(layout, lane));
        let below = days * u64::from(lane.together);
        Steady { above, below, phase: phase(lane, below), together: lane.together }
    }

    /// How many orders are due by the lane's so many-th day.
    pub(super) fn due(self, day: u32) -> u32 {
        let sets = (self.above * u64::from(day) + self.phase) / self.below;
        u32::try_from(sets).unwrap_or(u32::MAX / self.together) * self.together
    }
}

/// The days of the week that a lane's rate is counted by.
pub(super) fn works(layout: &Layout, lane: &Lane) -> Weekdays {
    if lane.rate.per == Duration::Session { Weekdays::EVERY } else { lane_works(layout, lane) }
}

/// How many orders of a lane are due by its so many-th day; its shift is set so that they count on from
/// those that came due so far.
fn due(layout: &Layout, ix: LaneIx, day: u32, standing: &mut Standing, chance: Chance) -> By {
    let lane = &layout.lanes()[ix];
    let works = works(layout, lane);
    // What came due since the last day on which it had orders is owed, and no more.
    let before = || due_by(lane, works, day.saturating_sub(lane.gap.count().max(1)), chance).drawn;
    if standing.due_so_far[ix] == 0 {
        // A new lane, or the very first session: it does not owe what it never ran.
        (standing.due_so_far[ix], standing.due_shift[ix]) = (before(), 0);
    }
    let so_far = standing.due_so_far[ix];
    let by_now = due_by(lane, works, day, chance);
    let owed = i64::from(by_now.drawn) + i64::from(standing.due_shift[ix]) - i64::from(so_far);
    let (above, below) = rate(lane, works);
    let in_a_gap = (above * u64::from(lane.gap.count().max(1))).div_ceil(below);
    let most =
        i64::from(lane.spread) + i64::from(lane.together) + i64::try_from(in_a_gap).unwrap_or(i64::MAX / 4);
    if owed.abs() > most {
        // No chance makes it stray so far: the lane is described otherwise than it was.
        let shift = i64::from(so_far) - i64::from(before());
        standing.due_shift[ix] = i32::try_from(shift).unwrap_or(0);
    }
    by_now
}

/// How many orders of a lane are due by a day: as drawn, and where it leans all the way to one side on it.
#[derive(Clone, Copy, Debug)]
struct By {
    late: u32,
    drawn: u32,
    early: u32,
}

impl By {
    const fn leaning(self, lean: Option<Lean>) -> u32 {
        match lean {
            Some(Lean::Late) => self.late,
            None => self.drawn,
            Some(Lean::Early) => self.early,
        }
    }
}

/// Carloads in a working day, as a fraction: carloads in twelve weeks over working days in twelve weeks.
fn rate(lane: &Lane, works: Weekdays) -> (u64, u64) {
    let days = if lane.rate.per == Duration::Day { 84 } else { 12 * u64::from(works.count().max(1)) };
    (u64::from(lane.rate.in_twelve_weeks()), days)
}

/// How many orders of a lane are due by its so many-th day.
fn due_by(lane: &Lane, works: Weekdays, now: u32, chance: Chance) -> By {
    // Sets, not cars, come due, so `together` goes below the line.
    let (above, days) = rate(lane, works);
    let below = days * u64::from(lane.together);
    let phase = phase(lane, below);
    let stray = u64::from(lane.spread) * below / u64::from(lane.together);
    // A wobble goes from 0 to the spread, and half the spread is taken off.
    let sets =
        |day: u32, wobble: u64| (above * u64::from(day) + phase + wobble).saturating_sub(stray / 2) / below;
    let wobble = |day: u32| {
        let id = [lane.id.as_str(), "|", &day.to_string()].concat();
        chance.stream("wobble", &id).below(stray + 1)
    };
    let drawn = |day: u32| sets(day, if stray == 0 { 0 } else { wobble(day) });
    // Early wobbles may have been larger: the total never falls. The further back a day, the less it can
    // come to at most.
    let reach = u32::try_from(stray / above.max(1)).unwrap_or(u32::MAX).saturating_add(1).min(now);
    let mut earlier = 0;
    for day in (now - reach..now).rev() {
        if sets(day, stray) <= earlier {
            break;
        }
        earlier = earlier.max(drawn(day));
    }
    let cars = |sets: u64| {
        let sets = u32::try_from(sets.max(earlier)).unwrap_or(u32::MAX / lane.together);
        sets * lane.together
    };
    By { late: cars(sets(now, 0)), drawn: cars(drawn(now)), early: cars(sets(now, stray)) }
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
    use crate::units::Date;
    use proptest::prelude::*;

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

    fn come_due(network: &Network<'_>, standing: &mut Standing, session: i32, seed: u64) {
        let owed = Owed::of(network, standing, session, Chance::new(seed));
        owed.come_due(network.layout(), standing, session, &Leans::new());
    }

    /// How many orders come due in each of so many sessions, seeds changing from session to session.
    fn due(layout: &Layout, sessions: i32) -> Vec<usize> {
        let mut standing = Standing::shelved(layout);
        (1..=sessions)
            .map(|session| {
                let network = Network::new(layout, layout.settings().days.of_session(session));
                let before = standing.orders.len();
                come_due(&network, &mut standing, session, session.unsigned_abs().into());
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

    /// A lane on a calendar of so many days from Monday, 2 October 1978.
    fn on_days(count: i32, works: &str, rate: &str, more: &str) -> Layout {
        let last = Date::new(1978, 10, 2).unwrap().plus_days(count - 1);
        let text = format!(
            "{HEAD}\n[layout]\nname = \"Lane\"\nscale = \"HO\"\ndays = {{ first = 1978-10-02, last = {last} }}\n\
             [[lane]]\ncommodity = \"flour\"\nfrom = \"mill\"\nto = \"away\"\ncarloads = \"{rate}\"\n{more}"
        );
        let mut sources = crate::diag::Sources::default();
        sources.add("lane.toml", text.replace("WORKS", works));
        crate::layout::load(sources).0.expect("a sound layout")
    }

    const HEAD: &str = r#"
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
[place.yard]
name = "Yard"
railroad = "CHT"
track.1 = { use = "yard", length = "9 cars", opens = "both" }
track.mill = { use = "spur", length = "9 cars", opens = "both" }
[gateway.away]
name = "Away"
kind = "fiddle"
takes = "yard/1"
gives = "yard/1"
[job.drill]
railroad = "CHT"
calls = ["yard"]
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "yard"
works = "WORKS"
ships.flour = ["mill"]
"#;

    /// How far the running total of some sessions strays up and down from the rate, in carloads over
    /// `below`: the width of the band in which it stays.
    fn band(layout: &Layout, sessions: i32) -> (i64, i64, i64) {
        let (ix, lane) = layout.lanes().iter().next().unwrap();
        let works = works(layout, lane);
        let (above, below) = rate(lane, works);
        let (above, below) = (i64::try_from(above).unwrap(), i64::try_from(below).unwrap());
        let mut total = 0;
        let strays = due(layout, sessions).into_iter().zip(1..).map(|(came, session)| {
            total += i64::try_from(came).unwrap();
            let day = i64::from(days_run(layout, ix, works, 1, session));
            total * below - above * day
        });
        let strays: Vec<i64> = strays.collect();
        let band = strays.iter().max().unwrap() - strays.iter().min().unwrap();
        (band, above, below)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

        /// The seed changes with every session. The total stays within a band about the rate: its
        /// spread to either side where a set is no larger than the spread, else half of both together;
        /// a gap lets it fall behind by what comes due in the gap.
        #[test]
        fn the_running_total_never_strays_more_than_its_spread(
            carloads in 1_u32..40,
            per in prop::sample::select(vec!["day", "week", "month", "session"]),
            spread in 0_u32..6,
            together in 1_u32..5,
            gap in 0_u32..4,
            works in prop::sample::select(vec!["Mon-Fri", "Mon, Wed, Fri", "every day", "Sun", "Tue-Sat"]),
            days in prop::sample::select(vec![7, 14, 30]),
            season in any::<bool>(),
        ) {
            let mut more = format!("spread = {spread}\ntogether = {together}\ngap = \"{gap} days\"\n");
            if season {
                more += "season = { first = \"10-03\", last = \"10-06\" }\n";
            }
            let layout = on_days(days, works, &format!("{carloads} a {per}"), &more);
            let (band, above, below) = band(&layout, 120);
            let gap = if gap > 1 { above * i64::from(gap) } else { 0 };
            let allowed = i64::from(spread + together) * below + gap;
            prop_assert!(band <= allowed, "{band} of {allowed}");
            if together <= spread && gap == 0 {
                prop_assert!(band <= 2 * i64::from(spread) * below);
            }
        }
    }

    #[test]
    fn a_season_that_begins_again_brings_no_backlog() {
        // Four days of the fortnight are in season; 2 a day and a spread of 1: never more than 4.
        let layout = on_days(14, "every day", "2 a day", "season = { first = \"10-09\", last = \"10-12\" }");
        let due = due(&layout, 140);
        assert!(due.iter().all(|came| *came <= 4), "{due:?}");
        assert_eq!(due.iter().filter(|came| **came > 0).count(), 40, "{due:?}");
        let total: usize = due.iter().sum();
        assert!((79..=81).contains(&total), "ten seasons of four days: {total}");
    }

    #[test]
    fn another_rate_holds_from_today_on_and_owes_nothing_for_the_past() {
        let before = on_days(7, "every day", "2 a day", "");
        let after = on_days(7, "every day", "5 a day", "");
        let mut standing = Standing::shelved(&before);
        let mut came = |layout: &Layout, sessions: std::ops::Range<i32>| {
            let mut totals = Vec::new();
            for session in sessions {
                let network = Network::new(layout, layout.settings().days.of_session(session));
                let had = standing.orders.len();
                come_due(&network, &mut standing, session, session.unsigned_abs().into());
                totals.push(standing.orders.len() - had);
            }
            totals
        };
        let slow: usize = came(&before, 1..41).iter().sum();
        let fast = came(&after, 41..81);
        let slow_again = came(&before, 81..121);
        assert!((79..=81).contains(&slow), "{slow}");
        assert!(fast.iter().all(|came| *came <= 7), "{fast:?}");
        let (fast, slow_again): (usize, usize) = (fast.iter().sum(), slow_again.iter().sum());
        assert!((198..=202).contains(&fast), "{fast}");
        assert!((78..=82).contains(&slow_again), "{slow_again}");
        let ids: std::collections::BTreeSet<&Id> = standing.orders.iter().map(|order| &order.id).collect();
        assert_eq!(ids.len(), standing.orders.len(), "no number is given twice");
    }

    #[test]
    fn a_lane_does_not_owe_what_it_never_ran() {
        let layout = lane("10 a week", "");
        let mut standing = Standing::shelved(&layout);
        let network = Network::new(&layout, layout.settings().days.of_session(200));
        come_due(&network, &mut standing, 200, 1);
        assert!(standing.orders.len() <= 4, "{}", standing.orders.len());
        assert!(standing.due_so_far[LaneIx::new(0)] > 100);
    }
}
