//! Trains made up by yard jobs, once a session fits its people.
//!
//! It moves work from road crews to yard crews and changes nothing else, so it comes last: a session that fits is
//! planned once more with it.

use super::{Session, Step};
use crate::crews::People;
use crate::session::asked::Shape;

/// What fits, with trains made up, unless it is late then, or somebody has too little to do, and less than before.
pub(super) fn with_trains<'s>(session: &'s Session<'_>, fits: Step<'s>, people: &People) -> Step<'s> {
    let shape = Shape { made_up: true, ..fits.shape.clone() };
    let other = session.step(shape, people, Some(&fits));
    if !other.late() && (other.busy() || other.given.least() >= fits.given.least()) { other } else { fits }
}
