//! The audit: a plan replayed, event by event, by somebody who did not make it.
//!
//! Takes a [`Plan`] and the [`Layout`] it was made for, and gives every [`Breach`] of the rules of
//! a valid plan that the document lets one see. It shares no code with the planner: it knows the
//! nouns of the layout and of the plan document, keeps a list of cars for each track and for each
//! train, and does with them exactly what each event says. A plan with a breach is never printed.
//!
//! - `facts`: the world of the plan and the layout, to be looked up by id;
//! - `truth`: whether that world is what the layout describes on that day;
//! - `scene`: who stands where, at one moment;
//! - `replay`, `handling`, `train`, `placards`, `room`: what each event does, and what it may not do;
//! - `customers`: who takes how many cars, when, and in which turn, and how long cars were kept;
//! - `health`: which cars are bad orders, and which are dirty;
//! - `log`, `work`, `trips`, `orders`, `minutes`, `light`, `meets`, `crews`: whether what the plan tells the crews and
//!   the host about calls, trips, orders, minutes, light engines, meets and people is what the events do.
//!
//! Rules are numbered as in `DEVELOPERS.md`: 1 one place for each car, 2 room on tracks and spots,
//! 3 trains and leads, 4 coupling, 5 where a car may go and who may take it, 6 ladings, 7 readiness
//! and services, 8 orders and reasons, 10 gateways, 11 placards, 12 order of events. Rule 9 speaks of many
//! plans; it is not checked here. Rule 0 is the document itself: a name that means nothing.
//!
//! Cost: linear in events and cars, times a logarithm for the names.

mod books;
mod crews;
mod customers;
mod facts;
mod handling;
mod health;
mod light;
mod log;
mod make_up;
mod meets;
mod minutes;
mod orders;
mod placards;
mod replay;
mod room;
mod scene;
mod tallies;
mod train;
mod trips;
mod truth;
mod work;

#[cfg(test)]
mod tests;

use std::fmt;

use crate::layout::Layout;
use crate::session::plan::{FORMAT, Plan};

/// One rule broken by a plan.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Breach {
    /// The event that breaks it, counted from 0; nothing where the plan as a whole does.
    pub event: Option<usize>,
    /// The rule; 0 where the document itself makes no sense.
    pub rule: u32,
    /// What is wrong.
    pub text: String,
}

/// Prints `rule 2, event 14: …`; events are counted from 1 for people.
impl fmt::Display for Breach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.event {
            Some(event) => write!(f, "rule {}, event {}: {}", self.rule, event + 1, self.text),
            None => write!(f, "rule {}: {}", self.rule, self.text),
        }
    }
}

/// Every breach of the rules in a plan; none if it is sound.
///
/// # Complexity
/// O((e + c) log n) for e events, c cars named in them or standing on the tracks they touch, and n
/// names.
pub fn audit(plan: &Plan, layout: &Layout) -> Vec<Breach> {
    let mut found = Found::default();
    if plan.format != FORMAT {
        found.say(
            0,
            format!("the plan has format {}; only plans of format {FORMAT} are audited", plan.format),
        );
        return found.breaches;
    }
    let facts = facts::Facts::new(plan, layout);
    truth::check(&facts, &mut found);
    let log = replay::replay(&facts, &mut found);
    trips::check(&facts, &log, &mut found);
    make_up::check(&facts, &mut found);
    orders::check(&facts, &log, &mut found);
    books::check(&facts, &mut found);
    tallies::check(&facts, &mut found);
    minutes::check(&facts, &mut found);
    light::check(&facts, &mut found);
    meets::check(&facts, &mut found);
    health::check(&facts, &mut found);
    customers::check(&facts, &log, &mut found);
    crews::check(&facts, &mut found);
    found.breaches
}

/// The breaches found so far.
#[derive(Debug, Default)]
struct Found {
    event: Option<usize>,
    breaches: Vec<Breach>,
}

impl Found {
    fn say(&mut self, rule: u32, text: impl Into<String>) {
        self.breaches.push(Breach { event: self.event, rule, text: text.into() });
    }
}
