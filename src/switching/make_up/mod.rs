//! Make-up: the order of the cars in a train that leaves for other places.
//!
//! Upholds rule 11: a placarded car rides where the layout's table lets it ([`law`]). What a crew has
//! coupled in another order is put right on the lead, in the fewest cuts that the sorting of the yard
//! knows ([`on_the_lead`]); where that cannot be done the car stays behind, and the reason says so.
//!
//! Cost: nothing for trains without placarded cars; else cars² for each order that is tried.

mod blocks;
mod law;
mod on_the_lead;
mod staging;

pub(super) use blocks::{Block, Blocks, more_work};
pub(super) use law::{Law, Riding, Rule};
pub use staging::{Staged, in_order};
pub(super) use staging::{other_orders, placed, staged};

use std::rc::Rc;

use super::site::{Handling, Site, Trouble};
use super::steps::Tried;

/// Puts a train that is ready to leave into an order that the law allows, in the fewest handlings.
///
/// # Errors
/// The car that cannot ride in this train, or not be put where it may.
pub(super) fn put_right(site: &mut Site<'_>, law: &Law, caboose: bool) -> Result<(), Trouble> {
    let now = &site.cut().cars;
    let Some(first) = law.offender(now, caboose) else { return Ok(()) };
    let mut best: Option<Vec<Rc<Handling>>> = None;
    for order in law.orders(now, caboose) {
        let tried = Tried::new(site, |site| on_the_lead::bring(site, &order).and_then(|()| site.may_go()));
        let better = |made: &Vec<_>| best.as_ref().is_none_or(|best| made.len() < best.len());
        best = tried.made.filter(better).or(best);
    }
    best.ok_or(Trouble::Placarded(first))?.into_iter().for_each(|handling| site.make(handling));
    Ok(())
}

#[cfg(test)]
mod tests;
