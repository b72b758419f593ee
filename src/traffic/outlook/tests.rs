//! Drains and floods, named in the session in which they happen.

use crate::session::{self, Request};
use crate::testing::{branch_text, layout};

/// Runs a layout on, closed as planned, until an order goes without a car in `kinds`, or cars in yards pass
/// the working limit; the session, and what each plan before said.
fn run(text: &str, happens: impl Fn(&session::plan::Plan) -> bool) -> (i32, Vec<(i32, String)>) {
    let layout = layout(text);
    let mut standing = session::first_standing(&layout, 1);
    let mut said = Vec::new();
    loop {
        let planned = session::plan(&layout, &standing, &Request { seed: 1, revision: 1 });
        let session = planned.plan.session;
        if happens(&planned.plan) || session > 40 {
            return (session, said);
        }
        let pools = planned.plan.notices.iter().filter(|notice| &*notice.about == "pool of cars");
        said.extend(pools.map(|notice| (session, notice.text.to_string())));
        standing = planned.after;
    }
}

const FLOUR: &str = r#"
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
ships.flour = ["mill/door 1", "mill/door 2", "mill/door 3"]
[[lane]]
id = "flour"
commodity = "flour"
from = "mill"
to = "away"
carloads = "2 a day"
spread = 0
"#;

#[test]
fn a_pool_that_drains_is_named_with_its_session() {
    // Two cars a day are asked for and each is away for some ten days: fourteen cars do not last.
    let text =
        branch_text(14, FLOUR).replace("gives = \"yard/in\"", "gives = \"yard/in\"\nback = \"9 days\"");
    let short = |plan: &session::plan::Plan| plan.kinds.iter().any(|line| line.unfilled > 0);
    let (session, said) = run(&text, short);
    assert!(session > 2, "{session}: {said:?}");
    let (_, last) = said.last().expect("it was said before");
    assert!(
        last.contains(&format!("the XM pool on the layout runs out in session {session}:")),
        "{session}: {said:?}"
    );
    assert!(last.contains("14 needed a week"), "{last}");
}

#[test]
fn a_pool_that_lasts_is_not_named() {
    // The same with cars enough.
    let text =
        branch_text(40, FLOUR).replace("gives = \"yard/in\"", "gives = \"yard/in\"\nback = \"9 days\"");
    let (session, said) =
        run(&text, |plan| plan.session > 8 || plan.kinds.iter().any(|line| line.unfilled > 0));
    assert_eq!((session, said), (9, Vec::new()));
}

#[test]
fn yards_that_fill_with_cars_that_have_no_way_home_are_named_with_the_session() {
    // A car a day comes and stays: its home lies beyond a gateway that is not built. Four fit in the yard.
    let more = "[place.yard.track.1]\nuse = \"yard\"\nlength = \"220 scale ft\"\nopens = \"both\"\n\
                    [gateway.north]\nname = \"North\"\nkind = \"fiddle\"\ntakes = \"yard/out\"\ngives = \"yard/in\"\n\
                    state = \"planned\"\n";
    let flour = FLOUR
        .replace("ships", "receives")
        .replace("from = \"mill\"\nto = \"away\"", "from = \"away\"\nto = \"mill\"");
    let text = branch_text(30, &(flour.replace("2 a day", "1 a day") + more));
    let text = text.replace("beyond = \"away\"", "beyond = \"north\"");
    let full = |plan: &session::plan::Plan| {
        plan.after.tracks.iter().any(|(track, row)| track.as_str() == "yard/1" && row.len() > 4)
    };
    let (session, said) = run(&text, full);
    let (_, last) = said.last().expect("it was said before");
    assert!(last.contains(&format!("fill the yards in session {session}:")), "{session}: {said:?}");
}
