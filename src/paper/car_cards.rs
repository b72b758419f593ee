//! The car cards: one for each car that moves in the session, with its way and its reason.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::Id;
use crate::session::plan::{Deed, LegLine, TripLine};

use super::names::Names;
use super::notes::Notes;
use super::phrase::Phrase;
use super::sheet::{Block, Card, Fact, Sheet};

/// The cards of all cars that move.
pub(super) fn sheet(names: &Names<'_>, notes: &Notes<'_>) -> Sheet {
    let mut sheet = super::sheet("car-cards", &names.words.forms.car_cards(), names);
    let moving: Vec<&TripLine> = names.plan.trips.iter().filter(|trip| !trip.legs.is_empty()).collect();
    let mut cards: Vec<(&Id, Card)> =
        moving.iter().map(|trip| (&trip.car, card(names, notes, trip))).collect();
    cards.extend(without_trip(names, notes, &moving));
    // In this order a card is found again.
    cards.sort_by_key(|(car, _)| *car);
    let cards: Vec<Card> = cards.into_iter().map(|(_, card)| card).collect();
    let placarded =
        moving.iter().any(|trip| notes.placards(names, &trip.car, trip.lading.as_ref()).is_some());
    if cards.is_empty() {
        sheet.blocks.push(Block::Say(names.words.car_cards.none()));
        return sheet;
    }
    sheet.blocks.push(Block::Cards(cards));
    if placarded {
        sheet.blocks.push(Block::Caution(names.words.shared.caution()));
    }
    sheet
}

fn card(names: &Names<'_>, notes: &Notes<'_>, trip: &TripLine) -> Card {
    let words = &names.words.car_cards;
    let start = names.before(&trip.car).and_then(|standing| standing.spot.as_ref());
    let mut facts =
        vec![Fact::new(words.from(), Phrase::of(names.whereabouts(&trip.from, start, &trip.car)))];
    facts.push(Fact::new(words.by(), Phrase::of(legs(names, &trip.legs))));
    if let Some(last) = trip.legs.last() {
        let to = names.whereabouts(&last.to, last.spot.as_ref(), &trip.car);
        facts.push(Fact::new(words.to(), Phrase::strong(to)));
    }
    if !says_to(names, trip) {
        facts.push(Fact::new(words.bound(), bound(names, trip)));
    }
    if !trip.services.is_empty() {
        let services: Vec<String> =
            trip.services.iter().map(|service| names.words.service(*service).into_owned()).collect();
        facts.push(Fact::new(words.on_the_way(), Phrase::of(names.words.list(&services))));
    }
    let mut reverse = Vec::new();
    if let Some(order) = names.order_now(&trip.car) {
        reverse.push(Fact::new(words.order(), names.order(order)));
    }
    let why = why(names, trip);
    if !why.is_empty() {
        reverse.push(Fact::new(words.why(), why));
    }
    Card { reverse, ..finish(names, notes, &trip.car, trip.lading.as_ref(), facts) }
}

/// Cars that a crew moves though the plan has no trip for them.
fn without_trip<'a>(names: &Names<'a>, notes: &Notes<'_>, moving: &[&TripLine]) -> Vec<(&'a Id, Card)> {
    let words = &names.words.car_cards;
    let known: BTreeSet<&Id> = moving.iter().map(|trip| &trip.car).collect();
    let mut moved: BTreeMap<&Id, Vec<Fact>> = BTreeMap::new();
    let mut ladings = BTreeMap::new();
    for call in &names.plan.work {
        for work in &call.cars {
            if known.contains(&work.car) || matches!(work.deed, Deed::Hold | Deed::Leave) {
                continue;
            }
            let facts = moved.entry(&work.car).or_default();
            ladings.entry(&work.car).or_insert(work.lading.as_ref());
            if let Some(from) = &work.from {
                let from = names.whereabouts(from, work.from_spot.as_ref(), &work.car);
                facts.push(Fact::new(words.from(), Phrase::of(from)));
            }
            facts.push(Fact::new(words.by(), Phrase::words(names.job_title(&call.job))));
            if let Some(to) = &work.to {
                let to = names.whereabouts(to, work.to_spot.as_ref(), &work.car);
                facts.push(Fact::new(words.to(), Phrase::strong(to)));
            }
        }
    }
    moved
        .into_iter()
        .map(|(car, facts)| (car, finish(names, notes, car, ladings.get(car).copied().flatten(), facts)))
        .collect()
}

fn finish(names: &Names<'_>, notes: &Notes<'_>, car: &Id, lading: Option<&Id>, mut facts: Vec<Fact>) -> Card {
    let special = notes.special(names, car, lading, None, false);
    // A card is read alone, away from the sheet's last words.
    let caution = notes.placards(names, car, lading).map(|_| names.words.car_cards.caution());
    let said = Phrase::row([special, notes.load(names, car, lading, true)].into_iter().chain(caution), "; ");
    if !said.is_empty() {
        facts.push(Fact::new(names.words.car_cards.note(), said));
    }
    let aside = Phrase::row([names.load(lading), names.looks(car)], "; ");
    Card { title: Phrase::of(car), aside, facts, reverse: Vec::new() }
}

/// Why the car goes, and why it goes no further.
fn why(names: &Names<'_>, trip: &TripLine) -> Phrase {
    let told = trip.told.iter().filter(|told| !NAMED_ALREADY.contains(&&*told.say));
    let said: Option<Vec<Phrase>> = told.map(|told| names.say(told)).collect();
    match said.filter(|_| !trip.told.is_empty()) {
        Some(said) => Phrase::row(said, "; "),
        None => Phrase::words(&beyond_the_order(trip)),
    }
}

/// The sayings that tell a car's order and what is done to it on the way: the card has both besides.
const NAMED_ALREADY: [&str; 3] = ["to_load", "carries", "on_the_way"];

/// Why the car goes in the plan's own words, without its order and without what is done to it on the way, which the card names already.
fn beyond_the_order(trip: &TripLine) -> String {
    let order = trip.order.as_ref().and_then(|order| trip.why.split_once(&format!("(order {order})")));
    let rest = order.map_or(&*trip.why, |(_, rest)| rest.trim_start_matches([';', ',', ' ']));
    let on_the_way = |part: &str| {
        let service = part.strip_suffix(" on the way");
        service.is_some_and(|service| trip.services.iter().any(|known| known.word() == service))
    };
    let parts: Vec<&str> = rest.split("; ").filter(|part| !on_the_way(part)).collect();
    parts.join("; ")
}

fn legs(names: &Names<'_>, legs: &[LegLine]) -> String {
    let words = &names.words.car_cards;
    let said = legs.iter().enumerate().map(|(place, leg)| {
        let job = names.job_title(&leg.job).to_owned();
        // The place is said where it is another than before.
        let before = place.checked_sub(1).and_then(|before| legs.get(before));
        if place + 1 == legs.len() {
            job
        } else if before.is_some_and(|before| names.place_of(&before.to) == names.place_of(&leg.to)) {
            words.leg_there(job, names.track_name(&leg.to)).text()
        } else {
            words.leg(job, names.place_of(&leg.to), names.track_name(&leg.to)).text()
        }
    });
    said.reduce(|said, next| words.legs_in_turn(said, next).text()).unwrap_or_default()
}

/// Whether the place to which the car comes says already where it is bound.
fn says_to(names: &Names<'_>, trip: &TripLine) -> bool {
    let last = trip.legs.last().filter(|_| trip.arrives);
    last.is_some_and(|leg| {
        trip.for_repair || names.is_customer_at(&trip.bound, &leg.to, leg.spot.as_ref(), &trip.car)
    })
}

fn bound(names: &Names<'_>, trip: &TripLine) -> Phrase {
    let words = &names.words.car_cards;
    let bound = names.bound(&trip.bound);
    match (trip.arrives, trip.expected) {
        (true, _) => Phrase::of(bound),
        (false, Some(session)) => words.expected(bound, session.to_string()),
        (false, None) => words.not_tonight(bound),
    }
}
