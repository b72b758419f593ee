//! Cars of the kinds that are carried, of two or three roads, with their oddities.

use super::Draft;
use super::customers::COMMODITIES;
use super::draw::Draw;

const HEAD: &str = "mark,number,type,length,home,grade,years,load,visits,bad_order,stands,state";

pub(super) fn buy(draft: &mut Draft) {
    let mut draw = Draw::new(draft.seed, "roster");
    let marks: &[&str] = if draft.two { &["ALD", "BRK", "ELM"] } else { &["ALD", "ALD", "ELM"] };
    HEAD.clone_into(&mut draft.folder.head);
    let mut standing = 0;
    for number in 0..draw.between(10, 80) {
        // Each kind has its share, so that few lanes go without a car.
        let carried = COMMODITIES[draft.carried[number % draft.carried.len()]].1;
        let kind = draw.one(carried);
        let length = draw.one(&["", "", "", "45 ft", "50 ft", "40 ft", "62 ft"]);
        let home = if draw.odds(1, 4) {
            format!("gate-{}", draw.between(0, draft.gateways.len() - 1))
        } else {
            String::new()
        };
        let grade = draw.one(&["", "", "clean", "fair", "rough"]);
        let load = if draw.odds(1, 30) { "hidden" } else { "" };
        let visits = if draw.odds(1, 10) { "1 in 3" } else { "" };
        let bad_order = if draw.odds(1, 25) { "yes" } else { "" };
        // Three at most: the shortest yard track holds them.
        let stands = if standing < 3 && draw.odds(1, 12) { "yard/1" } else { "" };
        standing += stands.len().min(1);
        let state = if draw.odds(1, 30) { "planned" } else { "" };
        let mark = draw.one(marks);
        draft.folder.rows.push(format!(
            "{mark},{},{kind},{length},{home},{grade},,{load},{visits},{bad_order},{stands},{state}",
            100 + number * 7
        ));
    }
}
