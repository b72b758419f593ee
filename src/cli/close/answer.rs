//! What `setout close` tells of the session that it closed.

use crate::cli::told;
use crate::ids::Id;
use crate::ledger::happened::Misplaced;
use crate::ledger::{Closed, Idle, LONG_IDLE, Timed};
use crate::study::table::{Column, PAGE, table, wrap};
use crate::units::Minutes;

/// How many cars without work are told of; `setout ledger` has the others.
const TOLD: usize = 8;

/// The session in a few lines.
pub(super) fn closed(closed: &Closed) -> String {
    let mut page = if closed.as_planned {
        format!("Session {} is closed: everything happened as planned.\n", closed.session)
    } else {
        format!("Session {} is closed; what was not mentioned happened as planned.\n", closed.session)
    };
    match closed.not_looked_at {
        Some(0) => page.push_str("Every track that has cars was looked at.\n"),
        Some(cars) => {
            let cars = told::counted(cars, "car");
            page.extend(["Not looked at: tracks with ", &cars, ", taken to be as planned.\n"]);
        }
        None => {}
    }
    if !closed.as_planned {
        page.push_str(&otherwise(closed));
    }
    page.push_str(&idle(&closed.idle));
    page.push_str(&minutes(&closed.timed));
    page
}

fn otherwise(closed: &Closed) -> String {
    let mut page = String::new();
    if !closed.rows.is_empty() {
        let rows: Vec<&str> = closed.rows.iter().map(Id::as_str).collect();
        let words = format!("Cars stand in another order, as you say: {}.", rows.join(", "));
        page.extend([wrap(&words, PAGE).join("\n"), "\n".to_owned()]);
    }
    if closed.misplaced.is_empty() {
        return page + "Every car is where the plan wanted it.\n";
    }
    let columns =
        [Column::Words("misplaced"), Column::Words("is at"), Column::Words("planned"), Column::Words("next")];
    let rows: Vec<Vec<String>> = closed.misplaced.iter().map(row).collect();
    page.extend(["\n", &table(&columns, &rows), "\n"]);
    for car in &closed.misplaced {
        if let Some(why) = car.why {
            page.extend([car.car.as_str(), " was taken to be there: ", why, ".\n"]);
        }
    }
    page + "The next plan takes each of them on from there; orders carry over.\n"
}

fn row(car: &Misplaced) -> Vec<String> {
    vec![car.car.to_string(), car.at.clone(), car.planned.clone(), car.next.clone()]
}

/// Cars that nobody has paper for, with their age; nothing where all have worked lately.
fn idle(idle: &[Idle]) -> String {
    let long: Vec<&Idle> = idle.iter().filter(|idle| idle.sessions >= LONG_IDLE).collect();
    if long.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Words("no order, no trip"),
        Column::Words("stands at"),
        Column::Numbers("sessions"),
        Column::Words(""),
    ];
    let rows = long.iter().take(TOLD).map(|idle| {
        let bad = if idle.bad_order { "bad order" } else { "" };
        vec![idle.car.to_string(), idle.at.clone(), idle.sessions.to_string(), bad.to_owned()]
    });
    let mut page = format!("\n{}", table(&columns, &rows.collect::<Vec<_>>()));
    if let Some(more) = long.len().checked_sub(TOLD).filter(|more| *more > 0) {
        page.extend(["  and ", &more.to_string(), " more: `setout ledger` has them all\n"]);
    }
    page
}

/// The minutes that were recorded, beside those that were estimated; nothing if there are none.
fn minutes(timed: &[Timed]) -> String {
    if timed.is_empty() {
        return String::new();
    }
    let took: Minutes = timed.iter().map(|job| job.took).sum();
    let estimated: Minutes = timed.iter().map(Timed::estimated).sum();
    format!(
        "Minutes kept of {}: {} taken, {} estimated.\n",
        told::counted(timed.len(), "job"),
        took.rounded_up(),
        estimated.rounded_up()
    )
}
