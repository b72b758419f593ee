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

pub(super) use blocks::Blocks;
pub(super) use law::{Law, Riding};
pub use staging::{Staged, in_order};
pub(super) use staging::{other_orders, placed, staged};

use super::site::{Site, Trouble};

/// Puts a train that is ready to leave into an order that the law allows, in the fewest handlings.
///
/// # Errors
/// The car that cannot ride in this train, or not be put where it may.
pub(super) fn put_right(site: &mut Site<'_>, law: &Law, caboose: bool) -> Result<(), Trouble> {
    let now = &site.cut().cars;
    let Some(first) = law.offender(now, caboose) else { return Ok(()) };
    let mut best: Option<Site<'_>> = None;
    for order in law.orders(now, caboose) {
        let mut trial = site.clone();
        if on_the_lead::bring(&mut trial, &order).is_ok()
            && trial.may_go().is_ok()
            && best.as_ref().is_none_or(|best| trial.log().len() < best.log().len())
        {
            best = Some(trial);
        }
    }
    *site = best.ok_or(Trouble::Placarded(first))?;
    Ok(())
}

#[cfg(test)]
mod tests;
