//! Putting one track into its wanted order from one end.
//!
//! A track is a stack, open at the end where the engine works. What stands deepest and is right
//! already stays; everything nearer is drawn out, and the wanted cars go back in, the deepest first.
//! A car that is wanted next lies on the engine's cut, or on another track; what stands before it
//! is parked on some track with room and fetched back. A track reached through another is worked
//! while the other is cleared, and that is put together again afterwards.
//!
//! What is in the way and may be left for good where it goes is left there at once, and not fetched back.
//!
//! A worked example: on the spur stand, inward from its switch, `h m` (hold h, pull m), the train
//! brings b for m's spot, so the spur is wanted as `h b`. Nothing deep is right: couple h m; leave m
//! on the siding; leave h beside it; leave b; fetch h and leave it; fetch m. Cost: linear in the cars
//! for each car that is put back.

use super::goals::Goals;
use super::site::{OnTrack, Site, Trouble};
use crate::ids::{CarIx, TrackIx};
use crate::layout::{End, TrackUse};

/// Cars parked while others are reached, the last parked last.
type Parked = Vec<(TrackIx, usize)>;

/// Puts a track into its wanted order, which is given from west to east. Cars that come to stand deepest may be
/// set aside first, to be coupled again outside of those that are drawn out before them.
///
/// # Errors
/// What stopped it; the site is then half worked and of no use.
pub(super) fn rebuild(
    site: &mut Site<'_>,
    track: TrackIx,
    end: End,
    wanted: &[OnTrack],
    goals: &Goals,
    aside_first: bool,
) -> Result<(), Trouble> {
    let mut shut = vec![track];
    let mut front: Vec<(TrackIx, Vec<OnTrack>)> = Vec::new();
    // A track behind others is reached through them: they are cleared first, the nearest first.
    let tracks = site.network().layout().tracks();
    shut.extend(std::iter::successors(tracks[track].behind, |front| tracks[*front].behind));
    for before in shut.iter().skip(1).rev() {
        let row = site.row(*before).to_vec();
        if !row.is_empty() {
            site.couple(*before, end, row.len())?;
            front.push((*before, row));
        }
    }
    put_in_order(site, track, end, wanted, &Ground { shut: &shut, goals, aside_first })?;
    while let Some((before, row)) = front.pop() {
        put_in_order(site, before, end, &row, &Ground { shut: &shut, goals, aside_first: false })?;
    }
    Ok(())
}

/// Where cars may be left meanwhile.
struct Ground<'g> {
    /// The tracks on which none is.
    shut: &'g [TrackIx],
    /// What all tracks shall look like: cars that are at home on one need not be fetched back.
    goals: &'g Goals,
    /// Whether the outermost cars of the cut are set aside before others are drawn out.
    aside_first: bool,
}

/// Puts one track, with nothing before it, into its wanted order; cars are parked on no track that
/// is shut.
fn put_in_order(
    site: &mut Site<'_>,
    track: TrackIx,
    end: End,
    wanted: &[OnTrack],
    ground: &Ground<'_>,
) -> Result<(), Trouble> {
    let right = site.right(track, end, wanted);
    let wrong = site.row(track).len() - right;
    let mut goal = wanted.to_vec();
    if end == End::East {
        goal.reverse();
    }
    let mut parked = Parked::new();
    let mut left: &[OnTrack] = &goal[..goal.len() - right];
    if wrong > 0 {
        let comes = if ground.aside_first { matching(&site.cut().cars, left) } else { 0 };
        set_aside(site, ground, end, comes, &mut parked)?;
        site.couple(track, end, wrong)?;
        fetch_all(site, end, &mut parked)?;
    }
    while let Some(deepest) = left.last() {
        bring_outermost(site, ground, end, deepest.car, &mut parked)?;
        let count = matching(&site.cut().cars, left);
        let spot = |car: CarIx| goal.iter().find(|on| on.car == car).and_then(|on| on.spot);
        site.leave(track, end, count, spot)?;
        left = &left[..left.len() - count];
    }
    fetch_all(site, end, &mut parked)
}

/// How many cars, from the outermost of the cut, are the next to be left in one shove.
fn matching(cut: &[CarIx], left: &[OnTrack]) -> usize {
    cut.iter().rev().zip(left.iter().rev()).take_while(|(car, on)| **car == on.car).count()
}

/// Makes a car the outermost of the cut.
fn bring_outermost(
    site: &mut Site<'_>,
    ground: &Ground<'_>,
    end: End,
    car: CarIx,
    parked: &mut Parked,
) -> Result<(), Trouble> {
    loop {
        if let Some(place) = site.cut().cars.iter().position(|on| *on == car) {
            let outside = site.cut().cars.len() - 1 - place;
            return park(site, ground, end, outside, parked);
        }
        if let Some((at, count)) = parked.pop() {
            site.couple(at, end, count)?;
            continue;
        }
        let open = site.rows().iter().filter(|(at, _)| !ground.shut.contains(at));
        let found = open.into_iter().find_map(|(at, row)| {
            let place = row.iter().position(|on| on.car == car)?;
            Some((*at, if end == End::West { place + 1 } else { row.len() - place }))
        });
        let (at, count) = found.ok_or(Trouble::NotReached(car))?;
        site.couple(at, end, count)?;
    }
}

/// Leaves the outermost cars of the cut somewhere else: for good where they are at home, the others for a
/// moment.
fn park(
    site: &mut Site<'_>,
    ground: &Ground<'_>,
    end: End,
    mut count: usize,
    parked: &mut Parked,
) -> Result<(), Trouble> {
    while let Some((at, cars)) = ground.goals.home(site, end, count)
        && !ground.shut.contains(&at)
        && parked.iter().all(|(other, _)| *other != at)
    {
        site.leave(at, end, cars, |_| None)?;
        count -= cars;
    }
    set_aside(site, ground, end, count, parked)
}

/// Leaves the outermost cars of the cut somewhere else for a moment.
fn set_aside(
    site: &mut Site<'_>,
    ground: &Ground<'_>,
    end: End,
    count: usize,
    parked: &mut Parked,
) -> Result<(), Trouble> {
    if count == 0 {
        return Ok(());
    }
    let cars = &site.cut().cars[site.cut().cars.len() - count..];
    let length = site.length_of(cars);
    let tracks = site.network().layout().tracks();
    let fits = |at: TrackIx| {
        !ground.shut.contains(&at)
            && tracks[at].opens.at(end)
            && site.network().may_switch(site.call(), at)
            && tracks[at].behind.is_none()
            && site.room(at) >= length
            && cars.iter().all(|car| site.takes(at, *car))
    };
    // A clear track first, as a crew would: then nothing else is disturbed.
    let mut best = None;
    for (at, row) in site.rows() {
        let plain = !matches!(tracks[*at].usage, TrackUse::RunAround | TrackUse::Main);
        let rank = (!row.is_empty(), plain, *at);
        if best.is_none_or(|best| rank < best) && fits(*at) {
            best = Some(rank);
        }
    }
    let (.., at) = best.ok_or(Trouble::NoParking)?;
    site.leave(at, end, count, |_| None)?;
    parked.push((at, count));
    Ok(())
}

fn fetch_all(site: &mut Site<'_>, end: End, parked: &mut Parked) -> Result<(), Trouble> {
    while let Some((at, count)) = parked.pop() {
        site.couple(at, end, count)?;
    }
    Ok(())
}
