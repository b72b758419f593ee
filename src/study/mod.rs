//! Studies: what a layout and its sessions look like from a step back.
//!
//! Takes a checked layout and a standing and gives data to be read by people and programs. It
//! decides nothing that a session depends on.

pub mod balance;
pub mod compare;
pub mod pace;
pub mod summary;
pub(crate) mod table;
