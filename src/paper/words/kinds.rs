//! The words for the kinds of car that are built in: a section of the table with an entry for each code.

use super::Listed;
use super::saying::Saying;
use crate::layout::built_in_kinds;

/// Every built-in kind: its code, what the layout calls it, and what paper calls it.
#[derive(Clone, Debug)]
pub(in crate::paper) struct Kinds(Vec<(&'static str, &'static str, Saying)>);

impl Default for Kinds {
    fn default() -> Self {
        let kind = |(code, meaning)| (code, meaning, Saying::built_in(&[], meaning, None));
        Kinds(built_in_kinds().map(kind).collect())
    }
}

impl Kinds {
    pub(super) fn listed(&mut self) -> Listed<'_> {
        let entries = self.0.iter_mut().map(|(code, _, saying)| (*code, saying)).collect();
        Listed {
            key: "kinds",
            title: "Kinds of car that are built in; in short, each is told up to a comma",
            entries,
        }
    }

    /// What a kind is called: the layout's own meaning for it, or the word for the built-in one.
    pub(in crate::paper) fn said<'k>(&'k self, code: &str, meaning: &'k str) -> &'k str {
        let built_in = self.0.iter().find(|(known, built_in, _)| code == *known && meaning == *built_in);
        built_in.map_or(meaning, |(_, _, saying)| &*saying.other)
    }
}
