//! The customers' sheet: what stands at each, what it has finished with, what comes and what it
//! waits for.

use std::collections::BTreeMap;

use crate::ids::{Id, IndustryIx};
use crate::session::plan::{Event, OrderLine, OrderState, RowCar, TripLine};

use super::names::Names;
use super::notes::Notes;
use super::phrase::Phrase;
use super::sheet::{Block, Column, Group, Row, Sheet, Table};

/// The cars and orders of one customer.
#[derive(Debug, Default)]
struct Account<'a> {
    standing: Vec<Row>,
    coming: Vec<Row>,
    /// Cars for it that do not arrive tonight.
    later: Vec<Row>,
    orders: Vec<&'a OrderLine>,
}

/// The sheet of all customers that have cars or orders.
pub(super) fn sheet(names: &Names<'_>, notes: &Notes<'_>) -> Sheet {
    let mut sheet = super::sheet("customers", &names.words.forms.customers(), names);
    let (words, shared) = (&names.words.customers, &names.words.shared);
    let mut accounts: Vec<_> = accounts(names, notes).into_iter().collect();
    let place = |customer: IndustryIx| &names.layout.places()[names.layout.industries()[customer].place].id;
    accounts.sort_by_key(|(customer, _)| names.walk_to(place(*customer)));
    for (customer, account) in accounts {
        let industry = &names.layout.industries()[customer];
        let place = &names.layout.places()[industry.place];
        sheet.blocks.push(Block::Heading {
            words: Phrase::of(industry.name.to_string()),
            aside: Phrase::of(place.title.to_string()),
            note: industry.note.as_deref().map_or_else(Phrase::default, Phrase::words),
        });
        let orders = account.orders.iter().map(|order| {
            let what = words.order(
                names.lading_name(&order.commodity),
                names.bound(&order.from),
                names.bound(&order.to),
            );
            Row::new([order.car.as_ref().map_or_else(Phrase::default, Phrase::of), Phrase::default(), what])
                .with(names.why(order))
        });
        let orders: Vec<Row> = orders.collect();
        let groups = [
            (words.standing(), account.standing),
            (words.coming(), account.coming),
            (words.later(), account.later),
            (words.waiting(), orders),
        ];
        let groups = groups.into_iter().filter(|(_, rows)| !rows.is_empty()).map(|(head, rows)| Group {
            head: Phrase::strong(head).then(format!(" ({})", rows.len())),
            rows,
            foot: Phrase::default(),
        });
        let columns = vec![
            Column::fit(shared.head_car()),
            Column::fit(shared.head_load()),
            Column::rest(words.head_what()),
        ];
        sheet.blocks.push(Block::Table(Table { columns, second_line: 2, groups: groups.collect() }));
    }
    if sheet.blocks.is_empty() {
        sheet.blocks.push(Block::Say(words.none()));
    }
    sheet
}

fn accounts<'a>(names: &Names<'a>, notes: &Notes<'_>) -> BTreeMap<IndustryIx, Account<'a>> {
    let words = &names.words.customers;
    let mut accounts: BTreeMap<IndustryIx, Account<'_>> = BTreeMap::new();
    standing(names, notes, &mut accounts);
    for trip in names.plan.trips.iter().filter(|trip| trip.arrives) {
        let Some(last) = trip.legs.last() else { continue };
        let place = last.spot.as_ref().unwrap_or(&last.to);
        let own = names.order_of(&trip.car).map_or(&[][..], |order| names.customers_of_order(order));
        for customer in names.customers_of(place).filter(|customer| own.contains(customer)) {
            let at = names.at_customer(&last.to, last.spot.as_ref(), customer);
            let by = words.by(names.job_name(&last.job), at);
            let cells = [Phrase::of(&trip.car), names.load(trip.lading.as_ref()), by];
            accounts.entry(customer).or_default().coming.push(Row::new(cells));
        }
    }
    later(names, &mut accounts);
    for order in names.plan.orders.iter().filter(|order| order.state == OrderState::Waiting) {
        for customer in names.customers_of_order(order) {
            accounts.entry(*customer).or_default().orders.push(order);
        }
    }
    accounts
}

/// The cars that stand at customers before the session.
fn standing(names: &Names<'_>, notes: &Notes<'_>, accounts: &mut BTreeMap<IndustryIx, Account<'_>>) {
    let released: Released<'_> = (names.plan.events.iter())
        .filter_map(|event| match event {
            Event::Released { car, lading } => Some((car, lading.as_ref())),
            _ => None,
        })
        .collect();
    for (track, row) in &names.plan.before.tracks {
        for standing in row {
            let place = standing.spot.as_ref().unwrap_or(track);
            let own = names.order_of(&standing.car).map_or(&[][..], |order| names.customers_of_order(order));
            let here: Vec<IndustryIx> = names.customers_of(place).collect();
            let mut whose: Vec<IndustryIx> =
                here.iter().filter(|customer| own.contains(customer)).copied().collect();
            if whose.is_empty() {
                whose = here;
            }
            let lading = released.get(&standing.car).copied().unwrap_or(standing.lading.as_ref());
            let state = state(names, notes, &released, track, standing);
            for customer in whose {
                let at = Phrase::of(names.at_customer(track, standing.spot.as_ref(), customer));
                let leaves = leaves(names, &standing.car, customer);
                accounts.entry(customer).or_default().standing.push(Row::new([
                    Phrase::of(&standing.car),
                    names.load(lading),
                    Phrase::row([state.clone(), at, leaves], "; "),
                ]));
            }
        }
    }
}

/// The cars that customers have finished with since the last session, with what is in them now.
type Released<'a> = BTreeMap<&'a Id, Option<&'a Id>>;

/// Which job takes a car that stands at a customer away in this session, or to another spot of the same, or that none does though it has somewhere to go.
fn leaves(names: &Names<'_>, car: &Id, customer: IndustryIx) -> Phrase {
    let (words, trip) = (&names.words.customers, names.trip(car));
    // Where it is loaded again by the same customer, it does not leave.
    if let Some((trip, [only])) = trip.map(|trip| (trip, trip.legs.as_slice()))
        && trip.arrives
        && names.customers_of(only.spot.as_ref().unwrap_or(&only.to)).any(|other| other == customer)
    {
        let at = names.at_customer(&only.to, only.spot.as_ref(), customer);
        return words.moved_here(names.job_name(&only.job), at);
    }
    match trip.map(|trip| (trip, trip.legs.first())) {
        Some((trip, Some(leg))) => words.leaves(names.job_name(&leg.job), names.bound(&trip.bound)),
        Some((_, None)) => words.stays(),
        None => Phrase::default(),
    }
}

/// How far a customer is with a car that stands there.
fn state(names: &Names<'_>, notes: &Notes<'_>, released: &Released<'_>, track: &Id, car: &RowCar) -> Phrase {
    let words = &names.words.customers;
    let trip = names.trip(&car.car);
    let in_hand = trip.is_none() && names.order_now(&car.car).is_some();
    let here = |trip: &TripLine| names.is_customer_at(&trip.bound, track, car.spot.as_ref(), &car.car);
    let bad = notes.bad_order(names, &car.car);
    let tonight = released.get(&car.car);
    let said = match (tonight, tonight.copied().unwrap_or(car.lading.as_ref())) {
        (Some(_), None) if in_hand => Some(words.kept()),
        (None, Some(_)) if in_hand => Some(words.unloads()),
        (None, None) if in_hand => Some(words.loads()),
        (None, _) if trip.is_some_and(here) => Some(words.waits()),
        // Its customer does not load it.
        (None, None) if bad.is_some() => None,
        (_, Some(_)) => Some(words.released_loaded()),
        (_, None) => Some(words.released_empty()),
    };
    Phrase::row(said.map(Phrase::of).into_iter().chain(bad), "; ")
}

/// The cars whose trip ends at a customer, but not tonight.
fn later(names: &Names<'_>, accounts: &mut BTreeMap<IndustryIx, Account<'_>>) {
    let words = &names.words.customers;
    for trip in names.plan.trips.iter().filter(|trip| !trip.arrives) {
        let Some(order) = names.order_of(&trip.car) else { continue };
        let bound = names.customers_of_order(order).iter().find(|customer| {
            let industry = &names.layout.industries()[**customer];
            *trip.bound == format!("{}, {}", industry.name, names.layout.places()[industry.place].title)
        });
        let Some(customer) = bound else { continue };
        let (track, spot) = trip.legs.last().map_or((&trip.from, None), |leg| (&leg.to, leg.spot.as_ref()));
        let at = names.whereabouts(track, spot, &trip.car);
        let when = match trip.expected {
            Some(session) => words.later_in(session.to_string(), at),
            None => words.later_open(at),
        };
        let cells = [Phrase::of(&trip.car), names.load(trip.lading.as_ref()), when];
        accounts.entry(*customer).or_default().later.push(Row::new(cells));
    }
}
