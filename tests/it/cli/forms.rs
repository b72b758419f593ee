//! The host's own forms: what they replace, and how their faults are told.

use std::path::Path;

use super::Folder;

fn planned(test: &str) -> Folder {
    let folder = Folder::of("tiny", test);
    folder.run(&["plan", "--seed", "1"]);
    folder
}

#[test]
fn the_example_takes_the_place_of_the_switch_list_and_of_nothing_else() {
    let folder = planned("forms-example");
    let moves = folder.run(&["print", "--form", "moves"]);
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/forms/switch-list.txt");
    folder.write("forms/switch-list.txt", std::fs::read(own).unwrap());
    insta::assert_snapshot!("own_switch_list", folder.run(&["print", "--form", "switch-list"]));
    assert_eq!(moves, folder.run(&["print", "--form", "moves"]));
}

#[test]
fn a_form_at_fault_is_told_with_its_line_and_nothing_is_planned() {
    let folder = planned("forms-fault");
    folder.write("forms/switch-list.html", "<h1>{{ sheet.title }}</h1>\n<p>{{ sheet.driver }}</p>\n");
    folder.write("forms/switchlist.txt", "x\n");
    insta::assert_snapshot!("form_unknown", folder.run(&["print"]));
    folder.write("forms/switchlist.txt", "");
    std::fs::remove_file(folder.path().join("forms/switchlist.txt")).unwrap();
    insta::assert_snapshot!("form_broken", folder.run(&["plan", "--seed", "2"]));
}

#[test]
fn the_page_lists_every_value_a_form_may_use() {
    let folder = planned("forms-values");
    let values = folder.run(&["print", "--form", "set-up", "--show-values"]).json();
    let page = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/forms.md")).unwrap();
    for (key, value) in values.as_object().unwrap() {
        assert!(page.contains(&format!("`{key}")), "{key} is not in docs/forms.md");
        if key == "sheet" {
            for key in value.as_object().unwrap().keys() {
                assert!(page.contains(&format!("`sheet.{key}`")), "sheet.{key} is not in docs/forms.md");
            }
        }
    }
    for key in values["parts"][0].as_object().unwrap().keys() {
        assert!(page.contains(&format!("`parts[].{key}`")), "parts[].{key} is not in docs/forms.md");
    }
    for form in setout::paper::FORMS {
        assert!(page.contains(&format!("`{form}`")), "{form} is not in docs/forms.md");
    }
}

#[test]
fn text_may_be_narrow_and_plain() {
    let folder = planned("forms-narrow");
    let ran = folder.run(&["print", "--columns", "48", "--ascii"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    let long: Vec<&str> = ran.stdout.lines().filter(|line| line.len() > 48 || !line.is_ascii()).collect();
    assert!(long.is_empty(), "{long:?}");
}

#[test]
fn the_table_of_words_changes_nothing_until_a_word_is_changed() {
    let folder = planned("forms-words");
    let before = folder.run(&["print", "--form", "switch-list"]);
    let table = folder.run(&["print", "--words"]).stdout;
    folder.write("forms/words.toml", &table);
    assert_eq!(before, folder.run(&["print", "--form", "switch-list"]));
    folder.write("forms/words.toml", table.replace("\"switch list\"", "\"Rangierzettel\""));
    let after = folder.run(&["print", "--form", "switch-list"]).stdout;
    // Both are as wide.
    assert_eq!(after.replace("Rangierzettel", "Switch list  "), before.stdout);
    // The changed word is in the table that is shown next.
    assert!(folder.run(&["print", "--words"]).stdout.contains("switch_list = \"Rangierzettel\""));
}

#[test]
fn a_word_at_fault_is_told_with_its_line_and_nothing_is_printed() {
    let folder = planned("forms-words-fault");
    folder
        .write("forms/words.toml", "[shared]\nempty = \"{car}\"\n\n[switch-lists]\ncrew = \"Mannschaft\"\n");
    insta::assert_snapshot!("words_broken", folder.run(&["print"]));
    assert_eq!(folder.run(&["plan", "--seed", "2"]).status, Some(2));
}

#[test]
fn a_revised_sheet_is_marked_in_the_words_of_the_host() {
    let folder = planned("forms-words-revised");
    folder.write(
        "forms/words.toml",
        "[shared]\nwhen = \"{plan}. Plan, {day}, {session}\"\nchanged = \"{plan} (neu)\"\n",
    );
    folder.run(&["plan", "--seed", "1"]);
    let first = folder.run(&["print", "--form", "host-page"]).stdout;
    folder.run(&["plan", "--seed", "1"]);
    let second = std::fs::read_to_string(folder.path().join("ledger/0001/paper/host-page.txt")).unwrap();
    assert!(first.contains("2. Plan, ") && second.contains("2 (neu). Plan, "), "{first}{second}");
}
