//! Solves a fan-of-sidings puzzle in the fewest moves:
//! `cargo run --release --example switching_puzzle -- --tracks 5,3,3 --lead 3 --start 12345/678/ --goal 32187/*/*`.
//!
//! One letter or digit a car, from the switch inward, tracks parted by `/`; `*` is anything; the lead
//! is empty at the end, and at the start unless its cars come first (`12:345/678/`). A pull or a push is one move. The first line is the fewest moves, the
//! second whether they are proved fewest, then come the moves. The answer is no (exit 1) where no moves
//! lead to the goal. `--states` is the most states that are opened to prove it.
//!
//! For thousands of starts with one goal, `--batch` reads more starts from standard input and answers
//! each in a line (moves, `proved` or not, states opened); `--histogram` counts all states of the
//! puzzle by their fewest moves, as JSON, those with an empty lead and full first tracks apart.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{BufRead, Write};
use std::process::ExitCode;
use std::time::Instant;

use clap::Parser;
use setout::switching::puzzle::fan::{Fan, Fault, MANY_QUESTIONS, ONE_QUESTION, Step};
use setout::switching::search::Answer;

/// Solves a fan-of-sidings puzzle in the fewest moves.
#[derive(Parser)]
struct Question {
    /// The room of each track, in cars: 5,3,3
    #[arg(long, value_delimiter = ',', required = true)]
    tracks: Vec<usize>,
    /// The room of the lead past the switches, in cars
    #[arg(long)]
    lead: usize,
    /// The cars of each track from the switch inward: 12345/678/
    #[arg(long)]
    start: String,
    /// The cars that are wanted, `*` for anything: 32187/*/*
    #[arg(long)]
    goal: String,
    /// The most states to open before the best way so far is good enough
    #[arg(long, default_value_t = 4_000_000)]
    states: usize,
    /// Reads more starts from standard input, and answers each in a line
    #[arg(long)]
    batch: bool,
    /// Counts all states by their fewest moves
    #[arg(long, conflicts_with = "batch")]
    histogram: bool,
}

/// Why nothing can go wrong when a text is written to.
const TEXT: &str = "a text takes all that is written";

fn main() -> ExitCode {
    let question = Question::parse();
    let answered = if question.histogram {
        histogram(&question)
    } else if question.batch {
        batch(&question)
    } else {
        one(&question)
    };
    match answered {
        Ok((text, code)) => match std::io::stdout().lock().write_all(text.as_bytes()) {
            Ok(()) => code,
            Err(_) => ExitCode::FAILURE,
        },
        Err(fault) => {
            // Nothing is left to do if even that cannot be said.
            let _ = writeln!(std::io::stderr().lock(), "error: {fault}");
            ExitCode::from(2)
        }
    }
}

fn made(question: &Question, table: usize) -> Result<Fan, Fault> {
    Fan::new(&question.tracks, question.lead, &question.start, &question.goal, table)
}

fn one(question: &Question) -> Result<(String, ExitCode), Fault> {
    let fan = made(question, ONE_QUESTION)?;
    let answer = fan.solve(fan.start(&question.start)?, question.states);
    let proved = proved(&answer);
    let Some(way) = answer.way else {
        return Ok((format!("no way\n{proved}\n"), ExitCode::FAILURE));
    };
    let mut text = format!("{}\n{proved}\n", way.moves.len());
    for (number, step) in way.moves.iter().enumerate() {
        writeln!(text, "{}. {step}", number + 1).expect(TEXT);
    }
    Ok((text, ExitCode::SUCCESS))
}

fn proved(answer: &Answer<Step>) -> &'static str {
    if answer.proved { "proved" } else { "not proved" }
}

/// One line for each start, and one with the nanoseconds and states of them all.
fn batch(question: &Question) -> Result<(String, ExitCode), Fault> {
    let fan = made(question, ONE_QUESTION)?;
    let mut text = String::new();
    let (mut opened, begun) = (0, now());
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        let answer = fan.solve(fan.start(line.trim())?, question.states);
        let moves = answer.way.as_ref().map_or("-".to_owned(), |way| way.moves.len().to_string());
        writeln!(text, "{moves} {} {}", proved(&answer), answer.opened).expect(TEXT);
        opened += answer.opened;
    }
    writeln!(text, "{opened} states in {} ns", begun.elapsed().as_nanos()).expect(TEXT);
    Ok((text, ExitCode::SUCCESS))
}

/// How many states are how many moves away: by how many cars stand on the lead and on each track.
fn histogram(question: &Question) -> Result<(String, ExitCode), Fault> {
    let begun = now();
    let fan = made(question, MANY_QUESTIONS)?;
    let Some(states) = fan.all() else {
        return Ok(("error: more states than are counted\n".to_owned(), ExitCode::FAILURE));
    };
    let mut counts: BTreeMap<String, BTreeMap<u32, usize>> = BTreeMap::new();
    for (state, moves) in states {
        let shape: Vec<String> = fan.shape(state).iter().map(usize::to_string).collect();
        *counts.entry(shape.join("-")).or_default().entry(moves).or_default() += 1;
    }
    let all: usize = counts.values().flat_map(BTreeMap::values).sum();
    let answer = serde_json::json!({
        "shapes": counts, "states": all, "nanoseconds": u64::try_from(begun.elapsed().as_nanos()).unwrap_or(u64::MAX),
    });
    Ok((format!("{answer}\n"), ExitCode::SUCCESS))
}

#[allow(clippy::disallowed_methods, reason = "the time is measured, it decides nothing")]
fn now() -> Instant {
    Instant::now()
}
