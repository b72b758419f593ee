//! Calls worked by hand first, then by the stage.

use super::*;
use crate::ids::Ix;
use crate::layout::Layout;
use crate::network::Network;
use crate::testing::{Row, branch, branch_text, car, light, standing, track};
use crate::trips::Task;
use crate::units::Date;

fn network(layout: &Layout) -> Network<'_> {
    Network::new(layout, Date::new(1978, 10, 2).unwrap())
}

fn tasks(calls: [Task; 3]) -> IxVec<CallIx, Task> {
    calls.into_iter().collect()
}

fn task(pulls: &[usize], sets: &[SetOut]) -> Task {
    let pulls: Vec<CarIx> = pulls.iter().map(|number| car(*number)).collect();
    let mut cars = pulls.clone();
    cars.extend(sets.iter().map(|set| set.car).filter(|car| !pulls.contains(car)));
    Task { cars, pulls, sets: sets.to_vec(), ..Task::default() }
}

fn set(layout: &Layout, number: usize, id: &str, spot: Option<usize>) -> SetOut {
    let track = track(layout, id);
    SetOut { car: car(number), track, spot: spot.map(|spot| layout.tracks()[track].spots[spot]) }
}

/// The work of the session's calls, within so many states for each.
fn work_of(
    layout: &Layout,
    before: &Standing,
    asked: &IxVec<CallIx, Task>,
    states: usize,
) -> Result<Worked, Refusal> {
    let asked = Trips { tasks: asked.clone(), ..Trips::default() };
    let (network, weights) = (network(layout), light(layout));
    let crews = Crews { network: &network, standing: before, hands: &[], weights: &weights, states };
    crews.work(&asked, &mut Memory::default())
}

fn row(worked: &Worked, layout: &Layout, id: &str) -> Vec<usize> {
    worked.rows[track(layout, id)].iter().map(|on| on.car.place() + 1).collect()
}

#[test]
fn a_trailing_spur_is_worked_on_the_way_out() {
    // Car 1 goes to door 1, the far end of a spur that opens east; the train comes from the west
    // with its cars behind the engine. Couple 1 at the yard; at the town shove it in: 2 handlings.
    let layout = branch(1, "");
    let before = standing(&layout, &[("yard/in", &[(1, None)])]);
    let asked =
        tasks([task(&[1], &[]), task(&[], &[set(&layout, 1, "town/mill", Some(0))]), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/mill"), [1]);
    let handlings: usize = worked.calls.values().map(|done| done.handlings.len()).sum();
    assert_eq!(handlings, 2);
}

#[test]
fn a_car_behind_others_is_got_out_and_they_are_put_back_as_they_were() {
    // Inward from the open east end stand 3 (door 3), 2 (door 2), 1 (door 1); car 1 is wanted.
    let layout = branch(3, "");
    let before = standing(&layout, &[("town/mill", &[(1, Some(0)), (2, Some(1)), (3, Some(2))])]);
    let asked = tasks([Task::default(), task(&[1], &[]), task(&[], &[set(&layout, 1, "yard/out", None)])]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/mill"), [2, 3]);
    let spots: Vec<_> = worked.rows[track(&layout, "town/mill")].iter().map(|on| on.spot).collect();
    let mill = &layout.tracks()[track(&layout, "town/mill")].spots;
    assert_eq!(spots, [Some(mill[1]), Some(mill[2])]);
    assert_eq!(row(&worked, &layout, "yard/out"), [1]);
}

#[test]
fn a_new_car_goes_between_two_that_hold() {
    // Doors 1 and 3 are taken, the new car goes to door 2.
    let layout = branch(3, "");
    let before =
        standing(&layout, &[("town/mill", &[(1, Some(0)), (3, Some(2))]), ("yard/in", &[(2, None)])]);
    let asked =
        tasks([task(&[2], &[]), task(&[], &[set(&layout, 2, "town/mill", Some(1))]), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/mill"), [1, 2, 3]);
}

#[test]
fn a_facing_spur_is_worked_after_a_run_around() {
    // The team track opens west: the engine must come round its car first. Couple at the yard; leave
    // on the loop, couple to the other end, shove in: 4 handlings.
    let layout = branch(1, "");
    let before = standing(&layout, &[("yard/in", &[(1, None)])]);
    let asked = tasks([task(&[1], &[]), task(&[], &[set(&layout, 1, "town/team", None)]), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    let handlings: usize = worked.calls.values().map(|done| done.handlings.len()).sum();
    assert_eq!(row(&worked, &layout, "town/team"), [1]);
    assert!(handlings <= 4, "{handlings} handlings");
}

#[test]
fn a_crew_asked_too_much_leaves_out_the_least_important() {
    // The mill track has 150 ft: three cars of 44 ft fit, a fourth does not, whatever the doors say.
    let layout = branch(4, "");
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None), (4, None)])]);
    let sets: Vec<SetOut> = (1..=4).map(|number| set(&layout, number, "town/mill", None)).collect();
    let asked = tasks([task(&[1, 2, 3, 4], &[]), task(&[], &sets), Task::default()]);
    let refusal = work_of(&layout, &before, &asked, 1000).unwrap_err();
    assert_eq!((refusal.call, refusal.cars), (CallIx::new(1), vec![car(4)]));
}

#[test]
fn a_cut_never_outgrows_its_lead() {
    // East of the town there is room for the engine (60 ft) and one car of 44 ft, not for two: the
    // train goes straight into the loop, and its cars are fetched one by one from the east.
    let lead = "[place.town]\nlead = { east = \"110 scale ft\" }";
    let layout = crate::testing::layout(&branch_text(3, "").replace("[place.town]", lead));
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None)])]);
    let sets: Vec<SetOut> =
        (1..=3).map(|number| set(&layout, number, "town/mill", Some(3 - number))).collect();
    let asked = tasks([task(&[1, 2, 3], &[]), task(&[], &sets), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/mill"), [3, 2, 1]);
    let most =
        worked.calls.values().flat_map(|done| &done.handlings).map(|handling| handling.cars.len()).max();
    assert_eq!(most, Some(3), "only straight into the loop do three cars move at once");
}

#[test]
fn a_track_behind_another_is_reached_through_it() {
    // `deep` lies behind `mill`; car 1 waits there, 2 and 3 hold at the mill.
    let layout = branch(
        3,
        r#"
[place.town.track.deep]
use = "spur"
length = "100 scale ft"
opens = "east"
behind = "mill"
"#,
    );
    let rows: &[Row<'_>] = &[("town/deep", &[(1, None)]), ("town/mill", &[(2, Some(0)), (3, Some(1))])];
    let before = standing(&layout, rows);
    let asked = tasks([Task::default(), task(&[1], &[]), task(&[], &[set(&layout, 1, "yard/out", None)])]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/mill"), [2, 3]);
    assert_eq!(row(&worked, &layout, "yard/out"), [1]);
    let mill = &layout.tracks()[track(&layout, "town/mill")].spots;
    let spots: Vec<_> = worked.rows[track(&layout, "town/mill")].iter().map(|on| on.spot).collect();
    assert_eq!(spots, [Some(mill[0]), Some(mill[1])]);
}

#[test]
fn a_crew_comes_the_right_way_round_to_a_place_where_it_cannot_turn() {
    // The town's only track that opens at both ends is a yard track, and nothing leads past it: the
    // engine must come with its car ahead of it to shove it in from the west.
    let text = branch_text(1, "").replace(
        "[place.town]\nname = \"Town\"\nrailroad = \"CHT\"\ntrack.loop = { use = \"runaround\"",
        "[place.town]\nname = \"Town\"\nrailroad = \"CHT\"\ntrack.loop = { use = \"yard\"",
    );
    let layout = crate::testing::layout(&text);
    let before = standing(&layout, &[("yard/in", &[(1, None)])]);
    let asked = tasks([task(&[1], &[]), task(&[], &[set(&layout, 1, "town/team", None)]), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/team"), [1]);
}

#[test]
fn a_crew_comes_the_right_way_round_to_fetch_a_car_where_it_cannot_turn() {
    // The train carries car 1 past the town and fetches car 2 from the team track, which opens west.
    let text = branch_text(
        2,
        "[place.end]\nname = \"End\"\nrailroad = \"CHT\"\n\
         track.loop = { use = \"runaround\", length = \"200 scale ft\", opens = \"both\" }\n\
         [[link]]\nbetween = [\"town\", \"end\"]\nminutes = 2\n",
    );
    let text = text
        .replace(
            "track.loop = { use = \"runaround\", length = \"440 scale ft\", opens = \"both\" }\ntrack.mill",
            "track.mill",
        )
        .replace("calls = [\"yard\", \"town\", \"yard\"]", "calls = [\"yard\", \"town\", \"end\"]");
    let layout = crate::testing::layout(&text);
    let before = standing(&layout, &[("yard/in", &[(1, None)]), ("town/team", &[(2, None)])]);
    let asked = tasks([
        task(&[1], &[]),
        task(&[2], &[]),
        task(&[], &[set(&layout, 1, "end/loop", None), set(&layout, 2, "end/loop", None)]),
    ]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "town/team"), [0; 0]);
}

/// A yard whose west lead takes the engine (60 ft) and so many feet of cars, with a spur that opens west.
fn short_lead(cars: usize, feet: u32) -> Layout {
    let lead = format!("[place.yard]\nlead = {{ west = \"{} scale ft\" }}", 60 + feet);
    let spur = "[place.yard.track.spur]\nuse = \"yard\"\nlength = \"200 scale ft\"\nopens = \"west\"\n";
    crate::testing::layout(&branch_text(cars, spur).replace("[place.yard]\nname", &(lead + "\nname")))
}

#[test]
fn a_lead_too_short_for_a_cut_takes_it_in_two_pulls() {
    // Inward from its switch stand 1 2 3, and 3 is wanted: the lead takes two cars. Draw 1 2 and put them
    // aside, draw 3 and put it by, fetch 1 2 and put them back, fetch 3: seven handlings.
    let layout = short_lead(3, 90);
    let before = standing(&layout, &[("yard/spur", &[(1, None), (2, None), (3, None)])]);
    let asked = tasks([task(&[3], &[]), task(&[], &[set(&layout, 3, "town/mill", None)]), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 1000).unwrap();
    assert_eq!(row(&worked, &layout, "yard/spur"), [1, 2]);
    assert_eq!(row(&worked, &layout, "town/mill"), [3]);
    assert_eq!(worked.calls[CallIx::new(0)].handlings.len(), 7);
}

#[test]
fn a_crew_leaves_its_train_to_fetch_what_is_too_long_for_both() {
    // Two cars wait on `in`; on the spur 3 and 4 hold before 5. The lead takes three cars, so the two wait
    // on a clear track meanwhile, or are fetched last.
    let layout = short_lead(5, 140);
    let rows: &[Row<'_>] =
        &[("yard/in", &[(1, None), (2, None)]), ("yard/spur", &[(3, None), (4, None), (5, None)])];
    let before = standing(&layout, rows);
    let sets: Vec<SetOut> = [1, 2, 5].map(|number| set(&layout, number, "town/mill", None)).to_vec();
    let asked = tasks([task(&[1, 2, 5], &[]), task(&[], &sets), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 0).unwrap();
    assert_eq!(row(&worked, &layout, "yard/spur"), [3, 4]);
    assert_eq!(row(&worked, &layout, "town/mill").len(), 3);
}

#[test]
fn what_is_not_wanted_yet_is_left_without_leaving_the_rest() {
    // From the engine outwards 3 for the mill, which opens east, and 2 1 for the team track, which opens
    // west. Leave 2 1 on the loop, 3 at the mill; round the loop, couple 2 1 and leave them: four handlings,
    // where leaving all three and coupling 3 again would take five.
    let layout = branch(3, "");
    let before = standing(&layout, &[("yard/in", &[(1, None), (2, None), (3, None)])]);
    let sets: Vec<SetOut> = [(3, "town/mill"), (1, "town/team"), (2, "town/team")]
        .map(|(number, id)| set(&layout, number, id, None))
        .to_vec();
    let asked = tasks([task(&[1, 2, 3], &[]), task(&[], &sets), Task::default()]);
    let worked = work_of(&layout, &before, &asked, 0).unwrap();
    assert_eq!(worked.calls[CallIx::new(1)].handlings.len(), 4);
}
