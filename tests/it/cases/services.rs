//! What is done to a car on its way: common practice, no source.

use setout::layout::Service;
use setout::session::plan::Event;

use super::*;

/// A local that works a mill, then a place with a scale, then a customer further on, and the mill ships
/// to that customer: the car is picked up, weighed and delivered on one route.
fn one_route(scale_first: bool) -> Case {
    let calls = if scale_first {
        "[\"yard\", \"town\", \"halt\", \"end\", \"halt\", \"town\", \"yard\"]"
    } else {
        // The customer is on the way before the scale, and the local comes by it again.
        "[\"yard\", \"town\", \"end\", \"halt\", \"end\", \"town\", \"yard\"]"
    };
    let (second, third) = if scale_first { ("halt", "end") } else { ("end", "halt") };
    let places = format!(
        r#"
[place.town.track.mill]
use = "spur"
length = "100 scale ft"
opens = "both"
[place.halt]
name = "Halt"
railroad = "CHT"
track.loop = {{ use = "runaround", length = "600 scale ft", opens = "both" }}
track.scale = {{ use = "yard", length = "100 scale ft", opens = "both", offers = ["weigh"] }}
[place.end]
name = "End"
railroad = "CHT"
track.loop = {{ use = "runaround", length = "600 scale ft", opens = "both" }}
track.bakery = {{ use = "spur", length = "100 scale ft", opens = "both" }}
[[link]]
between = ["town", "{second}"]
minutes = 2
[[link]]
between = ["{second}", "{third}"]
minutes = 2
[industry.mill]
name = "Mill"
place = "town"
ships.flour = ["mill"]
[industry.bakery]
name = "Bakery"
place = "end"
receives.flour = ["bakery"]
"#
    );
    let mut text = BRANCH.replace("[\"yard\", \"town\", \"yard\"]", calls) + &places;
    text += &(lane("flour", "flour", "mill", "bakery") + "on_the_way = [\"weigh\"]\n");
    let mut case = Case::of(&(text + &box_cars(2, "44 ft")));
    // Loaded at the mill, and ready to go.
    case.put("CHT 1", "town/mill", None);
    case.load("CHT 1", "flour", 1);
    case
}

/// The number of the event in which a car is weighed, and of the one in which it is left at the bakery.
fn weighed_and_left(plan: &Plan) -> (Option<usize>, Option<usize>) {
    let weighed = |event: &Event| matches!(event, Event::Served { service: Service::Weigh, .. });
    let left = |event: &Event| matches!(event, Event::Leave { track, .. } if track.as_str() == "end/bakery");
    (plan.events.iter().position(weighed), plan.events.iter().position(left))
}

/// Runs sessions until the car is at the bakery, and gives what was seen of each.
fn until_delivered(case: &mut Case) -> Vec<(Option<usize>, Option<usize>)> {
    let mut seen = Vec::new();
    while case.stands("CHT 1").0 != "end/bakery" {
        assert!(seen.len() < 4, "it is never delivered: {seen:?}");
        let plan = case.session();
        seen.push(weighed_and_left(&plan));
    }
    seen
}

#[test]
fn a_car_picked_up_and_consigned_on_one_route_is_weighed_before_it_is_delivered() {
    for scale_first in [true, false] {
        let mut case = one_route(scale_first);
        let seen = until_delivered(&mut case);
        let mut weighed = false;
        for (weigh, leave) in seen {
            let before = weighed || weigh.is_some_and(|weigh| leave.is_none_or(|leave| weigh < leave));
            assert!(
                before || leave.is_none(),
                "left at the bakery and not weighed, scale first: {scale_first}"
            );
            weighed |= weigh.is_some();
        }
        assert!(weighed);
    }
}

#[test]
fn a_dirty_car_is_cleaned_before_it_is_loaded_with_what_wants_a_clean_one() {
    let mut text = BRANCH.replace("[commodity.flour]\n", "[commodity.flour]\nclean = true\n");
    text += "[place.town.track.mill]\nuse = \"spur\"\nlength = \"100 scale ft\"\nopens = \"east\"\n\
             [industry.mill]\nname = \"Mill\"\nplace = \"town\"\nships.flour = [\"mill\"]\n\
             [place.yard.track.1]\nuse = \"yard\"\nlength = \"300 scale ft\"\nopens = \"both\"\n\
             [place.yard.track.wash]\nuse = \"yard\"\nlength = \"100 scale ft\"\nopens = \"both\"\noffers = [\"clean\"]\n";
    text += &lane("flour", "flour", "mill", "away");
    let mut case = Case::of(&(text + &box_cars(1, "44 ft")));
    case.put("CHT 1", "yard/1", None);
    let car = case.car("CHT 1");
    case.standing.car_mut(car).dirty = true;
    case.order("flour", 1);
    let mut cleaned = false;
    for _ in 0..4 {
        let plan = case.session();
        cleaned |=
            plan.events.iter().any(|event| matches!(event, Event::Served { service: Service::Clean, .. }));
        if case.stands("CHT 1").0 == "town/mill" {
            assert!(cleaned, "it came to the mill dirty");
            return;
        }
    }
    panic!("it never came to the mill: {:?}", case.standing.car(car));
}

#[test]
fn a_car_that_comes_in_where_it_is_weighed_is_weighed_before_the_first_job() {
    let mut text = BRANCH.replace("track.in = {", "track.in = { offers = [\"weigh\"],");
    text += "[place.town.track.mill]\nuse = \"spur\"\nlength = \"100 scale ft\"\nopens = \"east\"\n\
             [industry.mill]\nname = \"Mill\"\nplace = \"town\"\nreceives.flour = [\"mill\"]\n";
    text += &(lane("flour", "flour", "away", "mill") + "on_the_way = [\"weigh\"]\n");
    let mut case = Case::of(&(text + &box_cars(1, "44 ft")));
    case.order("flour", 1);
    let plan = case.session();
    let weighed = |event: &Event| matches!(event, Event::Served { track, .. } if track.as_str() == "yard/in");
    let begins = |event: &Event| matches!(event, Event::Starts { .. });
    assert!(plan.events.iter().position(weighed) < plan.events.iter().position(begins));
    assert!(plan.events.iter().any(weighed));
    assert_eq!(case.stands("CHT 1").0, "town/mill");
}
