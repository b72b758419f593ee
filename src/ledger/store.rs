//! The one room of the library that touches the disk: files are written whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// Writes a file whole or not at all: into a temporary file beside it, which then takes its name.
/// Missing folders are made.
///
/// # Errors
/// When the system refuses; the old file is then as it was.
pub fn write_whole(path: &Path, text: &str) -> Result<()> {
    let fail = |cause| Error::Write { path: path.to_owned(), cause };
    let folder = path.parent().unwrap_or(Path::new(""));
    make_folder(folder)?;
    let beside = beside(path);
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    if let Err(cause) = written.and_then(|()| fs::rename(&beside, path)) {
        // The half-written file is of no use to anybody; that it cannot go either is no news.
        let _ = fs::remove_file(&beside);
        return Err(fail(cause));
    }
    // The name is on the disk once the folder is; some systems cannot open a folder and need not.
    if let Ok(folder) = File::open(if folder.as_os_str().is_empty() { Path::new(".") } else { folder }) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// Replaces a folder by one with these files, by name. Paper can be printed again: it is not
/// forced onto the disk file by file.
pub(super) fn replace_folder(path: &Path, files: &[(String, String)]) -> Result<()> {
    let fresh = beside(path);
    remove_folder(&fresh)?;
    make_folder(&fresh)?;
    for (name, text) in files {
        let file = fresh.join(name);
        let written = File::create(&file).and_then(|mut open| open.write_all(text.as_bytes()));
        written.map_err(|cause| Error::Write { path: file, cause })?;
    }
    remove_folder(path)?;
    rename(&fresh, path)
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

/// Gives a file or folder another name.
pub(super) fn rename(from: &Path, to: &Path) -> Result<()> {
    fs::rename(from, to).map_err(|cause| Error::Write { path: to.to_owned(), cause })
}

/// Removes a file, if it is there.
pub(super) fn remove(path: &Path) -> Result<()> {
    match fs::remove_file(path) {
        Err(cause) if cause.kind() != ErrorKind::NotFound => {
            Err(Error::Write { path: path.to_owned(), cause })
        }
        _ => Ok(()),
    }
}

fn make_folder(path: &Path) -> Result<()> {
    if path.as_os_str().is_empty() {
        return Ok(());
    }
    fs::create_dir_all(path).map_err(|cause| Error::Write { path: path.to_owned(), cause })
}

fn remove_folder(path: &Path) -> Result<()> {
    match fs::remove_dir_all(path) {
        Err(cause) if cause.kind() != ErrorKind::NotFound => {
            Err(Error::Write { path: path.to_owned(), cause })
        }
        _ => Ok(()),
    }
}

/// A name in the same folder that no file of a host bears.
fn beside(path: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(".setout-new");
    path.with_file_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scratch(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("setout-store-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        folder
    }

    #[test]
    fn a_file_is_replaced_and_nothing_else_stays_in_the_folder() {
        let folder = scratch("file");
        let path = folder.join("deep").join("standing.toml");
        write_whole(&path, "one\n").unwrap();
        write_whole(&path, "two\n").unwrap();
        assert_eq!(read(&path).unwrap().as_deref(), Some("two\n"));
        assert_eq!(names(path.parent().unwrap()).unwrap(), ["standing.toml"]);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_file_that_cannot_take_its_name_leaves_the_folder_as_it_was() {
        let folder = scratch("refused");
        let path = folder.join("taken");
        fs::create_dir_all(path.join("by a folder")).unwrap();
        assert!(matches!(write_whole(&path, "x"), Err(Error::Write { .. })));
        assert_eq!(names(&folder).unwrap(), ["taken"]);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_replaced_folder_has_only_the_new_files() {
        let folder = scratch("folder");
        let paper = folder.join("paper");
        let file = |name: &str| (name.to_owned(), "x".to_owned());
        replace_folder(&paper, &[file("a.txt"), file("b.txt")]).unwrap();
        replace_folder(&paper, &[file("c.txt")]).unwrap();
        assert_eq!(names(&paper).unwrap(), ["c.txt"]);
        assert_eq!(names(&folder).unwrap(), ["paper"]);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn what_is_not_there_is_no_failure() {
        let folder = scratch("nothing");
        assert_eq!(read(&folder.join("standing.toml")).unwrap(), None);
        assert!(names(&folder).unwrap().is_empty());
    }
}
