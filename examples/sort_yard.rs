//! Sorts strings of cars on the tracks of a yard: `cargo run --example sort_yard -- 4 2 1 3`, or one
//! string a line on standard input. A car is the number of its block, block 1 is left first; the car that
//! is left first is named first. `--tracks N` says how many tracks there are besides the train's own, `--scheme`
//! is `single`, `triangular` or `geometric`.
//!
//! One line of JSON for each string: its chains, the steps, and for the roll-in and every step the cuts
//! with where they go, cars counted from 0 in the string; `null` where the tracks are too few.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::{BufWriter, Write, read_to_string};

use serde_json::{Value, json};
use setout::switching::sorting::{Scheme, Sorting, To, runs, sort};

const USAGE: &str = "usage: sort_yard [--tracks N] [--scheme single|triangular|geometric] [BLOCK …]";

fn main() -> Result<(), Box<dyn Error>> {
    let mut tracks = None;
    let mut scheme = Scheme::Geometric;
    let mut string = Vec::new();
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--tracks" => tracks = Some(words.next().ok_or(USAGE)?.parse::<usize>()?),
            "--scheme" => {
                scheme = match words.next().as_deref() {
                    Some("single") => Scheme::Single,
                    Some("triangular") => Scheme::Triangular,
                    Some("geometric") => Scheme::Geometric,
                    _ => return Err(USAGE.into()),
                }
            }
            block => string.push(block.parse::<usize>()?),
        }
    }
    let strings: Vec<Vec<usize>> = if string.is_empty() {
        let text = read_to_string(std::io::stdin().lock())?;
        let line = |line: &str| line.split_whitespace().map(str::parse).collect::<Result<_, _>>();
        text.lines().map(line).collect::<Result<_, _>>()?
    } else {
        vec![string]
    };
    let mut out = BufWriter::new(std::io::stdout().lock());
    for string in strings {
        let sorting = sort(&string, scheme, tracks.unwrap_or(string.len()));
        writeln!(out, "{}", sorting.as_ref().map_or(Value::Null, told))?;
    }
    Ok(())
}

fn told(sorting: &Sorting) -> Value {
    let stages: Vec<Value> = sorting
        .stages
        .iter()
        .map(|stage| {
            let rolls = stage.rolls.iter().map(|roll| match roll.to {
                To::Track(track) => json!({ "to": track, "cars": roll.cars }),
                To::Train => json!({ "to": "train", "cars": roll.cars }),
            });
            json!({ "pulled": stage.pulled, "rolls": rolls.collect::<Vec<_>>() })
        })
        .collect();
    let chains = sorting.chains.count;
    let runs: Vec<u32> = (2..=4).map(|roads| runs(chains, roads)).collect();
    json!({ "chains": chains, "steps": sorting.steps(), "shoves": sorting.shoves(), "runs": runs, "stages": stages })
}
