//! Rules 0 to 5, 11 and 12: the world, the rows, the trains, the handlings.

use std::collections::BTreeMap;

use super::{all_found, at, couples, spoiled, world_track};
use crate::ids::Id;
use crate::layout::{End, Opens};
use crate::session::plan::{Event, LeftCar, Plan, RowCar, WorldApart, WorldPlacards};
use crate::units::{Cars, ClockTime, Length, Tons};

fn left(car: &str, spot: Option<&str>) -> LeftCar {
    LeftCar { car: Id::from(car), spot: spot.map(Id::from) }
}

fn row(car: &str) -> RowCar {
    RowCar { car: Id::from(car), spot: None, lading: None, bad_order: false, dirty: false }
}

#[test]
fn a_world_better_than_the_layout_is_found() {
    all_found(&[
        (0, "format 3", |plan| plan.format = 3),
        (0, "for the layout", |plan| plan.layout = "Another".into()),
        (0, "not the day", |plan| plan.session = 2),
        (0, "the place `yard` is not", |plan| plan.world.places[1].lead_west = None),
        (0, "the track `yard/1` is not", |plan| world_track(plan, "yard/1").length = Length::scale_feet(201)),
        (0, "the track `mill/team` is not", |plan| world_track(plan, "mill/team").opens = Opens::Both),
        (0, "does not describe the track `yard/2`", |plan| {
            plan.world.tracks.retain(|track| track.id != Id::from("yard/2"));
        }),
        (0, "twice", |plan| plan.world.cars.push(plan.world.cars[0].clone())),
        (0, "describe the link", |plan| plan.world.links[0].limits.car = None),
        (0, "not there as it says", |plan| plan.world.links.push(plan.world.links[0].clone())),
        (0, "the job `turn` is not", |plan| plan.world.jobs[0].max_tons = None),
        (0, "`other`, which is not there", |plan| plan.world.jobs[0].id = Id::from("other")),
        (0, "the car `RV 1` is not", |plan| plan.world.cars[0].length = Length::scale_feet(39)),
        (0, "does not describe the car", |plan| drop(plan.world.cars.remove(1))),
    ]);
}

#[test]
fn a_car_in_two_places_or_in_none_is_found() {
    all_found(&[
        (1, "before the session", |plan| plan.before.shelf.push(row("RV 1"))),
        (1, "no place before", |plan| plan.before.shelf.clear()),
        (1, "not in the roster", |plan| plan.before.shelf.push(row("RV 9"))),
        (1, "which the layout does not have", |plan| {
            plan.before.beyond.insert(Id::from("moon"), plan.before.shelf.split_off(0));
        }),
        (1, "the layout does not have", |plan| {
            plan.before.tracks.insert(Id::from("yard/9"), plan.before.shelf.split_off(0));
        }),
        (1, "is lost", |plan| plan.after.shelf.clear()),
        (1, "appears only after", |plan| plan.after.shelf.push(row("RV 9"))),
        (1, "after the session", |plan| plan.after.shelf.push(row("RV 1"))),
        (1, "and the plan says", |plan| {
            let car = plan.after.tracks.remove(&Id::from("yard/1")).unwrap();
            plan.after.tracks.get_mut(&Id::from("yard/2")).unwrap().extend(car);
        }),
        (1, "in another order", |plan| {
            plan.before.tracks.get_mut(&Id::from("yard/1")).unwrap().push(row("RV 5"));
            plan.before.shelf.clear();
            plan.after.tracks.insert(Id::from("yard/1"), vec![row("RV 5"), row("RV 2")]);
            plan.after.shelf.clear();
        }),
        (1, "is lifted from", |plan| {
            plan.events[at::LIFTED] =
                Event::Lifted { car: Id::from("RV 2"), track: Id::from("yard/2"), gateway: Id::from("out") };
        }),
        (1, "is put on", |plan| {
            let Event::Placed { car, .. } = &mut plan.events[at::PLACED] else { return };
            *car = Id::from("RV 2");
        }),
        (1, "in its train", |plan| drop(plan.events.remove(at::LAST_LEAVE))),
        (1, "never ends", |plan| drop(plan.events.remove(at::ENDS))),
    ]);
}

#[test]
fn too_little_room_is_found() {
    all_found(&[
        (2, "holds 960 scale inches", |plan| {
            world_track(plan, "mill/siding").length = Length::scale_feet(70);
        }),
        (2, "before the session, and no notice", |plan| {
            world_track(plan, "yard/1").length = Length::scale_feet(70);
        }),
        (2, "`mill/dock/a` holds", |plan| {
            world_track(plan, "mill/dock").spots[0].length = Some(Length::scale_feet(39));
        }),
        (2, "more than it takes", |plan| world_track(plan, "mill/dock").spots[0].cars = Some(Cars::new(0))),
        (2, "no spot of it", |plan| {
            let Event::Leave { cars, .. } = &mut plan.events[at::LAST_LEAVE] else { return };
            *cars = vec![left("RV 3", Some("mill/dock/a"))];
        }),
        (2, "against the order of spots", |plan| {
            let Event::Leave { cars, .. } = &mut plan.events[at::SPOTS_DOCK] else { return };
            *cars = vec![left("RV 1", Some("mill/dock/b"))];
            plan.before
                .tracks
                .get_mut(&Id::from("mill/dock"))
                .unwrap()
                .push(RowCar { spot: Some(Id::from("mill/dock/a")), ..row("RV 5") });
        }),
        (2, "an engine track", |plan| world_track(plan, "mill/team").usage = "engine".into()),
        (2, "does not take", |plan| world_track(plan, "mill/team").holds = vec![Id::from("XM")]),
        (2, "is kept clear", |plan| drop(plan.events.remove(at::LAST_AT_MILL))),
        (2, "is kept clear", |plan| world_track(plan, "mill/team").usage = "main".into()),
    ]);
}

#[test]
fn too_large_a_train_is_found() {
    all_found(&[
        (3, "more than it may", |plan| plan.world.jobs[0].max_cars = Some(Cars::new(1))),
        (3, "longer than it may be", |plan| plan.world.jobs[0].max_length = Some(Length::scale_feet(129))),
        (3, "weighs 130 tons, more", |plan| plan.world.jobs[0].max_tons = Some(Tons::new(129))),
        (3, "is 1560 scale inches, not", |plan| {
            let Event::Goes { train, .. } = &mut plan.events[at::GOES_OUT] else { return };
            train.length = Length::scale_feet(80);
        }),
        (3, "weighs 80 tons, not", |plan| {
            let Event::Goes { train, .. } = &mut plan.events[at::GOES_HOME] else { return };
            train.tons = Tons::new(30);
        }),
        // Couple at the scale: 50 + 2 × 40 = 130 ft, by its west end, going away east: it counts.
        (3, "west lead of `yard`", |plan| plan.world.places[1].lead_west = Some(Length::scale_feet(129))),
        // Before leaving at the team track: 50 + 40 = 90 ft.
        (3, "east lead of `mill`", |plan| plan.world.places[0].lead_east = Some(Length::scale_feet(89))),
    ]);
}

#[test]
fn a_train_that_comes_straight_in_needs_no_lead() {
    // Out: 130 ft come into the siding at the west end. The longest by the west end after that is
    // R 1 with R 3 from the dock: 50 + 2 × 40 = 130 ft; without that car only 90 ft.
    let found = spoiled(|plan| plan.world.places[0].lead_west = Some(Length::scale_feet(129)));
    let events: Vec<_> = found.iter().filter(|breach| breach.rule == 3).map(|breach| breach.event).collect();
    // Couple at the dock and the leave after it; not the leave with which the train came in.
    assert_eq!(events, [Some(at::PULLS_DOCK), Some(at::PULLS_DOCK + 1)]);
}

#[test]
fn impossible_handlings_are_found() {
    all_found(&[
        (4, "does not open east", |plan| {
            let Event::Couple { end, .. } = &mut plan.events[at::PULLS_DOCK] else { return };
            *end = End::East;
        }),
        (4, "where the job is", |plan| {
            let Event::Leave { track, .. } = &mut plan.events[at::LEFT_FOR_RUN_AROUND] else { return };
            *track = Id::from("yard/1");
        }),
        (4, "are not the outermost west", |plan| *couples(plan, at::FIRST_COUPLE) = vec![Id::from("RV 2")]),
        (1, "is coupled on", |plan| *couples(plan, at::FIRST_COUPLE) = vec![Id::from("RV 5")]),
        (4, "nothing is coupled", |plan| couples(plan, at::FIRST_COUPLE).clear()),
        (4, "nothing is left", |plan| {
            let Event::Leave { cars, .. } = &mut plan.events[at::LAST_LEAVE] else { return };
            cars.clear();
        }),
        (4, "are not the outermost of", |plan| {
            let Event::Leave { cars, .. } = &mut plan.events[at::TO_SCALE] else { return };
            *cars = vec![left("RV 1", None)];
        }),
        (4, "through which alone", |plan| world_track(plan, "mill/dock").behind = Some(Id::from("yard/1"))),
        (4, "on the wrong side", |plan| {
            let Event::Couple { track, end, .. } = &mut plan.events[at::FROM_SCALE - 3] else { return };
            (*track, *end) = (Id::from("yard/2"), End::East);
        }),
        (4, "where others stand", |plan| {
            plan.before.tracks.insert(Id::from("mill/siding"), plan.before.shelf.split_off(0));
        }),
        (4, "no clear track", |plan| world_track(plan, "mill/siding").usage = "yard".into()),
        (4, "has other cars", |plan| {
            let Event::Goes { train, .. } = &mut plan.events[at::GOES_OUT] else { return };
            train.east.reverse();
        }),
    ]);
}

#[test]
fn ways_that_are_not_open_are_found() {
    all_found(&[
        (5, "is too long for `yard - mill`", |plan| {
            plan.world.links[0].limits.car = Some(Length::scale_feet(39));
        }),
        (5, "is too heavy for `mill`", |plan| plan.world.places[0].limits.weight = Some(Tons::new(99))),
        (5, "is too high", |plan| {
            plan.world.cars[0].height = Some(Length::scale_feet(16));
            plan.world.links[0].limits.height = Some(Length::scale_feet(15));
        }),
        (5, "takes at once", |plan| plan.world.links[0].limits.at_once = Some(Cars::new(1))),
        (5, "more than it takes at once", |plan| {
            world_track(plan, "mill/siding").limits.at_once = Some(Cars::new(1));
        }),
        (5, "no link joins", |plan| plan.world.links.clear()),
        (5, "lies east of `yard`, not west", |plan| {
            let Event::Goes { direction, .. } = &mut plan.events[at::GOES_OUT] else { return };
            *direction = End::West;
        }),
        (5, "does not lead from call to call", |plan| {
            let Event::Goes { way, .. } = &mut plan.events[at::GOES_OUT] else { return };
            way.truncate(1);
        }),
        (5, "`moon` is not there", |plan| {
            let Event::Goes { way, .. } = &mut plan.events[at::GOES_OUT] else { return };
            way.insert(1, Id::from("moon"));
        }),
        (5, "may not work", |plan| world_track(plan, "mill/team").worked_by = vec![Id::from("Q")]),
        (5, "does not use", |plan| {
            let Event::Placed { track, .. } = &mut plan.events[at::PLACED] else { return };
            *track = Id::from("yard/scale");
        }),
    ]);
}

#[test]
fn events_out_of_order_are_found() {
    all_found(&[
        (12, "after the first job has begun", |plan| plan.events.swap(at::PLACED, at::STARTS)),
        (12, "is not at work", |plan| plan.events.swap(at::STARTS, at::FIRST_COUPLE)),
        (12, "begins a second time", |plan| {
            plan.events.insert(at::FIRST_COUPLE, plan.events[at::STARTS].clone());
        }),
        (12, "does not begin at", |plan| {
            let Event::Starts { place, .. } = &mut plan.events[at::STARTS] else { return };
            *place = Id::from("mill");
        }),
        (12, "is at call 1, not 2", |plan| {
            let Event::Couple { call, .. } = &mut plan.events[at::FIRST_COUPLE] else { return };
            *call = 2;
        }),
        (12, "is not the next call", |plan| plan.world.jobs[0].calls[1] = Id::from("yard")),
        (12, "does not end at its last call", |plan| drop(plan.world.jobs[0].calls.pop())),
        (12, "before `turn` is done", |plan| plan.world.jobs[0].after.push(Id::from("turn"))),
        (12, "due at another time", |plan| plan.work[1].time = ClockTime::new(9, 0)),
        (12, "which has not worked at", |plan| plan.work[1].follows.push(Id::from("turn"))),
    ]);
}

/// A table by which coal is of group 1, and paper of group 2, kept apart from group 1.
fn table(plan: &mut Plan) {
    plan.world.placards = Some(WorldPlacards {
        nearest: 6,
        nearest_short: 2,
        apart: vec![WorldApart { group: 2, tank: false, from: vec!["group 1".into()] }],
        groups: BTreeMap::from([(Id::from("coal"), 1), (Id::from("paper"), 2)]),
        ..WorldPlacards::default()
    });
}

#[test]
fn placarded_cars_out_of_their_places_are_found() {
    // Out go RV 1 and RV 4 with coal, second from the engine; home goes RV 3 with paper.
    all_found(&[
        (0, "the table of placards", table),
        (11, "`RV 4` has placards and rides 1 from the caboose", |plan| {
            table(plan);
            plan.world.jobs[0].caboose = true;
        }),
        (11, "`RV 4` has placards and rides 2 from the engine of `turn`, not 3", |plan| {
            table(plan);
            plan.world.placards.as_mut().unwrap().nearest_short = 3;
        }),
        (11, "`RV 3` has placards and rides 1 from the engine", |plan| {
            table(plan);
            plan.world.placards.as_mut().unwrap().groups.insert(Id::from("paper"), 1);
        }),
        (11, "`RV 1` has residue and no car but tank cars with placards between it and the engine", |plan| {
            table(plan);
            plan.world.cars[0].kind = Id::from("T");
            plan.before.tracks.get_mut(&Id::from("yard/1")).unwrap()[0].lading = Some(Id::from("paper"));
            plan.events.insert(0, Event::Released { car: Id::from("RV 1"), lading: None });
        }),
        (11, "next to `RV 4` (group 1)", |plan| {
            table(plan);
            plan.before.tracks.get_mut(&Id::from("yard/1")).unwrap()[0].lading = Some(Id::from("paper"));
        }),
    ]);
    let sound = spoiled(table);
    assert!(!sound.iter().any(|breach| breach.rule == 11), "{sound:?}");
}

#[test]
fn a_make_up_that_is_not_the_trains_is_found() {
    all_found(&[
        (0, "the make-up of `turn`, call 1", |plan| plan.make_up[0].blocks.reverse()),
        (0, "the make-up of `turn`, call 1", |plan| {
            plan.make_up[0].blocks[0].to = plan.make_up[0].blocks[1].to.clone();
        }),
        (0, "the make-up of `turn`, call 2", |plan| drop(plan.make_up.pop())),
        (0, "belongs to no train", |plan| {
            let last = plan.make_up[1].clone();
            plan.make_up.push(last);
        }),
    ]);
}
