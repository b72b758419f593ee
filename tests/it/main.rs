//! Everything that is tested from outside the crate's own files, in one binary.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops here")]

mod cases;
mod cli;
mod docs;
mod faults;
mod faults_laws;
mod faults_rosters;
mod laws;
mod layers;
mod paper;
mod roster_laws;
mod words;
