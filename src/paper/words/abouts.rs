//! What notices of the plan are about, for the heads above them: a section of the table with an entry for each.

use super::Listed;
use super::saying::Saying;

/// What notices may be about: the key of the entry, and what the plan calls it.
const ABOUTS: [(&str, &str); 17] = [
    ("over_time", "over time"),
    ("little_work", "little work"),
    ("job_dropped", "job dropped"),
    ("held_back", "held back"),
    ("light_job", "light job"),
    ("meet", "meet"),
    ("bad_order", "bad order"),
    ("not_finished", "not finished"),
    ("no_room", "no room"),
    ("working_limit", "working limit"),
    ("stranded", "stranded"),
    ("shortage", "shortage"),
    ("placards", "placards"),
    ("pool_of_cars", "pool of cars"),
    ("waiting_for_a_job", "waiting for a job"),
    ("change", "by a change of the layout"),
    ("idle", "no order, no trip"),
];

/// The words for what notices are about.
#[derive(Clone, Debug)]
pub(in crate::paper) struct Abouts(Vec<(&'static str, &'static str, Saying)>);

impl Default for Abouts {
    fn default() -> Self {
        let about = |(key, about)| (key, about, Saying::built_in(&[], about, None));
        Abouts(ABOUTS.into_iter().map(about).collect())
    }
}

impl Abouts {
    pub(super) fn listed(&mut self) -> Listed<'_> {
        let entries = self.0.iter_mut().map(|(key, _, saying)| (*key, saying)).collect();
        Listed { key: "abouts", title: "What the host should know first is about", entries }
    }

    /// What it is called: the word for it, or the plan's own.
    pub(in crate::paper) fn said<'k>(&'k self, about: &'k str) -> &'k str {
        let known = self.0.iter().find(|(_, known, _)| about == *known);
        known.map_or(about, |(_, _, saying)| &*saying.other)
    }
}
