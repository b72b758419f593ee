//! Small railroads whose best trips are plain to see.

use super::*;
use crate::chance::Chance;
use crate::ids::Ix;
use crate::layout::Layout;
use crate::standing::{Condition, Order, Standing};
use crate::testing::{Row, branch, branch_text, car, standing, track};
use crate::traffic;
use crate::units::Date;

const MILL: &str = r#"
[commodity.flour]
cars = ["XM"]
[industry.mill]
name = "Mill"
place = "town"
receives.flour = ["mill/door 1"]
[[lane]]
id = "flour"
commodity = "flour"
from = "away"
to = "mill"
carloads = "1 a month"
"#;

/// Cars on their rows; those named are loaded with flour for the mill, due in the order named.
fn plan_of(layout: &Layout, rows: &[Row<'_>], loaded: &[usize]) -> (Trips, Demand) {
    let mut before: Standing = standing(layout, rows);
    for (due, number) in (-9..).zip(loaded) {
        let id = crate::ids::Id::from(format!("flour#{number}"));
        let lading = crate::ids::CommodityIx::new(0);
        before.car_mut(car(*number)).condition = Condition::Loaded { order: id.clone(), lading };
        before.orders.push(Order { id, lane: Ix::new(0), due, set: 1, car: Some(car(*number)) });
    }
    let network = Network::new(layout, Date::new(1978, 10, 2).unwrap());
    let demand = traffic::due(&network, &before, 1, Chance::new(1));
    let trips = Planner::new(&network, &demand, Chance::new(1)).plan(&Bans::new());
    (trips, demand)
}

fn trip_of<'t>(trips: &'t Trips, demand: &Demand, number: usize) -> &'t Trip {
    let place = demand.wishes.iter().position(|wish| wish.car == car(number)).unwrap();
    &trips.trips[place]
}

#[test]
fn a_car_leaves_a_spot_before_another_comes_to_it_at_the_same_call() {
    let layout = branch(2, MILL);
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None)]), ("town/mill", &[(2, Some(0))])];
    let (trips, demand) = plan_of(&layout, rows, &[1]);
    let (inbound, outbound) = (trip_of(&trips, &demand, 1), trip_of(&trips, &demand, 2));
    assert_eq!(inbound.legs[0].to, outbound.legs[0].from);
    assert_eq!((inbound.stages, outbound.stages), (1, 1));
}

#[test]
fn of_two_cars_for_one_spot_the_longer_waiting_gets_it_and_the_other_waits_near() {
    let layout = branch(2, MILL);
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None), (2, None)])];
    let (trips, demand) = plan_of(&layout, rows, &[2, 1]);
    assert_eq!(trip_of(&trips, &demand, 2).stages, 1);
    let later = trip_of(&trips, &demand, 1);
    assert!(later.off_spot);
    assert_eq!(later.legs[0].track, track(&layout, "town/team"));
    assert_eq!(later.hindrance, Some(Hindrance::Full(track(&layout, "town/mill"))));
}

#[test]
fn a_car_whose_spot_and_waiting_tracks_are_full_is_not_sent_out() {
    // The team track has 100 ft: two cars of 44 ft fill it.
    let layout = branch(4, MILL);
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None), (2, None), (3, None), (4, None)])];
    let (trips, demand) = plan_of(&layout, rows, &[1, 2, 3, 4]);
    let last = trip_of(&trips, &demand, 4);
    assert_eq!((last.legs.len(), last.sessions), (0, Some(1)));
    assert!(matches!(last.hindrance, Some(Hindrance::Full(_))));
}

#[test]
fn a_track_takes_no_more_cars_at_once_than_it_is_said_to() {
    // The team track has room for two cars of 44 ft, but takes one at once; the mill has one door.
    let text = branch_text(3, MILL).replace("off_spot = true }", "off_spot = true, max_cars = 1 }");
    let layout = crate::testing::layout(&text);
    assert!(layout.tracks()[track(&layout, "town/team")].limits.at_once.is_some());
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None), (2, None), (3, None)])];
    let (trips, demand) = plan_of(&layout, rows, &[1, 2, 3]);
    assert_eq!(trip_of(&trips, &demand, 1).stages, 1);
    assert!(trip_of(&trips, &demand, 2).off_spot);
    assert!(trip_of(&trips, &demand, 3).legs.is_empty());
}

#[test]
fn a_full_train_leaves_the_rest_behind() {
    let layout = crate::testing::layout(
        &branch_text(3, MILL).replace("power = \"60", "max = { cars = 1 }\npower = \"60"),
    );
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None), (2, None)])];
    let (trips, demand) = plan_of(&layout, rows, &[1, 2]);
    assert_eq!(trip_of(&trips, &demand, 1).stages, 1);
    assert!(matches!(trip_of(&trips, &demand, 2).hindrance, Some(Hindrance::TrainFull(_))));
}

#[test]
fn a_banned_car_is_not_touched_at_that_call() {
    let layout = branch(1, MILL);
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None)])];
    let (free, demand) = plan_of(&layout, rows, &[1]);
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let call = free.trips[0].legs[0].from;
    let mut bans = Bans::new();
    bans.refuse(&[car(1)], call, &free.tasks[call], &Ban::NoWayRound);
    let banned = Planner::new(&network, &demand, Chance::new(1)).plan(&bans);
    assert!(banned.trips[0].legs.is_empty());
    assert!(matches!(banned.trips[0].hindrance, Some(Hindrance::Banned(..))));
}

#[test]
fn two_cars_at_each_others_spots_change_places_or_one_is_put_aside() {
    // Car 1, loaded for door 1, stands at door 2; car 2, ordered for door 2, stands at door 1.
    let both = MILL
        .replace("[[lane]]", "ships.bran = [\"mill/door 2\"]\n[commodity.bran]\ncars = [\"XM\"]\n[[lane]]")
        + "[[lane]]\nid = \"bran\"\ncommodity = \"bran\"\nfrom = \"mill\"\nto = \"away\"\ncarloads = \"1 a month\"\n";
    let layout = branch(2, &both);
    let lane = |id: &str| layout.lanes().iter().find(|(_, lane)| lane.id.as_str() == id).unwrap().0;
    let mut before = standing(&layout, &[("town/mill", &[(2, Some(0)), (1, Some(1))])]);
    let ids = ["flour#1", "bran#1"].map(crate::ids::Id::from);
    let [flour, bran] = ids.clone();
    let lading = layout.lanes()[lane("flour")].commodity;
    before.car_mut(car(1)).condition = Condition::Loaded { order: flour, lading };
    before.car_mut(car(2)).condition = Condition::Ordered { order: bran };
    for (id, number) in ids.into_iter().zip([1, 2]) {
        let lane = lane(id.as_str().split('#').next().unwrap());
        before.orders.push(Order { id, lane, due: 0, set: 1, car: Some(car(number)) });
    }
    let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
    let demand = traffic::due(&network, &before, 1, Chance::new(1));
    let mut planner = Planner::new(&network, &demand, Chance::new(1));
    let mut bans = Bans::new();
    let trips = planner.plan(&bans);
    let (one, other) = (trip_of(&trips, &demand, 1), trip_of(&trips, &demand, 2));
    assert_eq!((one.stages, other.stages, one.legs[0].to), (1, 1, other.legs[0].from));
    // The crew cannot do it: car 1 is not to be left at the mill.
    bans.refuse(&[car(1)], one.legs[0].to, &trips.tasks[one.legs[0].to], &Ban::NoWayRound);
    let trips = planner.plan(&bans);
    let (one, other) = (trip_of(&trips, &demand, 1), trip_of(&trips, &demand, 2));
    assert_eq!((one.stages, one.legs[0].track), (0, track(&layout, "town/team")));
    assert_eq!((other.aside, other.stages), (false, 1));
    assert!(matches!(one.hindrance, Some(Hindrance::Banned(..))));
}

#[test]
fn two_parts_of_one_spur_have_room_of_their_own() {
    // The house part has 60 ft: after one car of 44 ft a second does not fit there (88 > 60), though
    // the spur as a whole, 180 ft, has room for it. The practice is common practice, no source.
    let layout = branch(
        2,
        r#"
[place.town.track.spur]
use = "spur"
length = "180 scale ft"
opens = "east"
spots = [
    { name = "house", length = "60 scale ft", cars = "any" },
    { name = "team", length = "120 scale ft", cars = "any" },
]
[commodity.flour]
cars = ["XM"]
[industry.machine-shop]
name = "Machine Shop"
place = "town"
receives.flour = ["spur/house"]
[[lane]]
commodity = "flour"
from = "away"
to = "machine-shop"
carloads = "1 a month"
"#,
    );
    let rows: &[Row<'_>] = &[("yard/in", &[(1, None), (2, None)])];
    let (trips, demand) = plan_of(&layout, rows, &[1, 2]);
    let spur = track(&layout, "town/spur");
    let (first, second) = (trip_of(&trips, &demand, 1), trip_of(&trips, &demand, 2));
    assert_eq!(first.legs[0].spot, Some(layout.tracks()[spur].spots[0]));
    assert_eq!((second.off_spot, second.legs[0].track), (true, track(&layout, "town/team")));
    assert_eq!(second.hindrance, Some(Hindrance::Full(spur)));
}

/// A mill with three doors, the third for cars of 45 ft at most, and a fourth car of 50 ft.
fn doors(receives: &str) -> Layout {
    let more = "[[car]]\nmark = \"CHT\"\nnumber = \"4\"\ntype = \"XM\"\nlength = \"50 ft\"\n";
    let text = branch_text(3, &MILL.replace("\"mill/door 1\"", receives)) + more;
    crate::testing::layout(
        &text.replace("{ name = \"door 3\" }", "{ name = \"door 3\", length = \"45 scale ft\" }"),
    )
}

/// The cars that may stand at each other's spots at the town.
fn exchanged(layout: &Layout, cars: &[usize]) -> Vec<Vec<CarIx>> {
    let row: Vec<(usize, Option<usize>)> = cars.iter().map(|number| (*number, None)).collect();
    let (trips, _) = plan_of(layout, &[("yard/in", &row)], cars);
    trips.tasks[CallIx::new(1)].exchange.clone()
}

#[test]
fn cars_of_one_call_that_go_to_the_same_doors_may_stand_at_each_others() {
    let layout = doors("\"mill/door 1\", \"mill/door 2\", \"mill/door 3\"");
    assert_eq!(exchanged(&layout, &[1, 2, 3]), [[car(1), car(2), car(3)]]);
    assert!(exchanged(&layout, &[1]).is_empty());
}

#[test]
fn a_car_that_is_too_long_for_a_door_changes_with_no_car_at_it() {
    // Car 4 takes door 1, then 1 and 2 the doors after it: 2 at door 3, where 4 does not fit.
    let layout = doors("\"mill/door 1\", \"mill/door 2\", \"mill/door 3\"");
    assert_eq!(exchanged(&layout, &[4, 1, 2]), [[car(4), car(1)]]);
}

#[test]
fn a_car_goes_from_a_spur_of_one_hand_to_one_of_the_other_only_where_the_engine_gets_round_it() {
    // The team track opens west, the mill east. A loop of 40 scale feet does not hold a car of 44.
    let text = branch_text(1, MILL);
    let long = "[place.town]\nname = \"Town\"\nrailroad = \"CHT\"\ntrack.loop = { use = \"runaround\", length = \"440 scale ft\"";
    assert!(text.contains(long));
    let short = text.replace(long, &long.replace("440", "40"));
    let rows: &[Row<'_>] = &[("town/team", &[(1, None)])];
    for (text, arrives) in [(&text, true), (&short, false)] {
        let (trips, demand) = plan_of(&crate::testing::layout(text), rows, &[1]);
        let trip = trip_of(&trips, &demand, 1);
        assert_eq!(trip.stages == 1, arrives, "{trip:?}");
        assert_eq!(trip.legs.is_empty(), !arrives);
        assert_eq!(matches!(trip.told, Some(Hindrance::Banned(..))), !arrives);
        assert!(trips.tasks.values().all(|task| arrives || task.cars.is_empty()));
    }
}

#[test]
fn a_car_bound_for_a_gateway_may_be_left_on_any_of_its_tracks_and_what_they_may_take_is_told() {
    // Two empties go home; the gateway takes cars on both yard tracks, of 440 ft each, and the two take 88 ft of one.
    let text = branch_text(2, "").replace(r#"takes = "yard/out""#, r#"takes = ["yard/out", "yard/in"]"#);
    let layout = crate::testing::layout(&text);
    let (trips, demand) = plan_of(&layout, &[("town/mill", &[(1, Some(0)), (2, Some(1))])], &[]);
    let (out, other) = (track(&layout, "yard/out"), track(&layout, "yard/in"));
    let legs = [1, 2].map(|number| trip_of(&trips, &demand, number).legs[0]);
    assert!(legs.iter().all(|leg| leg.track == legs[0].track), "they chose alike");
    let elsewhere = if legs[0].track == out { other } else { out };
    let choices = trips.elsewhere(legs[0].to);
    let may = |choice: &Elsewhere| (choice.car, choice.tracks.clone());
    assert_eq!(
        choices.iter().map(may).collect::<Vec<_>>(),
        [1, 2].map(|number| (car(number), vec![elsewhere]))
    );
    let taken = layout.cars()[car(1)].length.times(2);
    // Of the yard's calls the first takes nothing and the second leaves the two.
    let working = layout.tracks()[elsewhere].working;
    let spare = |track: TrackIx| trips.spare[track].iter().map(|spare| spare.length).collect::<Vec<Length>>();
    assert_eq!(spare(elsewhere), [working; 3]);
    assert_eq!(spare(legs[0].track), [working, working, working.less(taken)]);
    assert!(choices.iter().all(|choice| choice.slots == (2..3)));
}

#[test]
fn cars_for_beyond_may_be_left_on_another_track_of_their_gateway_where_it_has_room() {
    let text = branch_text(2, MILL).replace("takes = \"yard/out\"", "takes = [\"yard/out\", \"yard/in\"]");
    let empties: Row<'_> = ("town/mill", &[(1, Some(0)), (2, Some(1))]);
    // Whether the two are left there once a shift is tried that pays, or does not; nothing if it cannot be tried.
    let left = |text: &str, pays: bool| {
        let layout = crate::testing::layout(text);
        let (out, other) = (track(&layout, "yard/out"), track(&layout, "yard/in"));
        let before = standing(&layout, &[empties]);
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let demand = traffic::due(&network, &before, 1, Chance::new(1));
        let mut planner = Planner::new(&network, &demand, Chance::new(1));
        let planned = planner.plan(&Bans::new());
        let ends = |trips: &Trips| {
            [1, 2].map(|number| trip_of(trips, &demand, number).legs.last().map(|leg| leg.track))
        };
        assert_eq!(ends(&planned), [Some(out); 2]);
        let shift = planner.shifts(&Bans::new()).into_iter().find(|shift| shift.from == out)?;
        assert_eq!((shift.track, shift.cars.len(), shift.last), (other, 2, None));
        let mut tried = None;
        planner.shift(&shift, &Bans::new(), |trips| {
            tried = Some(ends(trips));
            pays
        });
        assert_eq!(tried?, [Some(other); 2]);
        Some(ends(&planner.trips(&Bans::new())) == [Some(other); 2])
    };
    assert_eq!(left(&text, true), Some(true));
    assert_eq!(left(&text, false), Some(false));
    // One car of 44 ft fits into 80 ft, two do not.
    let short = text.replace(
        "track.in = { use = \"staging\", length = \"440",
        "track.in = { use = \"staging\", length = \"80",
    );
    assert_eq!(left(&short, true), None);
}
