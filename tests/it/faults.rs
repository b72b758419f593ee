//! Bad layouts, each with the fault that is expected, as a comment above its line.
//!
//! A fixture is read together with `0-base.toml`, a sound layout, unless its first line is
//! `# alone`. It must have exactly the faults it expects: one cause, one message. In a roster the
//! comments are taken out before it is read.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use setout::diag::{Diagnostics, Sources, render};
use setout::layout::codes;

const EXPECT: &str = "# expect: ";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/faults")
}

/// The fixtures by name, without the base.
fn fixtures() -> BTreeMap<String, String> {
    let mut fixtures = BTreeMap::new();
    for entry in std::fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name != "0-base.toml" {
            fixtures.insert(name, std::fs::read_to_string(&path).unwrap());
        }
    }
    fixtures
}

fn base() -> String {
    std::fs::read_to_string(folder().join("0-base.toml")).unwrap()
}

/// A code and the line it is at.
type Fault = (String, usize);

/// The text as it is read, and the faults that are expected in it.
fn expectations(name: &str, text: &str) -> (String, Vec<Fault>) {
    let taken_out = Path::new(name).extension().is_some_and(|extension| extension == "csv");
    let (mut read, mut expected, mut lines) = (String::new(), Vec::new(), 0);
    let mut waiting: Vec<String> = Vec::new();
    for line in text.lines() {
        let comment = line.trim_start().strip_prefix(EXPECT);
        waiting.extend(comment.map(str::to_owned));
        if !(taken_out && line.starts_with('#')) {
            read.push_str(line);
            read.push('\n');
            lines += 1;
        }
        if !line.trim_start().starts_with('#') {
            expected.extend(waiting.drain(..).map(|code| (code, lines)));
        }
    }
    (read, expected)
}

fn load(name: &str, text: &str, alone: bool) -> Diagnostics {
    let mut sources = Sources::default();
    if !alone {
        sources.add("0-base.toml", base());
    }
    sources.add(name, text);
    setout::layout::load(sources).1
}

fn found(diagnostics: &Diagnostics, name: &str) -> Vec<Fault> {
    let line = |diagnostic: &&setout::diag::Diagnostic| {
        let source = diagnostics.sources().file(diagnostic.span.file);
        assert_eq!(&*source.name, name, "{}", render::text(diagnostics, false));
        source.text[..diagnostic.span.start].matches('\n').count() + 1
    };
    diagnostics.sorted().iter().map(|diagnostic| (diagnostic.code.to_owned(), line(diagnostic))).collect()
}

#[test]
fn the_base_is_sound() {
    let mut sources = Sources::default();
    sources.add("0-base.toml", base());
    let (layout, diagnostics) = setout::layout::load(sources);
    assert_eq!(render::text(&diagnostics, false), "");
    assert!(layout.is_some());
}

#[test]
fn every_fixture_has_exactly_the_faults_it_expects() {
    let mut wrong: Vec<String> = Vec::new();
    for (name, text) in fixtures() {
        let (read, mut expected) = expectations(&name, &text);
        let diagnostics = load(&name, &read, text.starts_with("# alone"));
        let mut found = found(&diagnostics, &name);
        expected.sort();
        found.sort();
        if found != expected {
            let shown = render::text(&diagnostics, false);
            wrong.push(format!("{name}: expected {expected:?}, found {found:?}\n{shown}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_code_has_a_fixture_and_a_place_on_the_page() {
    let known: BTreeSet<String> = codes::ALL.iter().map(|code| code.name.to_owned()).collect();
    assert_eq!(known.len(), codes::ALL.len(), "a code stands twice in the table");
    let fixtures = fixtures();
    let in_fixtures = fixtures.iter().flat_map(|(name, text)| expectations(name, text).1);
    let expected: BTreeSet<String> = in_fixtures.map(|(code, _)| code).collect();
    assert_eq!(expected, known, "fixtures and table differ");
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/faults.md")).unwrap();
    let headings = page.lines().filter_map(|line| line.strip_prefix("### `")?.strip_suffix('`'));
    let on_page: BTreeSet<String> = headings.map(str::to_owned).collect();
    assert_eq!(on_page, known, "page and table differ");
}

#[test]
fn every_code_on_the_page_says_why_shows_an_example_and_a_cure() {
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/faults.md")).unwrap();
    for section in page.split("\n### ").skip(1) {
        let code = section.lines().next().unwrap();
        for part in ["**Why it matters.**", "```", "**Cure.**"] {
            assert!(section.contains(part), "{code} has no {part}");
        }
    }
}

#[test]
fn every_example_on_the_page_has_its_fault() {
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/faults.md")).unwrap();
    for section in page.split("\n### `").skip(1) {
        let code = section.split('`').next().unwrap();
        let block = section.split("```").nth(1).unwrap();
        let (kind, example) = block.split_once('\n').unwrap();
        // Some faults are in what every layout has once, and need a file of their own.
        let has = |alone| {
            let diagnostics = load(&format!("example.{kind}"), example, alone);
            diagnostics.sorted().iter().any(|diagnostic| diagnostic.code == code)
        };
        assert!(has(false) || has(true), "the example of {code} is without it:\n{example}");
    }
}

#[test]
fn two_broken_files_are_both_reported() {
    let mut sources = Sources::default();
    sources.add("one.toml", "[layout\n");
    sources.add("two.toml", "name = \n");
    sources.add("three.toml", "[[car]]\nmark = \"CHT\"\nnumber = 1\ntype = \"XM\"\nlength = 44\n");
    let (layout, diagnostics) = setout::layout::load(sources);
    assert!(layout.is_none());
    let files: BTreeSet<&str> = diagnostics
        .sorted()
        .iter()
        .map(|diagnostic| &*diagnostics.sources().file(diagnostic.span.file).name)
        .collect();
    assert_eq!(files, BTreeSet::from(["one.toml", "three.toml", "two.toml"]));
}

#[test]
fn a_near_miss_is_offered() {
    let (read, _) = expectations("unknown-name.toml", &fixtures()["unknown-name.toml"]);
    let text = render::text(&load("unknown-name.toml", &read, false), false);
    for near in ["did you mean `harbor`?", "did you mean `Millport`?", "did you mean `door 1`?"] {
        assert!(text.contains(near), "no {near} in:\n{text}");
    }
}

#[test]
fn a_second_id_shows_the_place_of_the_first() {
    let (read, _) = expectations("same-car.toml", &fixtures()["same-car.toml"]);
    let text = render::text(&load("same-car.toml", &read, false), false);
    assert!(text.contains("--> same-car.toml:4:10") && text.contains("::: 0-base.toml:"), "{text}");
}
