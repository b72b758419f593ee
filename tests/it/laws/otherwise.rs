//! Sessions that go otherwise than planned, at random: no car is lost or in two places, no order is
//! lost, and the next plan is sound.

use std::collections::BTreeMap;

use setout::chance::Chance;
use setout::ids::Id;
use setout::layout::Layout;
use setout::ledger::facts::{Said, understood};
use setout::ledger::happened::{Evening, Happened, happened};
use setout::session::plan::{OrderState, Plan};
use setout::session::{self, Planned, Request};
use setout::standing::{Standing, Whereabouts};

use super::plans::sound;
use super::{OURS, everywhere, ours};

/// Up to six things that happened otherwise.
fn exceptions(layout: &Layout, plan: &Plan, seed: u64) -> Vec<Said> {
    let mut draw = Chance::new(seed).stream("otherwise", &plan.session.to_string());
    let mut pick = |count: usize| usize::try_from(draw.below(count.max(1) as u64)).unwrap();
    let cars: Vec<&Id> = layout.cars().values().map(|car| &car.id).collect();
    let tracks: Vec<&Id> = layout.tracks().values().map(|track| &track.id).collect();
    let spots: Vec<&Id> = layout.spots().values().map(|spot| &spot.id).collect();
    let gateways: Vec<&Id> = layout.gateways().values().map(|gateway| &gateway.id).collect();
    let moved: Vec<&Id> = plan.trips.iter().map(|trip| &trip.car).collect();
    let mut said = Vec::new();
    for _ in 0..=pick(6) {
        let car =
            if pick(4) == 0 || moved.is_empty() { cars[pick(cars.len())] } else { moved[pick(moved.len())] };
        let job = plan.world.jobs.get(pick(plan.world.jobs.len()));
        let words = match (pick(8), job) {
            (0 | 1, _) => format!("{car} left"),
            (2, _) => format!("{car} at {}", tracks[pick(tracks.len())]),
            (3, _) if !spots.is_empty() => format!("{car} at {}", spots[pick(spots.len())]),
            (4, _) if !gateways.is_empty() && pick(2) == 0 => {
                format!("{car} at {}", gateways[pick(gateways.len())])
            }
            (4, _) => format!("{car} at shelf"),
            (5, _) => format!("{car} bad order"),
            (6, Some(job)) => format!("job {} not run", job.id),
            (7, Some(job)) => format!("job {} ran to {}", job.id, 1 + pick(job.calls.len())),
            _ => continue,
        };
        said.push(Said { origin: "here".to_owned(), words });
    }
    said
}

/// What a session left; those of what is said that cannot be are left out one after the other.
fn left(layout: &Layout, before: &Standing, planned: &Planned, mut said: Vec<Said>) -> (Happened, Vec<Said>) {
    let evening = Evening { layout, plan: &planned.plan, before, expected: &planned.after };
    loop {
        let facts = understood(&said, layout, &planned.plan);
        if let Ok(left) = facts.and_then(|facts| happened(&evening, &facts)) {
            return (left, said);
        }
        assert!(said.pop().is_some(), "nothing is said and it cannot be");
    }
}

fn conserved(layout: &Layout, standing: &Standing) {
    let mut on = BTreeMap::new();
    for (track, described) in layout.tracks().iter() {
        let mut length = setout::units::Length::default();
        for car in standing.on(track) {
            assert!(matches!(standing.car(*car).whereabouts(), Whereabouts::Track(at, _) if at == track));
            *on.entry(*car).or_insert(0) += 1;
            length = length + layout.cars()[*car].length;
        }
        assert!(length <= described.length, "{} is too full", described.id);
    }
    assert!(on.values().all(|times| *times == 1), "a car is in two places");
    for (car, state) in standing.cars() {
        let id = &layout.cars()[car].id;
        assert_eq!(on.contains_key(&car), state.track().is_some(), "{id}");
        if let Some(order) = state.condition.order() {
            let open =
                standing.order(order).unwrap_or_else(|| panic!("{id} serves {order}, which is not open"));
            assert_eq!(open.car, Some(car), "{id} serves {order}");
        }
    }
    for order in &standing.orders {
        if let Some(car) = order.car {
            assert_eq!(standing.car(car).condition.order(), Some(&order.id), "{}", order.id);
        }
    }
}

fn orders_carry_over(planned: &Planned, left: &Standing) {
    for order in planned.plan.orders.iter().filter(|order| order.state == OrderState::Waiting) {
        assert!(left.order(&order.id).is_some(), "{} is lost", order.id);
    }
}

fn sessions(layout: &Layout, seed: u64, count: u64) {
    let mut standing = session::first_standing(layout, seed);
    for number in 0..count {
        let request = Request { seed: seed * 100 + number, revision: 1 };
        let planned = session::plan(layout, &standing, &request);
        let said = exceptions(layout, &planned.plan, seed * 100 + number);
        let (happened, said) = left(layout, &standing, &planned, said);
        let words: Vec<&str> = said.iter().map(|said| said.words.as_str()).collect();
        let told = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            conserved(layout, &happened.standing);
            orders_carry_over(&planned, &happened.standing);
            let next = session::plan(layout, &happened.standing, &Request { seed: number, revision: 1 });
            sound(layout, &next);
        }));
        assert!(told.is_ok(), "session {}: {}", planned.plan.session, words.join("; "));
        standing = happened.standing;
    }
}

#[test]
fn nothing_said_is_all_as_planned() {
    for name in OURS {
        let layout = ours(name);
        let before = session::first_standing(&layout, 3);
        let planned = session::plan(&layout, &before, &Request { seed: 3, revision: 1 });
        let (left, _) = left(&layout, &before, &planned, Vec::new());
        assert_eq!((left.standing, left.misplaced), (planned.after, Vec::new()), "{name}");
    }
}

#[test]
fn whatever_happens_no_car_is_lost_and_the_next_plan_is_sound() {
    everywhere(|seed, folder| sessions(&folder.layout(), seed + 1, 4));
    for name in OURS {
        sessions(&ours(name), 5, 4);
    }
}
