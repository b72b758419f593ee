//! The pages for hosts: what they show has to work.
//!
//! The `toml` and `csv` blocks of `docs/layout.md`, put together, are one layout that must be
//! sound. The `sh` blocks of `README.md` are run, line by line, in a copy of the project's own
//! layouts; every line that begins with `setout` must succeed.

use std::path::Path;

use setout::diag::Sources;
use setout::layout;

use crate::cli::Folder;

/// The fenced blocks of a page that are marked with a word, with the line each begins on.
fn blocks(page: &str, mark: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut open: Option<(usize, bool, String)> = None;
    for (number, line) in page.lines().enumerate() {
        match (&mut open, line.trim_end().strip_prefix("```")) {
            (None, Some(word)) => open = Some((number + 2, word == mark, String::new())),
            (None, None) => {}
            (Some(_), Some(_)) => {
                if let Some((start, true, text)) = open.take() {
                    found.push((start, text));
                }
            }
            (Some((_, _, text)), None) => text.extend([line, "\n"]),
        }
    }
    assert!(open.is_none(), "a block is not closed");
    found
}

fn page(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|cause| panic!("{}: {cause}", path.display()))
}

#[test]
fn the_examples_of_the_description_are_one_sound_layout() {
    let page = page("docs/layout.md");
    let folder = Folder::empty("docs-layout");
    let toml = blocks(&page, "toml");
    assert!(toml.len() > 12, "only {} blocks found", toml.len());
    for (line, text) in toml {
        folder.write(&format!("line-{line:04}.toml"), text);
    }
    let [(_, roster)] = &blocks(&page, "csv")[..] else { panic!("expected one roster") };
    folder.write("cars.csv", roster);
    let ran = folder.run(&["check"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (Some(0), ""), "{ran}");
    insta::assert_snapshot!(ran);
}

/// The built-in kinds of car as the page has to list them.
fn kinds() -> String {
    let folder = Folder::of("tiny", "docs-kinds");
    let mut sources = Sources::default();
    sources.add("layout.toml", folder.read("layout.toml"));
    let (layout, faults) = layout::load(sources);
    let layout = layout.unwrap_or_else(|| panic!("{:?}", faults.sorted()));
    let rows = layout.types().values().map(|kind| {
        let seen = if kind.open { ", open" } else { "" };
        let (light, capacity) = (kind.light.count(), kind.capacity.count());
        format!("| `{}` | {}{seen} | {} | {light} | {capacity} |\n", kind.code, kind.meaning, kind.length)
    });
    rows.collect()
}

#[test]
fn the_kinds_of_car_on_the_page_are_those_that_are_built_in() {
    let page = page("docs/layout.md");
    let (_, list) = page.split_once("| --- | --- | --- | --- | --- |\n").unwrap();
    let (list, _) = list.split_once("\n\n").unwrap();
    assert_eq!(format!("{list}\n"), kinds());
}

/// Whether a key is explained: it stands in backticks in the first cell of a row.
fn explained(page: &str, key: &str) -> bool {
    let quoted = [format!("`{key}`"), format!("`{key}.")];
    page.lines()
        .filter_map(|line| line.strip_prefix('|')?.split('|').next())
        .any(|cell| quoted.iter().any(|quoted| cell.contains(quoted.as_str())))
}

#[test]
fn every_key_of_the_examples_is_explained() {
    let page = page("docs/layout.md");
    for (line, text) in blocks(&page, "toml") {
        for key in text.lines().filter_map(|line| line.split_once(" = ")?.0.split('.').next()) {
            if !key.starts_with([' ', '#']) {
                assert!(explained(&page, key), "line {line}: `{key}` is in no table");
            }
        }
    }
    let roster = &blocks(&page, "csv")[0].1;
    for column in roster.lines().next().unwrap().split(',') {
        assert!(explained(&page, column), "column `{column}` is in no table");
    }
}

/// Runs the lines of the `sh` blocks: `cd` goes there, `setout` must succeed, `cargo` is left to
/// whoever builds.
#[test]
fn the_commands_of_the_readme_work() {
    let folder = Folder::empty("docs-readme");
    for layout in ["demo-layout", "examples/shelf", "examples/europe"] {
        folder.take(layout);
    }
    let mut at = String::from(".");
    for (start, text) in blocks(&page("README.md"), "sh") {
        for (number, line) in text.lines().enumerate() {
            let line = line.split('#').next().unwrap_or_default().trim();
            let words: Vec<&str> = line.split_whitespace().collect();
            match words[..] {
                [] | ["cargo", ..] => {}
                ["cd", to] => at = to.to_owned(),
                ["setout", ref arguments @ ..] => {
                    let ran = folder.run_in(&at, arguments);
                    assert_eq!(ran.status, Some(0), "README.md, line {}: {line}\n{ran}", start + number);
                }
                _ => panic!("README.md, line {}: no test knows how to run `{line}`", start + number),
            }
        }
    }
}
