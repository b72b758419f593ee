//! What each crew did with each car at each call, as the replay saw it.

use std::collections::BTreeMap;

use super::scene::At;
use crate::ids::Id;
use crate::layout::Service;

/// What the replay saw.
#[derive(Debug, Default)]
pub(super) struct Log<'p> {
    /// Every call that was worked, by job and number.
    pub(super) calls: BTreeMap<(&'p Id, u32), CallLog<'p>>,
    /// What was done to cars by hand before the first job, in order.
    pub(super) served_by_hand: BTreeMap<&'p Id, Vec<Service>>,
    /// What was done to cars on the way, in order: the event and the service.
    pub(super) served: BTreeMap<&'p Id, Vec<(usize, Service)>>,
    /// Cars with which a customer has finished.
    pub(super) released: BTreeMap<&'p Id, usize>,
    /// Where each car was when the first job began.
    pub(super) start: BTreeMap<&'p Id, At<'p>>,
    /// Where each car was in the end.
    pub(super) end: BTreeMap<&'p Id, At<'p>>,
    /// What was in each car when the first job began.
    pub(super) ladings: BTreeMap<&'p Id, &'p Id>,
}

/// One call of a job.
#[derive(Debug, Default)]
pub(super) struct CallLog<'p> {
    /// The cars that were coupled or left.
    pub(super) touched: BTreeMap<&'p Id, Touch<'p>>,
    /// Jobs that left a car which this call takes.
    pub(super) takes_from: BTreeMap<&'p Id, &'p Id>,
    /// Whether the job has gone on.
    pub(super) closed: bool,
}

/// What a call did to a car.
#[derive(Clone, Copy, Debug)]
pub(super) struct Touch<'p> {
    /// Where it was when the job came.
    pub(super) from: At<'p>,
    /// Where it was when the job went.
    pub(super) to: At<'p>,
    /// The first event that touched it.
    pub(super) first: usize,
    /// The last event that touched it.
    pub(super) last: usize,
}

/// The part of a car's way made by one job, as the handlings show it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Leg<'p> {
    pub(super) job: &'p Id,
    pub(super) from_call: u32,
    pub(super) from: &'p Id,
    pub(super) to_call: u32,
    pub(super) to: &'p Id,
    pub(super) spot: Option<&'p Id>,
    /// The event in which it was left.
    pub(super) left: usize,
}

impl<'p> Log<'p> {
    /// Notes that a job touched a car.
    pub(super) fn touch(&mut self, call: (&'p Id, u32), car: &'p Id, from: At<'p>, to: At<'p>, event: usize) {
        let touched = &mut self.calls.entry(call).or_default().touched;
        let touch = touched.entry(car).or_insert(Touch { from, to, first: event, last: event });
        touch.to = to;
        touch.last = event;
    }

    /// The legs of every car that was moved, in the order of events. A car that a job puts back as
    /// it was has none.
    pub(super) fn legs(&self) -> BTreeMap<&'p Id, Vec<Leg<'p>>> {
        let mut touches: Vec<(usize, &'p Id, u32, &'p Id, Touch<'p>)> = Vec::new();
        for ((job, call), log) in &self.calls {
            touches.extend(log.touched.iter().map(|(car, touch)| (touch.first, *job, *call, *car, *touch)));
        }
        touches.sort_by_key(|(first, _, _, car, _)| (*first, *car));
        let mut pulled: BTreeMap<&Id, (u32, &'p Id)> = BTreeMap::new();
        let mut legs: BTreeMap<&'p Id, Vec<Leg<'p>>> = BTreeMap::new();
        for (_, job, call, car, touch) in touches {
            let (from_call, from) = match touch.from {
                At::Track(track, _) => (call, track),
                _ => pulled.remove(car).unwrap_or((call, car)),
            };
            match touch.to {
                At::Track(to, spot) if touch.from != touch.to => {
                    let leg = Leg { job, from_call, from, to_call: call, to, spot, left: touch.last };
                    legs.entry(car).or_default().push(leg);
                }
                At::Track(..) => {}
                _ => {
                    pulled.insert(car, (from_call, from));
                }
            }
        }
        legs
    }
}
