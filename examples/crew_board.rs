//! Reads call boards as JSON, one a line, from standard input, and prints for each who takes which job and
//! what that is worth, so that a general solver can be asked the same: `cargo run --example crew_board < boards`.
//!
//! In: `{"people": n, "hours": minutes, "jobs": [{"light": minutes, "calls": [[work, run], …], "after": [job, …], "crew": 1 or 2,
//! "engine": number or null, "begins": minute}, …], "links": [[job, call, job, call], …]}`, jobs and calls counted
//! from 0. Out: `{"hands": [[person, …], …], "score": [late, short, uneven, changes], "proved": bool, "nanoseconds": n}`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::{BufRead, Write};
use std::time::Instant;

use serde::{Deserialize, Serialize};
use setout::crews::board::{Board, Call, CallOf, Dealt, Job, Link, solve};

/// Enough to prove every board that the outside check feeds.
const BUDGET: u32 = 3_000_000;

#[derive(Deserialize)]
struct Question {
    people: usize,
    hours: u32,
    jobs: Vec<Asked>,
    links: Vec<(usize, usize, usize, usize)>,
}

#[derive(Deserialize)]
struct Asked {
    light: u32,
    calls: Vec<(u32, u32)>,
    after: Vec<usize>,
    crew: u32,
    engine: Option<usize>,
    begins: u32,
}

#[derive(Serialize)]
struct Answer {
    hands: Vec<Vec<usize>>,
    score: [u32; 4],
    proved: bool,
    nanoseconds: u128,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let board = board(serde_json::from_str(&line?)?);
        let (dealt, nanoseconds) = timed(|| solve(&board, BUDGET));
        let score = dealt.score;
        let hands = dealt.hands.iter().map(|hands| [Some(hands.0), hands.1].into_iter().flatten().collect());
        let answer = Answer {
            hands: hands.collect(),
            score: [score.late, score.short, score.uneven, score.changes],
            proved: dealt.proved,
            nanoseconds,
        };
        writeln!(out, "{}", serde_json::to_string(&answer)?)?;
    }
    Ok(())
}

fn board(question: Question) -> Board {
    let job = |asked: Asked| Job {
        light: asked.light,
        calls: asked.calls.iter().map(|(work, run)| Call { work: *work, run: *run }).collect(),
        after: asked.after,
        crew: asked.crew,
        engine: asked.engine,
        begins: asked.begins,
    };
    let at = |job, call| CallOf { job, call };
    let links = question.links.iter().map(|(a, b, c, d)| Link { first: at(*a, *b), then: at(*c, *d) });
    Board {
        people: question.people,
        hours: question.hours,
        links: links.collect(),
        jobs: question.jobs.into_iter().map(job).collect(),
        row: Vec::new(),
    }
}

#[allow(clippy::disallowed_methods, reason = "the time is measured, it decides nothing")]
fn timed(work: impl FnOnce() -> Dealt) -> (Dealt, u128) {
    let start = Instant::now();
    let done = work();
    (done, start.elapsed().as_nanos())
}
