//! Several files change together or not at all.
//!
//! The new files are first written beside the old ones, in a folder `.deed-new` with a list of what is
//! to happen. All that is on the disk, the folder takes the name `.deed`: from then on the deed counts.
//! What is left is to put every file in its place, and whoever opens the ledger next does that if the
//! program that began it could not.

use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

use super::{disk, make_folders, read};
use crate::error::{Error, Result};

/// The folder of a deed that counts.
const COUNTS: &str = ".deed";
/// The folder of a deed that does not count yet, or no longer.
const BEGUN: &str = ".deed-new";
/// What is to happen, a line each.
const LIST: &str = "deed.txt";

/// What is to happen in a ledger, all at once. Names are relative to its folder.
#[derive(Debug)]
pub(in crate::ledger) struct Deed<'a> {
    ledger: &'a Path,
    files: Vec<(String, String)>,
    folders: Vec<(String, &'a [(String, String)])>,
    gone: Vec<String>,
}

impl<'a> Deed<'a> {
    pub(in crate::ledger) const fn new(ledger: &'a Path) -> Self {
        Deed { ledger, files: Vec::new(), folders: Vec::new(), gone: Vec::new() }
    }

    /// A file gets this text.
    pub(in crate::ledger) fn file(&mut self, name: impl Into<String>, text: String) {
        self.files.push((name.into(), text));
    }

    /// A folder gets these files, and has no others. Paper can be printed again: it is not forced onto
    /// the disk file by file.
    pub(in crate::ledger) fn folder(&mut self, name: impl Into<String>, files: &'a [(String, String)]) {
        self.folders.push((name.into(), files));
    }

    /// A file goes.
    pub(in crate::ledger) fn gone(&mut self, name: impl Into<String>) {
        self.gone.push(name.into());
    }

    /// Does it.
    ///
    /// # Errors
    /// When the disk refuses; then nothing has changed, unless [`Error::Unfinished`] says so.
    pub(in crate::ledger) fn done(self) -> Result<()> {
        let begun = self.ledger.join(BEGUN);
        disk::make_folder(self.ledger).map_err(|cause| refused(self.ledger, cause))?;
        disk::remove_folder(&begun).map_err(|cause| refused(&begun, cause))?;
        if let Err(fault) = self.begin(&begun) {
            // What was begun is of no use to anybody; that it cannot go either is no news.
            let _ = disk::remove_folder(&begun);
            return Err(fault);
        }
        let counts = self.ledger.join(COUNTS);
        let unfinished = |fault| Error::Unfinished(Box::new(fault));
        disk::sync_folder(self.ledger).map_err(|cause| unfinished(refused(&counts, cause)))?;
        finish(self.ledger).map_err(unfinished)
    }

    fn begin(&self, begun: &Path) -> Result<()> {
        let mut list = String::new();
        disk::make_folder(begun).map_err(|cause| refused(begun, cause))?;
        let mut folders = BTreeSet::from([begun.to_owned()]);
        for (name, text) in &self.files {
            let path = begun.join(name);
            make_folders(begun, &path, &mut folders)?;
            let written = disk::write(&path, text).and_then(|file| disk::sync(&file));
            written.map_err(|cause| refused(&self.ledger.join(name), cause))?;
            list.extend(["file ", name, "\n"]);
        }
        for (name, files) in &self.folders {
            let path = begun.join(name);
            make_folders(begun, &path.join("file"), &mut folders)?;
            for (file, text) in *files {
                let written = disk::write(&path.join(file), text);
                written.map_err(|cause| refused(&self.ledger.join(name).join(file), cause))?;
            }
            list.extend(["folder ", name, "\n"]);
        }
        self.gone.iter().for_each(|name| list.extend(["gone ", name, "\n"]));
        let path = begun.join(LIST);
        let written = disk::write(&path, &list).and_then(|file| disk::sync(&file));
        written.map_err(|cause| refused(&path, cause))?;
        for folder in &folders {
            disk::sync_folder(folder).map_err(|cause| refused(folder, cause))?;
        }
        let counts = self.ledger.join(COUNTS);
        disk::rename(begun, &counts).map_err(|cause| refused(&counts, cause))
    }
}

/// Ends a deed that counts and was cut short; nothing where there is none.
///
/// # Errors
/// When the disk refuses, or somebody changed the list.
pub(in crate::ledger) fn finish(ledger: &Path) -> Result<()> {
    let counts = ledger.join(COUNTS);
    if !counts.is_dir() {
        return Ok(());
    }
    let list = read(&counts.join(LIST))?.ok_or_else(|| {
        let what = "it is missing: put the folder `ledger` back as it was".to_owned();
        Error::Ledger { path: counts.join(LIST), what }
    })?;
    let mut touched = BTreeSet::from([ledger.to_owned()]);
    for line in list.lines() {
        let (deed, name) = line.split_once(' ').unwrap_or((line, ""));
        let inside = Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
        if !inside || name.is_empty() || !["file", "folder", "gone"].contains(&deed) {
            let what =
                format!("`{line}` is no line that setout wrote: put the folder `ledger` back as it was");
            return Err(Error::Ledger { path: counts.join(LIST), what });
        }
        let (from, to) = (counts.join(name), ledger.join(name));
        let put = match deed {
            "gone" => disk::remove(&to),
            _ if !from.exists() => Ok(()), // it is in its place
            "folder" => disk::remove_folder(&to).and_then(|()| move_to(&from, &to)),
            _ => move_to(&from, &to),
        };
        put.map_err(|cause| refused(&to, cause))?;
        touched.extend(to.parent().map(PathBuf::from));
    }
    for folder in &touched {
        disk::sync_folder(folder).map_err(|cause| refused(folder, cause))?;
    }
    let begun = ledger.join(BEGUN);
    disk::rename(&counts, &begun).map_err(|cause| refused(&begun, cause))?;
    // It has happened; an empty folder that stays is taken away by the next deed.
    let _ = disk::remove_folder(&begun);
    Ok(())
}

fn move_to(from: &Path, to: &Path) -> std::io::Result<()> {
    if let Some(folder) = to.parent() {
        disk::make_folder(folder)?;
    }
    disk::rename(from, to)
}

fn refused(path: &Path, cause: std::io::Error) -> Error {
    Error::Write { path: path.to_owned(), cause }
}
