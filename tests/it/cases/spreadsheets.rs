//! What spreadsheets and editors do to files: it does no harm, or it is told with file, line, field and a way
//! out, and no file is half read. Common practice, no source.

use crate::cli::{Folder, Ran};

/// A roster as nobody spoiled it.
const PLAIN: &str = "mark,number,type,length,years,note\nCHT,1,XM,44.5 ft,1962-1978,grün\nCHT,2,XM,44.5 ft,,\n\
                     CHT,3,XM,50 ft,1970-,\"quick, but odd\"\n";

/// A folder of which the roster is this one.
fn with(test: &str, roster: impl AsRef<[u8]>) -> Folder {
    let folder = Folder::of("tiny", test);
    folder.write("cars.csv", roster);
    folder
}

/// All cars, as the program itself writes them.
fn cars(folder: &Folder) -> Ran {
    let out = folder.run(&["roster", "out"]);
    assert_eq!(out.status, Some(0), "{out}");
    out
}

/// Refuses the folder with these faults, each with its place, and has planned nothing.
fn refused(folder: &Folder, faults: &[&str]) {
    for arguments in [&["check"][..], &["plan"]] {
        let ran = folder.run(arguments);
        assert_eq!(ran.status, Some(2), "{ran}");
        for fault in faults {
            assert!(ran.stderr.contains(fault), "no {fault} in:\n{ran}");
        }
    }
    assert!(!folder.files().iter().any(|file| file.starts_with("ledger/")), "{:?}", folder.files());
}

#[test]
fn the_mark_of_utf_8_is_read_as_if_it_were_not_there() {
    let plain = cars(&with("case-plain", PLAIN));
    let marked = with("case-mark", format!("\u{feff}{PLAIN}"));
    let layout = marked.read("layout.toml");
    marked.write("layout.toml", format!("\u{feff}{layout}"));
    assert_eq!(cars(&marked), plain);
    assert_eq!(marked.run(&["check"]).status, Some(0));
    // A mark alone is an empty roster and no car of a strange name.
    marked.write("cars.csv", "\u{feff}mark,number,type\n");
    assert_eq!(cars(&marked).stdout.lines().count(), 1);
}

#[test]
fn separators_and_line_ends_of_other_lands_and_systems_do_no_harm() {
    let plain = cars(&with("case-plain-ends", PLAIN));
    for (separator, end) in [(';', "\r\n"), ('\t', "\n"), (',', "\r"), (';', "\r")] {
        let quoted = PLAIN.replace("\"quick, but odd\"", "quick# but odd");
        let text = quoted.replace(',', &separator.to_string()).replace('#', ",").replace('\n', end);
        let text = if separator == ',' { text.replace("quick, but odd", "\"quick, but odd\"") } else { text };
        assert_eq!(cars(&with("case-ends", text)), plain, "{separator:?} {end:?}");
    }
    // A description, too, may have the line ends of an old system.
    let folder = with("case-ends-toml", PLAIN);
    folder.write("layout.toml", folder.read("layout.toml").replace('\n', "\r"));
    assert_eq!(cars(&folder), plain);
}

#[test]
fn blank_rows_and_blanks_around_values_do_no_harm() {
    let plain = cars(&with("case-plain-blanks", PLAIN));
    let blanks = "\n,,,,,\n mark , Number,TYPE ,length,years,note\n,,,,,\n  ,  ,,,,\n\u{a0}CHT ,\u{a0}1\u{a0}, XM ,44.5 ft , \
                  1962-1978 ,grün\nCHT,2,XM,44.5 ft,,\n\nCHT,3,XM,50 ft,1970-,\"quick, but odd\"\n,,,,,\n,,,,,\n\n";
    assert_eq!(cars(&with("case-blanks", blanks)), plain);
}

#[test]
fn letters_of_an_old_system_are_told_and_taken_in_on_request() {
    let plain = cars(&with("case-plain-letters", PLAIN));
    // Windows-1252: u-umlaut is the one byte FC.
    let old: Vec<u8> = PLAIN.chars().map(|sign| u8::try_from(u32::from(sign)).unwrap()).collect();
    let folder = with("case-letters", old);
    refused(&folder, &["error[not-utf8]", "cars.csv:2:30", "setout roster in cars.csv --write"]);
    assert_eq!(folder.run(&["roster", "in", "cars.csv", "--write"]).status, Some(0));
    assert_eq!(cars(&folder), plain);
}

#[test]
fn days_powers_and_failed_sums_are_told_in_the_field_where_they_stand() {
    let spoiled = "mark,number,type,length,years,note\nCHT,1.2E+04,XM,44.5 ft,,\nCHT,2,XM,#REF!,,\nCHT,3,XM,44 ft,02-Jan,\n";
    let folder = with("case-days", spoiled);
    let all = ["changed-by-spreadsheet", "cars.csv:2:5", "cars.csv:3:10", "cars.csv:4:16", "3 errors"];
    refused(&folder, &all);
    // Zeros in front are lost on the way, and the car is the same.
    folder.write("cars.csv", "mark,number,type\nCHT,0012,XM\n");
    let zeros = folder.run(&["check"]);
    assert!(zeros.status == Some(0) && zeros.stderr.contains("warning[leading-zeros]"), "{zeros}");
}

#[test]
fn a_car_that_stands_twice_is_told_with_both_places_and_neither_is_taken() {
    let folder = with("case-twice", PLAIN.to_owned() + " cht ,\u{a0}2,XM,44.5 ft,,\nCHT,02,XM,44.5 ft,,\n");
    refused(
        &folder,
        &["error[same-car]: a second car `CHT 2`", "cars.csv:5:", "the first is here", "cars.csv:6:5"],
    );
    let columns = with("case-columns", "mark,number,type,Number\nCHT,1,XM,2\n");
    refused(&columns, &["error[repeated-column]", "cars.csv:1:18", "first here"]);
}

#[test]
fn a_file_that_was_cut_off_or_merged_is_never_half_read() {
    // In the last row but one, between its mark and its last field.
    let (start, stop) = (PLAIN.find("CHT,2").unwrap(), PLAIN.find(",\nCHT,3").unwrap());
    for end in start + 1..stop {
        refused(
            &with("case-cut", &PLAIN[..end]),
            &["error[row-width]", "cars.csv:3:1", "whole copy", "1 error"],
        );
    }
    let quote = PLAIN.find("odd").unwrap();
    refused(&with("case-cut", &PLAIN[..quote]), &["error[quote-not-closed]", "cars.csv:4:22"]);
    let (ours, theirs) = ("<".repeat(7), ">".repeat(7));
    let merged = PLAIN
        .replace("CHT,2", &format!("{ours} HEAD\nCHT,2"))
        .replace("CHT,3", &format!("=======\nCHT,4,XM,40 ft,,\n{theirs} winter\nCHT,3"));
    refused(
        &with("case-merged", merged),
        &["two versions", "cars.csv:3:1", "keep the lines of one version", "1 error"],
    );
}
