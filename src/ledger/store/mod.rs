//! The one room of the library that touches the disk: files are written whole or not at all, several of
//! them all at once, and one program at a time.

mod deed;
mod disk;
mod lock;

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

pub(super) use deed::{Deed, finish};
pub(super) use lock::{Lock, lock};

/// Writes a file whole or not at all: into a temporary file beside it, which then takes its name.
/// Missing folders are made.
///
/// # Errors
/// When the system refuses; the old file is then as it was.
pub fn write_whole(path: &Path, text: &str) -> Result<()> {
    let folder = put(path, text, disk::sync)?;
    // The name is on the disk once the folder is.
    disk::sync_folder(folder).map_err(|cause| Error::Write { path: path.to_owned(), cause })
}

/// Writes paper in the same way. It can be printed again: it is not forced onto the disk file by file.
///
/// # Errors
/// When the system refuses; the old file is then as it was.
pub fn write_paper(path: &Path, text: &str) -> Result<()> {
    put(path, text, |_| Ok(())).map(|_| ())
}

/// Puts a file in its place once it is written and settled; the folder that it is in.
fn put<'p>(path: &'p Path, text: &str, settle: impl FnOnce(&File) -> io::Result<()>) -> Result<&'p Path> {
    let folder = path.parent().unwrap_or(Path::new(""));
    if !folder.as_os_str().is_empty() {
        fs::create_dir_all(folder).map_err(|cause| Error::Write { path: folder.to_owned(), cause })?;
    }
    let beside = beside(path);
    let written = disk::write(&beside, text).and_then(|file| settle(&file));
    if let Err(cause) = written.and_then(|()| disk::rename(&beside, path)) {
        // The half-written file is of no use to anybody; that it cannot go either is no news.
        let _ = disk::remove(&beside);
        return Err(Error::Write { path: path.to_owned(), cause });
    }
    Ok(folder)
}

/// Makes the folders between one that is there and a file below it, and notes them.
fn make_folders(top: &Path, file: &Path, made: &mut BTreeSet<PathBuf>) -> Result<()> {
    let folders = file.ancestors().skip(1).take_while(|folder| *folder != top);
    let mut folders: Vec<&Path> = folders.collect();
    folders.reverse();
    for folder in folders {
        if made.insert(folder.to_owned()) {
            disk::make_folder(folder).map_err(|cause| Error::Write { path: folder.to_owned(), cause })?;
        }
    }
    Ok(())
}

/// The text of a file; nothing if there is none. A byte-order mark is taken off.
pub(super) fn read(path: &Path) -> Result<Option<String>> {
    match fs::read_to_string(path) {
        Ok(text) => Ok(Some(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))),
        Err(cause) if cause.kind() == ErrorKind::NotFound => Ok(None),
        Err(cause) => Err(Error::Read { path: path.to_owned(), cause }),
    }
}

/// The names of the files in a folder, sorted; none if there is no such folder.
pub(super) fn names(folder: &Path) -> Result<Vec<String>> {
    let fail = |cause| Error::Read { path: folder.to_owned(), cause };
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(cause) if cause.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(cause) => return Err(fail(cause)),
    };
    let mut names = Vec::new();
    for entry in entries {
        names.push(entry.map_err(fail)?.file_name().to_string_lossy().into_owned());
    }
    names.sort();
    Ok(names)
}

/// A name in the same folder that no file of a host bears.
fn beside(path: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(".setout-new");
    path.with_file_name(name)
}
