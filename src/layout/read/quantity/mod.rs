//! Quantities from the host's words, each with its bounds and its message written once.
//!
//! A reader takes a [`Node`](super::node::Node) and gives the quantity or a
//! [`Wrong`](crate::layout::sink::Wrong). Lengths stay as they were measured, because only `check`
//! knows the scale.

mod measure;
mod number;
mod rolling;
mod time;

pub(in crate::layout) use measure::{Measure, Unit};
pub(super) use measure::{length, scale};
pub(super) use number::{count, grade, minutes, percent, share, tons};
pub(in crate::layout) use rolling::{CarNumber, Look};
pub(super) use rolling::{look, mark, marked_number, uic_number, visits, years};
pub(super) use time::{clock, date, odds, rate, season, span, weekdays};
