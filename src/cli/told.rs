//! What `setout plan` tells the host about the session it planned, in a few lines.

use std::collections::BTreeSet;
use std::path::Path;

use crate::ids::Id;
use crate::layout::{Layout, Track, track_words};
use crate::ledger::{Adrift, Change, Ended, Idle, LONG_IDLE};
use crate::said::{self, Given, Worded};
use crate::session::plan::{Deed, Event, Notice, OrderState, Plan, WorldJob};
use crate::study::balance::Balance;
use crate::study::table::{Column, PAGE, table, wrap};

/// Session, what speaks against running it as it is, jobs, orders, and what else the host should know.
pub(super) fn plan(plan: &Plan, told: &[Notice], learned: Option<&str>) -> String {
    let mut page = format!(
        "Session {}, {} {}, plan {}, seed {}\n",
        plan.session,
        plan.date.weekday().name(),
        plan.date,
        plan.revision,
        plan.seed
    );
    page.push_str(&notices(told, true));
    page.push_str(&jobs(plan));
    page.push_str(&people(plan));
    page.extend(learned);
    page.push_str(&orders(plan));
    page.push_str(&shortages(plan));
    page.push_str(&notices(told, false));
    page
}

fn jobs(plan: &Plan) -> String {
    let columns = [
        Column::Words("job"),
        Column::Words("on duty"),
        Column::Numbers("calls"),
        Column::Numbers("cars"),
        Column::Numbers("handlings"),
        Column::Numbers("minutes"),
    ];
    let rows = plan.world.jobs.iter().map(|job| {
        vec![
            job.name.to_string(),
            job.on_duty.map_or_else(|| "-".to_owned(), |time| time.to_string()),
            job.calls.len().to_string(),
            cars(plan, job).to_string(),
            handlings(plan, job).to_string(),
            minutes(plan, job),
        ]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() { "\nNo job runs.\n".to_owned() } else { format!("\n{}", table(&columns, &rows)) }
}

/// Who does what and how evenly; or how many people would do.
fn people(plan: &Plan) -> String {
    let Some(crews) = &plan.crews else {
        let hours = |minutes: u32| format!("{}:{:02}", minutes / 60, minutes % 60);
        return plan.suggestion.map_or_else(String::new, |enough| {
            let people = counted(usize::try_from(enough.people).unwrap_or(usize::MAX), "person");
            let people = people.replace("persons", "people");
            format!("\nThe work of {people}: they would be done after {} hours.\n", hours(enough.minutes))
        });
    };
    let columns =
        [Column::Words("person"), Column::Numbers("minutes"), Column::Words("jobs, from minute to minute")];
    let balance = Balance::of_people(plan);
    let rows = (1..=crews.people).map(|person| {
        let jobs = crews.jobs.iter().filter(|job| job.people.contains(&person));
        let jobs: Vec<String> = jobs
            .map(|job| {
                let name = plan.world.jobs.iter().find(|known| known.id == job.job);
                let name = name.map_or(job.job.as_str(), |known| &*known.name);
                format!("{name} {}-{}", job.begins, job.ends)
            })
            .collect();
        let place = usize::try_from(person - 1).unwrap_or(usize::MAX);
        let minutes = balance.as_ref().and_then(|balance| balance.minutes.get(place)).copied().unwrap_or(0);
        vec![person.to_string(), minutes.to_string(), jobs.join("; ")]
    });
    let rows: Vec<_> = rows.collect();
    let ends = crews.jobs.iter().map(|job| job.ends).max().unwrap_or(0);
    let mut page = format!("\n{}", table(&columns, &rows));
    let said = format!("The last job ends at minute {ends} of {}.", crews.minutes);
    page.extend(["\n", &said]);
    if let Some(balance) = balance {
        let (over, jain) = (balance.busiest_over_mean, balance.jain);
        page.extend([format!(" Busiest over mean {over} %, Jain's index {jain} %.")]);
    }
    page.push('\n');
    page
}

/// The cars a job moves, each counted once.
fn cars(plan: &Plan, job: &WorldJob) -> usize {
    let calls = plan.work.iter().filter(|call| call.job == job.id);
    let moved = calls.flat_map(|call| &call.cars).filter(|work| work.deed != Deed::Leave);
    moved.map(|work| &work.car).collect::<BTreeSet<&Id>>().len()
}

/// The times a job couples to cars or leaves some.
fn handlings(plan: &Plan, job: &WorldJob) -> usize {
    let by = |event: &&Event| match event {
        Event::Couple { job: whose, .. } | Event::Leave { job: whose, .. } => *whose == job.id,
        _ => false,
    };
    plan.events.iter().filter(by).count()
}

/// The minutes a job takes.
fn minutes(plan: &Plan, job: &WorldJob) -> String {
    let told = plan.minutes.iter().find(|told| told.job == job.id);
    told.map_or_else(|| "-".to_owned(), |told| told.seconds.rounded_up().to_string())
}

fn orders(plan: &Plan) -> String {
    let due = plan.orders.iter().filter(|order| order.due == plan.session).count();
    let in_state = |state: OrderState| plan.orders.iter().filter(|order| order.state == state).count();
    let mut words = format!("Orders: {due} due today");
    for (state, word) in [
        (OrderState::Filled, "with a car"),
        (OrderState::Waiting, "waiting for one"),
        (OrderState::Done, "done"),
        (OrderState::Cancelled, "cancelled"),
    ] {
        let count = in_state(state);
        if count > 0 {
            words.extend([", ", &count.to_string(), " ", word]);
        }
    }
    format!("\n{words}\n")
}

/// The kinds of car of which there are too few tonight; nothing where there are enough.
fn shortages(plan: &Plan) -> String {
    let rows = plan.kinds.iter().filter(|line| line.unfilled > 0).map(|line| {
        let kinds = line.kinds.iter().map(Id::as_str).collect::<Vec<_>>().join(" or ");
        let counts = [line.ordered, line.filled, line.held, line.unfilled].map(|count| count.to_string());
        [kinds].into_iter().chain(counts).collect()
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let columns = [
        Column::Words("too few cars"),
        Column::Numbers("ordered"),
        Column::Numbers("filled"),
        Column::Numbers("held"),
        Column::Numbers("unfilled"),
    ];
    if rows.is_empty() { String::new() } else { format!("\n{}", table(&columns, &rows)) }
}

/// What a host may want to plan otherwise for: told before anything else.
const WARNINGS: [&str; 6] = ["over time", "little work", "light job", "meet", "no room", "working limit"];

/// The notices that are warnings, or those that are not.
fn notices(told: &[Notice], warnings: bool) -> String {
    let mut page = String::new();
    let mut abouts: Vec<&str> = Vec::new();
    for notice in told.iter().filter(|notice| WARNINGS.contains(&&*notice.about) == warnings) {
        if !abouts.contains(&&*notice.about) {
            abouts.push(&notice.about);
        }
    }
    for about in abouts {
        page.extend(["\n", about, ":\n"]);
        for notice in told.iter().filter(|notice| &*notice.about == about) {
            page.extend(["  ", &wrap(&notice.text, PAGE - 4).join("\n    "), "\n"]);
        }
    }
    page
}

/// What the host has to do for a car whose place the layout no longer has, or whose order ended.
pub(super) fn change(change: &Change) -> Notice {
    let words = match change {
        Change::Car(adrift) => moved(adrift),
        Change::Order(Ended { order, lane, car, was_loaded, to_shelf }) => {
            let words = said::lane_gone(order, lane);
            match car {
                Some(car) if *to_shelf => said::fixed_to_shelf(words, car),
                Some(car) if *was_loaded => said::load_to_take_out(words, car),
                Some(car) => said::free_again(words, car),
                None => words,
            }
        }
    };
    Notice::said("by a change of the layout", words)
}

/// Where a car is put whose place is gone.
fn moved(Adrift { car, from, to, no_room, was_away, order }: &Adrift) -> Worded {
    let (from, to) = (from.as_str(), to.as_deref());
    let words = match to {
        None => said::not_on_roster(car, from),
        Some("shelf") if *was_away => said::no_gateway_left(car, from),
        Some("shelf") => said::no_place_left(car, from),
        Some(to) if *was_away => said::now_beyond(car, from, to),
        Some(to) if *no_room => said::put_as_no_room(car, from, to),
        Some(to) => said::put_as_gone(car, from, to),
    };
    match order {
        Some(order) => said::its_order_waits(words, order),
        None => words,
    }
}

/// Cars that have stood for long, and for which this plan has no order and no trip, either, the longest first.
pub(super) fn long_idle(layout: &Layout, idle: &[Idle]) -> Option<Notice> {
    let at = |id: &str| -> Given {
        let has = |track: &&Track| {
            id.strip_prefix(track.id.as_str()).is_some_and(|spot| spot.is_empty() || spot.starts_with('/'))
        };
        layout.tracks().values().find(has).map_or_else(
            || id.into(),
            |track| {
                let name = Given::track(&track.id, track_words(&track.name, &track.id));
                said::track_at(name, &*layout.places()[track.place].title).into()
            },
        )
    };
    let long = idle.iter().filter(|idle| idle.sessions >= LONG_IDLE);
    let cars = long.map(|Idle { car, at: place, sessions, .. }| said::idle_for(car, at(place), *sessions));
    cars.reduce(said::and_then).map(|words| Notice::said("no order, no trip", words))
}

/// Which sheets a plan changed that takes the place of another.
pub(super) fn changed(sheets: &[String]) -> String {
    if sheets.is_empty() {
        return "No sheet changed since the last plan.\n".to_owned();
    }
    let words = format!("Changed since the last plan, to be printed again: {}.", sheets.join(", "));
    wrap(&words, PAGE).join("\n") + "\n"
}

/// So many of a thing: `1 order`, `2 orders`.
pub(super) fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// A path without the dot of the current folder in front of it.
pub(super) fn path(path: &Path) -> String {
    path.strip_prefix(".").unwrap_or(path).display().to_string()
}
