//! What the files say, with places and without meaning.
//!
//! Every `*.toml` file is walked by the field reader ([`fields`]), the roster by [`roster`]; both
//! collect all faults of form in one run. Names are not looked up here, and lengths not put into
//! scale: that is the work of `check`.

mod fields;
mod file;
mod node;
mod nouns;
mod quantity;
mod roster;
mod said;

pub(super) use fields::{Maybe, Name, Placed};
pub(super) use quantity::{Look, Measure, Unit};
pub(super) use said::*;

use std::sync::Arc;

use super::sink::Sink;
use crate::diag::{FileIx, Sources};

/// Reads all files, whatever their order.
pub(super) fn read(sources: &Sources, sink: &mut Sink) -> Said {
    let mut said = Said { whole: true, ..Said::default() };
    let mut files: Vec<(FileIx, Arc<str>, Arc<str>)> = sources
        .iter()
        .map(|(file, source)| (file, Arc::clone(&source.name), Arc::clone(&source.text)))
        .collect();
    files.sort_by(|one, other| (&one.1, one.0).cmp(&(&other.1, other.0)));
    for (file, name, text) in files {
        let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension);
        if extension.eq_ignore_ascii_case("toml") {
            file::read(file, &text, &mut said, sink);
        } else if extension.eq_ignore_ascii_case("csv") {
            roster::read(file, &text, &mut said, sink);
        }
    }
    said
}
