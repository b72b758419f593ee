//! Every plan is sound, loses nothing, and leaves a railroad that goes on working.

use std::collections::BTreeMap;

use setout::audit::{Breach, audit};
use setout::ids::Id;
use setout::layout::Layout;
use setout::session::plan::{OrderState, Plan, RowCar, Rows};
use setout::session::{self, Planned, Request};
use setout::standing::{CarState, Condition, Standing};

use super::{OURS, cases, everywhere, made, ours, run};

pub(super) fn sound(layout: &Layout, planned: &Planned) {
    let breaches = audit(&planned.plan, layout);
    let told: Vec<String> = breaches.iter().map(Breach::to_string).collect();
    assert!(told.is_empty(), "session {}:\n{}", planned.plan.session, told.join("\n"));
}

/// Every car of a row, with how often it is there.
fn counted(rows: &Rows) -> BTreeMap<&Id, u32> {
    let mut counted = BTreeMap::new();
    let away = rows.beyond.values().flatten().chain(&rows.shelf);
    for RowCar { car, .. } in rows.tracks.values().flatten().chain(away) {
        *counted.entry(car).or_insert(0) += 1;
    }
    counted
}

fn conserved(layout: &Layout, plan: &Plan) {
    let roster: BTreeMap<&Id, u32> = layout.cars().values().map(|car| (&car.id, 1)).collect();
    assert_eq!(counted(&plan.before), roster, "before session {}", plan.session);
    assert_eq!(counted(&plan.after), roster, "after session {}", plan.session);
}

/// No order ends without a word: those open before are told of, and those that end are gone after.
fn orders_are_kept(before: &Standing, planned: &Planned) {
    let told: BTreeMap<&Id, OrderState> =
        planned.plan.orders.iter().map(|order| (&order.id, order.state)).collect();
    assert_eq!(told.len(), planned.plan.orders.len(), "an order is told of twice");
    for order in &before.orders {
        assert!(told.contains_key(&order.id), "nothing is said of order {}", order.id);
    }
    for (id, state) in told {
        let open = planned.after.orders.iter().any(|order| order.id == *id);
        let ended = matches!(state, OrderState::Done | OrderState::Cancelled);
        assert_ne!(open, ended, "order {id} is {state:?}");
    }
}

fn five_sessions(layout: &Layout, seed: u64) {
    let mut last: Option<Rows> = None;
    run(layout, seed, 5, |before, planned| {
        sound(layout, planned);
        conserved(layout, &planned.plan);
        orders_are_kept(before, planned);
        if let Some(last) = last.replace(planned.plan.after.clone()) {
            assert_eq!(last, planned.plan.before, "session {} begins elsewhere", planned.plan.session);
        }
        let text = serde_json::to_string(&planned.plan).unwrap();
        assert_eq!(serde_json::from_str::<Plan>(&text).unwrap(), planned.plan, "read back from its file");
    });
}

#[test]
fn every_plan_passes_the_audit_and_keeps_every_car_and_order() {
    everywhere(|seed, folder| five_sessions(&folder.layout(), seed));
}

#[test]
fn so_do_the_plans_of_our_own_layouts() {
    for name in OURS {
        for seed in 1..=cases().div_ceil(super::USUAL) {
            five_sessions(&ours(name), seed);
        }
    }
}

/// Thirty sessions: in the last ten, cars must still move, and not a quarter of what moved at first.
fn goes_on(layout: &Layout, seed: u64) {
    let mut moved = Vec::new();
    let after = run(layout, seed, 30, |_, planned| {
        moved.push(planned.plan.trips.iter().filter(|trip| !trip.legs.is_empty()).count());
        sound(layout, planned);
    });
    let (first, last): (usize, usize) = (moved[..10].iter().sum(), moved[20..].iter().sum());
    assert!(after.orders.is_empty() || last > 0, "nothing moves any more: {moved:?}");
    assert!(last * 4 >= first || after.orders.is_empty(), "ever less moves: {moved:?}");
}

#[test]
fn no_railroad_comes_to_a_standstill() {
    everywhere(|seed, folder| goes_on(&folder.layout(), seed));
    for name in &OURS[1..] {
        goes_on(&ours(name), 1);
    }
}

#[test]
fn a_layout_without_lanes_has_a_plan_in_which_empties_go_home() {
    let mut folder = made::folder(3);
    folder.tables.retain(|table| !table.starts_with("[[lane]]"));
    let layout = folder.layout();
    let after = run(&layout, 1, 3, |_, planned| sound(&layout, planned));
    assert!(after.orders.is_empty());
    let first = session::first_standing(&layout, 1);
    assert!(first.orders.is_empty());
}

#[test]
fn a_bad_order_is_mended_and_the_plan_is_sound() {
    let mut folder = made::folder(0);
    folder.tables.retain(|table| !table.contains("track.rip]"));
    folder.tables.push(
        "[place.yard.track.rip]\nuse = \"repair\"\nlength = \"3 cars\"\nopens = \"both\"\noffers = [\"repair\"]\n"
            .to_owned(),
    );
    let layout = folder.layout();
    let mut standing = session::first_standing(&layout, 1);
    let (yard, _) = layout.tracks().iter().find(|(_, track)| track.id.as_str() == "yard/1").unwrap();
    let away = |state: &CarState| state.track().is_none() && state.condition == Condition::Empty;
    let (car, _) = standing.cars().find(|(_, state)| away(state)).expect("not all cars are in use");
    standing.put(car, yard, None);
    standing.car_mut(car).bad_order = true;
    let planned = session::plan(&layout, &standing, &Request { seed: 1, revision: 1 });
    sound(&layout, &planned);
    let state = planned.after.car(car);
    assert_eq!(
        (state.bad_order, state.repaired),
        (true, Some(planned.plan.session + 1)),
        "it is in the shop"
    );
    let next = session::plan(&layout, &planned.after, &Request { seed: 2, revision: 1 });
    sound(&layout, &next);
    assert!(!next.after.car(car).bad_order);
}
