//! `setout compare`: two sessions of the ledger, or two seeds of tonight, side by side.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Display;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::args::{Compare, Form};
use super::screen::Screen;
use super::{Outcome, folder, pace};
use crate::crews::People;
use crate::error::{Error, Result};
use crate::layout::Layout;
use crate::ledger::Ledger;
use crate::session::plan::Plan;
use crate::session::{self, Request};
use crate::study::compare::{Figures, Load, Shared, figures};
use crate::study::table::{Column, PAGE, table, wrap};

/// Shows both; the answer is no if one of them is not as even as asked.
pub(super) fn run(asked: &Compare, screen: &mut Screen) -> Result<Outcome> {
    let (sessions, at) = sessions(&asked.what)?;
    let (layout, _) = folder::sound(&at)?;
    let ledger = Ledger::open(&at)?;
    let plans = match (sessions.as_slice(), asked.seeds.as_slice()) {
        ([one, other], []) => [old(&ledger, *one)?, old(&ledger, *other)?],
        ([], [one, other]) => {
            [tonight(asked, &layout, &ledger, *one)?, tonight(asked, &layout, &ledger, *other)?]
        }
        _ => {
            let what = "expected two sessions, `setout compare 3 4`, or two seeds, `setout compare --seed 4 --seed 9`";
            return Err(Error::Asked(what.to_owned()));
        }
    };
    let [one, other] = plans.map(|plan| figures(&plan, &layout));
    match asked.form {
        Form::Text => screen.answer(&page(&one, &other))?,
        Form::Json => {
            screen.data(&Told {
                units: UNITS.into(),
                measures: MEASURES.into(),
                sessions: [&one, &other],
            })?;
        }
    }
    let even = |figures: &Figures, within: u32| {
        figures.balance.as_ref().is_none_or(|balance| balance.busiest_over_mean <= 100 + within)
    };
    match asked.within {
        Some(within) if !(even(&one, within) && even(&other, within)) => Ok(Outcome::No),
        _ => Ok(Outcome::Done),
    }
}

/// In what numbers are counted that are no counts.
const UNITS: [(&str, &str); 5] = [
    ("minutes", "minutes at the pace of the session"),
    ("tons", "tons as the layout has them: of 2,000 lb, or tonnes"),
    ("length", "whole scale inches, engines counted"),
    ("busiest_over_mean", "percent"),
    ("jain", "percent"),
];

/// How evenness is measured.
const MEASURES: [(&str, &str); 2] = [
    ("busiest_over_mean", "the most minutes of anybody over the mean: 100 % where all have the same"),
    (
        "jain",
        "the square of the sum of all minutes over their number times the sum of their squares: 100 % where all have the same",
    ),
];

/// The answer as data.
#[derive(Serialize)]
struct Told<'a> {
    units: BTreeMap<&'static str, &'static str>,
    measures: BTreeMap<&'static str, &'static str>,
    sessions: [&'a Figures; 2],
}

/// Takes the numbers in front as sessions and what comes after as the folder.
fn sessions(what: &[String]) -> Result<(Vec<i32>, PathBuf)> {
    let numbers: Vec<i32> = what.iter().map_while(|word| word.parse().ok()).collect();
    match &what[numbers.len()..] {
        [] => Ok((numbers, PathBuf::from("."))),
        [folder] => Ok((numbers, Path::new(folder).to_owned())),
        [_, more, ..] => Err(Error::Asked(format!("expected one folder, found `{more}` after it"))),
    }
}

fn old(ledger: &Ledger, session: i32) -> Result<Plan> {
    ledger.plan_of(session)?.ok_or_else(|| Error::Asked(format!("session {session} was never planned")))
}

/// Tonight's session as another seed makes it; nothing is written.
fn tonight(asked: &Compare, layout: &Layout, ledger: &Ledger, seed: u64) -> Result<Plan> {
    let people = asked.crew.map(|count| People {
        count,
        hours: asked.hours.unwrap_or(layout.settings().hours),
        clock: None,
    });
    let before = match ledger.standing(layout)? {
        Some(standing) => standing,
        None => session::first_standing(layout, seed),
    };
    let request = Request { seed, revision: ledger.next_revision(ledger.open_request()?)? };
    let (pace, _) = pace::of_tonight(layout, ledger, None)?;
    let asked = session::Asked { pace, people, ..session::Asked::default() };
    Ok(session::plan_asked(layout, &before, &request, &asked).plan)
}

fn page(one: &Figures, other: &Figures) -> String {
    let mut page = format!("{} / {}\n", head(one), head(other));
    let names: Vec<&str> =
        both(one.jobs.iter().map(|(name, _)| &**name), other.jobs.iter().map(|(name, _)| &**name));
    let of = |figures: &Figures, name: &str| {
        let mut jobs = figures.jobs.iter().filter(|(known, _)| **known == *name);
        jobs.next().map(|(_, load)| load.clone()).unwrap_or_default()
    };
    page.push_str(&loads(
        "job",
        names.into_iter().map(|name| (name.to_owned(), of(one, name), of(other, name))),
    ));
    let people = one.people.len().max(other.people.len());
    if people > 0 {
        let of = |figures: &Figures, place: usize| {
            figures.people.get(place).map(|(_, load)| load.clone()).unwrap_or_default()
        };
        let rows = (0..people).map(|place| ((place + 1).to_string(), of(one, place), of(other, place)));
        page.push_str(&loads("person", rows));
    }
    let names = both(one.customers.keys().map(|name| &**name), other.customers.keys().map(|name| &**name));
    let cars = |name: &&str| (one.customers.get(*name), other.customers.get(*name));
    page.push_str(&counts("customer", names.iter().map(|name| (*name, cars(name)))));
    let names = both(one.gateways.keys(), other.gateways.keys());
    let cars = |name: &crate::ids::Id| (one.gateways.get(name), other.gateways.get(name));
    page.push_str(&counts("gateway", names.iter().map(|name| (name.as_str(), cars(name)))));
    page + &moves(one, other) + &balance(one, other)
}

/// Shared and repeated moves: how many, and between which jobs.
fn moves(one: &Figures, other: &Figures) -> String {
    let shared = slash(one.shared_cars, other.shared_cars);
    let repeated = slash(one.repeated_cars, other.repeated_cars);
    let mut page = format!("\nCars that two jobs carry: {shared}; that one job carries twice: {repeated}.\n");
    let pairs = |figures: &Figures| -> BTreeMap<String, usize> {
        let shared = figures
            .shared
            .iter()
            .map(|Shared { jobs, cars }| (format!("{}, then {}", jobs.0, jobs.1), cars.len()));
        let twice = figures.repeated.iter();
        shared.chain(twice.map(|job| (format!("{}, twice", job.job), job.cars.len()))).collect()
    };
    let (of_one, of_other) = (pairs(one), pairs(other));
    let names = both(of_one.keys(), of_other.keys());
    page += &counts(
        "carried by",
        names.iter().map(|name| (name.as_str(), (of_one.get(*name), of_other.get(*name)))),
    );
    page
}

fn head(figures: &Figures) -> String {
    format!("Session {}, seed {}", figures.session, figures.seed)
}

/// What either has, in the order of the one, then of the other.
fn both<T: Ord + Copy>(one: impl Iterator<Item = T>, other: impl Iterator<Item = T>) -> Vec<T> {
    let mut seen = BTreeSet::new();
    one.chain(other).filter(|item| seen.insert(*item)).collect()
}

fn slash(one: impl Display, other: impl Display) -> String {
    format!("{one}/{other}")
}

fn loads(what: &'static str, rows: impl Iterator<Item = (String, Load, Load)>) -> String {
    let rows: Vec<_> = rows.collect();
    let cars = ["cars", "loads", "pulls", "spots"].map(Column::Numbers);
    let work = ["handlings", "cuts", "minutes", "tons", "feet"].map(Column::Numbers);
    let first = rows.iter().map(|(name, one, other)| {
        vec![
            name.clone(),
            slash(one.cars, other.cars),
            slash(one.loads, other.loads),
            slash(one.pulls, other.pulls),
            slash(one.spots, other.spots),
        ]
    });
    let second = rows.iter().map(|(name, one, other)| {
        let feet = |load: &Load| load.length.whole_scale_inches().div_ceil(12);
        vec![
            name.clone(),
            slash(one.handlings, other.handlings),
            slash(one.cuts, other.cuts),
            slash(one.minutes, other.minutes),
            slash(one.tons.count(), other.tons.count()),
            slash(feet(one), feet(other)),
        ]
    });
    let columns = |more: &[Column]| [&[Column::Words(what)], more].concat();
    format!(
        "\n{}\n{}",
        table(&columns(&cars), &first.collect::<Vec<_>>()),
        table(&columns(&work), &second.collect::<Vec<_>>())
    )
}

fn counts<'n>(
    what: &'static str,
    rows: impl Iterator<Item = (&'n str, (Option<&'n usize>, Option<&'n usize>))>,
) -> String {
    let count = |cars: Option<&usize>| cars.copied().unwrap_or(0);
    let rows = rows.map(|(name, (one, other))| vec![name.to_owned(), slash(count(one), count(other))]);
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    format!("\n{}", table(&[Column::Words(what), Column::Numbers("cars")], &rows))
}

fn balance(one: &Figures, other: &Figures) -> String {
    let of = |figures: &Figures, value: fn(&crate::study::balance::Balance) -> u32| {
        figures.balance.as_ref().map_or_else(|| "-".to_owned(), |balance| format!("{} %", value(balance)))
    };
    let whose = |figures: &Figures| if figures.people.is_empty() { "jobs" } else { "people" };
    let [busiest, jain] = MEASURES.map(|(_, words)| words);
    let words = wrap(&format!("Busiest over mean: {busiest}. Jain's index: {jain}."), PAGE - 2);
    format!(
        "\nBalance of the minutes of {}:\n  busiest over mean  {}\n  Jain's index       {}\n  {}\n",
        slash(whose(one), whose(other)),
        slash(of(one, |balance| balance.busiest_over_mean), of(other, |balance| balance.busiest_over_mean)),
        slash(of(one, |balance| balance.jain), of(other, |balance| balance.jain)),
        words.join("\n  "),
    )
}
