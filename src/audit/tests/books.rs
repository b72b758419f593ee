//! Rules 6, 8, 10 and 12: what is taken over, handed on and counted.

use super::{Spoiled, all_found, good};
use crate::audit::audit;
use crate::diag::Sources;
use crate::ids::Id;
use crate::layout;
use crate::session::plan::{Event, LoadLine, OpenOrder, OrderState};

#[test]
fn an_order_that_is_lost_or_comes_from_nowhere_is_found() {
    all_found(&[
        (8, "the plan does not tell of it", |plan| drop(plan.orders.remove(1))),
        (8, "was not open", |plan| drop(plan.before.orders.remove(1))),
        (8, "is not handed on as it is", |plan| drop(plan.after.orders.remove(0))),
        (8, "is not handed on as it is", |plan| plan.after.orders[0].car = None),
        (8, "is not open like that", |plan| {
            plan.after.orders.push(OpenOrder { id: Id::from("paper#9"), car: None });
        }),
    ]);
}

#[test]
fn a_gateway_that_is_counted_wrong_is_found() {
    all_found(&[
        (10, "brings 1 car and takes 1 car, not 2 and 1", |plan| plan.gateways[0].received = 2),
        (10, "not 1 and 0", |plan| plan.gateways[0].delivered = 0),
        (10, "less in all than tonight", |plan| plan.gateways[0].delivered_in_all = 0),
        (10, "not what came less what went", |plan| plan.gateways[0].net = 1),
        (10, "has 2 on its tracks after the session, not 3", |plan| plan.gateways[0].standing = 3),
        (10, "does not tell the oldest", |plan| plan.gateways[0].oldest = None),
        (10, "does not tell the oldest", |plan| {
            plan.gateways[0].oldest.as_mut().unwrap().car = Id::from("RV 1");
        }),
        (10, "nothing counts", |plan| plan.gateways.clear()),
        (10, "counted twice", |plan| plan.gateways.push(plan.gateways[0].clone())),
        (10, "no gateway of that day", |plan| plan.gateways[0].gateway = Id::from("in")),
    ]);
}

#[test]
fn a_load_that_nobody_lifts_is_found() {
    all_found(&[
        (6, "nobody is told that `coal` is put into `RV 4`", |plan| plan.loads.clear()),
        (6, "nothing in the plan asks for it", |plan| {
            let more = LoadLine { put_in: false, ..plan.loads[0].clone() };
            plan.loads.push(more);
        }),
        (6, "lifted twice", |plan| plan.loads.push(plan.loads[0].clone())),
    ]);
}

#[test]
fn kinds_that_do_not_add_up_and_light_jobs_that_nobody_tells_are_found() {
    all_found(&[
        (8, "not filled, held or unfilled", |plan| plan.kinds[1].ordered = 3),
        (8, "1 orders wait for XM, not 2", |plan| plan.kinds[1].held = 1),
        (8, "have no reason", |plan| plan.kinds[1].why.clear()),
        (8, "no count of kinds", |plan| drop(plan.kinds.remove(1))),
        (12, "runs light", |plan| {
            plan.events.retain(|event| !matches!(event, Event::Couple { .. } | Event::Leave { .. }));
        }),
    ]);
}

/// The description with other words for the paper it ships.
fn with_paper(paper: &str, table: &[Spoiled]) {
    let mut sources = Sources::default();
    let text = include_str!("turn.toml");
    sources.add("turn.toml", text.replace("[commodity.paper]\n", &format!("[commodity.paper]\n{paper}\n")));
    let (layout, faults) = layout::load(sources);
    let layout = layout.unwrap_or_else(|| panic!("{:#?}", faults.sorted()));
    for (rule, words, change) in table {
        let mut plan = good();
        change(&mut plan);
        let found = audit(&plan, &layout);
        let hit = found.iter().any(|breach| breach.rule == *rule && breach.text.contains(words));
        assert!(hit, "rule {rule}, {words:?} not among {found:#?}");
    }
}

#[test]
fn a_dirty_or_rough_car_for_what_wants_better_is_found() {
    let dirty: Spoiled = (6, "is dirty and is loaded with `paper`", |plan| {
        plan.before.tracks.get_mut(&Id::from("mill/dock")).unwrap()[0].dirty = true;
    });
    let nothing_cleans: Spoiled = (6, "nothing cleans it for `paper#2`", |plan| {
        plan.before.tracks.get_mut(&Id::from("yard/1")).unwrap()[0].dirty = true;
    });
    with_paper("clean = true", &[dirty, nothing_cleans]);
    with_paper("grade = \"clean\"", &[(6, "`RV 1` is too rough for paper", |_| {})]);
    with_paper(
        "soils = true",
        &[(6, "`RV 6` is dirty in the end", |plan| {
            plan.after.beyond.get_mut(&Id::from("out")).unwrap()[0].dirty = true;
        })],
    );
}

#[test]
fn a_car_that_must_not_run_is_found() {
    all_found(&[
        (6, "`RV 1` is a bad order and serves", |plan| {
            plan.before.tracks.get_mut(&Id::from("yard/1")).unwrap()[0].bad_order = true;
        }),
        (6, "`RV 3` is a bad order and is loaded", |plan| {
            plan.before.tracks.get_mut(&Id::from("mill/dock")).unwrap()[0].bad_order = true;
        }),
        (6, "of a kind that does not carry", |plan| {
            // An order that waited since earlier, and gets a car tonight.
            plan.before.orders.push(OpenOrder { id: Id::from("paper#3"), car: None });
            plan.orders[3].due = 0;
            plan.orders[3].state = OrderState::Filled;
            plan.orders[3].car = Some(Id::from("RV 4"));
        }),
    ]);
}
