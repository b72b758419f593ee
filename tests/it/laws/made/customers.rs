//! Customers on spurs of every kind, and the lanes that serve them.

use std::fmt::Write as _;

use super::Draft;
use super::draw::Draw;
use super::ground::{opens, track};

/// What is carried: id, kinds of car, more keys.
pub(super) const COMMODITIES: [(&str, &[&str], &str); 10] = [
    ("paper", &["XM"], "clean = true\ntons = 50\n"),
    ("cans", &["XM"], ""),
    ("tools", &["XM", "FM"], ""),
    ("lumber", &["FM", "GB"], "shifts = true\n"),
    ("steel", &["GB"], ""),
    ("coal", &["HT"], "soils = true\n"),
    ("grain", &["LO"], "clean = true\n"),
    ("clay", &["LO"], "soils = true\ntons = 70\n"),
    ("propane", &["T"], "placard = 2\n"),
    ("fish", &["RS"], "perishable = true\n"),
];

/// What a customer receives and ships, for lanes between customers.
struct Customer {
    id: String,
    receives: Vec<usize>,
    ships: Vec<usize>,
    doors: usize,
}

pub(super) fn settle(draft: &mut Draft) {
    let mut draw = Draw::new(draft.seed, "customers");
    let kinds = draw.between(2, 6);
    let mut all: Vec<usize> = (0..COMMODITIES.len()).collect();
    draw.shuffle(&mut all);
    draft.carried = all[..kinds].to_vec();
    draft.carried.sort_unstable();
    for at in draft.carried.clone() {
        let (id, cars, more) = COMMODITIES[at];
        draft.folder.add(format!("[commodity.{id}]\ncars = {cars:?}\n{more}"));
    }
    let mut customers = Vec::new();
    let count = draw.between(2, 10);
    while customers.len() < count {
        let town = draw.between(0, draft.towns.len());
        // The yard has a customer of its own now and then.
        let mut opens = opens(&mut draw, 1);
        let (place, foreign) = match draft.towns.get(town) {
            Some(town) => (town.id.clone(), false),
            None => ("yard".to_owned(), draft.two),
        };
        if let Some(town) = draft.towns.get(town).filter(|town| !town.turns) {
            opens = if town.west { "west" } else { "east" };
        }
        let sites = spur(draft, &mut draw, (&place, opens), customers.len(), foreign);
        for doors in sites {
            customers.push(customer(draft, &mut draw, &place, customers.len(), &doors));
        }
    }
    lanes(draft, &mut draw, &customers);
}

/// Lays a spur and names the places on it for one customer, or for two that share it.
fn spur(
    draft: &mut Draft,
    draw: &mut Draw,
    (place, opens): (&str, &str),
    number: usize,
    foreign: bool,
) -> Vec<Vec<String>> {
    let id = format!("s{number}");
    let own = if foreign { "worked_by = [\"ALD\"]\n" } else { "" };
    let head = format!("use = \"spur\"\nopens = \"{opens}\"\n{own}full = \"100 %\"\n");
    let more = draw.maybe(1, 15, "max_car = \"60 ft\"") + &draw.maybe(1, 8, "off_spot = true");
    match draw.between(0, 5) {
        0 | 1 => {
            let cars = draw.between(1, 4);
            track(draft, place, &id, &format!("{head}length = \"{cars} cars\"\n{more}"));
            vec![vec![id]]
        }
        2 => {
            let (house, team) = (draw.between(1, 2), draw.between(1, 3));
            let length = house + team + draw.between(0, 1);
            let spots = format!(
                "spots = [{{ name = \"house\", length = \"{} ft\", cars = \"any\" }}, {{ name = \"team\", length = \"{} ft\", cars = \"any\" }}]\n",
                house * 60,
                team * 60
            )
            .replace(" ft", " scale ft");
            track(draft, place, &id, &format!("{head}length = \"{} scale ft\"\n{spots}{more}", length * 60));
            vec![vec![format!("{id}/house")], vec![format!("{id}/team")]]
        }
        _ => {
            let doors = draw.between(1, 3);
            let sized = draw.odds(2, 3);
            let spots: Vec<String> = (1..=doors)
                .map(|door| {
                    let length = if sized { ", length = \"60 scale ft\"" } else { "" };
                    format!("{{ name = \"door {door}\"{length} }}")
                })
                .collect();
            let length = doors * 60 + draw.one(&[0, 0, 45]);
            track(
                draft,
                place,
                &id,
                &format!("{head}length = \"{length} scale ft\"\nspots = [{}]\n{more}", spots.join(", ")),
            );
            vec![(1..=doors).map(|door| format!("{id}/door {door}")).collect()]
        }
    }
}

fn customer(draft: &mut Draft, draw: &mut Draw, place: &str, number: usize, doors: &[String]) -> Customer {
    let mut kinds = draft.carried.clone();
    draw.shuffle(&mut kinds);
    let receives = draw.between(0, 2).min(kinds.len() - 1);
    let ships = if receives == 0 { 1 } else { draw.between(0, (kinds.len() - receives).min(2)) };
    let (receives, ships) = (kinds[..receives].to_vec(), kinds[receives..receives + ships].to_vec());
    let id = format!("works-{number}");
    let works = draw.one(&["Mon-Fri", "Mon-Sat", "every day", "every day"]);
    let mut text =
        format!("[industry.{id}]\nname = \"Works {number}\"\nplace = \"{place}\"\nworks = \"{works}\"\n");
    text += &draw.maybe(1, 6, "in_turn = true");
    text += &draw.maybe(1, 6, "unfinished = \"1 in 4\"");
    text += &draw.maybe(1, 6, "limit = 2");
    text += &draw.maybe(1, 6, "shut = true");
    text += &draw.maybe(1, 20, "since = 1978-10-04");
    for (key, kinds) in [("receives", &receives), ("ships", &ships)] {
        for (at, kind) in kinds.iter().enumerate() {
            // All its doors, or one of its own for each kind.
            let some = if draw.odds(1, 2) { doors } else { &doors[at % doors.len()..=at % doors.len()] };
            let _ = writeln!(text, "{key}.{} = {some:?}", COMMODITIES[*kind].0);
        }
    }
    draft.folder.add(text);
    Customer { id, receives, ships, doors: doors.len() }
}

fn lanes(draft: &mut Draft, draw: &mut Draw, customers: &[Customer]) {
    for customer in customers {
        let flows = customer.receives.len() + customer.ships.len();
        for kind in &customer.receives {
            let maker = customers.iter().find(|other| other.id != customer.id && other.ships.contains(kind));
            let from = match maker {
                Some(maker) if draw.odds(1, 2) => maker.id.clone(),
                _ => beyond(draft, draw),
            };
            let carloads = (draw.between(1, 4) * customer.doors / flows).max(1);
            lane(draft, draw, *kind, (&from, &customer.id), carloads);
        }
        for kind in &customer.ships {
            let to = beyond(draft, draw);
            let carloads = (draw.between(1, 4) * customer.doors / flows).max(1);
            lane(draft, draw, *kind, (&customer.id, &to), carloads);
        }
    }
    if draft.gateways.len() > 1 && draw.odds(1, 3) {
        let kind = draw.one(&draft.carried);
        let carloads = draw.between(1, 4);
        lane(draft, draw, kind, ("gate-0", "gate-1"), carloads);
    }
}

fn beyond(draft: &Draft, draw: &mut Draw) -> String {
    let gateway = &draft.gateways[draw.between(0, draft.gateways.len() - 1)];
    if draw.odds(3, 4) { format!("{}/{}", gateway.id, draw.one(&gateway.cities)) } else { gateway.id.clone() }
}

fn lane(draft: &mut Draft, draw: &mut Draw, kind: usize, (from, to): (&str, &str), carloads: usize) {
    let mut text = format!(
        "[[lane]]\nid = \"lane-{}\"\ncommodity = \"{}\"\nfrom = \"{from}\"\nto = \"{to}\"\ncarloads = \"{carloads} a week\"\n",
        draft.folder.tables.len(),
        COMMODITIES[kind].0
    );
    text += &draw.maybe(1, 3, "unload = \"1 day\"");
    text += &draw.maybe(1, 6, "load = \"0 days\"");
    text += &draw.maybe(1, 6, "spread = 2");
    text += &draw.maybe(1, 6, "together = 2");
    text += &draw.maybe(1, 8, "promised = true");
    text += &draw.maybe(1, 5, "cancel_after = \"10 days\"");
    text += &draw.maybe(1, 10, "gap = \"2 days\"");
    text += &draw.maybe(1, 10, "season = { first = \"09-01\", last = \"10-05\" }");
    text += &draw.maybe(1, 25, "state = \"planned\"");
    if !draft.offers.is_empty() && draw.odds(1, 4) {
        let service = draw.one(&draft.offers);
        let _ = writeln!(text, "on_the_way = [\"{service}\"]");
    }
    draft.folder.add(text);
}
