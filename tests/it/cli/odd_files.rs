//! Files of a description that are not what they seem: each is read as it is meant, or told with its place and a
//! way out, all of them at once.

use super::Folder;

/// Faults of a folder, as the host reads them; nothing is planned with them.
fn told(folder: &Folder) -> String {
    let ran = folder.run(&["check"]);
    assert_eq!((ran.status, &*ran.stdout), (Some(2), ""), "{ran}");
    assert_eq!(folder.run(&["plan"]).stderr, ran.stderr);
    ran.stderr
}

fn tiny(test: &str) -> (Folder, String) {
    let folder = Folder::of("tiny", test);
    let layout = folder.read("layout.toml");
    (folder, layout)
}

#[test]
fn two_versions_side_by_side_are_one_fault_a_file_and_the_other_files_are_read() {
    let (folder, layout) = tiny("odd-versions");
    let (ours, theirs) = ("<".repeat(7), ">".repeat(7));
    let merged = layout.replacen("[railroad", &format!("{ours} HEAD\n[railroad"), 1);
    folder.write("layout.toml", format!("{merged}=======\n{theirs} winter\n"));
    let roster = "mark,number,type\n=======\nmark,type,number\n";
    folder.write("cars.csv", format!("{ours} HEAD\n{roster}{theirs} winter\nCHT,1,XM\n"));
    folder.write("more.toml", "[job.drill]\ncalls = 7\n");
    insta::assert_snapshot!(told(&folder).replace(&ours, "[ours]"));
}

#[test]
fn bytes_that_are_no_text_are_told_in_every_file_at_once() {
    let (folder, layout) = tiny("odd-bytes");
    folder.write("layout.toml", layout + "# a\0b\n");
    folder.write("a.toml", b"[job.dr\xFCll]\n");
    folder.write("cars.csv", "mark,number,type\nCHT,1\0,XM\n");
    insta::assert_snapshot!(told(&folder));
}

#[test]
fn quotes_of_a_word_processor_are_named() {
    let (folder, layout) = tiny("odd-quotes");
    folder.write("layout.toml", layout.replacen("\"Tiny Terminal\"", "\u{201c}Tiny Terminal\u{201d}", 1));
    insta::assert_snapshot!(told(&folder));
}

#[test]
fn tabs_and_other_blanks_between_words_do_no_harm() {
    let (folder, layout) = tiny("odd-tabs");
    let plain = folder.run(&["check", "--as", "json"]);
    folder.write("layout.toml", layout.replace(" = ", "\t=\t").replace("\n[", "\n\t ["));
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}

#[test]
fn a_folder_with_the_name_of_a_file_is_a_folder() {
    let (folder, layout) = tiny("odd-folder");
    let plain = folder.run(&["check", "--as", "json"]);
    let (settings, rest) = layout.split_once("[gateway.beyond]").unwrap();
    folder.write("x.toml/settings.toml", settings);
    folder.write("layout.toml", format!("[gateway.beyond]{rest}"));
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
    // As the roster, too; then there is none.
    folder.write("y/cars.csv/readme.txt", "nothing");
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}

#[cfg(unix)]
#[test]
fn links_are_followed_to_files_and_those_that_lead_nowhere_are_told_at_once() {
    use std::os::unix::fs::symlink;
    let (folder, layout) = tiny("odd-links");
    let plain = folder.run(&["check", "--as", "json"]);
    // To a file elsewhere, to the folder itself, and to a folder above it.
    folder.write("elsewhere/kept", &layout);
    std::fs::remove_file(folder.path().join("layout.toml")).unwrap();
    symlink("elsewhere/kept", folder.path().join("layout.toml")).unwrap();
    symlink(".", folder.path().join("round")).unwrap();
    symlink("..", folder.path().join("up.toml")).unwrap();
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
    symlink("b.toml", folder.path().join("a.toml")).unwrap();
    symlink("a.toml", folder.path().join("b.toml")).unwrap();
    symlink("gone.toml", folder.path().join("c.toml")).unwrap();
    // The system's own words for it differ.
    let faults = told(&folder);
    let heads: Vec<&str> = faults.lines().filter(|line| line.contains("-->")).map(str::trim).collect();
    assert_eq!(heads, ["--> a.toml:1:1", "--> b.toml:1:1", "--> c.toml:1:1"], "{faults}");
    assert_eq!(faults.matches("error[not-readable]: this file cannot be read: ").count(), 3, "{faults}");
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, layout) = tiny("odd-rights");
    folder.write("more.toml", layout);
    let path = folder.path().join("more.toml");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    if std::fs::read(&path).is_err() {
        let faults = told(&folder);
        assert!(faults.contains("error[not-readable]") && faults.contains("--> more.toml:1:1"), "{faults}");
    } else {
        // Whoever may read everything reads a second copy of everything.
        assert!(told(&folder).contains("error[same-id]"));
    }
}

#[test]
fn a_line_of_millions_of_signs_is_told_in_a_line_that_a_screen_shows() {
    let long = if cfg!(debug_assertions) { 2_000_000 } else { 20_000_000 };
    let (folder, _) = tiny("odd-line");
    for text in [format!("note = \"{}\"", "x".repeat(long)), "x".repeat(long), "[".repeat(long)] {
        folder.write("long.toml", text);
        let faults = told(&folder);
        assert!(faults.contains("--> long.toml:1:"), "{faults}");
        assert!(faults.lines().all(|line| line.len() < 300), "a line is too long to be read");
    }
    folder.write("long.toml", "");
    folder.write("cars.csv", format!("mark,number,type\nCHT,1,XM,{}\n", "x".repeat(long)));
    let faults = told(&folder);
    assert!(faults.contains("--> cars.csv:2:") && faults.lines().all(|line| line.len() < 300), "{faults}");
}
