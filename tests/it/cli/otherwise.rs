//! Sessions that went otherwise than planned: every way to say so, and back again.

use super::Folder;

fn planned(test: &str) -> Folder {
    let folder = Folder::of("tiny", test);
    folder.run(&["plan", "--seed", "1"]);
    folder
}

#[test]
fn a_record_may_be_saved_in_any_letters() {
    let words = "CHT 2 left\r\njob drill ran # Übung\r\n";
    let wide = |order: fn(u16) -> [u8; 2]| {
        let letters = [0xFEFF].into_iter().chain(words.encode_utf16());
        letters.flat_map(order).collect::<Vec<u8>>()
    };
    // Windows-1252: U-umlaut is the one byte DC.
    let old: Vec<u8> = words.chars().map(|sign| u8::try_from(u32::from(sign)).unwrap()).collect();
    let marked = format!("\u{feff}{words}").into_bytes();
    let all = [words.as_bytes().to_vec(), marked, wide(u16::to_le_bytes), wide(u16::to_be_bytes), old];
    let recorded = all.map(|bytes| {
        let folder = Folder::of("tiny", "record-letters");
        assert_eq!(folder.run(&["plan"]).status, Some(0));
        folder.write("mine.txt", bytes);
        let ran = folder.run(&["close", "--record", "mine.txt"]);
        assert_eq!(ran.status, Some(0), "{ran}");
        folder.read("ledger/0001/recorded.toml")
    });
    assert!(recorded[0].contains("CHT 2 left") && recorded.iter().all(|one| *one == recorded[0]));
}

#[test]
fn a_sheet_is_written_filled_in_as_planned_and_says_nothing_unchanged() {
    let folder = planned("sheet");
    insta::assert_snapshot!("sheet", folder.run(&["close", "--sheet"]));
    insta::assert_snapshot!("sheet_text", folder.read("ledger/0001/record.txt"));
    insta::assert_snapshot!("sheet_again", folder.run(&["close", "--sheet"]));
    let ran = folder.run(&["close", "--record", "ledger/0001/record.txt"]);
    assert_eq!(ran.stdout, "Session 1 is closed: everything happened as planned.\n", "{ran}");
}

#[test]
fn a_record_and_the_command_line_say_the_same() {
    let words = planned("record");
    words.write("what.txt", "# Tonight\nCHT 1 left # too late\n\njob drill not run\n");
    let record = words.run(&["close", "--record", "what.txt"]);
    let line = planned("command-line");
    let said = line.run(&["close", "--left", "cht1", "--not-run", "Harbor Drill"]);
    assert_eq!(record, said);
    assert_eq!(words.read("ledger/0001/recorded.toml"), line.read("ledger/0001/recorded.toml"));
    insta::assert_snapshot!("close_not_run", said);
    insta::assert_snapshot!("close_not_run_recorded", line.read("ledger/0001/recorded.toml"));
    assert_eq!(line.read("ledger/standing.toml"), words.read("ledger/standing.toml"));
}

#[test]
fn cars_are_where_the_host_says() {
    let folder = planned("cars-at");
    let said =
        ["close", "--at", "1=mill/door 2", "--at", "CHT 2=shelf", "--at", "CHT 3=beyond", "--bad-order", "1"];
    insta::assert_snapshot!("close_at", folder.run(&said));
    insta::assert_snapshot!("close_at_recorded", folder.read("ledger/0001/recorded.toml"));
    insta::assert_snapshot!("close_at_standing", folder.read("ledger/standing.toml"));
}

#[test]
fn what_cannot_be_is_told_at_once_and_nothing_is_written() {
    let folder = planned("cannot-be");
    let before = (folder.files(), folder.read("ledger/standing.toml"));
    folder.write(
        "what.txt",
        "CHT 11 left\nCHT 1 at harbor/mil/door 1\njob dril not run\nwhat was it\nCHT 2 lost\n",
    );
    insta::assert_snapshot!(
        "close_not_understood",
        folder.run(&[
            "close",
            "--record",
            "what.txt",
            "--left",
            "CHT 3",
            "--at",
            "CHT 3=harbor/1",
            "--ran-to",
            "drill=7",
        ])
    );
    let full = ["close", "--at", "CHT 1=door 1", "--at", "CHT 2=door 1", "--at", "CHT 3=door 1"];
    insta::assert_snapshot!("close_no_room", folder.run(&full));
    insta::assert_snapshot!("close_no_sign", folder.run(&["close", "--at", "CHT 1"]));
    insta::assert_snapshot!("close_no_file", folder.run(&["close", "--record", "nowhere.txt"]));
    std::fs::remove_file(folder.path().join("what.txt")).unwrap();
    assert_eq!(before, (folder.files(), folder.read("ledger/standing.toml")));
}

#[test]
fn the_last_session_is_taken_back_whole() {
    let folder = planned("reopen");
    let before: Vec<(String, String)> =
        folder.files().into_iter().map(|name| (name.clone(), folder.read(&name))).collect();
    folder.run(&["close", "--not-run", "drill"]);
    folder.run(&["plan"]);
    insta::assert_snapshot!("reopen", folder.run(&["reopen"]));
    for (name, text) in &before {
        assert_eq!(&folder.read(name), text, "{name}");
    }
    assert!(!folder.files().contains(&"ledger/0001/recorded.toml".to_owned()));
    insta::assert_snapshot!("reopen_again", folder.run(&["reopen"]));
    let again = folder.run(&["plan", "--as", "json"]).json();
    assert_eq!((again["session"].as_i64(), again["revision"].as_i64()), (Some(1), Some(2)));
    assert_eq!(folder.run(&["close"]).status, Some(0));
    let next = folder.run(&["plan", "--as", "json"]).json();
    assert_eq!((next["session"].as_i64(), next["revision"].as_i64()), (Some(2), Some(2)));
}

#[test]
fn minutes_are_kept_beside_the_estimate_however_they_are_said() {
    let line = planned("minutes-line");
    let said = line.run(&["close", "--minutes", "Harbor Drill=1:15"]);
    insta::assert_snapshot!("close_minutes", said);
    insta::assert_snapshot!("close_minutes_recorded", line.read("ledger/0001/recorded.toml"));
    let sheet = planned("minutes-sheet");
    sheet.run(&["close", "--sheet"]);
    let filled = sheet.read("ledger/0001/record.txt").replacen("took ?", "took 75", 1);
    sheet.write("ledger/0001/record.txt", &filled);
    assert_eq!(sheet.run(&["close", "--record", "ledger/0001/record.txt"]), said);
    assert_eq!(sheet.read("ledger/0001/recorded.toml"), line.read("ledger/0001/recorded.toml"));
    assert_eq!(sheet.read("ledger/standing.toml"), line.read("ledger/standing.toml"));
}

#[test]
fn minutes_that_cannot_be_are_told() {
    let folder = planned("minutes-wrong");
    let wrong = [
        "close",
        "--minutes",
        "drill=0",
        "--minutes",
        "drill=soon",
        "--minutes",
        "dril=5",
        "--minutes",
        "turn=5",
        "--minutes",
        "turn=6",
        "--not-run",
        "turn",
    ];
    insta::assert_snapshot!("close_minutes_wrong", folder.run(&wrong));
}

#[test]
fn a_page_to_carry_round_is_one_file_and_says_the_same_each_time() {
    let folder = planned("page");
    let ran = folder.run(&["close", "--page"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (Some(0), ""), "{ran}");
    let page = folder.read("ledger/0001/record.html");
    folder.run(&["close", "--page", "--into", "again.html"]);
    assert_eq!(folder.read("again.html"), page);
    let (_, data) = page.split_once("id=\"session\">").unwrap();
    let data: serde_json::Value = serde_json::from_str(data.split_once("</script>").unwrap().0).unwrap();
    let tracks = data["places"][0]["tracks"].as_array().unwrap();
    let ids: Vec<&str> = tracks.iter().map(|track| track["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["harbor/1", "harbor/2", "harbor/in", "harbor/mill", "harbor/out"]);
    let count = |rows: &serde_json::Value| -> usize {
        rows.as_array().unwrap().iter().map(|row| row["cars"].as_array().unwrap().len()).sum()
    };
    assert_eq!(count(&data["places"][0]["tracks"]) + count(&data["away"]), 6, "every car once");
    assert_eq!(data["jobs"][0]["id"], "drill");
    assert!(
        !page.contains("http:") && !page.contains("https:") && !page.contains("{{"),
        "nothing is from elsewhere, and nothing is missing"
    );
    assert_eq!(folder.run(&["close", "--page", "--sheet"]).status, Some(2));
    assert_eq!(folder.run(&["close"]).status, Some(0), "a page closes nothing");
}
