//! A small plan made by hand is sound, and every way of spoiling it is found.
//!
//! `turn.toml` and `turn.json` were written by hand from `docs/plan-format.md`; the job runs round
//! its cars at the mill, takes the loaded car from the dock and puts an empty one there. Lengths:
//! every car 40 ft, power 50 ft. Train out: 50 + 2 × 40 = 130 ft, 30 + 30 + 70 = 130 tons; train
//! home: 50 + 40 = 90 ft, 30 + 50 = 80 tons.

mod books;
mod cars;
mod moves;
mod words;

use super::{Breach, audit};
use crate::diag::Sources;
use crate::ids::Id;
use crate::layout::{self, Layout};
use crate::session::plan::{Event, Plan, WorldTrack};

fn described() -> Layout {
    let mut sources = Sources::default();
    sources.add("turn.toml", include_str!("turn.toml"));
    let (layout, faults) = layout::load(sources);
    layout.unwrap_or_else(|| panic!("{:#?}", faults.sorted()))
}

fn good() -> Plan {
    serde_json::from_str(include_str!("turn.json")).unwrap()
}

fn spoiled(change: impl FnOnce(&mut Plan)) -> Vec<Breach> {
    let mut plan = good();
    change(&mut plan);
    audit(&plan, &described())
}

/// One way of spoiling the plan: the rule it breaks, words of the breach, and the change.
type Spoiled = (u32, &'static str, fn(&mut Plan));

fn all_found(table: &[Spoiled]) {
    for (rule, words, change) in table {
        let found = spoiled(change);
        let told: Vec<String> = found.iter().map(ToString::to_string).collect();
        let hit = found.iter().any(|breach| breach.rule == *rule && breach.text.contains(words));
        assert!(hit, "rule {rule}, {words:?} not among:\n{}", told.join("\n"));
    }
}

/// The events by what they are in the plan: see `turn.json`.
mod at {
    pub(super) const RELEASED: usize = 0;
    pub(super) const LIFTED: usize = 1;
    pub(super) const PLACED: usize = 2;
    pub(super) const STARTS: usize = 3;
    pub(super) const FIRST_COUPLE: usize = 4;
    pub(super) const TO_SCALE: usize = 6;
    pub(super) const WEIGHED: usize = 7;
    pub(super) const FROM_SCALE: usize = 8;
    pub(super) const GOES_OUT: usize = 9;
    pub(super) const LEFT_FOR_RUN_AROUND: usize = 10;
    pub(super) const TO_TEAM: usize = 12;
    pub(super) const PULLS_DOCK: usize = 14;
    pub(super) const SPOTS_DOCK: usize = 16;
    pub(super) const LAST_AT_MILL: usize = 17;
    pub(super) const GOES_HOME: usize = 18;
    pub(super) const LAST_LEAVE: usize = 19;
    pub(super) const ENDS: usize = 20;
}

fn world_track<'a>(plan: &'a mut Plan, id: &str) -> &'a mut WorldTrack {
    plan.world.tracks.iter_mut().find(|track| track.id == Id::from(id)).unwrap()
}

fn couples(plan: &mut Plan, number: usize) -> &mut Vec<Id> {
    match &mut plan.events[number] {
        Event::Couple { cars, .. } => cars,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_sound_plan_has_no_breach() {
    assert_eq!(audit(&good(), &described()), []);
}

#[test]
fn a_breach_names_its_rule_and_its_event_as_people_count() {
    let found = spoiled(|plan| plan.after.shelf.clear());
    assert_eq!(found[0].to_string(), "rule 1: `RV 5` is lost: it has no place after the session");
    let found = spoiled(|plan| {
        plan.events.swap(at::RELEASED, at::STARTS);
    });
    let told: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert!(told.iter().any(|text| text.starts_with("rule 12, event 4: ")), "{told:#?}");
}
