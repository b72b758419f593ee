//! A yard job makes up the train of a later job. Common practice, no source; the handlings are counted here by hand.

use setout::paper;

use super::*;

/// The branch with a yard track of such a length and a freight house in the yard, and a mill in the town; with more
/// said of the turn, and another job. All tracks open east, where the turn goes: a car behind another must be
/// dug out.
fn yard(length: &str, turn: &str, more: &str) -> Case {
    let mut text = BRANCH.replace("[job.turn]\n", &format!("[job.turn]\n{turn}"));
    for (track, usage, length) in [
        ("yard.track.1", "yard", length),
        ("yard.track.house", "spur", "200"),
        ("town.track.mill", "spur", "200"),
    ] {
        let said = "[place.TRACK]\nuse = \"USE\"\nlength = \"LENGTH scale ft\"\nopens = \"east\"\n";
        text += &said.replace("TRACK", track).replace("USE", usage).replace("LENGTH", length);
    }
    for (id, place) in [("house", "yard"), ("mill", "town")] {
        let said = "[industry.ID]\nname = \"ID\"\nplace = \"PLACE\"\nreceives.flour = [\"ID\"]\n";
        text += &said.replace("ID", id).replace("PLACE", place);
        text += &lane(id, "flour", "away", id);
    }
    let mut case = Case::of(&(text + more + &box_cars(3, "45 ft")));
    // From the west: car 2, bound for the mill, and before it car 1, which is being unloaded. Car 3, for the
    // mill too, waits on the yard track.
    for (car, track) in [("CHT 2", "yard/house"), ("CHT 1", "yard/house"), ("CHT 3", "yard/1")] {
        case.put(car, track, None);
    }
    case.unload("CHT 1", "house", 9);
    case.load("CHT 2", "mill", 0);
    case.load("CHT 3", "mill", 0);
    case
}

const DRILL: &str = "[job.drill]\nname = \"Yard Drill\"\nrailroad = \"CHT\"\nkind = \"yard\"\ncalls = [\"yard\"]\n\
                     on_duty = \"7:00\"\npower = \"60 scale ft\"\n";

/// How often a job couples or leaves cars at its first call.
fn movements(plan: &Plan, job: &str) -> u32 {
    let calls = plan.work.iter().filter(|work| work.job.as_str() == job && work.call == 1);
    calls.map(|work| work.movements).sum()
}

#[test]
fn a_yard_job_puts_a_car_behind_another_with_the_rest_of_its_train() {
    // The turn alone couples 1 and 2, leaves 2 with 3, leaves 1 where it was and couples both: four. A yard job
    // does the first three, and the turn couples its train: three times two and one times three are less than
    // four times three.
    let plan = yard("200", "", "").session();
    assert_eq!(movements(&plan, "turn"), 4);
    let mut case = yard("200", "after = [\"drill\"]\n", DRILL);
    let plan = case.session();
    assert_eq!((movements(&plan, "drill"), movements(&plan, "turn")), (3, 1));
    let legs = &trip(&plan, "CHT 2").legs;
    assert_eq!(legs.iter().map(|leg| leg.to.as_str()).collect::<Vec<&str>>(), ["yard/1", "town/mill"]);
    assert_eq!(legs[0].made_up_for, Some(Id::from("turn")));
    assert_eq!(&*legs[0].why, "made up on track 1 for Northgate Turn");
    let sheets = paper::sheets(&plan, &case.layout);
    let mut lists = sheets.iter().filter(|sheet| sheet.form == "switch-list").map(paper::text);
    assert!(lists.any(|text| text.contains("Yard Drill") && text.contains("made up for Northgate Turn")));
}

#[test]
fn a_yard_job_makes_up_nothing_after_the_train_or_without_room() {
    // On the track of 60 ft there is no room for two cars of 45 ft.
    let late = DRILL.replace("7:00", "20:00");
    let [before, after] = ["on_duty = \"8:00\"\n", "after = [\"drill\"]\n"];
    for (length, turn, drill) in [("200", before, late.as_str()), ("60", after, DRILL)] {
        let plan = yard(length, turn, drill).session();
        assert!(plan.trips.iter().flat_map(|trip| &trip.legs).all(|leg| leg.made_up_for.is_none()));
        assert_eq!(movements(&plan, "drill"), 0);
    }
}
