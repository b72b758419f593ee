//! The sentences of a plan: why a car goes or waits, where trains meet, what the host should know first.
//!
//! Their table stands at [`crate::said`], for the stages that say them; here it is as a host may say it.

use super::Listed;
use super::saying::{Part, Saying};
use crate::paper::phrase::Phrase;
use crate::said::TABLE;

/// The sayings of the plan, by their keys.
#[derive(Clone, Debug)]
pub(in crate::paper) struct Reasons(Vec<(&'static str, Saying)>);

impl Default for Reasons {
    fn default() -> Self {
        Reasons(
            TABLE
                .iter()
                .map(|entry| (entry.say, Saying::built_in(entry.parts, entry.english, None)))
                .collect(),
        )
    }
}

impl Reasons {
    /// The section as a host's file has it.
    pub(super) fn listed(&mut self) -> Listed<'_> {
        Listed {
            key: "reasons",
            title: "What the plan says of cars, jobs and meets",
            entries: self.0.iter_mut().map(|(key, saying)| (*key, saying)).collect(),
        }
    }

    /// Says one of them; nothing if it is none of the table, or has other parts.
    pub(in crate::paper) fn say(&self, say: &str, parts: &mut [Part<'_>]) -> Option<Phrase> {
        let (_, saying) = self.0.iter().find(|(key, _)| *key == say)?;
        (saying.parts.len() == parts.len()).then(|| saying.said(parts))
    }
}
