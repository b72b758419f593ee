//! Who may import whom: reads `src/**/*.rs` and holds it against the map of the house.
//!
//! The pipeline runs one way. A stage imports the base and the stages to its left; `audit` imports
//! no function of a planner; nobody imports `cli`; files, environment and clocks are touched in
//! `cli` and `ledger::store` alone. Comments, strings and the tests at the end of a file are left
//! out of account.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The base: imported by everybody, knows no stage.
const BASE: [&str; 6] = ["units", "ids", "diag", "chance", "error", "said"];

/// The stages, left to right. `standing` is what the stages hand on: it knows the layout alone.
const STAGES: [&str; 9] =
    ["layout", "standing", "network", "traffic", "trips", "switching", "crews", "session", "paper"];

/// What stands at the side, and what each may import besides the base.
const BESIDE: [(&str, &[&str]); 5] = [
    ("audit", &["layout", "session::plan"]),
    ("roster", &["layout"]),
    ("ledger", &["layout", "standing", "session"]),
    (
        "study",
        &[
            "layout",
            "standing",
            "network",
            "traffic",
            "trips",
            "switching",
            "crews",
            "session",
            "audit",
            "ledger",
        ],
    ),
    (
        "cli",
        &[
            "layout",
            "standing",
            "network",
            "traffic",
            "trips",
            "switching",
            "crews",
            "session",
            "paper",
            "audit",
            "ledger",
            "roster",
            "study",
        ],
    ),
];

/// A file of the crate, by its path of modules: `["network", "ways"]`.
struct File {
    path: Vec<String>,
    code: String,
}

#[test]
fn every_file_imports_only_what_its_place_in_the_house_allows() {
    let files = files();
    assert!(files.len() > 20, "only {} files found: is the test looking in the right folder?", files.len());
    let faults: Vec<String> =
        files.iter().filter(|file| !serves_tests(&file.path)).flat_map(faults).collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_wrong_import_is_caught() {
    let caught = |path: &[&str], code: &str| {
        let path = path.iter().map(ToString::to_string).collect();
        !faults(&File { path, code: bare(code) }).is_empty()
    };
    assert!(caught(&["network"], "use crate::trips::Trips;"), "a stage to the right");
    assert!(caught(&["network", "ways"], "use crate::{ids::Id, session::plan::Plan};"), "in a group");
    assert!(caught(&["network"], "let x = super::trips::assign();"), "by way of super");
    assert!(caught(&["network", "ways"], "let x = super::super::trips::assign();"), "by way of super, twice");
    assert!(caught(&["units", "length"], "use crate::layout::Layout;"), "the base knows no stage");
    assert!(caught(&["audit"], "use crate::standing::Standing;"), "the audit shares nothing");
    assert!(caught(&["audit"], "use crate::session::plan as p; use crate::session;"), "only the plan's data");
    assert!(caught(&["audit"], "use crate::session::{plan::Plan, standing_after};"), "not even in a group");
    assert!(caught(&["session", "plan"], "use crate::trips::Trip;"), "the plan is data that the audit reads");
    assert!(caught(&["study"], "use crate::cli::run;"), "nobody imports the front door");
    assert!(caught(&["ledger"], "use std::fs;"), "files are the store's");
    assert!(caught(&["paper"], "let now = std::time::SystemTime::now();"), "no clock");
    assert!(caught(&["layout"], "use std::collections::{BTreeMap, HashMap};"), "no order that differs");
    assert!(caught(&["novelty"], "use crate::ids::Id;"), "a module the map does not have");

    assert!(!caught(&["trips"], "use crate::network::Network; use crate::ids::Id;"));
    assert!(!caught(&["network", "ways"], "use super::Network; use super::super::layout::Layout;"));
    assert!(!caught(&["ledger", "store"], "use std::fs;"));
    assert!(!caught(&["audit", "replay"], "use crate::session::plan::{Plan, Event};"));
    assert!(!caught(&["network"], "/* use crate::trips; */ let s = \"crate::trips\"; // crate::trips"));
    assert!(!caught(&["network"], "fn f() {}\n#[cfg(test)]\nmod tests { use crate::session::plan; }"));
}

/// Whether a file is there for unit tests only: `testing`, and a stage's `tests`.
fn serves_tests(path: &[String]) -> bool {
    path.first().is_some_and(|top| top == "testing") || path.last().is_some_and(|last| last == "tests")
}

fn faults(file: &File) -> Vec<String> {
    let mut found = Vec::new();
    let here = file.path.join("::");
    let Some(top) = file.path.first().map(String::as_str) else { return found };
    if !(BASE.contains(&top) || STAGES.contains(&top) || BESIDE.iter().any(|(name, _)| *name == top)) {
        found.push(format!(
            "`{here}`: a module the map of tests/it/layers.rs does not have; give it a place there"
        ));
    }
    for import in imports(file) {
        if !allowed(&file.path, &import) {
            found.push(format!("`{here}` imports `crate::{import}`, which is not to its left"));
        }
    }
    let may_touch = top == "cli" || (top == "ledger" && file.path.get(1).is_some_and(|room| room == "store"));
    for outside in
        ["std::fs", "std::env", "std::process", "std::net", "std::thread", "Instant::now", "SystemTime"]
    {
        if !may_touch && named(&file.code, outside) {
            found
                .push(format!("`{here}` uses `{outside}`: only `cli` and `ledger::store` touch the machine"));
        }
    }
    for unordered in ["HashMap", "HashSet", "RandomState"] {
        if named(&file.code, unordered) {
            found.push(format!("`{here}` uses `{unordered}`, whose order differs from run to run"));
        }
    }
    found
}

/// Whether a module may import a path of the crate.
fn allowed(path: &[String], import: &str) -> bool {
    let top = path[0].as_str();
    let wanted = import.split("::").next().unwrap_or(import);
    if wanted == top || BASE.contains(&wanted) {
        return true;
    }
    if path.len() > 1 && top == "session" && path[1] == "plan" {
        return wanted == "layout";
    }
    if let Some((_, list)) = BESIDE.iter().find(|(name, _)| *name == top) {
        return list.iter().any(|item| import == *item || import.starts_with(&format!("{item}::")));
    }
    let stage = |name: &str| STAGES.iter().position(|known| *known == name);
    match (stage(top), stage(wanted)) {
        (Some(mine), Some(theirs)) => theirs < mine,
        _ => false,
    }
}

/// Every path of the crate a file names, groups taken apart: `session::plan::Plan`.
fn imports(file: &File) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let code = &file.code;
    for (at, _) in code.match_indices("crate::") {
        if !ends_a_word(&code[..at]) {
            spread("", &code[at + "crate::".len()..], &mut found);
        }
    }
    for (at, _) in code.match_indices("super::") {
        if ends_a_word(&code[..at]) || code[..at].ends_with("::") {
            continue;
        }
        let rest = &code[at..];
        let up = "super::".repeat(file.path.len());
        if let Some(from_the_root) = rest.strip_prefix(&up) {
            spread("", from_the_root, &mut found);
        }
    }
    found
}

/// Takes `a::{b, c::d}` apart into `a::b` and `a::c::d`.
fn spread(before: &str, rest: &str, found: &mut BTreeSet<String>) {
    if let Some(group) = rest.strip_prefix('{') {
        let mut depth = 0_usize;
        let mut from = 0;
        for (at, sign) in group.char_indices() {
            match sign {
                '{' => depth += 1,
                ',' if depth == 0 => {
                    spread(before, group[from..at].trim(), found);
                    from = at + 1;
                }
                '}' if depth == 0 => {
                    spread(before, group[from..at].trim(), found);
                    return;
                }
                '}' => depth -= 1,
                _ => {}
            }
        }
        return;
    }
    let word: String = rest.chars().take_while(|sign| sign.is_alphanumeric() || *sign == '_').collect();
    if word.is_empty() {
        return;
    }
    let path = if before.is_empty() { word.clone() } else { format!("{before}::{word}") };
    match rest[word.len()..].strip_prefix("::") {
        Some(next) if next.starts_with(|sign: char| sign.is_alphabetic() || sign == '{' || sign == '_') => {
            spread(&path, next, found);
        }
        _ => {
            found.insert(path);
        }
    }
}

/// Whether the code names a path, as a whole word, or through a group (`std::{fs, io}`).
fn named(code: &str, path: &str) -> bool {
    let whole = code.match_indices(path).any(|(at, _)| {
        !ends_a_word(&code[..at])
            && !code[at + path.len()..].starts_with(|sign: char| sign.is_alphanumeric() || sign == '_')
    });
    let grouped = path.split_once("::").is_some_and(|(root, word)| {
        let mut groups = BTreeSet::new();
        for (at, _) in code.match_indices(&format!("{root}::{{")) {
            spread("", &code[at + root.len() + 2..], &mut groups);
        }
        groups.iter().any(|import| import.split("::").next() == Some(word))
    });
    whole || grouped
}

fn ends_a_word(text: &str) -> bool {
    text.ends_with(|sign: char| sign.is_alphanumeric() || sign == '_')
}

/// All files of `src`, without `lib.rs` and `main.rs`, which only open the house.
fn files() -> Vec<File> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    walk(&root, &mut paths);
    paths.sort();
    let modules = paths.iter().filter_map(|path| {
        let inside = path.strip_prefix(&root).ok()?.with_extension("");
        let mut names: Vec<String> = inside.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        if names.last().is_some_and(|name| name == "mod") {
            names.pop();
        }
        (names != ["lib"] && names != ["main"]).then_some((names, path))
    });
    modules.map(|(path, file)| File { path, code: bare(&std::fs::read_to_string(file).unwrap()) }).collect()
}

fn walk(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            walk(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push(path);
        }
    }
}

/// Code without its comments, the insides of its strings, and the tests at its end.
pub(crate) fn bare(text: &str) -> String {
    let text = text.find("#[cfg(test)]\nmod ").map_or(text, |at| &text[..at]);
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(sign) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |at| at + 2)
        } else if rest.starts_with("r\"") || rest.starts_with("r#") {
            if ends_a_word(&out) { 0 } else { raw_string(rest) }
        } else if sign == '"' {
            string(rest)
        } else if let Some(next) =
            ["'\"'", "'\\\"'", "'{'", "'}'"].iter().find(|quoted| rest.starts_with(**quoted))
        {
            next.len()
        } else {
            0
        };
        if skipped == 0 {
            out.push(sign);
            rest = &rest[sign.len_utf8()..];
        } else {
            let lines = rest[..skipped].matches('\n').count();
            out.push(' ');
            let _ = write!(out, "{}", "\n".repeat(lines));
            rest = &rest[skipped..];
        }
    }
    out
}

fn string(text: &str) -> usize {
    let mut escaped = false;
    for (at, sign) in text.char_indices().skip(1) {
        match sign {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

fn raw_string(text: &str) -> usize {
    let hashes = text[1..].chars().take_while(|sign| *sign == '#').count();
    if !text[1 + hashes..].starts_with('"') {
        return 0; // a raw identifier: r#type
    }
    let end = format!("\"{}", "#".repeat(hashes));
    text[2 + hashes..].find(&end).map_or(text.len(), |at| 2 + hashes + at + end.len())
}
