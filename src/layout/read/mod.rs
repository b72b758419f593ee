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
mod versions;

pub(super) use fields::{Maybe, Name, Placed};
pub use nouns::CAR_KEYS;
pub(super) use quantity::{Look, Measure, Unit};
pub(super) use said::*;
pub use versions::unsettled;

use std::sync::Arc;

use super::codes;
use super::sink::{Sink, Wrong};
use crate::diag::{FileIx, Sources, Span};

/// A file to be read.
#[derive(Debug)]
pub(super) struct File {
    index: FileIx,
    name: Arc<str>,
    text: Arc<str>,
}

/// The files, in order of their names.
pub(super) fn files(sources: &Sources) -> Vec<File> {
    let mut files: Vec<File> = sources
        .iter()
        .map(|(file, source)| File {
            index: file,
            name: Arc::clone(&source.name),
            text: Arc::clone(&source.text),
        })
        .collect();
    files.sort_by(|one, other| (&one.name, one.index).cmp(&(&other.name, other.index)));
    files
}

/// Reads all files.
pub(super) fn read(files: &[File], sink: &mut Sink) -> Said {
    let mut said = Said { whole: true, ..Said::default() };
    for File { index, name, text } in files {
        let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension);
        let is_table = extension.eq_ignore_ascii_case("csv");
        if let Some(place) = unsettled(text) {
            said.whole = false;
            let code = if is_table { codes::NOT_A_ROSTER } else { codes::NOT_TOML };
            let wrong = Wrong::new(code, "two versions of some lines met here, and nobody chose")
                .help("keep the lines of one version, and take this line out, the one between them and the one behind");
            sink.wrong(Span::new(*index, place), wrong);
            continue;
        }
        if extension.eq_ignore_ascii_case("toml") {
            file::read(*index, text, &mut said, sink);
        } else if is_table {
            roster::read(*index, text, &mut said, sink);
        }
    }
    said
}
