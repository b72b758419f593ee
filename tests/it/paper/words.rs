//! The words of the forms, in other languages: nothing that a form prints is out of a host's reach.

use std::collections::BTreeSet;
use std::path::Path;

use setout::crews::People;
use setout::diag::Sources;
use setout::layout::{self, Layout};
use setout::paper::{self, Format, Look, Press, Words};
use setout::session::plan::{Crews, Plan};
use setout::session::{self, Request};
use setout::units::Minutes;

use super::folder;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(table: &str) -> Words {
    let mut forms = Sources::default();
    forms.add("forms/words.toml", table);
    Words::read(&forms).unwrap_or_else(|faults| panic!("{}", setout::diag::render::text(&faults, false)))
}

/// A session of a layout, once without people and once with.
fn plans(name: &str) -> Vec<(Layout, Plan)> {
    let layout = layout::load(folder::sources(&root().join(name)).unwrap()).0.unwrap();
    let before = session::first_standing(&layout, 7);
    let request = Request { seed: 7, revision: 2 };
    let people = People { count: 3, hours: Minutes::new(180), clock: None };
    let asked = session::Asked { people: Some(people), ..session::Asked::default() };
    let alone = session::plan(&layout, &before, &request).plan;
    let crewed = session::plan_asked(&layout, &before, &request, &asked).plan;
    assert!(matches!(crewed.crews, Some(Crews { .. })));
    vec![(layout.clone(), alone), (layout, crewed)]
}

/// The words of a text: letters in a row.
fn letters(text: &str) -> impl Iterator<Item = &str> {
    text.split(|letter: char| !letter.is_alphabetic()).filter(|word| !word.is_empty())
}

/// The table with every letter of every text put into one of another script; names of parts stay.
fn masked(table: &str) -> String {
    let mut out = String::new();
    for line in table.lines() {
        let mut quoted = false;
        let mut part = false;
        for sign in line.chars() {
            match sign {
                '"' => quoted = !quoted,
                '{' => part = quoted,
                '}' => part = false,
                _ => {}
            }
            out.push(if quoted && !part && sign.is_alphabetic() { 'ж' } else { sign });
        }
        out.push('\n');
    }
    out
}

/// What the layout calls its own, and the plan, word by word: only what stands in quotes, and the roster.
fn said_by_others(layout_folder: &Path, plan: &Plan) -> BTreeSet<String> {
    let mut words = BTreeSet::new();
    let mut take = |text: &str| words.extend(letters(text).map(str::to_lowercase));
    for entry in std::fs::read_dir(layout_folder).unwrap() {
        let path = entry.unwrap().path();
        let text = || std::fs::read_to_string(&path).unwrap();
        match path.extension().and_then(|ending| ending.to_str()) {
            Some("csv") => take(&text()),
            Some("toml") => text().split('"').skip(1).step_by(2).for_each(&mut take),
            _ => {}
        }
    }
    values(&serde_json::to_value(plan).unwrap(), &mut take);
    words
}

/// Every text in data, but not the names of fields.
fn values(data: &serde_json::Value, take: &mut impl FnMut(&str)) {
    match data {
        serde_json::Value::String(text) => take(text),
        serde_json::Value::Array(items) => items.iter().for_each(|item| values(item, take)),
        serde_json::Value::Object(fields) => fields.values().for_each(|field| values(field, take)),
        _ => {}
    }
}

/// A plan without the planner's own sentences but those that the table has.
fn without_sentences(mut plan: Plan) -> Plan {
    plan.notices.retain(|notice| notice.told.is_some());
    for notice in &mut plan.notices {
        notice.text = "".into();
    }
    for meet in &mut plan.meets {
        meet.why = "".into();
    }
    for trip in &mut plan.trips {
        trip.why = "".into();
        trip.kept = trip.kept.as_ref().map(|_| "".into());
    }
    for car in plan.work.iter_mut().flat_map(|call| &mut call.cars).filter(|car| car.told.is_some()) {
        car.bound = "so".into();
    }
    for order in &mut plan.orders {
        order.why = "".into();
    }
    for kind in &mut plan.kinds {
        assert_eq!(kind.why.len(), kind.told.len(), "every reason is a saying, too");
        kind.why.iter_mut().for_each(|why| *why = "".into());
    }
    plan
}

#[test]
fn every_word_that_is_neither_the_layouts_nor_the_plans_comes_from_the_table() {
    let masked = read(&masked(&Words::default().toml()));
    let types = layout_types();
    for name in ["demo-layout", "examples/europe"] {
        for (layout, plan) in plans(name) {
            let plan = without_sentences(plan);
            let mut known = said_by_others(&root().join(name), &plan);
            known.extend(types.iter().cloned());
            for sheet in paper::sheets_in(&masked, &plan, &layout) {
                for word in letters(&paper::text(&sheet)) {
                    let own = word.contains(['ж', 'Ж']) || word.chars().count() == 1;
                    assert!(own || known.contains(&word.to_lowercase()), "{}: `{word}`", sheet.name);
                }
            }
        }
    }
}

/// The words for the kinds of car that are built in.
fn layout_types() -> BTreeSet<String> {
    let layout = layout::load(folder::sources(&root().join("demo-layout")).unwrap()).0.unwrap();
    layout.types().values().flat_map(|kind| letters(&kind.meaning).map(str::to_lowercase)).collect()
}

#[test]
fn every_entry_of_the_table_has_a_german_one() {
    let own = std::fs::read_to_string(root().join("examples/europe/forms/words.toml")).unwrap();
    let [all, own] = [Words::default().toml(), own].map(|text| text.parse::<toml::Table>().unwrap());
    let keys = |words: &toml::Table| -> BTreeSet<String> {
        let sections = words.iter().map(|(section, entries)| (section, entries.as_table().unwrap()));
        sections
            .flat_map(|(section, entries)| entries.keys().map(move |key| format!("{section}.{key}")))
            .collect()
    };
    // A list of kinds is no saying: a host names those that the roster has.
    let [all, own] = [keys(&all), keys(&own)];
    let missing = all.difference(&own).filter(|key| !key.starts_with("kinds."));
    assert_eq!(missing.collect::<Vec<_>>(), [""; 0]);
}

#[test]
fn the_german_words_say_all_that_the_table_says_and_leave_no_english_on_paper() {
    let own = std::fs::read_to_string(root().join("examples/europe/forms/words.toml")).unwrap();
    let (english, german) = (Words::default().toml(), read(&own).toml());
    let texts = |table: &str| -> Vec<String> {
        table.lines().filter_map(|line| line.split_once(" = ")).map(|(_, text)| text.to_owned()).collect()
    };
    let same = texts(&english).iter().zip(texts(&german)).filter(|(one, other)| *one == other).count();
    // Patterns of punctuation, names of months and units that are the same in both languages.
    assert!(same < 20, "{same} entries are the same in both");
    // The longest run of words between the parts of each English text that German does not have.
    let runs = |table: &str| -> BTreeSet<String> {
        let texts = texts(table).join("\n").replace(['"', '*'], "");
        let runs =
            texts.split(['{', '}', '\n']).map(str::trim).filter(|run| run.contains(' ')).map(str::to_owned);
        runs.filter(|run| letters(run).count() > 1).collect()
    };
    let english: BTreeSet<String> = runs(&english).difference(&runs(&german)).cloned().collect();
    assert!(english.len() > 80, "{}", english.len());
    for (layout, plan) in plans("examples/europe") {
        let plan = without_sentences(plan);
        let mut forms = Sources::default();
        forms.add("forms/words.toml", own.as_str());
        let press = Press::with(Look::default(), forms, &plan, &layout).unwrap();
        for sheet in paper::sheets_in(press.words(), &plan, &layout) {
            let text = paper::text(&sheet).split_whitespace().collect::<Vec<_>>().join(" ");
            let page = press.lay(&sheet, Format::Html).unwrap();
            assert!(
                page.contains("<html lang=\"de\">") && !page.contains("aria-label=\"done\""),
                "{}",
                sheet.name
            );
            assert!(page.contains("\"Seite \" counter(page) \" von \" counter(pages)"), "{}", sheet.name);
            for run in &english {
                assert!(!text.contains(run.as_str()), "{}: {run}", sheet.name);
            }
        }
    }
}
