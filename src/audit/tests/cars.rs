//! Bad orders and dirt, and what customers ask.

use super::{Breach, all_found, at, audit, good};
use crate::diag::Sources;
use crate::ids::Id;
use crate::layout::{self, Service};
use crate::session::plan::{Event, OnHandLine, OrderState, Plan};

fn bad_order(car: &str) -> Event {
    Event::BadOrder { car: Id::from(car) }
}

#[test]
fn a_bad_order_that_is_used_is_found() {
    all_found(&[
        (6, "is a bad order and is loaded", |plan| plan.events.insert(0, bad_order("RV 3"))),
        (6, "is a bad order and serves `paper#2`", |plan| plan.events.insert(0, bad_order("RV 1"))),
        (6, "goes on with its load", |plan| plan.events.insert(at::STARTS, bad_order("RV 4"))),
        (6, "and was one already", |plan| {
            plan.events.insert(0, bad_order("RV 5"));
            plan.events.insert(0, bad_order("RV 5"));
        }),
        (6, "is sound in the end, which no event says", |plan| plan.events.insert(0, bad_order("RV 5"))),
        (6, "is a bad order in the end", |plan| plan.after.shelf[0].bad_order = true),
        (6, "and is no bad order", |plan| plan.trips[0].for_repair = true),
        (7, "goes to be repaired to `mill/team`, which does not", |plan| {
            plan.events.insert(at::STARTS, bad_order("RV 4"));
            plan.trips[2].for_repair = true;
        }),
        (12, "after the first job has begun", |plan| {
            plan.events.insert(at::FIRST_COUPLE, bad_order("RV 5"));
        }),
    ]);
}

#[test]
fn a_car_that_is_dirty_for_no_reason_is_found() {
    all_found(&[
        (6, "is dirty in the end, which no event says", |plan| plan.after.shelf[0].dirty = true),
        (6, "is clean in the end, which no event says", |plan| plan.before.shelf[0].dirty = true),
        (7, "does not offer", |plan| {
            let Event::Served { service, .. } = &mut plan.events[at::WEIGHED] else { return };
            *service = Service::Clean;
        }),
    ]);
}

/// The breaches of a spoiled plan where the plant asks for more.
fn asked(keys: &str, change: impl FnOnce(&mut Plan)) -> Vec<Breach> {
    let text =
        include_str!("turn.toml").replace("[industry.plant]\n", &format!("[industry.plant]\n{keys}\n"));
    let mut sources = Sources::default();
    sources.add("turn.toml", text);
    let layout = layout::load(sources).0.expect("a sound layout");
    let mut plan = good();
    change(&mut plan);
    audit(&plan, &layout)
}

fn told(keys: &str, change: impl FnOnce(&mut Plan)) -> String {
    asked(keys, change).iter().map(Breach::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn more_cars_than_a_customer_takes_are_found() {
    assert!(told("limit = 1", |_| {}).contains("takes no more than 1 car a session and gets more"));
    assert_eq!(told("limit = 2", |_| {}), "");
}

#[test]
fn a_car_brought_to_a_shut_gate_is_found() {
    // The plan's day is a Monday.
    assert!(told("works = \"Tue\"\nshut = true", |_| {}).contains("comes to `plant`, which is shut"));
    assert_eq!(told("works = \"Mon\"\nshut = true", |_| {}), "");
}

#[test]
fn a_car_spotted_out_of_turn_is_found() {
    // A second empty for paper waits beside the dock since yesterday, and the newcomer gets there.
    let waits = |since| {
        move |plan: &mut Plan| {
            let mut waiting = plan.trips[0].clone();
            (waiting.car, waiting.order) = (Id::from("RV 2"), Some(Id::from("paper#3")));
            (waiting.arrives, waiting.waits) = (false, since);
            waiting.legs.clear();
            plan.trips.push(waiting);
            plan.orders[3].state = OrderState::Filled;
            plan.orders[3].car = Some(Id::from("RV 2"));
        }
    };
    let words = "before `RV 2`, which waits longer";
    assert!(told("in_turn = true", waits(Some(0))).contains(words));
    assert!(!told("in_turn = true", waits(None)).contains(words));
    assert!(!told("", waits(Some(0))).contains(words));
}

#[test]
fn days_on_hand_that_are_not_those_of_the_calendar_are_found() {
    let line = |customer: &str, days| OnHandLine {
        car: Id::from("RV 4"),
        customer: Id::from(customer),
        placed: -3,
        days,
        over: 2,
    };
    let with = |line: OnHandLine| told("", |plan| plan.on_hand.push(line));
    // The plan's day is Monday, session 1, of days that begin on it: what is counted stands in turn.toml.
    assert!(with(line("plant", 90)).contains("not those of the calendar"));
    assert!(with(line("elsewhere", 4)).contains("where it has no order"));
}
