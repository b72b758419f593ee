//! The sheet on which a host writes what happened: filled in as planned, in the order of the crews'
//! paper, to be changed where it was otherwise.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use crate::ids::Id;
use crate::session::plan::{CallWork, Deed, Plan};

const HEAD: &str = "\
# Change a line where it was otherwise; what nobody changes went as planned.
# A line with `planned` says nothing. In its place, or added anywhere:
#   CHT 1234 left                       no crew touched it: it stands where it stood
#   CHT 1234 at northgate/mill/door 2   it stands there: a spot, a track, a gateway, or shelf
#   CHT 1234 loaded                     its load is in it; or CHT 1234 empty: it is not
#   CHT 1234 bad order                  it must be repaired
#   job drill not run                   the job did not run
#   job drill ran to 2                  it did the work of its calls 1 and 2, and no more
#   job drill took 75                   minutes it really took, without waiting for others; `?` says nothing
# A number alone does where no other car has it.
";

/// The text of the sheet of a plan.
pub(super) fn text(plan: &Plan) -> String {
    let mut out = format!("# Session {}, plan {}.\n{HEAD}", plan.session, plan.revision);
    let last = last_work(plan);
    for job in &plan.world.jobs {
        write!(out, "\n# {}\njob {} ran\n", job.name, job.id).expect("writing to text does not fail");
        if let Some(told) = plan.minutes.iter().find(|told| told.job == job.id) {
            let estimated = told.seconds.rounded_up();
            writeln!(out, "job {} took ?   # {estimated} estimated", job.id)
                .expect("writing to text does not fail");
        }
        for (at, call) in plan.work.iter().enumerate().filter(|(_, call)| call.job == job.id) {
            write_call(&mut out, plan, call, |car| last.get(car) == Some(&at));
        }
    }
    out
}

/// For each car that a crew moves, the place in `work` of the call that leaves it last.
fn last_work(plan: &Plan) -> BTreeMap<&Id, usize> {
    let mut last = BTreeMap::new();
    for (at, call) in plan.work.iter().enumerate() {
        for work in call.cars.iter().filter(|work| work.to.is_some() && moves(work.deed)) {
            last.insert(&work.car, at);
        }
    }
    last
}

const fn moves(deed: Deed) -> bool {
    matches!(deed, Deed::Spot | Deed::Set | Deed::OffSpot)
}

fn write_call(out: &mut String, plan: &Plan, call: &CallWork, ends_here: impl Fn(&Id) -> bool) {
    let mut seen = BTreeSet::new();
    let lines = call.cars.iter().filter(|work| moves(work.deed) && ends_here(&work.car));
    let lines: Vec<String> = lines
        .filter(|work| seen.insert(&work.car))
        .filter_map(|work| {
            let place = work.to_spot.as_ref().or(work.to.as_ref())?;
            Some(format!("{} planned {place}\n", work.car))
        })
        .collect();
    if lines.is_empty() {
        return;
    }
    let title = plan.world.places.iter().find(|place| place.id == call.place);
    let title = title.map_or(call.place.as_str(), |place| &*place.title);
    write!(out, "#   call {}, {title}\n{}", call.call, lines.concat())
        .expect("writing to text does not fail");
}
