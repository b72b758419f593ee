//! Whether a layout without errors also makes sense: one function a rule, in the order in which they run.
//!
//! Only what stands on some day of the layout's calendar is spoken of: what is planned or out of
//! service may be as incomplete as it is. A rule warns only where the thing is impossible, not
//! where it is merely hard.

mod amount;
mod fit;
mod lanes;
mod roster;
mod service;
mod stands;

use super::draft::Draft;
use crate::ids::{IxVec, JobIx, LaneIx, PlaceIx};
use crate::layout::sink::Sink;
use fit::Profile;

/// What the rules look at.
#[derive(Debug)]
struct View<'d, 'a> {
    draft: &'d Draft<'a>,
    /// For each lane that stands, the sorts of car on the roster that may carry its commodity.
    carriers: IxVec<LaneIx, Vec<Profile>>,
    /// For each place, the jobs that stand and call there, with which of their calls.
    calls: IxVec<PlaceIx, Vec<(JobIx, usize)>>,
}

/// A rule reads the view, and tells what makes no sense.
type Rule = fn(&View<'_, '_>, &mut Sink);

/// The rules, by priority: a lower number runs first.
const RULES: [(u32, Rule); 13] = [
    (10, service::customer_not_reached),
    (11, service::spur_not_workable),
    (12, service::nowhere_to_set_aside),
    (13, service::interchange_for_one),
    (20, lanes::no_car_for_lane),
    (21, lanes::cars_do_not_fit),
    (22, lanes::cars_cannot_pass),
    (23, lanes::spot_without_car),
    (24, lanes::service_not_offered),
    (30, amount::too_many_carloads),
    (40, roster::car_outside_its_years),
    (41, roster::no_way_home),
    (42, roster::nowhere_to_repair),
];

/// Runs all rules.
pub(super) fn run(draft: &Draft<'_>, sink: &mut Sink) {
    debug_assert!(RULES.is_sorted_by_key(|(priority, _)| *priority));
    let view = View { draft, carriers: fit::carriers(draft), calls: service::calls(draft) };
    for (_, rule) in RULES {
        rule(&view, sink);
    }
}
