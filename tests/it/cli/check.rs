//! `setout check`.

use super::Folder;

#[test]
fn a_sound_layout_is_shown_on_a_page() {
    let ran = Folder::of("tiny", "check-tiny").run(&["check"]);
    assert!(ran.stdout.lines().all(|line| line.chars().count() <= 80), "{ran}");
    insta::assert_snapshot!(ran);
}

#[test]
fn the_folder_may_be_named() {
    let here = Folder::of("tiny", "check-here");
    let path = here.path.to_string_lossy().into_owned();
    let elsewhere = Folder::empty("check-elsewhere");
    assert_eq!(elsewhere.run(&["check", &path]), here.run(&["check"]));
}

#[test]
fn checking_writes_nothing() {
    let folder = Folder::of("tiny", "check-writes-nothing");
    let before = folder.files();
    folder.run(&["check"]);
    folder.run(&["check", "--as", "json"]);
    assert_eq!(folder.files(), before);
}

#[test]
fn the_page_as_data_says_the_same_and_how_far_places_are() {
    let ran = Folder::of("tiny", "check-json").run(&["check", "--as", "json"]);
    insta::assert_snapshot!(ran);
}

#[test]
fn faults_in_two_files_are_shown_at_once() {
    insta::assert_snapshot!(Folder::of("two-faults", "check-two-faults").run(&["check"]));
}

#[test]
fn faults_as_data_are_on_standard_output() {
    let ran = Folder::of("two-faults", "check-two-faults-json").run(&["check", "--as", "json"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (Some(2), ""));
    let answer = ran.json();
    let faults = answer["faults"].as_array().unwrap();
    let files: Vec<&str> = faults.iter().map(|fault| fault["place"]["file"].as_str().unwrap()).collect();
    assert!(files.contains(&"layout.toml") && files.contains(&"cars.csv"), "{files:?}");
}
