//! The ids that things had before, `was`: each of them one thing's, and nothing's today.

use std::collections::BTreeMap;

use crate::diag::Span;
use crate::ids::{Id, Ix};
use crate::layout::codes;
use crate::layout::model::FormerIds;
use crate::layout::read::Name;
use crate::layout::sink::{Sink, Wrong};

/// The former ids of all things of one kind; `today` finds what bears an id now.
pub(super) fn ids<I: Ix>(
    noun: &str,
    said: &[(&Name, I)],
    today: impl Fn(&str) -> Option<I>,
    sink: &mut Sink,
) -> FormerIds<I> {
    let mut first: BTreeMap<&str, Span> = BTreeMap::new();
    let mut former = Vec::new();
    for (name, index) in said {
        let id = &*name.value;
        if let Some(bearer) = today(id) {
            let (message, help) = if bearer == *index {
                (format!("`was`: `{id}` is the id of this {noun} today"), "name only ids that it had before")
            } else {
                (
                    format!("`was`: there is a {noun} `{id}` today"),
                    "cars and orders under that id are its own: give it a new id, or take this `was` out",
                )
            };
            sink.wrong(name.span, Wrong::new(codes::FORMER_ID_TAKEN, message).help(help));
        } else if let Some(earlier) = first.get(id) {
            let wrong = Wrong::new(codes::FORMER_ID_TAKEN, format!("`was`: a second {noun} that was `{id}`"))
                .help("what stood under that id can go to one of them only: take one `was` out");
            sink.push(wrong.at(name.span).label(*earlier, "the first is here"));
        } else {
            first.insert(id, name.span);
            former.push((Id::new(id), *index));
        }
    }
    former
}
