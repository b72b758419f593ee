//! Gives meaning to what the files say, and reports all that is wrong with it at once.
//!
//! First all names are gathered ([`names`]), then every noun is built with its names looked up and
//! its lengths in scale ([`build`]), then the rules run, one function a rule, in the order of a
//! table ([`rules`]); rules about sense ([`sense`]) run only on a layout without errors. A thing
//! that an earlier step found broken is not spoken of again: one cause, one message.

mod build;
mod draft;
mod former;
mod names;
mod natural;
mod ruler;
mod rules;
mod sense;
mod types;

pub use types::built_in_kinds;

use super::codes;
use super::read::{Said, SaidPlace};
use super::sink::{Sink, Wrong};
use crate::diag::{FileIx, Span};
use crate::layout::Layout;
use draft::Draft;

/// Makes a layout of what is said, if there is no error in it.
pub(super) fn check(said: &Said, anywhere: Option<FileIx>, sink: &mut Sink) -> Option<Layout> {
    let [settings, ..] = &said.layouts[..] else {
        if said.whole {
            let span = Span::new(anywhere?, 0..0);
            let wrong = Wrong::new(codes::MISSING_TABLE, "nowhere a table `[layout]`")
                .help("a description begins with `[layout]` and its name, scale and days");
            sink.wrong(span, wrong);
        }
        return None;
    };
    if !said.whole {
        // A name that is not here may stand in what could not be read.
        return None;
    }
    let places = unsaid_places(said);
    let draft = Draft::new(said, settings, &places, sink);
    rules::run(&draft, sink);
    if sink.errors() == 0 {
        sense::run(&draft, sink);
    }
    (sink.errors() == 0).then(|| draft.into_layout())
}

/// Places that have tracks, but no table of their own: they are broken, but their tracks are known.
fn unsaid_places(said: &Said) -> Vec<SaidPlace> {
    let mut unsaid: Vec<SaidPlace> = Vec::new();
    let known: std::collections::BTreeSet<&str> = said.places.iter().map(|place| &*place.id.value).collect();
    for track in &said.tracks {
        let id = &track.place;
        if !known.contains(&*id.value) && !unsaid.iter().any(|place| place.id.value == id.value) {
            unsaid.push(SaidPlace::unsaid(id.clone()));
        }
    }
    unsaid
}
