//! A cut put into another order on the tracks of the place where the engine is.
//!
//! The cars nearest the engine that stay as they are stay coupled. The others are a string in the
//! sense of [`sorting`]: they are shoved away onto the train's track and as many others as there are
//! steps, and fetched again. What the last step pulls need not be shoved onto the train's track: the
//! train is fetched to it.
//!
//! A worked example: from the engine outwards `a P b c` shall be `a b c P`. Leave c and b together on one
//! track, P on another; couple b c, then P: four handlings.

use super::super::site::{Site, Trouble};
use super::super::sorting::{self, Roll, Scheme, Sorting, To};
use crate::ids::{CarIx, TrackIx};
use crate::layout::{End, TrackUse};

/// Brings the cut into an order, from the engine outwards.
///
/// # Errors
/// What stopped it; the site is then of no use.
pub(super) fn bring(site: &mut Site<'_>, order: &[CarIx]) -> Result<(), Trouble> {
    let now = site.cut().cars.clone();
    let kept = now.iter().zip(order).take_while(|(is, shall)| is == shall).count();
    let Some(end) = site.cut().end.filter(|_| kept < now.len()) else { return Ok(()) };
    let string: Vec<CarIx> = now[kept..].iter().rev().copied().collect();
    let place = |car: &CarIx| order.iter().rev().position(|other| other == car).unwrap_or(usize::MAX);
    let blocks: Vec<usize> = string.iter().map(place).collect();
    let tracks = tracks(site, end, &string);
    let Some((train, others)) = tracks.split_first() else { return Err(Trouble::NoParking) };
    let sorting = sorting::sort(&blocks, Scheme::Geometric, others.len()).ok_or(Trouble::NoParking)?;
    carry_out(site, end, &sorting, *train, others)
}

/// The tracks on which the cars may be put for a moment, the best first: clear ones with room for all.
fn tracks(site: &Site<'_>, end: End, string: &[CarIx]) -> Vec<TrackIx> {
    let tracks = site.network().layout().tracks();
    let length = site.length_of(string);
    let fits = |at: TrackIx| {
        tracks[at].opens.at(end)
            && site.network().may_switch(site.call(), at)
            && tracks[at].behind.is_none()
            && string.iter().all(|car| site.takes(at, *car))
    };
    let mut fit: Vec<(bool, bool, bool, TrackIx)> = site
        .rows()
        .iter()
        .filter(|(at, _)| fits(*at))
        .map(|(at, row)| {
            let plain = matches!(tracks[*at].usage, TrackUse::RunAround | TrackUse::Main | TrackUse::Yard);
            (site.room(*at) < length, !row.is_empty(), !plain, *at)
        })
        .collect();
    fit.sort_unstable();
    fit.into_iter().map(|(.., at)| at).collect()
}

fn carry_out(
    site: &mut Site<'_>,
    end: End,
    sorting: &Sorting,
    train: TrackIx,
    others: &[TrackIx],
) -> Result<(), Trouble> {
    let mut lies = vec![0; others.len()];
    let mut made_up = 0;
    let last = sorting.stages.len() - 1;
    for (number, stage) in sorting.stages.iter().enumerate() {
        if let Some(pulled) = stage.pulled {
            let count = std::mem::take(&mut lies[pulled]);
            site.couple(others[pulled], end, count)?;
        }
        let fetched = number == last && number > 0;
        for Roll { to, cars } in stage.rolls.iter().take(if fetched { 0 } else { usize::MAX }) {
            let at = match *to {
                To::Track(track) => {
                    lies[track] += cars.len();
                    others[track]
                }
                To::Train => {
                    made_up += cars.len();
                    train
                }
            };
            site.leave(at, end, cars.len(), |_| None)?;
        }
    }
    if made_up > 0 { site.couple(train, end, made_up) } else { Ok(()) }
}
