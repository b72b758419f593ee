//! What a crew is told about its calls, held against what the events do.

use std::collections::BTreeMap;

use super::Found;
use super::facts::Facts;
use super::log::{CallLog, Log, Touch};
use super::replay::{Replay, call_place};
use super::scene::At;
use crate::ids::Id;
use crate::session::plan::{CallWork, CarWork, Deed, TripLine, WorldJob};
use crate::units::ClockTime;

/// Checks the lines of a call at the moment when its job goes on.
pub(super) fn check_call<'p>(replay: &mut Replay<'_, 'p>, job: &'p Id, call: u32, place: &'p Id) {
    let Some(log) = replay.log.calls.get(&(job, call)) else { return };
    let Some(work) = replay.facts.work.get(&(job, call)) else {
        if !log.touched.is_empty() {
            replay.found.say(8, format!("nothing tells the crew of `{job}` what to do at call {call}"));
        }
        return;
    };
    if work.place != *place {
        replay
            .found
            .say(12, format!("call {call} of `{job}` is at `{place}`, its list says `{}`", work.place));
    }
    order(replay.facts, &replay.log, log, work, replay.found);
    let mut lines: BTreeMap<&Id, &CarWork> = BTreeMap::new();
    for line in &work.cars {
        if lines.insert(&line.car, line).is_some() {
            replay.found.say(7, format!("`{}` stands twice on the list of `{job}`, call {call}", line.car));
        }
    }
    for (car, touch) in &log.touched {
        match lines.get(car) {
            // The engine ran round its own train: that is no work with any one car.
            None if touch.from == touch.to && touch.to == At::Train(job) => {}
            None => replay
                .found
                .say(7, format!("`{car}` is moved at call {call} of `{job}`, and not on its list")),
            Some(line) => moved(replay.facts, (job, call), line, touch, replay.found),
        }
    }
    for line in &work.cars {
        if replay.scene.lading(&line.car) != line.lading.as_ref() {
            replay.found.say(
                6,
                format!("the list of `{job}`, call {call}, is wrong about the lading of `{}`", line.car),
            );
        }
        if !log.touched.contains_key(&line.car) {
            untouched(line, replay.scene.at(&line.car), job, replay.found);
        }
    }
}

/// Who goes before: no job that has not been there, and every job that brought a car taken here.
fn order(facts: &Facts<'_>, log: &Log<'_>, call: &CallLog<'_>, work: &CallWork, found: &mut Found) {
    for earlier in &work.follows {
        let been = log.calls.range((earlier, 0)..=(earlier, u32::MAX)).any(|((job, number), other)| {
            let at = facts.jobs.get(job).and_then(|job| call_place(job, *number));
            let own = **job == work.job && *number == work.call;
            !own && other.closed && at == Some(&work.place)
        });
        if !been {
            let text =
                format!("`{}` is to follow `{earlier}`, which has not worked at `{}`", work.job, work.place);
            found.say(12, text);
        }
    }
    for (job, car) in &call.takes_from {
        // Whoever an earlier call of the same job had to follow is done by now.
        let own = facts.work.range((&work.job, 1)..=(&work.job, work.call));
        if !own.into_iter().any(|(_, own)| own.follows.contains(job)) {
            found.say(
                12,
                format!("`{}` takes `{car}`, which `{job}` brings, and is not told to follow it", work.job),
            );
        }
    }
}

fn moved(facts: &Facts<'_>, call: (&Id, u32), line: &CarWork, touch: &Touch<'_>, found: &mut Found) {
    places(line, (touch.from, touch.to), call.0, found);
    let trip = facts.trips.get(&line.car);
    let arrives = trip.and_then(|trip| trip.legs.last().filter(|_| trip.arrives));
    let arrives = arrives.is_some_and(|leg| leg.job == *call.0 && leg.to_call == call.1);
    let served = trip.is_some_and(|trip| for_service(facts, trip, touch.to));
    let fits = match (touch.from, touch.to) {
        (from, to) if from == to => line.deed == Deed::Hold,
        (_, At::Train(_)) => line.deed == Deed::Pull,
        _ if arrives => line.deed == Deed::Spot,
        _ if served && line.deed == Deed::Spot => true,
        _ => matches!(line.deed, Deed::Set | Deed::OffSpot),
    };
    if !fits {
        let text = format!(
            "`{}` is to be \"{}\" at call {} of `{}`, but goes from {} to {}",
            line.car,
            line.deed.words(),
            call.1,
            call.0,
            touch.from,
            touch.to
        );
        found.say(7, text);
    }
}

/// Whether a car is put where one of its trip's services is done.
fn for_service(facts: &Facts<'_>, trip: &TripLine, to: At<'_>) -> bool {
    let At::Track(track, _) = to else { return false };
    let track = facts.tracks.get(track);
    track.is_some_and(|track| track.offers.iter().any(|service| trip.services.contains(service)))
}

fn untouched(line: &CarWork, at: Option<At<'_>>, job: &Id, found: &mut Found) {
    let Some(at) = at else {
        found.say(0, format!("`{}` on the list of `{job}` is no car of the session", line.car));
        return;
    };
    places(line, (at, at), job, found);
    let rides = at == At::Train(job) && line.deed == Deed::Hold;
    if line.deed != Deed::Leave && !rides {
        let text =
            format!("`{}` is to be \"{}\", but `{job}` does not touch it", line.car, line.deed.words());
        found.say(7, text);
    }
}

/// The places in a line are those of the events.
fn places(line: &CarWork, (from, to): (At<'_>, At<'_>), job: &Id, found: &mut Found) {
    let says = |track: &Option<Id>, spot: &Option<Id>, real: At<'_>| match real {
        At::Track(real, real_spot) => track.as_ref() == Some(real) && spot.as_ref() == real_spot,
        At::Train(train) => track.is_none() && spot.is_none() && train == job,
        At::Beyond(_) | At::Shelf => false,
    };
    if !says(&line.from, &line.from_spot, from) {
        found.say(
            7,
            format!("the list of `{job}` is wrong about where `{}` comes from: it is {from}", line.car),
        );
    }
    if !says(&line.to, &line.to_spot, to) {
        found.say(7, format!("the list of `{job}` is wrong about where `{}` goes: it is {to}", line.car));
    }
}

/// Checks the lists as a whole, after the replay.
pub(super) fn check_rest(facts: &Facts<'_>, log: &Log<'_>, found: &mut Found) {
    let mut last: BTreeMap<&Id, u32> = BTreeMap::new();
    for work in &facts.plan.work {
        let key = (&work.job, work.call);
        if !log.calls.get(&key).is_some_and(|call| call.closed) {
            found.say(12, format!("call {} of `{}` is on a list, but never worked", work.call, work.job));
        }
        if last.insert(&work.job, work.call).is_some_and(|before| before >= work.call) {
            found.say(12, format!("the lists of `{}` are not in the order of its calls", work.job));
        }
        let due = facts.jobs.get(&work.job).and_then(|job| due(facts, job, work.call));
        if due != work.time {
            found.say(
                12,
                format!("call {} of `{}` is due at another time than the host says", work.call, work.job),
            );
        }
    }
}

/// When the host wants a job at a call, counted among the places that are there on that day; at
/// the first, if nothing is said, when it comes on duty.
fn due(facts: &Facts<'_>, job: &WorldJob, call: u32) -> Option<ClockTime> {
    let described = facts.layout.jobs().values().find(|known| known.id == job.id)?;
    let there = |place| facts.places.contains_key(&facts.layout.places()[place].id);
    let number = usize::try_from(call).ok()?.checked_sub(1)?;
    let time = described.calls.iter().filter(|call| there(call.place)).nth(number)?.time;
    time.or(described.on_duty.filter(|_| number == 0))
}
