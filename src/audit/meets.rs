//! Where two jobs meet on single track: whether the train that is told to take the siding fits it.

use super::Found;
use super::facts::Facts;
use super::room::inches;
use crate::ids::Id;
use crate::session::plan::{Event, MeetLine};
use crate::units::Length;

/// Checks every meet of the plan.
pub(super) fn check(facts: &Facts<'_>, found: &mut Found) {
    for meet in &facts.plan.meets {
        trains(facts, meet, found);
        siding(facts, meet, found);
    }
}

/// The trains told are trains that run past the siding.
fn trains(facts: &Facts<'_>, meet: &MeetLine, found: &mut Found) {
    let Some(track) = meet.at.as_ref().and_then(|at| facts.tracks.get(at)) else { return };
    for (job, told) in meet.jobs.iter().zip(meet.trains) {
        if !runs_past(facts, job, &track.place).any(|train| train == told) {
            found.say(12, format!("no train of `{job}` that comes past `{}` is {}", track.id, inches(told)));
        }
    }
}

fn siding(facts: &Facts<'_>, meet: &MeetLine, found: &mut Found) {
    let (Some(at), Some(takes)) = (&meet.at, &meet.siding) else {
        if meet.at.is_some() != meet.siding.is_some() {
            found.say(12, "a meet names a siding and nobody who takes it, or the other way round");
        }
        return;
    };
    let Some(track) = facts.tracks.get(at) else {
        found.say(0, format!("jobs meet at `{at}`, no track of the plan"));
        return;
    };
    let Some(place) = meet.jobs.iter().position(|job| job == takes) else {
        found.say(12, format!("`{takes}` takes a siding where it meets nobody"));
        return;
    };
    if meet.trains[place] > track.length {
        let text = format!(
            "`{takes}` is to take the siding `{at}`: its train is {}, the siding {}",
            inches(meet.trains[place]),
            inches(track.length)
        );
        found.say(12, text);
    }
}

/// The lengths of a job's trains that run to a place, from it or past it.
fn runs_past<'p>(facts: &Facts<'p>, of: &'p Id, past: &'p Id) -> impl Iterator<Item = Length> + use<'p> {
    facts.plan.events.iter().filter_map(move |event| match event {
        Event::Goes { job, way, train, .. } if job == of && way.contains(past) => Some(train.length),
        _ => None,
    })
}
