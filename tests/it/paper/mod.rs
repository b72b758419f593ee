//! What holds for the paper of every plan: nothing missing, nothing twice, text and HTML alike.

mod by_hand;
mod words;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use setout::ids::Id;
use setout::layout::{self, Layout};
use setout::paper::{self, Block, Piece, Row, Sheet};
use setout::session::plan::{CallWork, Deed, Plan};
use setout::session::{self, Request};
use unicode_width::UnicodeWidthStr;

#[path = "../../../benches/folder.rs"]
pub(crate) mod folder;

/// The layouts that come with the project.
const LAYOUTS: [&str; 3] = ["demo-layout", "examples/shelf", "examples/europe"];

/// Two sessions of every layout.
fn plans() -> Vec<(Layout, Plan)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut plans = Vec::new();
    for name in LAYOUTS {
        let layout = layout::load(folder::sources(&root.join(name)).unwrap()).0.unwrap();
        let mut standing = session::first_standing(&layout, 11);
        for seed in [11, 12] {
            let planned = session::plan(&layout, &standing, &Request { seed, revision: 1 });
            standing = planned.after;
            plans.push((layout.clone(), planned.plan));
        }
    }
    plans
}

/// The rows of a switch list under each of its calls.
fn rows_by_call(sheet: &Sheet) -> BTreeMap<u32, Vec<&Row>> {
    let mut rows: BTreeMap<u32, Vec<&Row>> = BTreeMap::new();
    let mut call = None;
    for block in &sheet.blocks {
        match block {
            Block::Heading { words, .. } => call = call_number(&words.pieces),
            Block::Table(table) => {
                if let Some(call) = call {
                    rows.entry(call).or_default().extend(table.groups.iter().flat_map(|group| &group.rows));
                }
            }
            _ => {}
        }
    }
    rows
}

/// The number of the call that a heading is for: `2. Northgate`.
fn call_number(pieces: &[Piece]) -> Option<u32> {
    let Some(Piece::Words(words)) = pieces.first() else { return None };
    words.split_once('.')?.0.parse().ok()
}

/// The cars of a row: of those that share it, each in its second line.
fn cars(row: &Row) -> impl Iterator<Item = &Id> {
    row.cells.iter().chain([&row.more]).flat_map(|cell| &cell.pieces).filter_map(|piece| match piece {
        Piece::Car(car) => Some(car),
        _ => None,
    })
}

/// A row in letters, its second line included.
fn letters(row: &Row) -> String {
    let pieces = row.cells.iter().chain([&row.more]).flat_map(|cell| &cell.pieces);
    let words = pieces.filter_map(|piece| match piece {
        Piece::Words(words) | Piece::Strong(words) => Some(words.replace('\u{a0}', " ")),
        _ => None,
    });
    words.collect::<Vec<_>>().join(" ")
}

fn list_of<'a>(sheets: &'a [Sheet], job: &Id) -> &'a Sheet {
    sheets.iter().find(|sheet| sheet.form == "switch-list" && sheet.job.as_ref() == Some(job)).unwrap()
}

#[test]
fn every_car_of_a_call_is_on_its_list_exactly_once() {
    for (layout, plan) in plans() {
        let sheets = paper::sheets(&plan, &layout);
        for call in &plan.work {
            let by_call = rows_by_call(list_of(&sheets, &call.job));
            let mut listed: Vec<&Id> = by_call[&call.call].iter().flat_map(|row| cars(row)).collect();
            let mut met: Vec<&Id> = call.cars.iter().map(|work| &work.car).collect();
            listed.sort();
            met.sort();
            assert_eq!(listed, met, "{}, call {} of {}", plan.layout, call.call, call.job);
        }
    }
}

#[test]
fn every_line_of_a_car_that_is_worked_says_what_is_done_and_at_which_track_and_spot() {
    for (layout, plan) in plans() {
        let sheets = paper::sheets(&plan, &layout);
        for call in &plan.work {
            let by_call = rows_by_call(list_of(&sheets, &call.job));
            for work in &call.cars {
                let row =
                    by_call[&call.call].iter().find(|row| cars(row).any(|car| *car == work.car)).unwrap();
                let said = letters(row);
                let names = |id: &Option<Id>| -> Option<String> {
                    let id = id.as_ref()?;
                    let spot = layout.spots().values().find(|spot| spot.id == *id).map(|spot| &spot.name);
                    let track =
                        layout.tracks().values().find(|track| track.id == *id).map(|track| &track.name);
                    spot.or(track).map(ToString::to_string)
                };
                // A car that only stands there is found by the head of its track.
                let ids = if work.deed == Deed::Leave {
                    vec![&work.from_spot]
                } else {
                    vec![&work.from, &work.from_spot, &work.to, &work.to_spot]
                };
                for id in ids {
                    let Some(name) = names(id) else { continue };
                    assert!(said.contains(&name), "{name} is not in: {said}");
                }
                assert!(said.to_lowercase().contains(work.deed.words()), "{said}");
            }
        }
    }
}

#[test]
fn the_counts_at_the_foot_are_those_of_the_work() {
    let deeds = [Deed::Pull, Deed::Spot, Deed::Set, Deed::OffSpot, Deed::Hold, Deed::Leave];
    for (layout, plan) in plans() {
        for sheet in paper::sheets(&plan, &layout).iter().filter(|sheet| sheet.form == "switch-list") {
            let work = plan.work.iter().filter(|call| Some(&call.job) == sheet.job.as_ref());
            let work: Vec<&CallWork> = work.collect();
            if work.is_empty() {
                // A job that runs light has nothing to count.
                continue;
            }
            let count = |deed: Deed| {
                let cars = work.iter().flat_map(|call| &call.cars).filter(|work| work.deed == deed);
                cars.count().to_string()
            };
            // What is not asked for has no column.
            let used: Vec<Deed> = deeds.into_iter().filter(|deed| count(*deed) != "0").collect();
            let counted: Vec<String> = used.iter().map(|deed| count(*deed)).collect();
            let text = paper::text(sheet);
            let head = text.lines().find(|line| line.starts_with("Call  ")).unwrap().to_lowercase();
            let heads: Vec<&str> = head.split("  ").map(str::trim).filter(|head| !head.is_empty()).collect();
            let words = used.iter().map(|deed| deed.words());
            assert_eq!(heads, ["call"].into_iter().chain(words).chain(["in train"]).collect::<Vec<_>>());
            let totals = text.lines().find_map(|line| line.strip_prefix("All calls")).unwrap();
            assert_eq!(totals.split_whitespace().collect::<Vec<_>>(), counted, "{}", sheet.name);
        }
    }
}

#[test]
fn short_numbers_name_one_car_each_among_all_that_stand_where_the_crew_goes() {
    let words = paper::Words::default();
    for (layout, plan) in plans() {
        let whole = paper::sheets(&plan, &layout);
        let mut short = whole.clone();
        paper::shorten(&mut short, &words, &plan, &layout);
        let mut shortened = 0;
        for (sheet, before) in short.iter().zip(&whole) {
            if sheet.form == "car-cards" {
                assert_eq!(paper::text(sheet), paper::text(before));
            }
            let Some(job) = &sheet.job else { continue };
            let calls = &plan.world.jobs.iter().find(|known| known.id == *job).unwrap().calls;
            let at = |track: &Id| calls.iter().any(|place| track.as_str().starts_with(&format!("{place}/")));
            let stand = [&plan.before, &plan.after].into_iter().flat_map(|standing| &standing.tracks);
            let standing = stand.filter(|(track, _)| at(track)).flat_map(|(_, row)| row).map(|car| &car.car);
            let met: BTreeSet<&Id> = standing.collect();
            let said = |sheet: &Sheet| -> Vec<Id> {
                let tables = sheet.blocks.iter().filter_map(|block| match block {
                    Block::Table(table) => Some(table),
                    _ => None,
                });
                let rows: Vec<&Row> =
                    tables.flat_map(|table| &table.groups).flat_map(|group| &group.rows).collect();
                rows.into_iter().flat_map(cars).cloned().collect()
            };
            for (short, whole) in said(sheet).iter().zip(said(before)) {
                let end = short.as_str();
                assert!(whole.as_str().ends_with(end.split(' ').next_back().unwrap()), "{short}: {whole}");
                shortened += usize::from(end.len() < whole.as_str().len());
                if !end.starts_with(char::is_alphabetic) {
                    let others = met.iter().filter(|car| ***car != whole && car.as_str().ends_with(end));
                    assert_eq!(others.count(), 0, "{}: {short}", sheet.name);
                }
            }
        }
        assert!(shortened > 10, "{}: {shortened}", plan.layout);
    }
}

#[test]
fn no_line_of_text_is_longer_than_80_columns() {
    for (layout, plan) in plans() {
        for sheet in paper::sheets(&plan, &layout) {
            for line in paper::text(&sheet).lines() {
                assert!(line.width() <= 80, "{}: {line}", sheet.name);
                assert_eq!(line.trim_end(), line, "{}", sheet.name);
            }
        }
    }
}

/// The words of a page in order of the alphabet, without what only draws lines and boxes.
fn words(text: &str) -> Vec<String> {
    let drawn = |letter: char| matches!(letter, '[' | ']' | '_' | '-' | '=' | '!' | '<' | '>' | '|');
    let words = text.split_whitespace().filter(|word| !word.chars().all(drawn));
    let mut words: Vec<String> = words.map(str::to_owned).collect();
    words.sort();
    words
}

/// A page of HTML without what only later pages show; that says again a part of what stands above it.
fn shown_once(page: &str) -> String {
    let repeated = |from: &str| -> String {
        from.split_once("<span>")
            .unwrap()
            .1
            .split_once("</span><span>, continued</span>")
            .unwrap()
            .0
            .to_owned()
    };
    let mut parts = page.split("<table class=\"part\">");
    let mut shown = parts.next().unwrap().to_owned();
    for part in parts {
        let (head, group) = part.split_once("</thead>").unwrap();
        let whole = group.split_once("<th ").unwrap().1.split_once("</th>").unwrap().0;
        let head = repeated(head);
        assert!(!head.trim().is_empty() && whole.contains(head.trim()), "{head}: {whole}");
        shown.push_str(group);
    }
    let mut tables = shown.split("<tr><td class=\"continued\"");
    let mut once = tables.next().unwrap().to_owned();
    for table in tables {
        let (heading, rest) = table.split_once("</td></tr>").unwrap();
        let above = once.rsplit_once("<h2><span>").unwrap().1.split_once("</span>").unwrap().0;
        assert_eq!(repeated(heading), above);
        once.push_str(rest);
    }
    once
}

/// A page of HTML without its head and its tags.
fn without_tags(page: &str) -> String {
    let body = page.split_once("<body").unwrap().1;
    let mut text = String::new();
    for (place, part) in body.split('<').enumerate() {
        let Some((tag, words)) = part.split_once('>') else { continue };
        // A cell, a row and a paragraph end a word; a car or a number within a phrase does not.
        let inline = ["b", "/b", "strong", "/strong", "span class=\"quantity\"", "/span"];
        if place > 0 && !inline.iter().any(|known| tag == *known || tag.starts_with("b ")) {
            text.push(' ');
        }
        text.push_str(words);
    }
    let entities = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&#x27;", "'"),
        ("&#x2f;", "/"),
        ("&amp;", "&"),
    ];
    entities.into_iter().fold(text, |text, (entity, letter)| text.replace(entity, letter))
}

#[test]
fn text_and_html_say_the_same() {
    for (layout, plan) in plans() {
        for sheet in paper::sheets(&plan, &layout) {
            assert_eq!(
                words(&paper::text(&sheet)),
                words(&without_tags(&shown_once(&paper::html(&sheet)))),
                "{}",
                sheet.name
            );
        }
    }
}

#[test]
fn a_page_of_html_needs_nothing_from_anywhere() {
    for (layout, plan) in plans() {
        for sheet in paper::sheets(&plan, &layout) {
            let page = paper::html(&sheet);
            for outside in ["<script src", "<link", "<img", "url(", "@import", "http:", "https:"] {
                assert!(!page.contains(outside), "{}: {outside}", sheet.name);
            }
        }
    }
}

#[test]
fn every_element_of_html_that_is_opened_is_closed() {
    // Elements that HTML never closes ("void elements", HTML Living Standard, section 13.1.2).
    let void = ["!DOCTYPE", "meta", "input", "col"];
    for (layout, plan) in plans() {
        for sheet in paper::sheets(&plan, &layout) {
            let page = paper::html(&sheet);
            // The few lines that remember boxes are no HTML.
            let (before, after) = page.split_once("<script>").unwrap();
            let page = format!("{before}{}", after.split_once("</script>").unwrap().1);
            let mut open: Vec<&str> = Vec::new();
            for tag in page.split('<').skip(1).map(|part| part.split_once('>').unwrap().0) {
                let name = tag.split_whitespace().next().unwrap();
                match name.strip_prefix('/') {
                    Some(closed) => assert_eq!(open.pop(), Some(closed), "{}", sheet.name),
                    None if void.contains(&name) || tag.ends_with('/') => {}
                    None => open.push(name),
                }
            }
            assert!(open.is_empty(), "{}: {open:?}", sheet.name);
        }
    }
}

#[test]
fn every_sheet_has_a_name_of_its_own_and_every_job_its_list() {
    for (layout, plan) in plans() {
        let sheets = paper::sheets(&plan, &layout);
        let mut names: Vec<&str> = sheets.iter().map(|sheet| sheet.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), sheets.len());
        for job in &plan.world.jobs {
            assert_eq!(list_of(&sheets, &job.id).form, "switch-list");
        }
        let moving = plan.trips.iter().filter(|trip| !trip.legs.is_empty());
        let cards = sheets.iter().find(|sheet| sheet.form == "car-cards").unwrap();
        let cards = cards.blocks.iter().find_map(|block| match block {
            Block::Cards(cards) => Some(cards),
            _ => None,
        });
        for trip in moving {
            let title = [Piece::Car(trip.car.clone())];
            let own = cards.unwrap().iter().filter(|card| card.title.pieces == title);
            assert_eq!(own.count(), 1, "{}", trip.car);
        }
    }
}
