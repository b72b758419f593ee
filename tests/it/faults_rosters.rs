//! What spreadsheets do to a roster: harmless, or told with file, line and field.

use setout::diag::{Diagnostics, Sources, render};
use setout::layout::Layout;

const BASE: &str = include_str!("faults/0-base.toml");

fn load(roster: &str) -> (Option<Layout>, Diagnostics) {
    let mut sources = Sources::default();
    sources.add("layout.toml", BASE);
    sources.add("cars.csv", roster);
    setout::layout::load(sources)
}

fn cars(roster: &str) -> Vec<String> {
    let (layout, diagnostics) = load(roster);
    let layout = layout.unwrap_or_else(|| panic!("{}", render::text(&diagnostics, false)));
    assert_eq!(render::text(&diagnostics, false), "");
    layout.cars().values().map(|car| format!("{}|{}", car.id, car.color.as_deref().unwrap_or(""))).collect()
}

#[test]
fn separators_line_ends_marks_blanks_and_column_order_do_no_harm() {
    let expected = ["CHT 7|red", "CHT 64|sky, faded", "CHT 100|", "GLN 200|"];
    for roster in [
        "mark,number,type,color\nCHT,7,XM,red\nCHT,64,XM,\"sky, faded\"\n",
        "mark;number;type;color\r\nCHT;7;XM;red\r\nCHT;64;XM;sky, faded\r\n",
        "mark\tnumber\ttype\tcolor\nCHT\t7\tXM\tred\nCHT\t64\tXM\tsky, faded",
        "\u{feff}mark;number;type;color\nCHT;7;XM;red\nCHT;64;XM;\"sky, faded\"",
        "\n\nColor;Type;Number;Mark;;\n;;;;;\nsky, faded; XM ;64; CHT ;;\n  ;;;;;\nred;XM;7;CHT;;\n;;;;;\n",
        "mark;number;type;color\rCHT;7;XM;red\rCHT;64;XM;sky, faded\r",
    ] {
        assert_eq!(cars(roster), expected, "{roster:?}");
    }
}

#[test]
fn accents_and_line_ends_within_quotes_are_kept() {
    assert_eq!(
        cars("mark,number,type,color\nCHT,7,XM,\"grün,\n\"\"matt\"\"\"\n")[0],
        "CHT 7|grün,\n\"matt\""
    );
}

#[test]
fn a_faulty_field_is_underlined_where_it_stands() {
    for (roster, place, words) in [
        ("mark,number,type\n\nCHT,7,XM\nCHT, 8 ,\"XQ\"\n", "cars.csv:4:10", "XQ"),
        ("mark;color;type;number\r\nCHT;\"a;b\";XQ;7\r\n", "cars.csv:2:11", "XQ"),
        ("\u{feff}mark;color;type;number\r\nCHT;grün;XQ;7\r\n", "cars.csv:2:10", "XQ"),
    ] {
        let (layout, diagnostics) = load(roster);
        let text = render::text(&diagnostics, false);
        assert!(layout.is_none() && text.contains(place), "{roster:?}:\n{text}");
        let fault = &render::json(&diagnostics)["faults"][0];
        assert_eq!(fault["place"]["words"], words, "{text}");
    }
}

#[test]
fn a_uic_number_needs_no_mark() {
    let roster = "mark,number,type,color\n,21 81 2471 217-3,XM,\n,518008430010,XM,\n";
    assert_eq!(cars(roster)[..2], ["21 81 2471 217-3|", "51 80 0843 001-0|"]);
}

#[test]
fn nothing_of_a_row_with_a_fault_is_read_and_every_fault_is_told() {
    let (layout, diagnostics) =
        load("mark,number,type,length,grade,load\nCHT,7,XM,44,cleen,glued\nC,x,XM,44 ft,,\n");
    assert!(layout.is_none());
    let codes: Vec<&str> = diagnostics.sorted().iter().map(|diagnostic| diagnostic.code).collect();
    assert_eq!(codes, ["bad-length", "unknown-word", "unknown-word", "bad-mark", "bad-car-number"]);
}
