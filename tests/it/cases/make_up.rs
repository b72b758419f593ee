//! A-B-A-B: a train is made up so that its crew cuts each block once. Common practice, no source: the station order of
//! a local is told so in an army course (TR0636, "Local freight buildup"), the number of cuts is counted here by hand.

use setout::session::plan::Event;

use super::*;

/// The customers of the town.
const CUSTOMERS: [(&str, &str); 3] = [("a", "Amber Mill"), ("b", "Brick Works"), ("c", "Cooperage")];

/// A turn from the yard to a town with two customers on one lead, each with a spur of its own.
fn two_spurs() -> Case {
    spurs(&CUSTOMERS[..2])
}

fn spurs(customers: &[(&str, &str)]) -> Case {
    let mut text = BRANCH.to_owned();
    for (id, name) in customers {
        let spur = "[place.town.track.ID]\nuse = \"spur\"\nlength = \"200 scale ft\"\nopens = \"east\"\n\
                    [industry.ID]\nname = \"NAME\"\nplace = \"town\"\nreceives.flour = [\"ID\"]\n";
        text += &spur.replace("ID", id).replace("NAME", name);
        text += &lane(id, "flour", "away", id);
    }
    Case::of(&(text + &box_cars(8, "45 ft")))
}

/// The cuts that the crew leaves at the customers' spurs.
fn cuts(plan: &Plan) -> usize {
    let spur = |track: &Id| matches!(track.as_str(), "town/a" | "town/b" | "town/c");
    let left = |event: &&Event| matches!(event, Event::Leave { track, .. } if spur(track));
    plan.events.iter().filter(left).count()
}

/// Where the cars of the train that goes out are left, from the engine outwards, each block once.
fn blocks(plan: &Plan) -> String {
    let train = plan.events.iter().find_map(|event| match event {
        Event::Goes { call: 1, train, .. } => Some(train),
        _ => None,
    });
    let train = train.expect("the turn goes out");
    let cars = train.west.iter().rev().chain(&train.east);
    let left =
        |car: &Id| trip(plan, car.as_str()).legs.last().expect("a leg").to.as_str().replace("town/", "");
    let mut said: Vec<String> = cars.map(left).collect();
    said.dedup();
    said.concat()
}

#[test]
fn cars_that_come_as_a_b_a_b_are_put_onto_the_staging_track_by_blocks() {
    // The four come from beyond tonight: hands put them on the track, and they stand a a b b or b b a a.
    let mut case = two_spurs();
    for lane in ["a", "b", "a", "b"] {
        case.order(lane, 0);
    }
    let plan = case.session();
    assert_eq!(plan.trips.iter().filter(|trip| trip.arrives).count(), 4);
    let order = blocks(&plan);
    assert!(["ab", "ba"].contains(&order.as_str()), "{order}");
    assert_eq!(cuts(&plan), 2);
    let asked: Vec<usize> = plan.make_up[0].blocks.iter().map(|block| block.cars.len()).collect();
    assert_eq!(asked, [2, 2], "the plan says so");
}

#[test]
fn cars_for_three_customers_come_in_three_blocks() {
    // a b c a b c would be six cuts; put on the track by blocks they are three, in whatever order of the blocks.
    let mut case = spurs(&CUSTOMERS);
    for lane in ["a", "b", "c", "a", "b", "c"] {
        case.order(lane, 0);
    }
    let plan = case.session();
    assert_eq!(plan.trips.iter().filter(|trip| trip.arrives).count(), 6);
    let order = blocks(&plan);
    assert_eq!(order.len(), 3, "{order}");
    assert_eq!(cuts(&plan), 3);
    let asked: Vec<usize> = plan.make_up[0].blocks.iter().map(|block| block.cars.len()).collect();
    assert_eq!(asked, [2, 2, 2], "the plan says so");
}

#[test]
fn cars_on_several_tracks_are_pulled_by_blocks() {
    // One customer's cars on a track, then the other's, then the first one's again.
    let mut case = two_spurs();
    for (car, track, lane) in
        [("CHT 1", "yard/in", "a"), ("CHT 2", "yard/loop", "b"), ("CHT 3", "yard/out", "a")]
    {
        case.put(car, track, None);
        case.load(car, lane, 0);
    }
    let plan = case.session();
    let order = blocks(&plan);
    assert!(["ab", "ba"].contains(&order.as_str()), "{order}");
    assert_eq!(cuts(&plan), 2);
}

#[test]
fn a_stray_on_the_spur_is_on_the_crews_list() {
    let mut case = two_spurs();
    case.put("CHT 8", "town/a", None);
    for (car, lane) in [("CHT 1", "a"), ("CHT 2", "b"), ("CHT 3", "a"), ("CHT 4", "b")] {
        case.put(car, "yard/in", None);
        case.load(car, lane, 0);
    }
    let plan = case.session();
    let stray = work(&plan, "CHT 8");
    assert!(!stray.is_empty());
    let deeds = [Deed::Pull, Deed::Hold, Deed::Leave];
    assert!(stray.iter().any(
        |line| deeds.contains(&line.deed) && line.from.as_ref().is_some_and(|at| at.as_str() == "town/a")
    ));
}
