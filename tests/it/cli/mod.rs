//! The program as a host meets it: exit status, standard output and standard error, whole.
//!
//! Each test has a folder of its own below Cargo's temporary one. The environment is cleared, and
//! the folder's path is written `[folder]`, so that a snapshot says the same on every machine.

mod changes;
mod check;
mod crews;
mod files;
mod forms;
mod history;
mod ledger;
mod odd_files;
mod otherwise;
mod roster;
mod safe;
mod sessions;
mod twelve;
mod walk;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A folder made for one test.
pub(crate) struct Folder {
    path: PathBuf,
}

impl Folder {
    /// An empty folder; what an earlier run left there is gone.
    pub(crate) fn empty(test: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(test);
        if path.exists() {
            std::fs::remove_dir_all(&path).unwrap();
        }
        std::fs::create_dir_all(&path).unwrap();
        Folder { path }
    }

    /// A copy of one of `tests/it/layouts`.
    pub(crate) fn of(layout: &str, test: &str) -> Self {
        let folder = Folder::empty(test);
        copy(&project().join("tests/it/layouts").join(layout), &folder.path);
        folder
    }

    /// Where it lies.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Takes a copy of a folder of the project into this one, under its own name.
    pub(crate) fn take(&self, name: &str) {
        copy(&project().join(name), &self.path.join(name));
    }

    /// Writes a file.
    #[expect(clippy::disallowed_methods, reason = "a test's own file need not be written whole")]
    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    /// Reads a file.
    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path.join(name)).unwrap()
    }

    /// All files below it, by their names, sorted.
    pub(crate) fn files(&self) -> Vec<String> {
        fn walk(at: &Path, root: &Path, into: &mut Vec<String>) {
            for entry in std::fs::read_dir(at).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    walk(&path, root, into);
                } else {
                    into.push(path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/"));
                }
            }
        }
        let mut files = Vec::new();
        walk(&self.path, &self.path, &mut files);
        files.sort();
        files
    }

    /// Runs setout in the folder.
    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        self.run_in(".", arguments)
    }

    /// Runs setout in a folder below.
    pub(crate) fn run_in(&self, below: &str, arguments: &[&str]) -> Ran {
        let output = setout(arguments).current_dir(self.path.join(below)).output().unwrap();
        let text = |bytes: &[u8]| {
            String::from_utf8(bytes.to_vec()).unwrap().replace(&*self.path.to_string_lossy(), "[folder]")
        };
        Ran { status: output.status.code(), stdout: text(&output.stdout), stderr: text(&output.stderr) }
    }
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Copies a folder without its sub-folders.
fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        if entry.path().is_file() {
            std::fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
        }
    }
}

/// The program with an empty environment.
pub(crate) fn setout(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setout"));
    command.args(arguments).env_clear().stdin(Stdio::null());
    command
}

/// What a run came to.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Ran {
    pub(crate) status: Option<i32>,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Ran {
    /// The answer as data.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|fault| panic!("{fault}\n{self}"))
    }
}

impl std::fmt::Display for Ran {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let status = self.status.map_or("killed".to_owned(), |code| code.to_string());
        write!(f, "status: {status}\n--- stdout\n{}--- stderr\n{}---", self.stdout, self.stderr)
    }
}

#[test]
fn the_help_tells_the_commands() {
    insta::assert_snapshot!(Folder::empty("help").run(&["--help"]));
}

#[test]
fn an_unknown_command_is_at_fault() {
    insta::assert_snapshot!(Folder::empty("unknown-command").run(&["plain"]));
}

#[cfg(unix)]
#[test]
fn a_reader_who_hangs_up_is_no_fault() {
    let folder = Folder::of("tiny", "hangs-up");
    let mut child = setout(&["check", "--as", "json"])
        .current_dir(&folder.path)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), String::from_utf8(output.stderr).unwrap()), (Some(0), String::new()));
}
