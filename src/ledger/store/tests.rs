//! Files, deeds, and disks that fail at every single step.

use std::collections::BTreeMap;
use std::io::Write;
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};

use super::disk::{Trouble, make_trouble};
use super::*;
use crate::diag::Sources;
use crate::layout::{self, Layout};
use crate::ledger::Ledger;
use crate::ledger::facts::lines;
use crate::session::{self, Request};

fn scratch(name: &str) -> PathBuf {
    // Tests run side by side, and two of them may want the same name.
    static MADE: AtomicU32 = AtomicU32::new(0);
    let (process, number) = (std::process::id(), MADE.fetch_add(1, Ordering::Relaxed));
    let folder = std::env::temp_dir().join(format!("setout-store-{name}-{process}-{number}"));
    let _ = fs::remove_dir_all(&folder);
    folder
}

/// What puts a single file in its place.
const WRITERS: [fn(&Path, &str) -> Result<()>; 2] = [write_whole, write_paper];

#[test]
fn a_file_is_replaced_and_nothing_else_stays_in_the_folder() {
    let folder = scratch("file");
    let path = folder.join("deep").join("standing.toml");
    for (write, texts) in WRITERS.into_iter().zip([["one\n", "two\n"], ["three\n", "four\n"]]) {
        for text in texts {
            write(&path, text).unwrap();
            assert_eq!(read(&path).unwrap().as_deref(), Some(text));
        }
        assert_eq!(names(path.parent().unwrap()).unwrap(), ["standing.toml"]);
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_file_that_cannot_take_its_name_leaves_the_folder_as_it_was() {
    let folder = scratch("refused");
    let path = folder.join("taken");
    fs::create_dir_all(path.join("by a folder")).unwrap();
    for write in WRITERS {
        assert!(matches!(write(&path, "x"), Err(Error::Write { .. })));
        assert_eq!(names(&folder).unwrap(), ["taken"]);
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_deed_changes_files_and_folders_at_once_and_leaves_nothing_beside_them() {
    let folder = scratch("deed");
    fs::create_dir_all(&folder).unwrap();
    let ledger = folder.join("ledger");
    let file = |name: &str| (name.to_owned(), "x".to_owned());
    let (old, new) = ([file("a.txt"), file("b.txt")], [file("c.txt")]);
    for (files, gone) in [(&old[..], "none"), (&new[..], "one")] {
        let mut deed = Deed::new(&ledger);
        deed.file(if gone == "none" { "one" } else { "two" }, "text\n".to_owned());
        deed.file("0001/plan.json", gone.to_owned());
        deed.folder("0001/paper", files);
        deed.gone(gone);
        deed.done().unwrap();
    }
    assert_eq!(names(&ledger).unwrap(), ["0001", "two"]);
    assert_eq!(names(&ledger.join("0001/paper")).unwrap(), ["c.txt"]);
    assert_eq!(read(&ledger.join("0001/plan.json")).unwrap().as_deref(), Some("one"));
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_list_of_a_deed_that_leads_out_of_the_ledger_is_refused() {
    let folder = scratch("outside");
    for line in ["file ../layout.toml", "gone /etc/hosts", "gone", "files are not named so"] {
        write_whole(&folder.join(".deed/deed.txt"), line).unwrap();
        assert!(matches!(finish(&folder), Err(Error::Ledger { .. })), "{line}");
    }
    fs::remove_file(folder.join(".deed/deed.txt")).unwrap();
    assert!(matches!(finish(&folder), Err(Error::Ledger { .. })));
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn what_is_not_there_is_no_failure() {
    let folder = scratch("nothing");
    assert_eq!(read(&folder.join("standing.toml")).unwrap(), None);
    assert!(names(&folder).unwrap().is_empty());
}

/// The layout of the audit's hand-made plan.
const TURN: &str = include_str!("../../audit/tests/turn.toml");

fn turn() -> Layout {
    let mut sources = Sources::default();
    sources.add("turn.toml", TURN);
    layout::load(sources).0.unwrap()
}

/// What is done to a ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Does {
    Plan,
    PlanAgain,
    Close,
    Reopen,
}

impl Does {
    const ALL: [Does; 4] = [Does::Plan, Does::PlanAgain, Does::Close, Does::Reopen];

    /// Does it in the folder of a layout, as the commands do.
    fn run(self, folder: &Path, layout: &Layout) -> Result<()> {
        let ledger = Ledger::open(folder)?;
        match self {
            Does::Plan | Does::PlanAgain => plan(&ledger, layout),
            Does::Close => {
                let said = lines("record", "RV 1 bad order\n");
                ledger.close(layout, &said).map(|_| ())
            }
            Does::Reopen => ledger.reopen().map(|_| ()),
        }
    }

    /// A folder in which it can be done.
    fn before(self, layout: &Layout) -> Files {
        let folder = scratch(&format!("before-{self:?}"));
        fs::create_dir_all(&folder).unwrap();
        let earlier: &[Does] = match self {
            Does::Plan => &[],
            Does::PlanAgain | Does::Close => &[Does::Plan],
            Does::Reopen => &[Does::Plan, Does::Close, Does::Plan],
        };
        for deed in earlier {
            deed.run(&folder, layout).unwrap();
        }
        let files = files(&folder);
        fs::remove_dir_all(&folder).unwrap();
        files
    }

    /// The same folder after it.
    fn after(self, before: &Files, layout: &Layout) -> Files {
        let folder = scratch(&format!("after-{self:?}"));
        lay_out(&folder, before);
        self.run(&folder, layout).unwrap();
        let files = files(&folder);
        fs::remove_dir_all(&folder).unwrap();
        files
    }
}

fn plan(ledger: &Ledger, layout: &Layout) -> Result<()> {
    let kept = ledger.standing(layout)?;
    let first = kept.is_none().then(|| session::first_standing(layout, 1));
    let standing = first.as_ref().or(kept.as_ref()).unwrap();
    let revision = ledger.next_revision(ledger.open_request()?)?;
    let planned = session::plan(layout, standing, &Request { seed: 1, revision });
    let file = |name: &str| (name.to_owned(), format!("revision {revision}\n"));
    let papers = [file("host-page.txt"), file(&format!("list-{revision}.txt"))];
    ledger.write_plan(layout, &planned.plan, &planned.after, first.as_ref(), &papers)
}

/// All files below a folder, by their names. What was begun and does not count is nothing.
type Files = BTreeMap<String, String>;

fn files(folder: &Path) -> Files {
    fn walk(at: &Path, root: &Path, files: &mut Files) {
        for name in names(at).unwrap() {
            let path = at.join(&name);
            if path.is_dir() && name != ".deed-new" {
                walk(&path, root, files);
            } else if path.is_file() {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                files.insert(name, read(&path).unwrap().unwrap());
            }
        }
    }
    let mut files = Files::new();
    walk(folder, folder, &mut files);
    files
}

fn lay_out(folder: &Path, files: &Files) {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).unwrap();
    for (name, text) in files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        // Not forced onto the disk: this is not what is tried here, and it is done many times.
        File::create(path).unwrap().write_all(text.as_bytes()).unwrap();
    }
}

#[test]
fn a_disk_that_fails_at_any_step_leaves_the_old_ledger_or_the_new_one() {
    let layout = turn();
    for deed in Does::ALL {
        let before = deed.before(&layout);
        let after = deed.after(&before, &layout);
        assert_ne!(before, after);
        let folder = scratch(&format!("fails-{deed:?}"));
        let mut steps = 0;
        for trouble in [Trouble::Fails, Trouble::FailsFromHere] {
            for step in 0.. {
                lay_out(&folder, &before);
                make_trouble(Some((step, trouble)));
                let done = deed.run(&folder, &layout);
                if !make_trouble(None) {
                    break; // there are no more steps
                }
                steps += 1;
                let at = format!("{deed:?}, {trouble:?} at step {step}: {done:?}");
                let ledger = Ledger::open(&folder).unwrap();
                let found = files(&folder);
                match done {
                    Ok(()) | Err(Error::Unfinished(_)) => assert!(found == after, "{at}"),
                    Err(_) => assert!(found == before, "{at}"),
                }
                ledger.standing(&layout).unwrap();
                ledger.open_plan().unwrap();
            }
        }
        assert!(steps > 30, "{deed:?} has only {steps} steps: are they counted?");
        fs::remove_dir_all(&folder).unwrap();
    }
}

#[test]
fn a_layout_whose_folder_has_vanished_is_not_made_again() {
    let (layout, folder) = (turn(), scratch("vanished"));
    fs::create_dir_all(&folder).unwrap();
    let ledger = Ledger::open(&folder).unwrap();
    fs::remove_dir_all(&folder).unwrap();
    let refused = plan(&ledger, &layout).unwrap_err().to_string();
    assert!(refused.starts_with("cannot write") && refused.contains("ledger"), "{refused}");
    assert!(!folder.exists());
}

/// The order for the process that is to end in the middle: the deed, by its place, and the step.
const ORDER: &str = "order";

/// Not a test: what [`a_process_that_ends_at_any_step_leaves_the_old_ledger_or_the_new_one`] starts.
#[test]
#[ignore = "started by another test, in a folder with its order"]
fn ends_in_the_middle() {
    let Some(order) = read(Path::new(ORDER)).unwrap() else { return };
    let (deed, step) = order.split_once(' ').unwrap();
    let deed = Does::ALL[deed.parse::<usize>().unwrap()];
    let layout = turn();
    make_trouble(Some((step.parse().unwrap(), Trouble::Ends)));
    deed.run(Path::new("layout"), &layout).unwrap();
}

#[test]
fn a_process_that_ends_at_any_step_leaves_the_old_ledger_or_the_new_one() {
    let layout = turn();
    let this = std::env::current_exe().unwrap();
    for (place, deed) in Does::ALL.into_iter().enumerate() {
        let before = deed.before(&layout);
        let after = deed.after(&before, &layout);
        let folder = scratch(&format!("ends-{deed:?}"));
        let mut found = Vec::new();
        for step in 0.. {
            lay_out(&folder.join("layout"), &before);
            write_whole(&folder.join(ORDER), &format!("{place} {step}")).unwrap();
            let mut child = Command::new(&this);
            child.args(["--exact", "ledger::store::tests::ends_in_the_middle", "--ignored"]);
            let ended = child.current_dir(&folder).output().unwrap();
            let ledger = Ledger::open(&folder.join("layout")).unwrap();
            let files = files(&folder.join("layout"));
            assert!(files == before || files == after, "{deed:?} ended at step {step}");
            found.push(files == after);
            ledger.standing(&layout).unwrap();
            ledger.open_plan().unwrap();
            if ended.status.success() {
                break; // there are no more steps
            }
        }
        // Old at first, new in the end, and never old again once it was new.
        assert!(!found[0] && found[found.len() - 1] && found.is_sorted(), "{deed:?}: {found:?}");
        assert!(found.len() > 15, "{deed:?} has only {} steps: are they counted?", found.len());
        fs::remove_dir_all(&folder).unwrap();
    }
}
