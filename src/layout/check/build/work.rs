//! Jobs.

use super::ground::unknown_track;
use super::{Context, all, existence, id, need, room, set, takes_room, text, value, yes};
use crate::layout::model::{Call, Job, JobKind, Meet, Power, TrainLimits};
use crate::layout::read::{SaidCall, SaidJob, SaidMeet};
use crate::layout::sink::Sink;

/// A job.
pub(super) fn job(context: &Context<'_, '_>, said: &SaidJob, sink: &mut Sink) -> Job {
    Job {
        id: id(&said.id),
        name: text(&said.name).unwrap_or_else(|| said.id.value.clone()),
        railroad: need(&context.names.railroads, said.railroad.as_ref(), sink),
        kind: value(&said.kind).unwrap_or(JobKind::Local),
        calls: said.calls.iter().filter_map(|said| call(context, said, sink)).collect(),
        on_duty: value(&said.on_duty),
        after: set(&context.names.jobs, &said.after, sink),
        meets: said.meets.iter().filter_map(|said| meet(context, said, sink)).collect(),
        max: TrainLimits {
            cars: value(&said.max_cars),
            length: room(context, &said.max_length, sink),
            tons: value(&said.max_tons),
        },
        power: Power {
            length: takes_room(context, &said.power, sink).unwrap_or_default(),
            engine: text(&said.engine),
            caboose: yes(&said.caboose),
        },
        crew: value(&said.crew).unwrap_or(1),
        drop: value(&said.drop),
        note: text(&said.note),
        existence: existence(&said.existence, sink),
    }
}

fn meet(context: &Context<'_, '_>, said: &SaidMeet, sink: &mut Sink) -> Option<Meet> {
    let at = all(&context.names.tracks, &said.at, sink);
    Some(Meet { with: context.names.jobs.find(&said.with, sink)?, at })
}

fn call(context: &Context<'_, '_>, said: &SaidCall, sink: &mut Sink) -> Option<Call> {
    let place = context.names.places.find(&said.at, sink)?;
    let mut tracks = Vec::new();
    for name in &said.tracks {
        match context.names.tracks.get(&format!("{}/{}", said.at.value, name.value)) {
            Some(track) => tracks.push(track),
            None => unknown_track(context, &said.at.value, name, sink),
        }
    }
    tracks.sort_unstable();
    tracks.dedup();
    Some(Call { place, tracks, time: value(&said.time) })
}
