//! What holds for every text: no panic, and the same layout in any order.

use proptest::prelude::*;
use setout::diag::{Sources, render};
use setout::layout::{Layout, load};

const BASE: &str = include_str!("faults/0-base.toml");

const ROSTER: &str =
    "mark,number,type,color\nCHT,7,XM,red\nCHT,64,XM,\"sky, faded\"\nGLN,10,XM,\nGLN,9,XM,\n";

fn sources(files: &[(&str, &str)]) -> Sources {
    let mut sources = Sources::default();
    for (name, text) in files {
        sources.add(*name, *text);
    }
    sources
}

/// Loads and renders: neither may panic, and without errors there is a layout.
fn survives(files: &[(&str, &str)]) {
    let (layout, diagnostics) = load(sources(files));
    assert_eq!(layout.is_none(), diagnostics.has_errors());
    let _ = render::text(&diagnostics, true);
    let _ = render::json(&diagnostics);
}

/// The tables of the base: each headed part of the file.
fn tables() -> Vec<String> {
    let mut tables: Vec<String> = Vec::new();
    for line in BASE.lines() {
        if line.starts_with('[') || tables.is_empty() {
            tables.push(String::new());
        }
        let last = tables.len() - 1;
        tables[last].push_str(line);
        tables[last].push('\n');
    }
    tables
}

fn sound(files: &[(&str, &str)]) -> Layout {
    let (layout, diagnostics) = load(sources(files));
    layout.unwrap_or_else(|| panic!("{}", render::text(&diagnostics, false)))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_it_panic(toml in any::<String>(), csv in any::<String>()) {
        survives(&[("a.toml", &toml), ("cars.csv", &csv), ("layout.toml", BASE)]);
        survives(&[("a.toml", &toml)]);
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let text = String::from_utf8_lossy(&bytes);
        survives(&[("a.toml", &text), ("cars.csv", &text), ("layout.toml", BASE)]);
    }

    #[test]
    fn no_change_to_a_sound_layout_makes_it_panic(
        place in 0..BASE.len(),
        length in 0_usize..40,
        put in "(|\"|\\[|\\]|=|\n|[0-9]{1,12}|[a-z]{1,6}|\\[\\[car\\]\\]\n|lakes|harbor|\"\"\"|,|é|\u{feff})",
    ) {
        // The base is plain ASCII, so that every place is a boundary.
        let end = (place + length).min(BASE.len());
        let changed = format!("{}{put}{}", &BASE[..place], &BASE[end..]);
        survives(&[("layout.toml", &changed), ("cars.csv", ROSTER)]);
    }

    #[test]
    fn no_change_to_a_roster_makes_it_panic(
        place in 0..ROSTER.len(),
        length in 0_usize..12,
        put in "(|\"|,|;|\t|\r|\n|[0-9]{1,12}|[A-Z]{1,5}|1E5|é|\u{feff})",
    ) {
        let end = (place + length).min(ROSTER.len());
        let changed = format!("{}{put}{}", &ROSTER[..place], &ROSTER[end..]);
        survives(&[("layout.toml", BASE), ("cars.csv", &changed)]);
    }

    #[test]
    fn lines_in_any_order_do_not_make_it_panic(lines in Just(BASE.lines().collect::<Vec<_>>()).prop_shuffle()) {
        survives(&[("layout.toml", &lines.join("\n"))]);
    }

    #[test]
    fn the_order_of_tables_rows_and_files_changes_nothing(
        tables in Just(tables()).prop_shuffle(),
        rows in Just(ROSTER.lines().skip(1).collect::<Vec<_>>()).prop_shuffle(),
        cut in 0_usize..20,
    ) {
        let usual = sound(&[("layout.toml", BASE), ("cars.csv", ROSTER)]);
        let cut = cut.min(tables.len());
        let (one, other) = (tables[..cut].join(""), tables[cut..].join(""));
        let roster = format!("{}\n{}\n", ROSTER.lines().next().unwrap(), rows.join("\n"));
        let shuffled = sound(&[("cars.csv", &roster), ("z.toml", &one), ("a.toml", &other)]);
        prop_assert_eq!(usual, shuffled);
    }
}

#[test]
fn deep_nesting_does_not_exhaust_the_stack() {
    survives(&[("a.toml", &format!("a = {}", "[".repeat(100_000)))]);
    survives(&[("a.toml", &format!("a = {}", "{a=".repeat(100_000)))]);
    survives(&[("a.toml", &format!("[{}a]", "a.".repeat(20_000)))]);
}

#[test]
fn tracks_and_cars_stand_in_the_order_that_people_expect() {
    let more = "[place.harbor.track.10]\nuse = \"yard\"\nlength = \"9 in\"\nopens = \"west\"\n\
                [place.harbor.track.2]\nuse = \"yard\"\nlength = \"9 in\"\nopens = \"west\"\n";
    let layout = sound(&[("a.toml", more), ("layout.toml", BASE), ("cars.csv", ROSTER)]);
    let tracks: Vec<&str> = layout.tracks().values().map(|track| track.id.as_str()).collect();
    assert_eq!(
        tracks,
        ["harbor/1", "harbor/2", "harbor/10", "harbor/x1", "northgate/main", "northgate/mill"]
    );
    let cars: Vec<&str> = layout.cars().values().map(|car| car.id.as_str()).collect();
    assert_eq!(cars, ["CHT 7", "CHT 64", "CHT 100", "GLN 9", "GLN 10", "GLN 200"]);
}

#[test]
fn marks_of_byte_order_and_line_ends_change_nothing() {
    let usual = sound(&[("layout.toml", BASE), ("cars.csv", ROSTER)]);
    let other = |text: &str| format!("\u{feff}{}", text.replace('\n', "\r\n"));
    let marked = sound(&[("layout.toml", &other(BASE)), ("cars.csv", &other(ROSTER))]);
    assert_eq!(usual, marked);
}
