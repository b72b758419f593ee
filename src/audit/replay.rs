//! The replay: takes the events one by one and does what each says.
//!
//! An event that cannot be carried out as told is a breach; the replay then does as much of it as
//! makes sense and goes on, so that one fault of the planner is not hidden behind another.

use std::collections::{BTreeMap, BTreeSet};

use super::Found;
use super::facts::Facts;
use super::handling::{Handling, LeftAll};
use super::log::Log;
use super::placards;
use super::room;
use super::scene::{At, Scene, Stand};
use super::train::{self, Consist};
use super::work;
use crate::ids::Id;
use crate::layout::{End, LoadLook, Service};
use crate::session::plan::{Event, Train, WorldJob};

/// The state of the replay.
pub(super) struct Replay<'a, 'p> {
    pub(super) facts: &'a Facts<'p>,
    pub(super) found: &'a mut Found,
    pub(super) scene: Scene<'p>,
    pub(super) log: Log<'p>,
    pub(super) runs: BTreeMap<&'p Id, Run<'p>>,
    ended: BTreeSet<&'p Id>,
    /// Who left a car last in this session, and at which call.
    pub(super) left_by: BTreeMap<&'p Id, (&'p Id, u32)>,
    pub(super) spans: BTreeMap<(&'p Id, u32), Span>,
    /// The event in hand.
    pub(super) event: usize,
}

/// A job at work.
#[derive(Clone, Debug)]
pub(super) struct Run<'p> {
    pub(super) call: u32,
    pub(super) place: &'p Id,
    pub(super) consist: Consist<'p>,
    /// The end from which it came into the place.
    pub(super) came: Option<End>,
    pub(super) left_all: Option<LeftAll<'p>>,
}

/// The handlings of one call: which is the first, which the last, and where the train goes then.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Span {
    pub(super) first: Option<usize>,
    pub(super) last: Option<usize>,
    pub(super) departs: Option<End>,
}

/// What a job goes by from one call to the next.
struct Going<'p> {
    job: &'p Id,
    call: u32,
    from: &'p Id,
    to: &'p Id,
    way: &'p [Id],
    direction: End,
    train: &'p Train,
}

/// Replays a plan from its first row to its last.
pub(super) fn replay<'p>(facts: &Facts<'p>, found: &mut Found) -> Log<'p> {
    let scene = Scene::before(facts, found);
    roster(facts, &scene, found);
    room::before(facts, &scene, found);
    let mut replay = Replay {
        facts,
        found,
        scene,
        log: Log::default(),
        runs: BTreeMap::new(),
        ended: BTreeSet::new(),
        left_by: BTreeMap::new(),
        spans: spans(&facts.plan.events),
        event: 0,
    };
    for (number, event) in facts.plan.events.iter().enumerate() {
        replay.event = number;
        replay.found.event = Some(number);
        replay.event(event);
    }
    replay.found.event = None;
    replay.finish()
}

fn spans(events: &[Event]) -> BTreeMap<(&Id, u32), Span> {
    let mut spans: BTreeMap<(&Id, u32), Span> = BTreeMap::new();
    for (number, event) in events.iter().enumerate() {
        match event {
            Event::Couple { job, call, .. } | Event::Leave { job, call, .. } => {
                let span = spans.entry((job, *call)).or_default();
                span.first = span.first.or(Some(number));
                span.last = Some(number);
            }
            Event::Goes { job, call, way, direction, .. } if way.len() > 1 => {
                spans.entry((job, *call)).or_default().departs = Some(*direction);
            }
            _ => {}
        }
    }
    spans
}

/// Rule 1 before the session: every car of the roster has a place, and only they.
fn roster(facts: &Facts<'_>, scene: &Scene<'_>, found: &mut Found) {
    let date = facts.plan.date;
    for car in facts.layout.cars().values().filter(|car| car.existence.on(date)) {
        if scene.at(&car.id).is_none() {
            found.say(1, format!("`{}` of the roster has no place before the session", car.id));
        }
    }
    for (car, at) in scene.all() {
        if !facts.roster.contains_key(car) {
            found.say(1, format!("`{car}` is {at}, but not in the roster"));
        }
        match at {
            At::Beyond(gateway) if !facts.gateways.contains_key(gateway) => {
                found.say(1, format!("`{car}` is beyond `{gateway}`, which the layout does not have"));
            }
            At::Track(..) => looks(facts, car, scene.lading(car), found),
            _ => {}
        }
    }
}

/// Rule 6: a load that cannot be taken out is never contradicted.
fn looks(facts: &Facts<'_>, car: &Id, lading: Option<&Id>, found: &mut Found) {
    let Some(LoadLook::Fixed(fixed)) = facts.roster.get(car).map(|car| &car.look) else { return };
    let wanted = fixed.commodity.map(|commodity| &facts.layout.commodities()[commodity].id);
    match lading {
        None => found.say(6, format!("`{car}` has a fixed load and is listed empty")),
        Some(lading) if wanted.is_some_and(|wanted| wanted != lading) => {
            found.say(6, format!("`{car}` has a fixed load and is listed with `{lading}`"));
        }
        Some(_) => {}
    }
}

impl<'p> Replay<'_, 'p> {
    fn event(&mut self, event: &'p Event) {
        match event {
            Event::Released { car, lading } => self.released(car, lading.as_ref()),
            Event::Lifted { car, track, gateway } => self.lifted(car, track, gateway),
            Event::Placed { car, track, gateway, lading } => {
                self.placed(car, track, gateway, lading.as_ref());
            }
            Event::BadOrder { car } => self.by_hand(car),
            Event::Starts { job, place } => self.starts(job, place),
            Event::Couple { job, call, track, end, cars } => {
                self.couple(Handling { job, call: *call, track, end: *end }, cars);
            }
            Event::Leave { job, call, track, end, cars } => {
                self.leave(Handling { job, call: *call, track, end: *end }, cars);
            }
            Event::Served { car, track, service } => self.served(car, track, *service),
            Event::Goes { job, call, from, to, way, direction, train } => {
                self.goes(&Going { job, call: *call, from, to, way, direction: *direction, train });
            }
            Event::Ends { job, place } => self.ends(job, place),
        }
    }

    /// What is done by hand is done before the first job.
    fn by_hand(&mut self, car: &Id) {
        if !self.runs.is_empty() || !self.ended.is_empty() {
            self.found.say(12, format!("`{car}` is changed by hand after the first job has begun"));
        }
        if !self.facts.roster.contains_key(car) {
            self.found.say(0, format!("`{car}` is not in the roster"));
        }
    }

    fn released(&mut self, car: &'p Id, lading: Option<&'p Id>) {
        self.by_hand(car);
        if !matches!(self.scene.at(car), Some(At::Track(..))) {
            self.found.say(7, format!("`{car}` is released, but stands on no track"));
        }
        let fixed = self.facts.roster.get(car).is_some_and(|car| matches!(car.look, LoadLook::Fixed(_)));
        if self.scene.lading(car) == lading && !fixed {
            self.found.say(7, format!("`{car}` is released as it was before"));
        }
        if lading.is_none() {
            self.scene.empty_out(car);
        }
        self.load(car, lading);
        if self.log.released.insert(car, self.event).is_some() {
            self.found.say(7, format!("`{car}` is released twice"));
        }
    }

    fn load(&mut self, car: &'p Id, lading: Option<&'p Id>) {
        if let Some(lading) = lading.filter(|lading| !self.facts.commodities.contains_key(lading)) {
            self.found.say(0, format!("`{lading}` is no commodity of the layout"));
        }
        looks(self.facts, car, lading, self.found);
        self.scene.set_lading(car, lading);
    }

    fn lifted(&mut self, car: &'p Id, track: &'p Id, gateway: &'p Id) {
        self.by_hand(car);
        if !matches!(self.scene.at(car), Some(At::Track(real, _)) if real == track) {
            self.found.say(1, format!("`{car}` is lifted from `{track}`, but is not there"));
        }
        let takes = |gate: &crate::layout::Gateway| gate.takes.clone();
        self.gate(gateway, track, takes);
        self.scene.away(car, At::Beyond(gateway));
    }

    fn placed(&mut self, car: &'p Id, track: &'p Id, gateway: &'p Id, lading: Option<&'p Id>) {
        self.by_hand(car);
        if let Some(at @ (At::Track(..) | At::Train(_))) = self.scene.at(car) {
            self.found.say(1, format!("`{car}` is put on `{track}`, but is {at}"));
        }
        if !self.facts.tracks.contains_key(track) {
            self.found.say(2, format!("`{track}` is not there on that day"));
        }
        self.gate(gateway, track, |gate| gate.gives.clone());
        self.load(car, lading);
        self.scene.put(track, &[Stand { car, spot: None }], false);
        room::came(self.facts, &self.scene, track, &[car], self.found);
    }

    /// A gateway is there on that day, and uses that track.
    fn gate(
        &mut self,
        gateway: &Id,
        track: &Id,
        tracks: impl Fn(&crate::layout::Gateway) -> Vec<crate::ids::TrackIx>,
    ) {
        let Some(known) = self.facts.gateways.get(gateway) else {
            self.found.say(0, format!("`{gateway}` is no gateway of the layout"));
            return;
        };
        if !known.existence.on(self.facts.plan.date) {
            self.found.say(5, format!("`{gateway}` is not there on that day"));
        }
        let uses = tracks(known).into_iter().any(|ix| self.facts.layout.tracks()[ix].id == *track);
        if !uses {
            self.found.say(5, format!("`{gateway}` does not use `{track}` in this direction"));
        }
    }

    fn starts(&mut self, job: &'p Id, place: &'p Id) {
        if self.runs.is_empty() && self.ended.is_empty() {
            self.log.start = self.scene.all().clone();
        }
        let Some(known) = self.facts.jobs.get(job).copied() else {
            self.found.say(0, format!("`{job}` is no job of that day"));
            return;
        };
        if self.runs.contains_key(job) || self.ended.contains(job) {
            self.found.say(12, format!("`{job}` begins a second time"));
        }
        if known.calls.first() != Some(place) {
            self.found.say(12, format!("`{job}` does not begin at `{place}`"));
        }
        for earlier in known.after.iter().filter(|earlier| self.facts.jobs.contains_key(earlier)) {
            if !self.ended.contains(earlier) {
                self.found.say(12, format!("`{job}` begins before `{earlier}` is done"));
            }
        }
        let run = Run { call: 1, place, consist: Consist::default(), came: None, left_all: None };
        self.runs.insert(job, run);
    }

    /// The state of a job that should be at this call.
    pub(super) fn at_call(&mut self, job: &Id, call: u32) -> Option<Run<'p>> {
        let Some(run) = self.runs.get(job).cloned() else {
            self.found.say(12, format!("`{job}` is not at work"));
            return None;
        };
        if run.call != call {
            self.found.say(12, format!("`{job}` is at call {}, not {call}", run.call));
        }
        Some(run)
    }

    fn served(&mut self, car: &'p Id, track: &Id, service: Service) {
        match self.scene.at(car) {
            Some(At::Track(real, _)) if real == track => {}
            _ => self.found.say(7, format!("`{car}` is served on `{track}`, but is not there")),
        }
        if !self.facts.tracks.get(track).is_some_and(|track| track.offers.contains(&service)) {
            self.found.say(7, format!("`{track}` does not offer to {}", service.word()));
        }
        if self.log.start.is_empty() {
            self.log.served_by_hand.entry(car).or_default().push(service);
        } else {
            self.log.served.entry(car).or_default().push((self.event, service));
        }
    }

    fn goes(&mut self, going: &Going<'p>) {
        let Some(mut run) = self.at_call(going.job, going.call) else { return };
        let Some(job) = self.facts.jobs.get(going.job).copied() else { return };
        if going.from != run.place
            || going.way.first() != Some(going.from)
            || going.way.last() != Some(going.to)
        {
            self.found.say(5, format!("the way of `{}` does not lead from call to call", going.job));
        }
        if call_place(job, run.call + 1) != Some(going.to) {
            self.found.say(12, format!("`{}` is not the next call of `{}`", going.to, going.job));
        }
        self.close_call(going.job, run.call, run.place);
        train::limits(self.facts, &self.scene, job, &run.consist, going.train, self.found);
        if going.way.len() > 1 {
            placards::check(self.facts, &self.scene, job, &run.consist, going.direction, self.found);
        }
        run.came = train::way(self.facts, &self.scene, &run.consist, going.way, going.direction, self.found);
        run.call += 1;
        run.place = going.to;
        run.left_all = None;
        self.runs.insert(going.job, run);
    }

    fn ends(&mut self, job: &'p Id, place: &'p Id) {
        let Some(run) = self.runs.remove(job) else {
            self.found.say(12, format!("`{job}` ends but is not at work"));
            return;
        };
        self.ended.insert(job);
        for car in run.consist.cars() {
            self.found.say(1, format!("`{job}` ends with `{car}` in its train"));
        }
        let calls = self.facts.jobs.get(job).map_or(0, |job| job.calls.len());
        if room::count(calls).count() != run.call || place != run.place {
            self.found.say(12, format!("`{job}` does not end at its last call"));
        }
        self.close_call(job, run.call, run.place);
    }

    /// What must hold when a job is done at a place.
    fn close_call(&mut self, job: &'p Id, call: u32, place: &'p Id) {
        let log = self.log.calls.entry((job, call)).or_default();
        log.closed = true;
        let passed_through = |at: At<'p>| match at {
            At::Track(track, _) => Some(track),
            _ => None,
        };
        let used: BTreeSet<&Id> = log.touched.values().filter_map(|touch| passed_through(touch.to)).collect();
        for track in used.into_iter().filter_map(|track| self.facts.tracks.get(track)) {
            if matches!(track.usage.as_ref(), "runaround" | "main") {
                let text = format!("`{job}` goes on and leaves cars on `{}`, which is kept clear", track.id);
                self.found.say(2, text);
            }
        }
        work::check_call(self, job, call, place);
    }

    fn finish(mut self) -> Log<'p> {
        for job in self.facts.jobs.keys() {
            if !self.ended.contains(job) {
                self.found.say(1, format!("`{job}` never ends"));
            }
        }
        self.scene.compare_with_after(self.facts, self.found);
        work::check_rest(self.facts, &self.log, self.found);
        if self.ended.is_empty() && self.runs.is_empty() {
            self.log.start = self.scene.all().clone();
        }
        self.log.end = self.scene.all().clone();
        self.log.ladings = self
            .log
            .end
            .keys()
            .filter_map(|car| self.scene.lading(car).map(|lading| (*car, lading)))
            .collect();
        self.log
    }
}

/// The place of a call, counted from 1.
pub(super) fn call_place(job: &WorldJob, call: u32) -> Option<&Id> {
    usize::try_from(call).ok()?.checked_sub(1).and_then(|number| job.calls.get(number))
}
