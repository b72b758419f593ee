//! Sessions sized to the people who come.

use super::Folder;

#[test]
fn jobs_are_handed_out_and_the_page_says_to_whom() {
    let folder = Folder::of("tiny", "crew-2");
    insta::assert_snapshot!(
        "crew_of_two",
        folder.run(&["plan", "--seed", "1", "--crew", "2", "--hours", "1.5"])
    );
    let list = folder.read("ledger/0001/paper/switch-list-drill.txt");
    assert!(list.contains("person\u{a0}1") || list.contains("person 1"), "{list}");
    assert!(folder.read("ledger/0001/paper/host-page.txt").contains("Call board"));
}

#[test]
fn what_cannot_be_asked_of_a_crew_is_told() {
    let folder = Folder::of("tiny", "crew-wrong");
    let before = folder.files();
    insta::assert_snapshot!("crew_of_nobody", folder.run(&["plan", "--crew", "0"]));
    insta::assert_snapshot!("hours_without_a_crew", folder.run(&["plan", "--hours", "2"]));
    insta::assert_snapshot!("without_a_job_that_is_not", folder.run(&["plan", "--without", "express"]));
    assert_eq!(folder.files(), before);
}

/// The demo layout with so many people: what each of them has to do, and whether all fits.
fn demo(test: &str, arguments: &[&str]) -> serde_json::Value {
    let folder = Folder::empty(test);
    folder.take("demo-layout");
    let all = [&["plan", "demo-layout", "--dry-run", "--as", "json"], arguments].concat();
    let ran = folder.run(&all);
    // A plan is audited before it is shown: who is where when is part of that.
    assert_eq!(ran.status, Some(0), "{}", ran.stderr);
    ran.json()
}

fn ends(plan: &serde_json::Value) -> u64 {
    let jobs = plan["crews"]["jobs"].as_array().unwrap();
    jobs.iter().map(|job| job["ends"].as_u64().unwrap()).max().unwrap()
}

/// The minutes of each person's jobs, without waiting, each job rounded up as on the board.
fn busy(plan: &serde_json::Value) -> Vec<u64> {
    let mut busy = vec![0; usize::try_from(plan["crews"]["people"].as_u64().unwrap()).unwrap()];
    for job in plan["crews"]["jobs"].as_array().unwrap() {
        let told = plan["minutes"].as_array().unwrap().iter().find(|told| told["job"] == job["job"]);
        let seconds = told.and_then(|told| told["seconds"].as_u64()).unwrap();
        for person in job["people"].as_array().unwrap() {
            busy[usize::try_from(person.as_u64().unwrap()).unwrap() - 1] += seconds.div_ceil(60);
        }
    }
    busy
}

#[test]
fn six_people_have_two_hours_of_work_in_three_and_are_done_in_time() {
    // Common practice, no source: nobody idles for more than a third of the evening.
    for seed in 1..=10 {
        let seed = seed.to_string();
        let plan = demo("crew-demo-6", &["--crew", "6", "--hours", "3", "--seed", &seed]);
        assert!(ends(&plan) <= 180, "seed {seed}: six people end at {}", ends(&plan));
        let busy = busy(&plan);
        assert!(busy.iter().all(|minutes| (120..=180).contains(minutes)), "seed {seed}: {busy:?}");
    }
}

#[test]
fn a_thorough_plan_spares_handlings() {
    let handlings = |plan: &serde_json::Value| {
        let moves = |event: &&serde_json::Value| event["event"] == "couple" || event["event"] == "leave";
        plan["events"].as_array().unwrap().iter().filter(moves).count()
    };
    let usual = handlings(&demo("thorough-not", &["--seed", "3"]));
    let thorough = handlings(&demo("thorough", &["--seed", "3", "--thorough"]));
    assert!(thorough < usual, "{thorough} handlings for {usual}");
}

#[test]
fn one_person_alone_is_done_in_time() {
    let plan = demo("crew-demo-1", &["--crew", "1", "--hours", "3"]);
    assert!(ends(&plan) <= 180, "{}", ends(&plan));
}

#[test]
fn one_person_has_half_an_hour_of_work_that_hangs_together() {
    let plan = demo("crew-demo-half", &["--crew", "1", "--hours", "0.5"]);
    assert!((15..=30).contains(&ends(&plan)), "{}", ends(&plan));
    let arrive = plan["trips"].as_array().unwrap().iter().filter(|trip| trip["arrives"] == true).count();
    assert!(arrive > 0, "no car gets where it is bound");
    assert!(!plan["dropped"].as_array().unwrap().is_empty());
}

#[test]
fn a_job_that_is_left_out_leaves_its_cars_for_the_next_session() {
    let plan = demo("crew-without", &["--without", "point-turn"]);
    let jobs = plan["world"]["jobs"].as_array().unwrap();
    assert!(jobs.iter().all(|job| job["id"] != "point-turn"));
    assert_eq!(plan["dropped"][0]["job"], "point-turn");
    // Every car that is bound somewhere is still on the list of trips, carried or not.
    let all = demo("crew-with", &[]);
    assert_eq!(all["trips"].as_array().unwrap().len(), plan["trips"].as_array().unwrap().len());
}

#[test]
fn two_sessions_and_two_seeds_are_set_side_by_side() {
    let folder = Folder::of("tiny", "compare");
    folder.run(&["plan", "--seed", "1"]);
    folder.run(&["close"]);
    folder.run(&["plan", "--seed", "2"]);
    let before = folder.files();
    insta::assert_snapshot!("compare_sessions", folder.run(&["compare", "1", "2"]));
    insta::assert_snapshot!(
        "compare_seeds",
        folder.run(&["compare", "--seed", "4", "--seed", "9", "--crew", "2", "--within", "15%"])
    );
    let data = folder.run(&["compare", "1", "2", ".", "--as", "json", "--within", "15%"]);
    let told = data.json();
    assert_eq!((data.status, told["sessions"][1]["session"].as_i64()), (Some(0), Some(2)), "{data}");
    assert!(told["units"]["length"].as_str().is_some_and(|unit| unit.contains("inches")), "{data}");
    insta::assert_snapshot!("compare_what_is_not", folder.run(&["compare", "1", "7"]));
    insta::assert_snapshot!("compare_nothing", folder.run(&["compare"]));
    assert_eq!(folder.files(), before, "comparing writes nothing");
}

#[test]
fn a_pace_is_learned_from_recorded_minutes_unless_the_host_fixes_it() {
    let folder = Folder::of("tiny", "pace");
    insta::assert_snapshot!("pace_nothing", folder.run(&["pace"]));
    for minutes in ["drill=8", "drill=9", "drill=8", "drill=30"] {
        folder.run(&["plan"]);
        let closed = folder.run(&["close", "--minutes", minutes]);
        assert_eq!(closed.status, Some(0), "{closed}");
    }
    insta::assert_snapshot!("pace_learned", folder.run(&["pace"]));
    let learned = folder.run(&["pace", "--as", "json"]).json();
    let planned = folder.run(&["plan", "--dry-run", "--as", "json"]).json();
    assert_eq!(planned["pace"], learned["pace"]);
    assert!(learned["pace"]["handling"].as_u64() > Some(30), "{learned}");
    let slow = folder.run(&["plan", "--dry-run", "--pace", "150%", "--as", "json"]).json();
    assert_eq!(slow["pace"]["crew"].as_u64(), Some(150));
    assert_eq!(slow["pace"]["handling"], learned["pace"]["handling"]);
    let told = folder.run(&["plan", "--dry-run"]);
    assert!(told.stdout.contains("a pace learned from 4 jobs of 4 evenings"), "{told}");
    let text = folder.read("layout.toml");
    folder.write("layout.toml", format!("{text}\n[pace]\nlearn = false\n"));
    let fixed = folder.run(&["plan", "--dry-run", "--as", "json"]).json();
    assert_eq!(fixed["pace"]["handling"].as_u64(), Some(30));
    assert!(folder.run(&["pace"]).stdout.contains("`learn = false`"));
}

#[test]
fn many_people_for_little_work_are_told_how_many_it_would_keep_busy() {
    let folder = Folder::of("tiny", "crew-many");
    let plan = folder
        .run(&["plan", "--seed", "1", "--crew", "6", "--hours", "3", "--dry-run", "--as", "json"])
        .json();
    let notices = plan["notices"].as_array().unwrap();
    let found = notices.iter().find(|notice| notice["about"] == "little work");
    let text = found.and_then(|notice| notice["text"].as_str()).unwrap_or_default();
    assert!(
        text.starts_with("6 people have, on average,") && text.ends_with("; it would keep 1 busy"),
        "{text}"
    );
}
