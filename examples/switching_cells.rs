//! Solves lead-and-loop puzzles, given as JSON on standard input, in the fewest runs of the engine:
//! `cargo run --release --example switching_cells < puzzles.json`.
//!
//! In: `{"cells": [{"name": …, "turnout": name or null}, …], "rightward": [[left, right], …], "questions":
//! [{"start": [cell, …], "goal": [[cell, …] or null, …]}, …]}`, the locomotive first. Out: for each question a line
//! `{"runs": n or null, "proved": …, "states": n, "nanoseconds": n}`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::{Read, Write};
use std::time::Instant;

use serde::Deserialize;
use setout::switching::puzzle::cells::{Cells, Loop};

#[derive(Deserialize)]
struct Puzzles {
    cells: Vec<Cell>,
    rightward: Vec<(String, String)>,
    questions: Vec<Question>,
}

#[derive(Deserialize)]
struct Cell {
    name: String,
    turnout: Option<String>,
}

#[derive(Deserialize)]
struct Question {
    start: Vec<String>,
    goal: Vec<Option<Vec<String>>>,
}

/// The most states that are opened for one question.
const STATES: usize = 20_000_000;

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    std::io::stdin().lock().read_to_string(&mut text)?;
    let puzzles: Puzzles = serde_json::from_str(&text)?;
    let place = |name: &String| {
        let found = puzzles.cells.iter().position(|cell| cell.name == *name);
        found.ok_or_else(|| format!("there is no cell `{name}`"))
    };
    if puzzles.cells.len() > 64 {
        return Err("expected at most 64 cells".into());
    }
    let turnouts = puzzles.cells.iter().map(|cell| {
        let first = puzzles.cells.iter().position(|other| other.turnout == cell.turnout);
        first.filter(|_| cell.turnout.is_some())
    });
    let rightward: Result<Vec<_>, String> =
        puzzles.rightward.iter().map(|(left, right)| Ok((place(left)?, place(right)?))).collect();
    let cells = Cells::new(&turnouts.collect::<Vec<_>>(), &rightward?);
    for question in &puzzles.questions {
        let start: Vec<usize> = question.start.iter().map(place).collect::<Result<_, _>>()?;
        let all = |goal: &Option<Vec<String>>| {
            goal.as_ref().map(|cells| cells.iter().map(place).collect::<Result<Vec<_>, _>>()).transpose()
        };
        let goals: Vec<_> = question.goal.iter().map(all).collect::<Result<_, _>>()?;
        if goals.len() != start.len() {
            return Err("expected a goal for every vehicle, the locomotive first".into());
        }
        let puzzle = Loop::new(&cells, &goals).ok_or("expected 1 to 16 vehicles")?;
        let begun = now();
        let answer = puzzle.solve(&start, STATES);
        let line = serde_json::json!({
            "runs": answer.way.map(|way| way.moves.len()),
            "proved": answer.proved,
            "states": answer.opened,
            "nanoseconds": u64::try_from(begun.elapsed().as_nanos())?,
        });
        writeln!(std::io::stdout().lock(), "{line}")?;
    }
    Ok(())
}

#[allow(clippy::disallowed_methods, reason = "the time is measured, it decides nothing")]
fn now() -> Instant {
    Instant::now()
}
