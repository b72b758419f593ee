//! Cars for orders.
//!
//! All orders that may have a car tonight and all cars that will do are matched at once, at the
//! least total price ([`super::assign`]). What a choice costs stands in [`super::rank`]. Leaving an order without a car
//! costs more than any car, and more with every session it has waited. A customer is not flooded:
//! when as many cars are at its spots and under way to them as the spots take twice over, its
//! further orders wait. Where a gateway gives no more cars tonight, or has no more room, the orders that
//! would have had one of its cars look again among the others.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::alike::{Alike, Queues, Row};
use super::assign::{Price, assign_offers};
use super::crowd::Crowd;
use super::fits::bound_for;
use super::gateways::{place, room_at};
use super::rank::{Choice, Ranking};
use super::sets::assign_whole;
use super::settle::loading;
use super::wishes::{is_spot, load_spots, unload_spots};
use super::{Demand, News, Outcome};
use crate::chance::Chance;
use crate::ids::{CarIx, GatewayIx, Id, Ix, IxVec};
use crate::layout::{LaneEnd, Layout};
use crate::network::Network;
use crate::said::{self, Worded};
use crate::standing::{Condition, Order, Orders};

/// The price of an order without a car: more than any car's, which is below 2⁷².
const UNFILLED: Price = 1 << 80;

/// How often the orders that a gateway has a car for, and gives no more, look for another.
const ROUNDS: u32 = 3;

/// Fills what orders can be filled, and says of each why or why not.
pub(super) fn fill(network: &Network<'_>, demand: &mut Demand, session: i32, chance: Chance) {
    let layout = network.layout();
    let mut ranking = Ranking::new(network, session, chance);
    let mut orders = std::mem::take(&mut demand.standing.orders);
    cancel(layout, demand, &mut orders, session);
    let mut given = IxVec::filled(0, layout.gateways().len());
    let mut alike = Alike::new(&ranking, &demand.standing);
    let mut rows = not_crowded(&ranking, &alike, demand, &orders);
    let mut refused: BTreeMap<usize, Worded> = BTreeMap::new();
    for round in 1..=ROUNDS {
        let why_not = match_once(&ranking, &alike, demand, &mut orders, &rows, &mut given);
        let again: Vec<usize> = why_not.iter().filter(|no| no.by_gateway).map(|no| no.order).collect();
        for no in why_not {
            if no.by_gateway && round < ROUNDS {
                refused.insert(no.order, no.why);
                continue;
            }
            // What the gateway said weighs more than that nothing else was found.
            let why = refused.remove(&no.order).unwrap_or(no.why);
            let order = orders[no.order].clone();
            demand.news.push(News::said(order, Outcome::Waiting, why));
        }
        if again.is_empty() {
            break;
        }
        ranking.shut_those_that_gave_all(&given);
        alike = Alike::new(&ranking, &demand.standing);
        let row = |order: usize| {
            let lane = &layout.lanes()[orders[order].lane];
            alike.row(&ranking, &demand.standing, (lane, ranking.strict(&orders[order])))
        };
        rows = again.into_iter().map(|order| (order, row(order))).collect();
    }
    tell_of_the_rest(layout, demand, &orders, session);
    demand.standing.orders = orders;
}

/// An order that got no car in a round.
struct WhyNot {
    order: usize,
    why: Worded,
    /// Whether there was one, which its gateway does not give any more.
    by_gateway: bool,
}

/// Matches orders and cars once, and gives the orders their cars; those that got none.
fn match_once(
    ranking: &Ranking<'_>,
    alike: &Alike,
    demand: &mut Demand,
    orders: &mut Orders,
    rows: &[(usize, Row<'_>)],
    given: &mut IxVec<GatewayIx, u32>,
) -> Vec<WhyNot> {
    let (layout, session) = (ranking.network.layout(), ranking.session);
    let of_row: Vec<usize> = rows.iter().map(|(order, _)| *order).collect();
    let (assigned, waits) = assign_whole(layout, orders, &of_row, session, |waits| {
        let asked = rows
            .iter()
            .zip(waits)
            .map(|((order, row), waits)| (row, unfilled(layout, &orders[*order], session), !waits));
        assign_offers(&mut Queues::new(ranking, &demand.standing, alike, asked))
    });
    let mut taken: IxVec<CarIx, Option<usize>> = IxVec::filled(None, layout.cars().len());
    let mut choices: Vec<Option<Choice>> = Vec::new();
    for ((order, row), car) in rows.iter().zip(assigned) {
        let car = car.map(CarIx::new);
        if let Some(car) = car {
            taken[car] = Some(*order);
        }
        choices.push(car.and_then(|car| row.choice(ranking, &demand.standing, car)));
    }
    let mut why_not = Vec::new();
    for (((at, row), choice), waits) in rows.iter().zip(choices).zip(waits) {
        let lane = &layout.lanes()[orders[*at].lane];
        let answer = match &choice {
            None if waits && row.count > 0 => Err(said::waits_for_its_set(lane.together)),
            None => Err(row.refused.words(layout, lane, row.count)),
            Some(choice) => give(ranking, demand, &orders[*at], choice, given).map(|()| choice),
        };
        match answer {
            Ok(choice) => {
                orders[*at].car = Some(choice.rank.car);
                let came_by = demand.standing.car(choice.rank.car).came_by;
                let why = words(ranking, orders, (*at, row), (choice, came_by), &taken);
                demand.news.push(News::plain(orders[*at].clone(), Outcome::Filled, why));
            }
            Err(why) => why_not.push(WhyNot { order: *at, why, by_gateway: choice.is_some() }),
        }
    }
    why_not
}

/// Takes orders off that waited too long.
fn cancel(layout: &Layout, demand: &mut Demand, orders: &mut Orders, session: i32) {
    orders.retain(|order| {
        let age = session - order.due;
        let span = layout.lanes()[order.lane].cancel_after;
        let over = span.is_some_and(|span| age > i32::try_from(span.count()).unwrap_or(i32::MAX));
        let cancelled = order.car.is_none() && over;
        if cancelled {
            demand.news.push(News::said(order.clone(), Outcome::Cancelled, said::waited_too_long(age)));
        }
        !cancelled
    });
}

/// The orders without a car whose customers have use for one more, the most urgent first; of the
/// others it says that they wait. An order for which there is no car keeps no other from its spots.
fn not_crowded<'l>(
    ranking: &Ranking<'l>,
    alike: &Alike,
    demand: &mut Demand,
    orders: &[Order],
) -> Vec<(usize, Row<'l>)> {
    let layout = ranking.network.layout();
    let mut by_urgency: Vec<usize> = (0..orders.len()).filter(|order| orders[*order].car.is_none()).collect();
    by_urgency.sort_by_key(|order| {
        let lane = &layout.lanes()[orders[*order].lane];
        (Reverse(layout.goes_first(lane)), orders[*order].due, *order)
    });
    let mut crowd = Crowd::new(layout, bound_for(layout, &demand.standing, orders));
    let mut open: Vec<(usize, Row<'_>)> = Vec::new();
    for order in by_urgency {
        let lane = &layout.lanes()[orders[order].lane];
        let ends = [load_spots(layout, lane), unload_spots(layout, lane)];
        match ends.iter().find_map(|spots| crowd.full(spots)) {
            None => {
                let strict = ranking.strict(&orders[order]);
                let row = alike.row(ranking, &demand.standing, (lane, strict));
                if row.count > 0 {
                    ends.into_iter().filter(|spots| !spots.is_empty()).for_each(|spots| crowd.add(spots));
                }
                open.push((order, row));
            }
            Some(why) => demand.news.push(News::said(orders[order].clone(), Outcome::Held, why)),
        }
    }
    open
}

/// What it costs to leave an order without a car.
fn unfilled(layout: &Layout, order: &Order, session: i32) -> Price {
    let lane = &layout.lanes()[order.lane];
    let age = Price::from((session - order.due).max(0));
    UNFILLED * (8 + age + if layout.goes_first(lane) { 8 } else { 0 })
}

/// Gives an order its car: puts the car onto the layout if it must come, and says what it is about.
fn give(
    ranking: &Ranking<'_>,
    demand: &mut Demand,
    order: &Order,
    choice: &Choice,
    given: &mut IxVec<GatewayIx, u32>,
) -> Result<(), Worded> {
    let layout = ranking.network.layout();
    let lane = &layout.lanes()[order.lane];
    let car = choice.rank.car;
    if let Some(gateway) = choice.comes {
        let described = &layout.gateways()[gateway];
        let name = &described.name;
        if described.limit.is_some_and(|limit| given[gateway] >= limit.count()) {
            return Err(said::gives_no_more(&**name));
        }
        let track = room_at(ranking.network, &demand.standing, gateway, car);
        let track = track.ok_or_else(|| said::no_room_at_gateway(&layout.cars()[car].id, &**name))?;
        given[gateway] += 1;
        let lading = matches!(lane.from, LaneEnd::Beyond(..)).then_some(lane.commodity);
        place(demand, ranking.session, (car, track, gateway), lading);
    }
    let state = demand.standing.car_mut(car);
    let ready_to_load = !(state.dirty && layout.commodities()[lane.commodity].clean);
    state.services_done = 0;
    state.loads = state.loads.saturating_add(1);
    state.last = Some(order.lane);
    let id = order.id.clone();
    state.condition = match lane.from {
        LaneEnd::Beyond(..) => Condition::Loaded { order: id, lading: lane.commodity },
        LaneEnd::Industry(industry)
            if ready_to_load && is_spot(load_spots(layout, lane), state.track(), state.spot()) =>
        {
            loading(layout, lane, industry, id, ranking.session)
        }
        LaneEnd::Industry(_) => Condition::Ordered { order: id },
    };
    if matches!(state.condition, Condition::Loading { .. }) {
        state.placed = Some(ranking.session);
    }
    Ok(())
}

/// Why this car: what it was chosen over, and what better one serves another order.
fn words(
    ranking: &Ranking<'_>,
    orders: &[Order],
    (order, row): (usize, &Row<'_>),
    (choice, came_by): (&Choice, Option<GatewayIx>),
    taken: &IxVec<CarIx, Option<usize>>,
) -> String {
    let layout = ranking.network.layout();
    let car = &layout.cars()[choice.rank.car];
    let lane = &layout.lanes()[orders[order].lane];
    let mut words = vec![format!("{} chosen of {} that would do", car.id, row.count)];
    if choice.rank.kind > 0 {
        words.push(format!("a substitute, {}", layout.types()[car.kind].code));
    }
    if choice.rank.in_place == 0 && matches!(lane.from, LaneEnd::Industry(_)) {
        words.push("already at the spot".to_owned());
    }
    words.extend(ranking.service_words(lane, &orders[order], (choice.rank.car, came_by)).map(str::to_owned));
    if let Some(gateway) = choice.comes {
        words.push(format!("comes by {}", layout.gateways()[gateway].name));
    }
    let best = row.best.filter(|best| best.rank < choice.rank);
    if let Some((best, other)) = best.and_then(|best| Some((best, taken[best.rank.car]?))) {
        let better = &layout.cars()[best.rank.car].id;
        words.push(format!("{better} would be nearer to hand but serves {}", orders[other].id));
    }
    words.join("; ")
}

/// Orders that a car served before this session are news as well: they are still under way.
fn tell_of_the_rest(layout: &Layout, demand: &mut Demand, orders: &[Order], session: i32) {
    let told: BTreeSet<Id> = demand.news.iter().map(|news| news.order.id.clone()).collect();
    for order in orders {
        let Some(car) = order.car else { continue };
        if !told.contains(&order.id) {
            let id = &layout.cars()[car].id;
            let why = match session - order.due {
                0 => format!("{id} serves it"),
                1 => format!("{id} serves it, one session after it came due"),
                age => format!("{id} serves it, {age} sessions after it came due"),
            };
            demand.news.push(News::plain(order.clone(), Outcome::Filled, why));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::Network;
    use crate::standing::{Away, Standing};
    use crate::testing::{branch, branch_text, car, layout, standing};
    use crate::units::Date;

    /// Flour for door 1 alone, and fuel, for which there is no car or there are many, for all doors.
    const DOORS: &str = r#"
[commodity.flour]
cars = ["XM"]
[commodity.fuel]
cars = ["FUEL"]
[industry.mill]
name = "Mill"
place = "town"
ships.flour = ["mill/door 1"]
ships.fuel = ["mill/door 1", "mill/door 2", "mill/door 3"]
[[lane]]
id = "flour"
commodity = "flour"
from = "mill"
to = "away"
carloads = "1 a week"
[[lane]]
id = "fuel"
commodity = "fuel"
from = "mill"
to = "away"
carloads = "1 a week"
"#;

    fn outcome(layout: &Layout, before: &Standing, lane: &str) -> Vec<Outcome> {
        let network = Network::new(layout, Date::new(1978, 10, 2).unwrap());
        let mut demand = Demand::of(before.clone());
        fill(&network, &mut demand, 1, Chance::new(1));
        let news = demand.news.iter().filter(|news| news.order.id.as_str().starts_with(lane));
        news.map(|news| news.outcome).collect()
    }

    fn open(layout: &Layout, standing: &mut Standing, lane: &str, count: u32) {
        let (lane, described) =
            layout.lanes().iter().find(|(_, described)| described.id.as_str() == lane).unwrap();
        for number in 1..=count {
            let id = Id::from(format!("{}#{number}", described.id));
            standing.orders.push(Order { id, lane, due: -9, set: number, car: None });
        }
    }

    #[test]
    fn orders_without_a_car_do_not_crowd_out_those_with_one() {
        let layout = branch(1, &DOORS.replace("FUEL", "T"));
        let mut before = standing(&layout, &[("yard/in", &[(1, None)])]);
        open(&layout, &mut before, "fuel", 9); // there is no tank car
        open(&layout, &mut before, "flour", 1);
        assert_eq!(outcome(&layout, &before, "flour"), [Outcome::Filled]);
    }

    #[test]
    fn cars_that_have_other_doors_do_not_crowd_out_those_with_one_door() {
        // Two of six places at three doors are taken by fuel; flour has only door 1.
        let layout = branch(3, &DOORS.replace("FUEL", "XM"));
        let mut before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None)])]);
        open(&layout, &mut before, "fuel", 2);
        for at in 0..2 {
            before.orders[at].car = Some(car(at + 1));
            let order = before.orders[at].id.clone();
            before.car_mut(car(at + 1)).condition = Condition::Ordered { order };
        }
        open(&layout, &mut before, "flour", 1);
        assert_eq!(outcome(&layout, &before, "flour"), [Outcome::Filled]);
    }

    #[test]
    fn an_order_whose_gateway_gives_no_more_gets_a_car_from_elsewhere() {
        let more =
            DOORS.replace("FUEL", "T").replace("[\"XM\"]", "[\"XM\", \"XP\"]").replace("door 1", "door 2")
                + "[[car]]\nmark = \"CHT\"\nnumber = 3\ntype = \"XP\"\nlength = \"44 ft\"\n";
        let text = branch_text(2, &more).replace("gives = \"yard/in\"\n", "gives = \"yard/in\"\nlimit = 1\n");
        let layout = layout(&text);
        let mut before = standing(&layout, &[("yard/in", &[(3, None)])]);
        for number in 1..=2 {
            before.take_away(car(number), Away::Beyond(Ix::new(0)));
            before.car_mut(car(number)).since = -9;
        }
        open(&layout, &mut before, "flour", 2);
        assert_eq!(outcome(&layout, &before, "flour"), [Outcome::Filled, Outcome::Filled]);
    }

    #[test]
    fn no_more_cars_are_sent_than_the_doors_take_twice_over() {
        let layout = branch(5, &DOORS.replace("FUEL", "T"));
        let five = [(1, None), (2, None), (3, None), (4, None), (5, None)];
        let mut before = standing(&layout, &[("yard/in", &five)]);
        open(&layout, &mut before, "flour", 5);
        let filled = outcome(&layout, &before, "flour");
        assert_eq!(filled.iter().filter(|outcome| **outcome == Outcome::Filled).count(), 2);
    }
}
