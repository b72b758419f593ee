//! What is asked of the disk, one step at a time. Tests make any step fail, or end the process before it.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Write};
use std::path::Path;

/// Makes a folder whose parent is there; one that is there already will do.
pub(super) fn make_folder(path: &Path) -> io::Result<()> {
    step()?;
    match fs::create_dir(path) {
        Err(cause) if cause.kind() == ErrorKind::AlreadyExists && path.is_dir() => Ok(()),
        made => made,
    }
}

/// Writes a file, which others may see half written meanwhile.
pub(super) fn write(path: &Path, text: &str) -> io::Result<File> {
    step()?;
    let mut file = File::create(path)?;
    let middle = text.len() / 2;
    file.write_all(&text.as_bytes()[..middle])?;
    step()?;
    file.write_all(&text.as_bytes()[middle..])?;
    Ok(file)
}

/// Waits until a file is on the disk.
pub(super) fn sync(file: &File) -> io::Result<()> {
    step()?;
    // Only power that fails shows what this does; thousands of them would make tests slow.
    if cfg!(test) { Ok(()) } else { file.sync_all() }
}

/// Waits until the names in a folder are on the disk. Some systems cannot open or sync a folder, and
/// need not.
pub(super) fn sync_folder(path: &Path) -> io::Result<()> {
    step()?;
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    if cfg!(test) {
        return Ok(());
    }
    let Ok(folder) = File::open(path) else { return Ok(()) };
    match folder.sync_all() {
        Err(cause) if matches!(cause.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported) => Ok(()),
        synced => synced,
    }
}

/// Gives a file or folder another name.
pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    step()?;
    fs::rename(from, to)
}

/// Removes a file, if it is there.
pub(super) fn remove(path: &Path) -> io::Result<()> {
    step()?;
    absent_is_gone(fs::remove_file(path))
}

/// Removes a folder with all that is in it, if it is there.
pub(super) fn remove_folder(path: &Path) -> io::Result<()> {
    step()?;
    absent_is_gone(fs::remove_dir_all(path))
}

fn absent_is_gone(removed: io::Result<()>) -> io::Result<()> {
    match removed {
        Err(cause) if cause.kind() == ErrorKind::NotFound => Ok(()),
        other => other,
    }
}

#[cfg(not(test))]
#[expect(clippy::unnecessary_wraps, reason = "only tests make a step fail")]
const fn step() -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
use trouble::step;
#[cfg(test)]
pub(super) use trouble::{Trouble, make_trouble};

/// A disk that fails on demand.
#[cfg(test)]
mod trouble {
    use std::cell::Cell;
    use std::io;

    /// What happens to one step.
    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub(in crate::ledger::store) enum Trouble {
        /// It fails, and those after it do not.
        Fails,
        /// It fails, and so does every one after it: the disk is full, or gone.
        FailsFromHere,
        /// The process ends before it.
        Ends,
    }

    thread_local! {
        static PLANNED: Cell<Option<(u32, Trouble)>> = const { Cell::new(None) };
    }

    /// Plans trouble for the step of this number, from 0, of this thread; nothing ends all trouble. Gives
    /// whether what was planned before came.
    pub(in crate::ledger::store) fn make_trouble(trouble: Option<(u32, Trouble)>) -> bool {
        match PLANNED.replace(trouble) {
            Some((left, Trouble::FailsFromHere)) => left == 0,
            Some(_) => false,
            None => true,
        }
    }

    pub(super) fn step() -> io::Result<()> {
        let Some((left, trouble)) = PLANNED.get() else { return Ok(()) };
        if left > 0 {
            PLANNED.set(Some((left - 1, trouble)));
            return Ok(());
        }
        match trouble {
            Trouble::Ends => std::process::abort(),
            Trouble::FailsFromHere => {}
            Trouble::Fails => PLANNED.set(None),
        }
        Err(io::Error::new(io::ErrorKind::StorageFull, "no space left, says the test"))
    }
}
