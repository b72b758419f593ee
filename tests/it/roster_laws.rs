//! Laws of the roster: whatever a file says, it is read or refused; what says nothing new changes nothing.

use proptest::prelude::*;
use setout::diag::Sources;
use setout::roster::sheet::Sheet;
use setout::roster::{Asked, decode, take_in};

const BASE: &str = include_str!("faults/0-base.toml");

fn description(roster: &str) -> Sources {
    let mut sources = Sources::default();
    sources.add("layout.toml", BASE);
    sources.add("cars.csv", roster);
    sources
}

/// A roster as hosts keep it: any order of columns and rows, remarks, blank rows, quotes, line ends.
fn roster() -> impl Strategy<Value = String> {
    let row = prop_oneof![
        4 => ("[a-z \"',;#éß=-]{0,12}", any::<bool>()).prop_map(Some),
        1 => Just(None),
    ];
    let ends = prop_oneof![Just("\n"), Just("\r\n")];
    let separators = prop_oneof![Just(','), Just(';'), Just('\t')];
    (proptest::collection::vec(row, 0..12), ends, separators, any::<bool>(), any::<bool>()).prop_map(
        |(rows, end, separator, last_end, remark)| {
            let mut lines: Vec<String> = Vec::new();
            if remark {
                lines.push(format!("# mine{separator}{separator}"));
            }
            lines.push(["note", "Type", "mark", "number"].join(&separator.to_string()));
            for (place, row) in rows.into_iter().enumerate() {
                lines.push(match row {
                    Some((note, quoted)) => {
                        let bare = !note.trim_start().starts_with('"') && !note.contains(separator);
                        let note =
                            if quoted || !bare { format!("\"{}\"", note.replace('"', "\"\"")) } else { note };
                        [&*note, "XM", "CHT", &(500 + place).to_string()].join(&separator.to_string())
                    }
                    None => separator.to_string().repeat(place % 4),
                });
            }
            lines.join(end) + if last_end { end } else { "" }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn a_roster_taken_in_from_itself_stays_as_it_is_sign_for_sign(text in roster()) {
        let sheet = Sheet::of_text("mine.csv", text.clone()).unwrap();
        let taken = take_in(&description(&text), &sheet, &Asked::default());
        let taken = taken.map_err(|(_, faults)| setout::diag::render::text(&faults, false)).unwrap();
        prop_assert_eq!(&taken.text, &text);
        prop_assert!(taken.new.is_empty() && taken.changed.is_empty());
    }

    #[test]
    fn a_roster_taken_into_an_empty_one_holds_the_same_cars(text in roster()) {
        let sheet = Sheet::of_text("mine.csv", text).unwrap();
        let first = take_in(&description(""), &sheet, &Asked::default()).unwrap();
        prop_assert_eq!(first.new.len(), first.cars);
        let second = take_in(&description(&first.text), &sheet, &Asked { only: true, ..Asked::default() }).unwrap();
        prop_assert_eq!((second.new.len(), second.changed.len(), second.others.len()), (0, 0, 0));
        prop_assert_eq!(second.text, first.text);
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..300), head in any::<bool>()) {
        let head: &[u8] = if head { b"mark,number,type,length (ft),years,note\n" } else { b"" };
        let text = decode::decode(&[head, &bytes].concat()).text;
        if let Ok(sheet) = Sheet::of_text("mine.csv", text) {
            let _read_or_refused = take_in(&description("mark,number,type\nCHT,900,XM\n"), &sheet, &Asked::default());
        }
    }
}
