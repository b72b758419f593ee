//! `setout` plans operating sessions on a model railroad.
//!
//! One pipeline, one direction: layout → network → traffic → trips → switching → crews → session → paper.
//! Each stage is a folder that takes the finished product of the stage before and knows nothing
//! of those after it; [`audit`] and [`ledger`] stand at the side, [`cli`] is the thin front door.
//! `DEVELOPERS.md` has the map of the house.

pub mod audit;
pub mod chance;
pub mod cli;
pub mod crews;
pub mod diag;
pub mod error;
pub mod ids;
pub mod layout;
pub mod ledger;
pub mod network;
pub mod paper;
pub mod roster;
pub mod said;
pub mod session;
pub mod standing;
pub mod study;
pub mod switching;
#[cfg(test)]
mod testing;
pub mod traffic;
pub mod trips;
pub mod units;
