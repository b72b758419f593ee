//! A layout that changes while its ledger runs: nothing is lost, and what is to be done is said.

use std::collections::BTreeSet;

use super::Folder;

/// A ledger with two sessions closed, and the next one planned where that is asked for.
fn running(test: &str, planned: bool) -> Folder {
    let folder = Folder::of("tiny", test);
    for arguments in [["plan"], ["close"], ["plan"], ["close"]] {
        let ran = folder.run(&arguments);
        assert_eq!(ran.status, Some(0), "{ran}");
    }
    if planned {
        assert_eq!(folder.run(&["plan"]).status, Some(0));
    }
    folder
}

fn change(folder: &Folder, file: &str, changes: &[(&str, &str)]) {
    let mut text = folder.read(file);
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    folder.write(file, text);
}

/// Every car that the standing places, each of them once.
fn cars(folder: &Folder) -> BTreeSet<String> {
    let standing = folder.read("ledger/standing.toml");
    let rows = standing.split("[tracks]").nth(1).unwrap().split("[cars]").next().unwrap().to_owned();
    let names: Vec<String> = rows
        .split('"')
        .filter(|words| words.starts_with("CHT ") || words.starts_with("RV "))
        .map(str::to_owned)
        .collect();
    let once: BTreeSet<String> = names.iter().cloned().collect();
    assert_eq!(names.len(), once.len(), "a car stands twice:\n{rows}");
    once
}

/// Goes on for three sessions.
fn goes_on(folder: &Folder) {
    for _ in 0..3 {
        for arguments in [["plan"], ["close"]] {
            let ran = folder.run(&arguments);
            assert_eq!(ran.status, Some(0), "{ran}");
        }
    }
}

/// Other ids for everything whose id the ledger keeps.
const RENAMED: [(&str, &str); 9] = [
    ("[place.harbor]", "[place.port]\nwas = \"harbor\""),
    ("[place.harbor.track.1]", "[place.port.track.main-yard]\nwas = \"1\""),
    ("[place.harbor.", "[place.port."),
    ("harbor/", "port/"),
    ("\"harbor\"]", "\"port\"]"),
    ("place = \"harbor\"", "place = \"port\""),
    ("{ name = \"door 1\" }", "{ name = \"north door\", was = \"door 1\" }"),
    ("\"mill/door 1\"", "\"mill/north door\""),
    ("[gateway.beyond]", "[gateway.world]\nwas = \"beyond\""),
];

fn rename(folder: &Folder) {
    change(folder, "layout.toml", &RENAMED);
    change(
        folder,
        "layout.toml",
        &[
            ("to = \"beyond\"", "to = \"world\""),
            ("[commodity.paper]", "[commodity.newsprint]\nwas = [\"paper\"]"),
            ("ships.paper", "ships.newsprint"),
            ("commodity = \"paper\"", "commodity = \"newsprint\""),
            ("[industry.mill]", "[industry.works]\nwas = \"mill\""),
            ("from = \"mill\"", "from = \"works\""),
        ],
    );
    change(folder, "cars.csv", &[("beyond", "world"), ("home", "home,was"), ("world", "world,")]);
    change(folder, "cars.csv", &[("CHT,1,XM,44 ft,world,", "CHT,71,XM,44 ft,world,CHT 1")]);
}

/// A standing in which the old ids are put for the new ones.
fn in_old_words(text: &str) -> String {
    let words = [
        ("port/main-yard", "harbor/1"),
        ("port/", "harbor/"),
        ("north door", "door 1"),
        ("newsprint: works > world", "paper: mill > beyond"),
        ("lading = \"newsprint\"", "lading = \"paper\""),
        ("world", "beyond"),
        ("CHT 71", "CHT 1"),
    ];
    let mut text = words.iter().fold(text.to_owned(), |text, (new, old)| text.replace(new, old));
    // The order of lines follows the ids.
    let mut lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    lines.sort_unstable();
    text = lines.join("\n");
    text
}

#[test]
fn with_other_ids_for_everything_a_planned_session_closes_as_it_would_have() {
    let (same, other) = (running("changes-same", true), running("changes-other", true));
    rename(&other);
    let ran = other.run(&["check"]);
    assert_eq!((ran.status, &*ran.stderr), (Some(0), ""), "{ran}");
    for folder in [&same, &other] {
        let ran = folder.run(&["close", "--left", "CHT 2"]);
        assert_eq!(ran.status, Some(0), "{ran}");
    }
    let (one, two) = (same.read("ledger/standing.toml"), other.read("ledger/standing.toml"));
    assert_eq!(in_old_words(&two), in_old_words(&one));
    assert!(!two.contains("harbor/") && two.contains("CHT 71"), "{two}");
    goes_on(&other);
}

#[test]
fn a_track_that_is_gone_under_a_planned_session_is_told_when_it_is_closed() {
    let folder = running("changes-closed", true);
    let before = cars(&folder);
    // The spur is torn up; its customer is served on a new one.
    change(&folder, "layout.toml", &[("track.mill]", "track.annex]"), ("\"mill/door", "\"annex/door")]);
    let ran = folder.run(&["close"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    let told = ran.stderr.matches("which the layout no longer has: put it at ").count();
    assert!(
        told > 0 && ran.stderr.starts_with("the layout changed since this session was planned:\n"),
        "{ran}"
    );
    assert_eq!(cars(&folder), before);
    assert!(!folder.read("ledger/standing.toml").contains("harbor/mill"), "a track that is gone");
    goes_on(&folder);
}

#[test]
fn a_track_made_shorter_gives_up_what_it_no_longer_holds() {
    let folder = running("changes-shorter", false);
    let before = cars(&folder);
    let row = folder.read("ledger/standing.toml");
    // 44 ft in HO are 6.06 in: no car stands on the interchange tracks any more.
    change(&folder, "layout.toml", &[("length = \"40 in\"", "length = \"5 in\"")]);
    let ran = folder.run(&["check"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    assert!(ran.stderr.contains("which no longer holds it: put it at "), "{ran}\n{row}");
    goes_on(&folder);
    assert_eq!(cars(&folder), before);
}

#[test]
fn two_tracks_that_become_one_hand_on_what_stands_on_both() {
    let folder = running("changes-one", false);
    let before = cars(&folder);
    let text = folder.read("layout.toml");
    let at = text.find("[place.harbor.track.out]").unwrap();
    let end = at + text[at..].find("\n[place").unwrap();
    let text = format!("{}{}", &text[..at], &text[end..]);
    let text = text.replace("[place.harbor.track.in]", "[place.harbor.track.both]\nwas = [\"in\", \"out\"]");
    let text = text.replace("length = \"40 in\"", "length = \"80 in\"");
    folder
        .write("layout.toml", text.replace("harbor/out", "harbor/both").replace("harbor/in", "harbor/both"));
    let ran = folder.run(&["check"]);
    assert_eq!((ran.status, &*ran.stderr), (Some(0), ""), "{ran}");
    goes_on(&folder);
    assert_eq!(cars(&folder), before);
}

#[test]
fn cars_that_are_sold_and_bought_leave_and_join() {
    let folder = running("changes-cars", true);
    let before = cars(&folder);
    change(&folder, "cars.csv", &[("CHT,2,XM,44 ft,beyond\n", ""), ("CHT,6,", "CHT,60,")]);
    let ran = folder.run(&["close"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    goes_on(&folder);
    let mut expected = before;
    expected.retain(|car| car != "CHT 2" && car != "CHT 6");
    expected.insert("CHT 60".to_owned());
    assert_eq!(cars(&folder), expected);
}

#[test]
fn a_customer_of_another_railroad_and_a_section_that_opens_are_planned_for() {
    let folder = running("changes-road", false);
    let before = cars(&folder);
    change(
        &folder,
        "layout.toml",
        &[
            (
                "[place.harbor]",
                "[railroad.GLN]\nname = \"Great Lakes Northern\"\n\n[place.cove]\nname = \"Cove\"\nrailroad = \"GLN\"\n\
             since = 1978-10-05\n\n[place.cove.track.1]\nuse = \"yard\"\nlength = \"60 in\"\nopens = \"both\"\n\n\
             [[link]]\nbetween = [\"harbor\", \"cove\"]\nminutes = 3\nsince = 1978-10-05\n\n\
             [job.cove-turn]\nrailroad = \"GLN\"\ncalls = [\"harbor\", \"cove\", \"harbor\"]\npower = \"8 in\"\n\
             since = 1978-10-05\n\n[place.harbor]\nworked_by = [\"CHT\", \"GLN\"]",
            ),
            ("name = \"Harbor Mill\"", "name = \"Harbor Mill\"\nserved_by = \"GLN\""),
            ("railroad = \"CHT\"\nkind", "railroad = \"GLN\"\nkind"),
        ],
    );
    let ran = folder.run(&["check"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    goes_on(&folder);
    assert_eq!(cars(&folder), before);
}

/// The tiny layout without its lane, or with another one.
fn without_lane(folder: &Folder, other: &str) {
    let text = folder.read("layout.toml");
    let at = text.find("[[lane]]").unwrap();
    let end = at + text[at..].find("\n[job").unwrap();
    folder.write("layout.toml", format!("{}{other}{}", &text[..at], &text[end..]));
}

#[test]
fn orders_of_a_lane_that_is_gone_are_cancelled_and_their_cars_are_free() {
    for planned in [false, true] {
        let folder = running(if planned { "changes-lane-planned" } else { "changes-lane" }, planned);
        let before = cars(&folder);
        let orders = folder.read("ledger/standing.toml").matches("lane = ").count();
        let other = "[[lane]]\nid = \"rolls\"\ncommodity = \"paper\"\nfrom = \"mill\"\nto = \"beyond\"\ncarloads = \"4 a week\"\n";
        without_lane(&folder, other);
        let checked = folder.run(&["check"]);
        let told = checked
            .stderr
            .matches("is cancelled, as the layout no longer has its lane `paper: mill > beyond`");
        assert_eq!((checked.status, told.count()), (Some(0), orders), "{checked}");
        assert!(orders > 0 && checked.stderr.contains("is empty now: take its load out"), "{checked}");
        if planned {
            let closed = folder.run(&["close"]);
            assert!(closed.status == Some(0) && closed.stderr.contains("is cancelled"), "{closed}");
        } else {
            // The host's page says it, too; the cars are planned for anew.
            assert_eq!(folder.run(&["plan"]).status, Some(0));
            assert!(folder.read("ledger/0003/paper/host-page.txt").contains("is cancelled"));
            assert_eq!(folder.run(&["close"]).status, Some(0));
        }
        assert!(!folder.read("ledger/standing.toml").contains("mill > beyond"));
        goes_on(&folder);
        assert_eq!(cars(&folder), before);
        let ordered = (4..=6).any(|session| {
            folder.read(&format!("ledger/{session:04}/plan.json")).contains("\"lane\": \"rolls\"")
        });
        assert!(ordered, "nothing is ordered any more");
    }
}

#[test]
fn a_lane_that_a_hand_took_out_of_the_standing_is_no_change_of_the_layout() {
    let folder = running("changes-lane-hand", false);
    change(
        &folder,
        "ledger/standing.toml",
        &[("lane = \"paper: mill > beyond\"", "lane = \"paper: mil > beyond\"")],
    );
    let checked = folder.run(&["check"]);
    assert!(checked.status == Some(2) && checked.stderr.contains("is not in the layout"), "{checked}");
}

#[test]
fn a_track_may_go_before_the_first_session_is_closed() {
    let folder = Folder::of("tiny", "changes-first");
    let layout = folder.read("layout.toml");
    let siding = "\n[place.harbor.track.9]\nuse = \"yard\"\nlength = \"40 in\"\nopens = \"both\"\n";
    folder.write(
        "layout.toml",
        layout.replace("[place.harbor.track.1]\nuse = \"yard\"", "[place.harbor.track.1]\nuse = \"storage\"")
            + siding,
    );
    assert_eq!(folder.run(&["plan"]).status, Some(0));
    let before = cars(&folder);
    change(
        &folder,
        "layout.toml",
        &[("[place.harbor.track.mill]", "[place.harbor.track.annex]"), ("\"mill/door", "\"annex/door")],
    );
    let checked = folder.run(&["check"]);
    assert!(
        checked.status == Some(0) && checked.stderr.contains("harbor/mill, which the layout no longer has"),
        "{checked}"
    );
    for arguments in [["plan"], ["close"]] {
        assert_eq!(folder.run(&arguments).status, Some(0));
    }
    assert_eq!(cars(&folder), before);
    // A slip in the first standing is one, as later.
    let other = Folder::of("tiny", "changes-first-slip");
    assert_eq!(other.run(&["plan"]).status, Some(0));
    change(&other, "ledger/standing.toml", &[("\"harbor/mill\"", "\"harbor/mil\"")]);
    assert_eq!(other.run(&["check"]).status, Some(2));
}

#[test]
fn a_car_renamed_in_the_spreadsheet_keeps_its_place_its_order_and_its_history() {
    let folder = running("changes-renamed-car", false);
    let before = folder.read("ledger/standing.toml");
    folder.write("mine.csv", "Reporting mark;No.;Kind;was\nGLN;1;XM;CHT 1\nCHT;2;XM;\n");
    let shown = folder.run(&["roster", "in", "mine.csv"]);
    assert!(shown.status == Some(0) && shown.stdout.contains("CHT 1: mark `CHT` becomes `GLN`"), "{shown}");
    let ran = folder.run(&["roster", "in", "mine.csv", "--write"]);
    assert_eq!(ran.status, Some(0), "{ran}");
    let roster = folder.read("cars.csv");
    assert!(roster.contains("GLN,1,XM,44 ft,beyond,CHT 1\n") && !roster.contains("CHT,1,"), "{roster}");
    assert_eq!(roster.lines().count(), 7, "a car more or less");
    assert_eq!(folder.run(&["check"]).stderr.matches("GLN 1").count(), 0);
    for arguments in [["plan"], ["close"]] {
        assert_eq!(folder.run(&arguments).status, Some(0));
    }
    let after = folder.read("ledger/standing.toml");
    assert!(!after.contains("CHT 1\"") && after.contains("\"GLN 1\""), "{after}");
    assert_eq!(before.matches("\"CHT 1\"").count() > 0, after.matches("\"GLN 1\"").count() > 0);
    // Under either name all that happened is found.
    let old = folder.run(&["ledger", "--car", "CHT 1"]);
    assert_eq!(folder.run(&["ledger", "--car", "GLN 1"]), old);
    assert!(old.stdout.contains("CHT 1"), "{old}");
    // Said again it changes nothing.
    let again = folder.run(&["roster", "in", "mine.csv", "--write"]);
    assert_eq!((again.status, folder.read("cars.csv")), (Some(0), roster), "{again}");
}

#[test]
fn a_job_with_another_id_keeps_its_history() {
    let folder = running("changes-job", true);
    let old = folder.run(&["ledger", "--job", "drill"]);
    change(&folder, "layout.toml", &[("[job.drill]", "[job.shifter]\nwas = \"drill\"")]);
    for arguments in [["check"], ["close"]] {
        assert_eq!(folder.run(&arguments).status, Some(0));
    }
    goes_on(&folder);
    let new = folder.run(&["ledger", "--job", "shifter"]);
    assert!(new.stdout.starts_with(&old.stdout) && new.stdout.len() > old.stdout.len(), "{old}\n{new}");
    assert_eq!(folder.run(&["ledger", "--job", "drill"]), new);
}
