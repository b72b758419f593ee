//! One program at a time works on a ledger.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

use crate::error::{Error, Result};

/// How long a program waits between two looks.
const LOOK: Duration = Duration::from_millis(5);
/// How often it looks: together two minutes, longer than any plan takes.
const LOOKS: u32 = 24_000;

/// The lock of a ledger, held while this lives; it ends with the process, too, however that ends.
#[derive(Debug)]
pub(in crate::ledger) struct Lock {
    /// Nothing where the system has no locks for this folder, as on some disks of a network.
    _held: Option<File>,
}

/// Takes the lock of the folder of a layout; waits for a program that has it.
///
/// The folder itself is locked, so that no file stays behind. A system that cannot do that locks a
/// file in it.
///
/// # Errors
/// When another program holds it all the time.
pub(in crate::ledger) fn lock(folder: &Path) -> Result<Lock> {
    let Ok(itself) = File::open(folder) else { return Ok(Lock { _held: None }) };
    let mut held = itself;
    let mut in_it = false;
    for _ in 0..LOOKS {
        match held.try_lock() {
            Ok(()) => return Ok(Lock { _held: Some(held) }),
            Err(TryLockError::WouldBlock) => sleep(LOOK),
            Err(TryLockError::Error(_)) if in_it => return Ok(Lock { _held: None }),
            Err(TryLockError::Error(_)) => {
                let name = folder.join(".setout-lock");
                let file = OpenOptions::new().create(true).truncate(false).write(true).open(name);
                let Ok(file) = file else { return Ok(Lock { _held: None }) };
                held = file;
                in_it = true;
            }
        }
    }
    Err(Error::Asked(format!(
        "another setout has been at work in `{}` for two minutes: let it end, or end it, and try again",
        folder.display()
    )))
}
