//! The roster in from spreadsheets and out to them: what is understood, asked back, written and kept.

use super::Folder;

/// A roster as a host keeps it: own order of columns, remarks, blank rows, quotes, semicolons, CRLF.
const OWN: &str = "# The roster of Tiny Terminal;;;\r\nnumber;note;mark;type\r\n\r\n1;\"runs badly; squeaks\";CHT;XM\r\n# bought last year;;;\r\n2;;CHT;XM\r\n3;;CHT;\"XM\"";

fn with_own(test: &str) -> Folder {
    let folder = Folder::of("tiny", test);
    folder.write("cars.csv", OWN);
    folder
}

#[test]
fn cars_come_in_under_names_of_the_hosts_own_and_nothing_is_written_unasked() {
    let folder = Folder::of("tiny", "roster-in");
    let before = folder.read("cars.csv");
    folder.write(
        "mine.csv",
        "My cars, 1978;;;;;\n\nReporting Mark;No.;Kind of car;Length (ft);Colour;Remarks\nCHT;1;XM;44,5;red;\nCHT;9;XM;;;new\n",
    );
    insta::assert_snapshot!("in", folder.run(&["roster", "in", "mine.csv"]));
    assert_eq!(folder.read("cars.csv"), before);
    let ran = folder.run(&["roster", "in", "mine.csv", "--write"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    insta::assert_snapshot!("in_written", folder.read("cars.csv"));
    assert_eq!(folder.run(&["check"]).status, Some(0));
    let again = folder.run(&["roster", "in", "mine.csv", "--as", "json"]).json();
    assert_eq!((&again["new"], &again["changed"]), (&serde_json::json!([]), &serde_json::json!([])));
    assert_eq!(again["columns"][3]["unit"], "ft");
}

#[test]
fn columns_that_nobody_knows_are_asked_back_all_at_once() {
    let folder = Folder::of("tiny", "roster-unsure");
    folder.write("mine.csv", "Road,Number,Kind,Price,Colr,Weight\nCHT,1,XM,12,red,30\n");
    insta::assert_snapshot!("unsure", folder.run(&["roster", "in", "mine.csv"]));
    let told = ["--column", "Road=mark", "--column", "Colr=color", "--column", "Weight=light"];
    let ran = folder.run(&[&["roster", "in", "mine.csv", "--leave-rest"], &told[..]].concat());
    assert_eq!((ran.status, ran.stderr.as_str()), (Some(0), ""), "{ran}");
    assert!(ran.stdout.contains("Price   left out") && ran.stdout.contains("color `red`"), "{ran}");
    insta::assert_snapshot!(
        "told_wrong",
        folder.run(&["roster", "in", "mine.csv", "--column", "Nummer=number", "--leave-rest"])
    );
    insta::assert_snapshot!(
        "told_no_word",
        folder.run(&["roster", "in", "mine.csv", "--column", "No=nummer"])
    );
}

#[test]
fn what_a_spreadsheet_did_is_told_where_it_stands_and_the_file_is_not_taken() {
    let folder = Folder::of("tiny", "roster-spoiled");
    folder.write(
        "mine.csv",
        "Mark,No.,Type,Length,Years\nCHT,007,XM,44 ft,\nCHT,1.2E+04,XM,44 ft,\nCHT,2-Jan,XM,44,\nC&O,10,XM,44 ft,1/2/1962\nCHT,11,XQ,44 ft,\nCHT,11,XM,,\n",
    );
    insta::assert_snapshot!("spoiled", folder.run(&["roster", "in", "mine.csv", "--write"]));
    folder.write("quote.csv", "mark,number,type\nCHT,1,\"XM\nCHT,2,XM\n");
    insta::assert_snapshot!("quote", folder.run(&["roster", "in", "quote.csv"]));
    folder.write("empty.csv", "\n\n");
    let ran = folder.run(&["roster", "in", "empty.csv", "--as", "json"]);
    assert_eq!((ran.status, &ran.json()["faults"][0]["code"]), (Some(2), &serde_json::json!("not-a-roster")));
}

#[test]
fn zeros_in_front_are_named_and_the_car_is_the_same() {
    let folder = Folder::of("tiny", "roster-zeros");
    folder.write(
        "mine.csv",
        "mark,number,type,length,home\nCHT,0001,XM,44 ft,beyond\nCHT,08,XM,44 ft,beyond\n",
    );
    let ran = folder.run(&["roster", "in", "mine.csv"]);
    assert!(ran.stderr.contains("warning[leading-zeros]") && ran.stderr.contains("mine.csv:3:5"), "{ran}");
    assert!(ran.stdout.contains("1 car new: CHT 8"), "{ran}");
}

#[test]
fn the_hosts_own_file_keeps_its_order_remarks_quotes_and_line_ends() {
    let folder = with_own("roster-own");
    assert_eq!(folder.run(&["check"]).status, Some(0), "remarks do no harm");
    folder.write("mine.csv", "type,mark,number,note\nXM,CHT,2,\"odd; very\"\nXM,CHT,3,\nXM,CHT,4,\n");
    let ran = folder.run(&["roster", "in", "mine.csv", "--write"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    let expected = OWN.replace("2;;CHT;XM\r\n", "2;\"odd; very\";CHT;XM\r\n") + "\r\n4;;CHT;XM\r\n";
    assert_eq!(folder.read("cars.csv"), expected);

    folder.write("mine.csv", "mark,number,color\nCHT,1,red\nCHT,4,\n");
    let ran = folder.run(&["roster", "in", "mine.csv", "--write", "--only"]);
    assert!(ran.stdout.contains("2 other cars taken out of cars.csv: CHT 2, CHT 3"), "{ran}");
    assert_eq!(
        folder.read("cars.csv"),
        "# The roster of Tiny Terminal;;;\r\nnumber;note;mark;type;color\r\n\r\n1;\"runs badly; squeaks\";CHT;XM;red\r\n# bought last year;;;\r\n4;;CHT;XM;\r\n"
    );
}

#[test]
fn a_roster_in_any_encoding_is_the_same_roster_and_can_be_mended() {
    let text = "mark;number;type;note\r\nCHT;1;XM;grün\r\nCHT;2;XM;€\r\n";
    let wide: Vec<u8> = [0xFEFF].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let narrow: Vec<u8> = text
        .chars()
        .map(|letter| match letter {
            'ü' => 0xFC,
            '€' => 0x80,
            plain => u8::try_from(plain).unwrap(),
        })
        .collect();
    let mut pages = Vec::new();
    for (name, bytes) in [
        ("plain", text.as_bytes().to_vec()),
        ("marked", format!("\u{feff}{text}").into_bytes()),
        ("wide", wide),
        ("narrow", narrow),
    ] {
        let folder = Folder::of("tiny", &format!("roster-{name}"));
        folder.write("mine.csv", &bytes);
        let ran = folder.run(&["roster", "in", "mine.csv", "--only", "--write"]);
        assert_eq!(ran.status, Some(0), "{ran}");
        pages.push((ran.stdout, folder.read("cars.csv")));
        // The host's own file, saved that way, is put in order by taking it in from itself.
        folder.write("cars.csv", &bytes);
        assert_eq!(folder.run(&["roster", "in", "cars.csv", "--write"]).status, Some(0));
        assert_eq!(folder.read("cars.csv").trim_start_matches('\u{feff}'), text);
    }
    assert!(pages.iter().all(|page| *page == pages[0]), "{pages:?}");
}

#[test]
fn all_cars_come_out_and_in_again_unchanged() {
    for separator in ["comma", "semicolon", "tab"] {
        let folder = Folder::empty(&format!("roster-round-{separator}"));
        folder.take("demo-layout");
        let out = ["roster", "out", "demo-layout", "--separator", separator, "--into", "out.csv"];
        let ran = folder.run(&out);
        assert_eq!(ran.status, Some(0), "{ran}");
        assert_eq!(folder.run(&out).status, Some(2), "a file that is there stays");
        let ran = folder.run(&["roster", "in", "out.csv", "demo-layout", "--only"]);
        assert_eq!((ran.status, ran.stderr.as_str()), (Some(0), ""), "{ran}");
        assert!(ran.stdout.ends_with("\nNothing changes.\n"), "{ran}");
        // As the whole roster of the same layout, it makes the same layout.
        let before = folder.run(&["check", "demo-layout", "--as", "json"]).stdout;
        folder.write("demo-layout/cars.csv", folder.read("out.csv"));
        folder.write("demo-layout/work-cars.toml", "# These cars are in the roster now.\n");
        let after = folder.run(&["check", "demo-layout", "--as", "json"]).stdout;
        assert!(before == after, "the layout is another one: {after:.300}");
    }
}

#[test]
fn values_that_spreadsheets_spoil_survive() {
    let folder = Folder::of("tiny", "roster-guarded");
    folder.write(
        "cars.csv",
        "mark,number,type,years,note\nCHT,1,XM,-1980,=SUM\nCHT,2,XM,1962-,1/2\nCHT,3,XM,,\"+ chains, \"\"red\"\"\"\n",
    );
    let ran = folder.run(&["roster", "out"]);
    insta::assert_snapshot!("guarded", ran);
    folder.write("out.csv", &ran.stdout);
    let ran = folder.run(&["roster", "in", "out.csv", "--only"]);
    assert!(ran.stdout.ends_with("\nNothing changes.\n"), "{ran}");
}

#[test]
fn cars_of_the_description_stay_in_the_description() {
    let folder = Folder::of("tiny", "roster-elsewhere");
    folder.write("more.toml", "[[car]]\nmark = \"CHT\"\nnumber = 70\ntype = \"XM\"\nlength = \"44 ft\"\n");
    folder.write("mine.csv", "mark,number,type,length\nCHT,70,XM,50 ft\nCHT,71,XM,50 ft\n");
    let ran = folder.run(&["roster", "in", "mine.csv", "--write"]);
    assert!(ran.stdout.contains("CHT 70 stands in more.toml and differs there: change it by hand"), "{ran}");
    assert!(folder.read("cars.csv").ends_with("CHT,71,XM,50 ft,\n"));
    let cars = folder.run(&["roster", "out", "--as", "json"]).json();
    assert_eq!(
        cars[6],
        serde_json::json!({ "mark": "CHT", "number": "70", "type": "XM", "length": "44 ft" })
    );
}

#[test]
fn slips_in_the_roster_are_found() {
    let folder = Folder::of("tiny", "roster-check");
    assert_eq!(folder.run(&["roster", "check"]).status, Some(0));
    folder.write(
        "cars.csv",
        "mark,number,type,length,height,years\nCHT,1234,XM,44 ft,,\nCHT,1243,XM,44 ft,,\nCHT,12334,XM,44 ft,,\nCHT,5,XM,144 ft,,\nCHT,6,XM,4 ft,,\nCHT,7,XM,44 ft,44 ft,\nZZU,8,XM,44 ft,,\nQQ,9,XM,44 ft,,\nQVLX,10,T,44 ft,,\nCHT,11,XM,44 ft,,1985-\nCHT,12,HT,44 ft,,\n",
    );
    insta::assert_snapshot!("slips", folder.run(&["roster", "check"]));
    let codes: Vec<String> = folder.run(&["roster", "check", "--as", "json"]).json()["faults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| fault["code"].as_str().unwrap().to_owned())
        .collect();
    let page = std::fs::read_to_string(super::project().join("docs/roster.md")).unwrap();
    for code in codes {
        assert!(page.contains(&format!("`{code}`")) || code == "car-outside-its-years", "{code}");
    }
}

#[test]
fn a_faulty_roster_is_checked_as_far_as_it_goes() {
    let folder = Folder::of("tiny", "roster-faulty");
    folder.write("cars.csv", "mark,number,type\nCHT,1,XM\nCHT,1,XM\nC1,2,XM\n");
    folder.write("broken.toml", "[place.x]\nname = 3\n");
    insta::assert_snapshot!("faulty", folder.run(&["roster", "check"]));
}
