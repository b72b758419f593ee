//! Twelve sessions of the demo layout that each went otherwise in three to six things, said in each of the
//! ways there are; what the next plan starts from is worked out here from the plan and what is said.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::Folder;

const DEMO: &str = "demo-layout";

/// Where a car is: its track and spot, a gateway, or `shelf`.
type Places = BTreeMap<String, String>;

/// One thing that happened otherwise.
enum Otherwise {
    Left(String),
    At(String, String),
    BadOrder(String),
}

fn text(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// Where every car is by one end of a plan. Every car is there once.
fn places(rows: &Value) -> Places {
    let mut places = Places::new();
    let mut put = |car: &Value, at: &str| {
        let at = car["spot"].as_str().unwrap_or(at).to_owned();
        assert!(places.insert(text(&car["car"]), at).is_none(), "{car} is in two places");
    };
    for part in ["tracks", "beyond"] {
        for (id, row) in rows[part].as_object().unwrap() {
            for car in list(row) {
                put(car, id);
            }
        }
    }
    for car in list(&rows["shelf"]) {
        put(car, "shelf");
    }
    places
}

/// A plan, and what of its layout decides what can happen.
struct Evening {
    plan: Value,
    lengths: BTreeMap<String, u64>,
    /// For each track without spots that takes any car: its room, less all that ever stands on it tonight.
    room: BTreeMap<String, u64>,
    used: BTreeSet<String>,
}

impl Evening {
    fn new(plan: Value) -> Self {
        let length = |car: &Value| (text(&car["id"]), car["length"].as_u64().unwrap());
        let lengths: BTreeMap<String, u64> = list(&plan["world"]["cars"]).iter().map(length).collect();
        let mut room = BTreeMap::new();
        for track in list(&plan["world"]["tracks"]) {
            let plain = list(&track["spots"]).is_empty() && list(&track["holds"]).is_empty();
            if !plain || track["limits"] != serde_json::json!({}) || track["use"] != "yard" {
                continue;
            }
            let id = text(&track["id"]);
            let mut ever: u64 = list(&plan["before"]["tracks"][&id])
                .iter()
                .map(|car| lengths[car["car"].as_str().unwrap()])
                .sum();
            for event in list(&plan["events"]).iter().filter(|event| event["track"] == id) {
                let cars = match event["event"].as_str().unwrap() {
                    "leave" => list(&event["cars"]).iter().map(|car| text(&car["car"])).collect(),
                    "placed" => vec![text(&event["car"])],
                    _ => Vec::new(),
                };
                ever += cars.iter().map(|car| lengths[car]).sum::<u64>();
            }
            room.insert(id, track["length"].as_u64().unwrap().saturating_sub(ever));
        }
        Evening { plan, lengths, room, used: BTreeSet::new() }
    }

    /// Whether a car finds room on a track whatever else happens tonight; it takes it then.
    fn takes(&mut self, track: &str, car: &str) -> bool {
        let length = self.lengths[car];
        match self.room.get_mut(track) {
            Some(room) if *room >= length => {
                *room -= length;
                true
            }
            _ => false,
        }
    }

    /// Up to six things, at least three, of which none has any other in its wake.
    fn goes(&mut self, session: usize) -> Vec<Otherwise> {
        let (before, after) = (places(&self.plan["before"]), places(&self.plan["after"]));
        let wanted = 3 + session % 4;
        let tracks: Vec<String> = self.room.keys().cloned().collect();
        let trips: Vec<(String, String)> = list(&self.plan["trips"])
            .iter()
            .filter(|trip| !list(&trip["legs"]).is_empty())
            .map(|trip| (text(&trip["car"]), text(&trip["from"])))
            .collect();
        let mut said = Vec::new();
        for (place, (car, from)) in trips.iter().cycle().skip(session * 3).take(trips.len()).enumerate() {
            if said.len() == wanted || !self.used.insert(car.clone()) {
                continue;
            }
            let track = &tracks[(session + place) % tracks.len()];
            let stood = before.get(car).is_some_and(|at| at == from);
            match (place % 4, said.len()) {
                (0, _) if stood && self.takes(from, car) => said.push(Otherwise::Left(car.clone())),
                (_, 1) => said.push(Otherwise::At(car.clone(), "shelf".to_owned())),
                (2, _) => said.push(Otherwise::At(car.clone(), "westover".to_owned())),
                _ if after[car] != *track && self.takes(track, car) => {
                    said.push(Otherwise::At(car.clone(), track.clone()));
                }
                _ => {}
            }
        }
        let idle = after.iter().find(|(car, at)| tracks.contains(at) && !self.used.contains(*car));
        said.truncate(if idle.is_some() { 5 } else { 6 });
        said.extend(idle.map(|(car, _)| Otherwise::BadOrder(car.clone())));
        assert!((3..=6).contains(&said.len()), "{} things in session {session}", said.len());
        said
    }

    /// Where every car is after that.
    fn left(&self, said: &[Otherwise]) -> Places {
        let (before, mut after) = (places(&self.plan["before"]), places(&self.plan["after"]));
        for one in said {
            match one {
                Otherwise::Left(car) => after.insert(car.clone(), before[car].clone()),
                Otherwise::At(car, at) => after.insert(car.clone(), at.clone()),
                Otherwise::BadOrder(_) => None,
            };
        }
        after
    }
}

/// The words of a record for all of it.
fn words(said: &[Otherwise]) -> Vec<String> {
    let words = said.iter().map(|one| match one {
        Otherwise::Left(car) => format!("{car} left"),
        Otherwise::At(car, at) => format!("{car} at {at}"),
        Otherwise::BadOrder(car) => format!("{car} bad order"),
    });
    words.collect()
}

/// A walk's list as somebody changes it who sees all this: cars that are elsewhere stand first on their track.
fn walked(list: &str, said: &[Otherwise], before: &Places) -> String {
    let mut lines: Vec<String> = list.lines().map(str::to_owned).collect();
    let at =
        |lines: &[String], car: &str| lines.iter().position(|line| line.starts_with(&format!("[ ] {car} ")));
    for one in said {
        let (car, to) = match one {
            Otherwise::Left(car) => (car, before[car].clone()),
            Otherwise::At(car, to) => (car, to.clone()),
            Otherwise::BadOrder(car) => {
                let place = at(&lines, car).unwrap();
                lines[place] = format!("[x] {car} bad order");
                continue;
            }
        };
        if let Some(place) = at(&lines, car) {
            lines.remove(place);
        }
        let head = |line: &String| {
            *line == to
                || line.starts_with(&format!("track {to} from"))
                || line.starts_with(&format!("beyond {to} "))
        };
        let head = lines.iter().position(head).unwrap_or_else(|| panic!("no head for {to}"));
        lines.insert(head + 1, format!("[x] {car}"));
    }
    lines.join("\n")
}

/// Closes a session in one of the four ways.
fn close(folder: &Folder, session: usize, said: &[Otherwise], before: &Places) {
    let run = |arguments: &[&str]| {
        let ran = folder.run_in(DEMO, arguments);
        assert_eq!(ran.status, Some(0), "session {session}: {ran}");
    };
    let kept = |name: &str| format!("ledger/{session:04}/{name}");
    let take = |name: &str, text: String| {
        folder.write(&format!("{DEMO}/{name}"), text);
        run(&["close", "--record", name]);
    };
    match session % 4 {
        0 => {
            let mut arguments = vec!["close".to_owned()];
            for one in said {
                arguments.extend(match one {
                    Otherwise::Left(car) => ["--left".to_owned(), car.clone()],
                    Otherwise::At(car, at) => ["--at".to_owned(), format!("{car}={at}")],
                    Otherwise::BadOrder(car) => ["--bad-order".to_owned(), car.clone()],
                });
            }
            run(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
        }
        1 => {
            run(&["close", "--sheet"]);
            let sheet = folder.read(&format!("{DEMO}/{}", kept("record.txt")));
            take(&kept("record.txt"), format!("{sheet}\n{}\n", words(said).join("\n")));
        }
        2 => {
            // What the page saves: a head, and a line for each thing.
            run(&["close", "--page"]);
            take(
                "record-page.txt",
                format!("# Carrow Harbor Terminal, session {session}, plan 1.\n{}\n", words(said).join("\n")),
            );
        }
        _ => {
            run(&["close", "--walk"]);
            let list = folder.read(&format!("{DEMO}/{}", kept("walk.txt")));
            take(&kept("walk.txt"), walked(&list, said, before));
        }
    }
}

/// The next plan starts with every car where it was said to be; from a walk, in the order that was seen.
fn starts(next: &Value, left: &Places, said: &[Otherwise], seen: bool) {
    let start = places(&next["before"]);
    for (car, at) in left {
        assert_eq!(start.get(car), Some(at), "{car}");
    }
    assert_eq!(start.len(), left.len());
    for one in said {
        match one {
            Otherwise::BadOrder(car) => {
                let mut rows = next["before"]["tracks"].as_object().unwrap().values().flat_map(list);
                let row = rows.find(|row| row["car"] == car.as_str()).unwrap();
                assert_eq!(row["bad_order"], true, "{car}");
            }
            Otherwise::At(car, at) if seen && next["before"]["tracks"][at].is_array() => {
                let moved = |row: &&Value| {
                    said.iter().any(|one| match one {
                        Otherwise::At(car, _) | Otherwise::Left(car) => row["car"] == car.as_str(),
                        Otherwise::BadOrder(_) => false,
                    })
                };
                let first: Vec<&Value> =
                    list(&next["before"]["tracks"][at]).iter().take_while(moved).collect();
                assert!(first.iter().any(|row| row["car"] == car.as_str()), "{car} stands first at {at}");
            }
            _ => {}
        }
    }
}

#[test]
fn twelve_sessions_go_otherwise_and_the_thirteenth_plan_is_right() {
    let folder = Folder::empty("twelve");
    folder.take(DEMO);
    let plan = |session: usize| -> Value {
        // The plan is audited before it is written.
        let ran = folder.run_in(DEMO, &["plan"]);
        assert_eq!(ran.status, Some(0), "session {session}: {ran}");
        serde_json::from_str(&folder.read(&format!("{DEMO}/ledger/{session:04}/plan.json"))).unwrap()
    };
    let mut evening = Evening::new(plan(1));
    let cars = list(&evening.plan["world"]["cars"]).len();
    for session in 1..=12 {
        let said = evening.goes(session);
        let left = evening.left(&said);
        assert_eq!(left.len(), cars, "session {session}");
        close(&folder, session, &said, &places(&evening.plan["before"]));
        let next = plan(session + 1);
        starts(&next, &left, &said, session % 4 == 3);
        evening = Evening::new(next);
    }
}
