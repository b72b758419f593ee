//! The railroads, the yard, the towns on its arms, the gateways and the links between them.

use std::fmt::Write as _;

use super::draw::Draw;
use super::{Draft, Gateway, Town};

pub(super) fn lay(draft: &mut Draft) {
    let mut draw = Draw::new(draft.seed, "ground");
    draft.two = draw.odds(2, 5);
    settings(draft, &mut draw);
    towns(draft, &mut draw);
    gateways(draft, &mut draw);
    yard(draft, &mut draw);
    railroads(draft, &mut draw);
    links(draft, &mut draw);
}

fn settings(draft: &mut Draft, draw: &mut Draw) {
    let days = draw.one(&[
        "1978-10-02, last = 1978-10-08",
        "1978-10-04, last = 1978-10-17",
        "1978-10-03, last = 1978-10-05",
    ]);
    let mut text = format!(
        "[layout]\nname = \"Layout {}\"\nscale = \"HO\"\ncar = \"46 ft\"\ndays = {{ first = {days} }}\nfull = \"{} %\"\nshelf = {}\ncar_service = \"{}\"\n",
        draft.seed,
        draw.one(&[70, 80, 100]),
        draw.odds(1, 2),
        draw.one(&["by the book", "two thirds", "off"]),
    );
    text += &draw.maybe(1, 2, "bad_orders = \"1 in 15\"");
    text += &draw.maybe(1, 3, "repair = \"2 days\"");
    text += &draw.maybe(1, 4, "free_time = { load = \"2 days\", holidays = [1978-10-05] }");
    draft.folder.add(text);
}

fn railroads(draft: &mut Draft, draw: &mut Draw) {
    let gateways: Vec<String> = draft.gateways.iter().map(|gateway| gateway.id.clone()).collect();
    let first = gateways[0].clone();
    let last = gateways[gateways.len() - 1].clone();
    draft.folder.add(format!("[railroad.ALD]\nname = \"Alder Line\"\nhome = true\nbeyond = \"{first}\"\n"));
    if draft.two {
        let reversed = draw.odds(1, 2);
        draft.folder.add(format!(
            "[railroad.BRK]\nname = \"Brock Road\"\nbeyond = \"{last}\"\nreversed = {reversed}\n"
        ));
    }
    draft.folder.add(format!("[railroad.ELM]\nname = \"Elm Western\"\nbeyond = \"{last}\"\n"));
}

fn towns(draft: &mut Draft, draw: &mut Draw) {
    let arms = draw.between(1, 2);
    for arm in 0..arms {
        let west = (arm == 0) == draft.seed.is_multiple_of(2);
        let first = draft.towns.len();
        for number in 0..draw.between(1, if arms == 1 { 4 } else { 2 }) {
            let at = draft.towns.len();
            // Usually a line; now and then the third and later towns leave it at the first.
            let parent = (number > 0).then(|| if number > 1 && draw.odds(1, 3) { first } else { at - 1 });
            let foreign = draft.two && number > 0 && draw.odds(1, 3);
            let railroad = if foreign { "BRK" } else { "ALD" };
            draft.towns.push(Town { id: format!("town-{at}"), railroad, west, parent, turns: false });
            town(draft, draw, at);
        }
    }
}

fn town(draft: &mut Draft, draw: &mut Draw, at: usize) {
    let (id, railroad) = (draft.towns[at].id.clone(), draft.towns[at].railroad);
    let mut text = format!("[place.{id}]\nname = \"Town {at}\"\nrailroad = \"{railroad}\"\n");
    text += &lead(draw, 6, 12);
    text += &draw.maybe(1, 12, "max_cars = 6");
    text += &draw.maybe(1, 12, "max_car = \"70 ft\"");
    draft.folder.add(text);
    draft.towns[at].turns = draw.odds(5, 6);
    if draft.towns[at].turns {
        let cars = draw.between(4, 10);
        track(
            draft,
            &id,
            "loop",
            &format!("use = \"runaround\"\nlength = \"{cars} cars\"\nopens = \"both\"\n"),
        );
    } else {
        // The running track ends here: crews set cars out on it for a moment, where its one end opens like the spurs.
        let opens = if draft.towns[at].west { "west" } else { "east" };
        track(draft, &id, "main", &format!("use = \"main\"\nlength = \"6 cars\"\nopens = \"{opens}\"\n"));
    }
    if draw.odds(1, 2) {
        let (cars, opens) = (draw.between(2, 6), opens(draw, 2));
        let off_spot = draw.odds(2, 3);
        track(
            draft,
            &id,
            "house",
            &format!(
                "use = \"yard\"\nlength = \"{cars} cars\"\nopens = \"{opens}\"\noff_spot = {off_spot}\n"
            ),
        );
    }
}

/// A limit past the switches at some ends.
fn lead(draw: &mut Draw, low: usize, high: usize) -> String {
    let mut ends = Vec::new();
    for end in ["west", "east"] {
        if draw.odds(1, 3) {
            ends.push(format!("{end} = \"{} cars\"", draw.between(low, high)));
        }
    }
    if ends.is_empty() { String::new() } else { format!("lead = {{ {} }}\n", ends.join(", ")) }
}

/// Where a track opens; both ends so many times in so many and two.
pub(super) fn opens(draw: &mut Draw, both: u64) -> &'static str {
    if draw.odds(both, both + 2) { "both" } else { draw.one(&["west", "east"]) }
}

pub(super) fn track(draft: &mut Draft, place: &str, id: &str, keys: &str) {
    draft.folder.add(format!("[place.{place}.track.{id}]\n{keys}"));
}

fn yard(draft: &mut Draft, draw: &mut Draw) {
    let both = if draft.two { "worked_by = [\"ALD\", \"BRK\"]\n" } else { "" };
    let own = if draft.two { "worked_by = [\"ALD\"]\n" } else { "" };
    let mut text = format!("[place.yard]\nname = \"Yard\"\nrailroad = \"ALD\"\n{both}");
    text += &lead(draw, 8, 16);
    draft.folder.add(text);
    let cars = draw.between(6, 14);
    track(
        draft,
        "yard",
        "loop",
        &format!("use = \"runaround\"\nlength = \"{cars} cars\"\nopens = \"both\"\n{both}"),
    );
    for number in 1..=draw.between(2, 5) {
        let (cars, opens) = (draw.between(5, 12), opens(draw, 4));
        let mut text = format!("use = \"yard\"\nlength = \"{cars} cars\"\nopens = \"{opens}\"\n{own}");
        for service in ["weigh", "inspect", "clean"] {
            if draw.odds(1, 6) && !draft.offers.contains(&service) {
                draft.offers.push(service);
                let _ = writeln!(text, "offers = [\"{service}\"]");
                break;
            }
        }
        track(draft, "yard", &number.to_string(), &text);
    }
    if draw.odds(1, 2) {
        let opens = draw.one(&["west", "east"]);
        let text = format!(
            "use = \"repair\"\nlength = \"3 cars\"\nopens = \"{opens}\"\noffers = [\"repair\"]\n{own}"
        );
        track(draft, "yard", "rip", &text);
    }
    if draw.odds(1, 3) {
        let opens = draw.one(&["west", "east"]);
        track(
            draft,
            "yard",
            "store",
            &format!("use = \"storage\"\nlength = \"6 cars\"\nopens = \"{opens}\"\n{own}"),
        );
    }
    let interchange = draft.gateways.iter().any(|gateway| gateway.place.is_none());
    for (id, wanted) in [("x1", draft.two), ("x2", draft.two), ("ci", interchange), ("co", interchange)] {
        if wanted {
            let (cars, opens) = (draw.between(4, 9), opens(draw, 6));
            let both = if id.starts_with('x') { both } else { own };
            track(
                draft,
                "yard",
                id,
                &format!("use = \"interchange\"\nlength = \"{cars} cars\"\nopens = \"{opens}\"\n{both}"),
            );
        }
    }
}

const CITIES: [&str; 6] = ["Aston", "Belby", "Corrow", "Denmoor", "Eskby", "Fenton"];

fn gateways(draft: &mut Draft, draw: &mut Draw) {
    let count = if draft.two { 2 } else { draw.between(1, 2) };
    for at in 0..count {
        let second = at == 1;
        let railroad = if second && draft.two { "BRK" } else { "ALD" };
        let interchange = railroad == "ALD" && draw.odds(1, 5);
        let id = format!("gate-{at}");
        let west = if at == 0 { draw.odds(1, 2) } else { !draft.gateways[0].west };
        let cities = CITIES.iter().skip(at * 3).take(draw.between(1, 3)).copied().collect();
        let place = (!interchange).then(|| format!("edge-{at}"));
        let kind = if interchange { "interchange" } else { draw.one(&["staging", "fiddle"]) };
        let gateway = Gateway { id, railroad, place, west, cities };
        edge(draft, draw, &gateway, kind, at);
        draft.gateways.push(gateway);
    }
}

fn edge(draft: &mut Draft, draw: &mut Draw, gateway: &Gateway, kind: &str, at: usize) {
    let Gateway { id, railroad, place, west, cities } = gateway;
    let (gives, takes) = match place {
        None => ("\"yard/ci\"".to_owned(), "\"yard/co\"".to_owned()),
        Some(place) => {
            draft.folder.add(format!(
                "[place.{place}]\nname = \"Edge {at}\"\nrailroad = \"{railroad}\"\nhidden = true\nfull = \"100 %\"\n"
            ));
            track(draft, place, "loop", "use = \"runaround\"\nlength = \"16 cars\"\nopens = \"both\"\n");
            let towards = if *west { "east" } else { "west" };
            let opens = draw.one(&["both", towards]);
            let mut named = |ids: &[&str], draw: &mut Draw| {
                let ids: Vec<String> = ids
                    .iter()
                    .map(|id| {
                        let cars = draw.between(8, 14);
                        let text =
                            format!("use = \"staging\"\nlength = \"{cars} cars\"\nopens = \"{opens}\"\n");
                        track(draft, place, id, &text);
                        format!("\"{place}/{id}\"")
                    })
                    .collect();
                format!("[{}]", ids.join(", "))
            };
            let gives = if draw.odds(1, 3) { vec!["in1", "in2"] } else { vec!["in1"] };
            let takes = if draw.odds(1, 3) { vec!["out1", "out2"] } else { vec!["out1"] };
            (named(&gives, draw), named(&takes, draw))
        }
    };
    let mut text = format!(
        "[gateway.{id}]\nname = \"Gate {at}\"\nkind = \"{kind}\"\nrailroad = \"{railroad}\"\ngives = {gives}\ntakes = {takes}\nbeyond = {cities:?}\n"
    );
    text += &draw.maybe(1, 3, "back = \"1 day\"");
    text += &draw.maybe(1, 3, "limit = 14");
    draft.folder.add(text);
}

fn links(draft: &mut Draft, draw: &mut Draw) {
    let mut pairs: Vec<(String, String, bool)> = Vec::new();
    for town in &draft.towns {
        let parent = town.parent.map_or("yard".to_owned(), |at| draft.towns[at].id.clone());
        pairs.push((town.id.clone(), parent, town.west));
    }
    for gateway in &draft.gateways {
        let Some(place) = &gateway.place else { continue };
        // At the yard itself, or past the last town of the arm on that side.
        let end = draft.towns.iter().rev().find(|town| town.west == gateway.west);
        let parent = end.filter(|_| draw.odds(1, 4)).map_or("yard", |town| &town.id);
        pairs.push((place.clone(), parent.to_owned(), gateway.west));
    }
    for (outer, inner, west) in pairs {
        let between = if west { [outer, inner] } else { [inner, outer] };
        let mut text = format!("[[link]]\nbetween = {between:?}\nminutes = {}\n", draw.between(1, 6));
        text += &draw.maybe(1, 12, "max_car = \"60 ft\"");
        text += &draw.maybe(1, 12, "max_cars = 7");
        text += &draw.maybe(1, 12, "grade = \"1.5 %\"");
        draft.folder.add(text);
    }
}
