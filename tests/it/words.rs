//! What no tracked file may say, and how long a file may get.

use std::path::{Path, PathBuf};

/// Folders that hold nothing tracked: built, installed or written by setout itself.
const SKIPPED: [&str; 7] =
    ["target", ".git", ".venv", "ledger", "__pycache__", ".pytest_cache", "node_modules"];

/// Words that must not stand in any file, taken apart so that this file may name them; and where
/// each may stand all the same.
const FORBIDDEN: [(&[&str], &[&str]); 17] = [
    (&["/wo", "rk/"], &[]),
    (&["/ro", "ot/"], &[]),
    (&["/ho", "me/"], &[]),
    (&["C:", "\\Users"], &[]),
    (&["crates", ".io"], &["Cargo.lock"]),
    (&["pypi", ".org"], &[]),
    (&["pythonhosted", ".org"], &[]),
    (&["registry.", "npmjs"], &[]),
    (&["proxy.", "golang"], &[]),
    (&["todo", "!("], &[]),
    (&["unimplemented", "!("], &[]),
    (&["db", "g!("], &[]),
    (&["FIX", "ME"], &[]),
    (&["XX", "X"], &[]),
    (&["<<<", "<<<<"], &[]),
    (&[">>>", ">>>>"], &[]),
    (&["you", "tube"], &[]),
];

/// The most lines a file of code may have, its tests not counted.
const LINES: usize = 400;

/// The most lines a function may have, its head and its last brace included.
const FUNCTION: usize = 62;

#[test]
fn no_file_says_what_it_must_not() {
    let mut faults = Vec::new();
    for path in files() {
        let Ok(text) = std::fs::read_to_string(root().join(&path)) else { continue };
        faults.extend(said(&path, &text));
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_forbidden_word_is_caught() {
    for (parts, allowed) in FORBIDDEN {
        let text = format!("one line\nthen {} here\n", parts.concat());
        assert!(!said("README.md", &text).is_empty(), "{parts:?}");
        assert!(allowed.iter().all(|name| said(name, &text).is_empty()), "{parts:?}");
    }
    assert!(said("README.md", "a workshop, a root, a home").is_empty());
}

#[test]
fn no_file_and_no_function_is_too_long() {
    let mut faults = Vec::new();
    for path in files().iter().filter(|path| Path::new(path).extension().is_some_and(|kind| kind == "rs")) {
        let text = std::fs::read_to_string(root().join(path)).unwrap();
        let lines = without_tests(&text).lines().count();
        if lines > LINES {
            faults.push(format!("{path}: {lines} lines without its tests; split it"));
        }
        for (name, length) in functions(&text) {
            if length > FUNCTION {
                faults.push(format!("{path}: `{name}` has {length} lines"));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn the_length_of_a_function_is_counted() {
    let body = "    let x = \"}\"; // }\n".repeat(70);
    assert_eq!(
        functions(&format!("fn long() -> u32 {{\n{body}}}\nfn short() {{}}\n")),
        [("long".to_owned(), 72), ("short".to_owned(), 1)]
    );
}

fn said(path: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for (parts, allowed) in FORBIDDEN {
        let word = parts.concat();
        if allowed.contains(&path) {
            continue;
        }
        for (line, _) in text.lines().enumerate().filter(|(_, line)| line.contains(&word)) {
            faults.push(format!("{path}:{}: says `{word}`", line + 1));
        }
    }
    faults
}

/// Each function with the number of its lines. Code is formatted by rustfmt, so a brace that closes
/// a function stands alone at the depth of its head.
fn functions(text: &str) -> Vec<(String, usize)> {
    let code = crate::layers::bare(text);
    let mut found = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        if code[..at].ends_with(|sign: char| sign.is_alphanumeric() || sign == '_') {
            continue;
        }
        let name: String =
            code[at + 3..].chars().take_while(|sign| sign.is_alphanumeric() || *sign == '_').collect();
        let Some(length) = body_lines(&code[at..]).filter(|_| !name.is_empty()) else { continue };
        found.push((name, length));
    }
    found
}

/// Lines from a function's head to its closing brace; nothing for a head without a body.
fn body_lines(code: &str) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, sign) in code.char_indices() {
        match sign {
            ';' if depth == 0 && !code[..at].contains('[') => return None,
            '{' => depth += 1,
            '}' => {
                depth = depth.checked_sub(1)?;
                if depth == 0 {
                    return Some(code[..at].matches('\n').count() + 1);
                }
            }
            _ => {}
        }
    }
    None
}

fn without_tests(text: &str) -> &str {
    text.find("#[cfg(test)]\nmod tests {").map_or(text, |at| &text[..at])
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All files that may be tracked, by their paths from the root, sorted.
fn files() -> Vec<String> {
    let mut found = Vec::new();
    walk(root(), &mut found);
    let mut names: Vec<String> = found
        .iter()
        .filter_map(|path| path.strip_prefix(root()).ok())
        .map(|path| path.to_string_lossy().replace('\\', "/"))
        .collect();
    names.sort();
    names
}

fn walk(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if SKIPPED.contains(&name.as_str()) {
            continue;
        }
        if path.is_dir() {
            walk(&path, into);
        } else if path.is_file() {
            into.push(path);
        }
    }
}
