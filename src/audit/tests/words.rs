//! Rules 6 to 8: what the plan tells about ladings, services, calls, trips and orders.

use super::{all_found, at, spoiled};
use crate::audit::Breach;
use crate::ids::Id;
use crate::layout::Service;
use crate::session::plan::{
    CallMinutes, CrewJob, Crews, Deed, Event, JobMinutes, LightRun, MeetLine, OrderState, Plan, WorldJob,
};
use crate::units::Length;

#[test]
fn wrong_ladings_are_found() {
    all_found(&[
        (0, "no commodity", |plan| {
            let Event::Placed { lading, .. } = &mut plan.events[at::PLACED] else { return };
            *lading = Some(Id::from("cheese"));
        }),
        (7, "as it was before", |plan| {
            let Event::Released { lading, .. } = &mut plan.events[at::RELEASED] else { return };
            *lading = None;
        }),
        (7, "stands on no track", |plan| {
            let Event::Released { car, .. } = &mut plan.events[at::RELEASED] else { return };
            *car = Id::from("RV 5");
        }),
        (7, "is released twice", |plan| plan.events.insert(1, plan.events[at::RELEASED].clone())),
        (7, "another lading in `RV 3`", |plan| {
            plan.after.tracks.get_mut(&Id::from("yard/2")).unwrap()[0].lading = None;
        }),
        (6, "is wrong about the lading", |plan| plan.work[0].cars[1].lading = None),
        (6, "from the shelf", |plan| {
            plan.orders[3].state = OrderState::Filled;
            plan.orders[3].car = Some(Id::from("RV 5"));
        }),
        (6, "of a kind that does not carry", |plan| {
            plan.orders[3].state = OrderState::Filled;
            plan.orders[3].car = Some(Id::from("RV 4"));
        }),
    ]);
}

#[test]
fn a_car_taken_before_it_is_ready_is_found() {
    all_found(&[
        (7, "before order `paper#1` is ready", |plan| drop(plan.events.remove(at::RELEASED))),
        (7, "without having been to weigh", |plan| drop(plan.events.remove(at::WEIGHED))),
        (7, "without having been to weigh", |plan| {
            let weighed = plan.events.remove(at::WEIGHED);
            plan.events.insert(at::TO_TEAM, weighed);
        }),
        (7, "but is not there", |plan| plan.events.swap(at::WEIGHED, at::FROM_SCALE)),
        (7, "does not offer", |plan| {
            let Event::Served { service, .. } = &mut plan.events[at::WEIGHED] else { return };
            *service = Service::Ice;
        }),
        (7, "in the order of its trip", |plan| plan.trips[2].services.insert(0, Service::Ice)),
        (7, "not the last of its lane", |plan| plan.trips[2].services.insert(0, Service::Ice)),
        (7, "has no trip", |plan| drop(plan.trips.remove(2))),
    ]);
}

#[test]
fn a_list_that_misleads_the_crew_is_found() {
    all_found(&[
        (7, "not on its list", |plan| drop(plan.work[1].cars.remove(0))),
        (7, "stands twice", |plan| {
            let line = plan.work[0].cars[0].clone();
            plan.work[0].cars.push(line);
        }),
        (7, "comes from", |plan| plan.work[0].cars[0].from = Some(Id::from("yard/2"))),
        (7, "where `RV 1` goes", |plan| plan.work[1].cars[1].to_spot = None),
        (7, "is to be \"hold\"", |plan| plan.work[0].cars[0].deed = Deed::Hold),
        (7, "is to be \"set out\"", |plan| plan.work[1].cars[1].deed = Deed::Set),
        (7, "does not touch it", |plan| plan.work[2].cars[0].deed = Deed::Hold),
        (0, "no car of the session", |plan| plan.work[2].cars[0].car = Id::from("RV 9")),
        (8, "nothing tells the crew", |plan| drop(plan.work.remove(1))),
        (12, "its list says", |plan| plan.work[1].place = Id::from("yard")),
        (12, "never worked", |plan| plan.work[2].call = 4),
        (12, "order of its calls", |plan| plan.work.swap(0, 1)),
    ]);
}

#[test]
fn a_trip_that_is_not_what_happens_is_found() {
    all_found(&[
        (5, "are not what the handlings do", |plan| plan.trips[0].legs.clear()),
        (5, "are not what the handlings do", |plan| plan.trips[1].legs[0].to = Id::from("yard/1")),
        (5, "twice at `mill`", |plan| {
            let mut legs = plan.trips[0].legs.clone();
            legs.extend(plan.trips[1].legs.clone());
            legs.extend(plan.trips[0].legs.clone());
            plan.trips[0].legs = legs;
        }),
        (8, "no reason", |plan| plan.trips[0].why = " ".into()),
        (8, "makes up a train with `RV 4`, and is no yard job", |plan| {
            plan.trips[2].legs[0].made_up_for = Some(Id::from("turn"));
        }),
        (8, "is made up for `turn`, which does not take it from there", |plan| {
            plan.trips[2].legs[0].made_up_for = Some(Id::from("turn"));
        }),
        (8, "a leg of `RV 1` has no reason", |plan| plan.trips[0].legs[0].why = "".into()),
        (8, "says too that it does not", |plan| plan.trips[0].expected = Some(2)),
        (8, "begins on", |plan| plan.trips[0].from = Id::from("yard/2")),
        (7, "another lading than the events", |plan| plan.trips[1].lading = None),
        (8, "two trips", |plan| plan.trips.push(plan.trips[0].clone())),
        (8, "no trip says why", |plan| drop(plan.trips.remove(0))),
        (8, "is no order", |plan| plan.trips[0].order = Some(Id::from("paper#99"))),
        (8, "has another car", |plan| plan.trips[0].order = Some(Id::from("paper#1"))),
        (8, "one goal for each stage", |plan| plan.trips[2].goals.truncate(1)),
        (8, "not the goal of its trip", |plan| plan.trips[1].goals[0].clear()),
        (8, "does not want it", |plan| {
            plan.trips[1].legs[0].to = Id::from("yard/1");
        }),
    ]);
}

#[test]
fn an_order_without_car_state_or_reason_is_found() {
    all_found(&[
        (8, "stands twice", |plan| plan.orders.push(plan.orders[0].clone())),
        (8, "has no reason", |plan| plan.orders[3].why = "".into()),
        (8, "filled by no car", |plan| plan.orders[0].car = None),
        (8, "waits for a car and has", |plan| plan.orders[3].car = Some(Id::from("RV 2"))),
        (8, "serves both", |plan| plan.orders[1].car = Some(Id::from("RV 1"))),
        (8, "not in the roster", |plan| plan.orders[1].car = Some(Id::from("RV 9"))),
        (8, "carries what its lane does not", |plan| plan.orders[0].commodity = Id::from("paper")),
    ]);
}

/// Has the turn meet itself with trains of a length.
fn meet(plan: &mut Plan, at: &str, siding: &str, train: Length) {
    let jobs = [Id::from("turn"), Id::from("turn")];
    let (at, siding) = (Some(Id::from(at)), Some(Id::from(siding)));
    plan.meets.push(MeetLine { jobs, trains: [train; 2], at, siding, why: "told".into(), told: None });
}

/// The longest train of the plan.
fn longest(plan: &Plan) -> Length {
    let trains = plan.events.iter().filter_map(|event| match event {
        Event::Goes { train, .. } => Some(train.length),
        _ => None,
    });
    trains.max().unwrap()
}

#[test]
fn a_meet_at_a_siding_that_does_not_hold_the_train_is_found() {
    all_found(&[
        (12, "comes past `mill/dock` is", |plan| meet(plan, "mill/dock", "turn", Length::scale_feet(5280))),
        (12, "where it meets nobody", |plan| {
            let train = longest(plan);
            meet(plan, "mill/dock", "other", train);
        }),
        (0, "no track of the plan", |plan| {
            let train = longest(plan);
            meet(plan, "mill/none", "turn", train);
        }),
        (12, "is to take the siding", |plan| {
            let train = longest(plan);
            for track in &mut plan.world.tracks {
                track.length = track.length.min(train.less(Length::scale_inches(1)));
            }
            meet(plan, "mill/dock", "turn", train);
        }),
    ]);
}

#[test]
fn minutes_that_are_not_those_of_the_events_are_found() {
    // By hand: at the yard 4 movements, 4 cars, 5 joints, 3 turnouts and 2 cars to find, so
    // 120 + 24 + 75 + 27 + 60 = 306 s; the whole job 306 + 720 + 90 s and two runs of 120 s.
    all_found(&[
        (12, "has no minutes", |plan| plan.minutes.clear()),
        (12, "minutes for 2 calls", |plan| plan.minutes[0].calls.truncate(2)),
        (12, "do not add up", |plan| plan.minutes[0].seconds = crate::units::Minutes::seconds(1355)),
        (12, "call 2, are not those", |plan| plan.minutes[0].calls[1].effort.run_arounds = 1),
        (12, "call 1, are not those", |plan| plan.pace.coupling = crate::units::Minutes::seconds(14)),
        (12, "call 2, are not those", |plan| plan.pace.running = crate::units::Minutes::seconds(75)),
    ]);
}

/// The plan with its job in hand. The job's seconds by hand: 306 after the first call, 426 after the run,
/// 1146, 1266 and 1356; rounded up to minutes 6, 8, 20, 22 and 23.
fn in_hand(plan: &mut Plan) -> &mut CrewJob {
    let job = CrewJob {
        job: Id::from("turn"),
        people: vec![2],
        begins: 0,
        ends: 23,
        calls: vec![(0, 6), (8, 20), (22, 23)],
    };
    let crews = Crews { people: 2, minutes: 60, clock: None, proved: true, jobs: vec![job] };
    &mut plan.crews.insert(crews).jobs[0]
}

#[test]
fn a_call_board_that_cannot_be_kept_is_found() {
    assert_eq!(spoiled(|plan| drop(in_hand(plan).people.clone())), []);
    all_found(&[
        (12, "every job once", |plan| in_hand(plan).job = Id::from("drill")),
        (12, "people it cannot have", |plan| in_hand(plan).people = vec![1, 2]),
        (12, "people it cannot have", |plan| in_hand(plan).people = vec![3]),
        (12, "people it cannot have", |plan| in_hand(plan).people.clear()),
        (12, "as long as its minutes say", |plan| in_hand(plan).ends = 22),
        (12, "as long as its minutes say", |plan| in_hand(plan).calls[1] = (7, 19)),
        (12, "as long as its minutes say", |plan| in_hand(plan).calls[1].1 = 21),
    ]);
}

/// The plan with a second job at the mill that fetches the engine in the yard: the link is two minutes.
fn fetched(plan: &mut Plan) -> &mut LightRun {
    plan.world.jobs[0].engine = Some("R 1".into());
    let (turn, drill) = (Id::from("turn"), Id::from("drill"));
    let (yard, mill) = (Id::from("yard"), Id::from("mill"));
    let job = WorldJob { id: drill.clone(), calls: vec![mill.clone()], ..plan.world.jobs[0].clone() };
    plan.world.jobs.push(job);
    plan.events.push(Event::Starts { job: drill.clone(), place: mill.clone() });
    plan.events.push(Event::Ends { job: drill.clone(), place: mill.clone() });
    let seconds = crate::units::Minutes::new(2);
    let way = vec![yard.clone(), mill.clone()];
    let light = LightRun { after: turn, from: yard, to: mill, way, links: seconds, run: seconds };
    let calls = vec![CallMinutes::default()];
    plan.minutes.push(JobMinutes { job: drill, seconds, light: Some(light), calls });
    plan.minutes[1].light.as_mut().unwrap()
}

#[test]
fn an_engine_that_is_not_fetched_as_it_must_be_is_found() {
    use crate::units::Minutes;
    let sound = spoiled(|plan| drop(fetched(plan).way.clone()));
    let of_it =
        |breach: &&Breach| ["fetch", "light run", "minutes"].iter().any(|word| breach.text.contains(word));
    assert_eq!(sound.iter().find(of_it), None);
    all_found(&[
        (12, "`turn` leaves the engine of `drill` at `yard`, and nobody", |plan| {
            fetched(plan);
            plan.minutes[1].light = None;
        }),
        (12, "`turn` fetches its engine at `yard` for `mill`, after `turn`: it is not so", |plan| {
            plan.minutes[0].light = Some(fetched(plan).clone());
        }),
        (12, "after `drill`: it is not so", |plan| fetched(plan).after = Id::from("drill")),
        (12, "not fetched by the shortest way", |plan| fetched(plan).way.clear()),
        (12, "not fetched by the shortest way", |plan| fetched(plan).way.push(Id::from("yard"))),
        (12, "not fetched by the shortest way", |plan| fetched(plan).links = Minutes::seconds(119)),
        (12, "does not take as long as its links", |plan| fetched(plan).run = Minutes::seconds(119)),
        (12, "of job `drill` do not add up", |plan| {
            fetched(plan);
            plan.minutes[1].seconds = Minutes::default();
        }),
        (12, "`drill` does not last as long", |plan| {
            fetched(plan);
            let turn = in_hand(plan).clone();
            // Without the two minutes that the engine takes to the mill.
            let drill =
                CrewJob { job: Id::from("drill"), begins: 23, ends: 23, calls: vec![(23, 23)], ..turn };
            plan.crews.as_mut().unwrap().jobs.push(drill);
        }),
    ]);
}

#[test]
fn a_plan_of_an_older_format_is_told_from_a_bad_one() {
    let older = spoiled(|plan| plan.format = 1);
    let told: Vec<String> = older.iter().map(ToString::to_string).collect();
    assert_eq!(told, ["rule 0: the plan has format 1; only plans of format 2 are audited"]);
}

#[test]
fn people_engines_and_tracks_wanted_twice_at_once_are_found() {
    // A second job that does nothing, at the same time.
    let twice = |plan: &mut Plan, change: fn(&mut CrewJob)| {
        let mut second = plan.world.jobs[0].clone();
        second.id = Id::from("second");
        second.engine = Some("R 1".into());
        plan.world.jobs[0].engine = Some("R 1".into());
        plan.world.jobs.push(second);
        let mut other = CrewJob { job: Id::from("second"), ..in_hand(plan).clone() };
        change(&mut other);
        plan.crews.as_mut().unwrap().jobs.push(other);
    };
    let hit = |found: &[Breach], words: &str| found.iter().any(|breach| breach.text.contains(words));
    let same = spoiled(|plan| twice(plan, |_| {}));
    assert!(hit(&same, "person 2 is in") && hit(&same, "one engine is in"), "{same:?}");
    let other = spoiled(|plan| twice(plan, |job| job.people = vec![1]));
    assert!(!hit(&other, "person 2 is in"), "{other:?}");
    let later = spoiled(|plan| twice(plan, |job| (job.begins, job.ends) = (23, 46)));
    assert!(!hit(&later, "at once"), "{later:?}");
    // The second job takes over the last movement, at a track that the first still works.
    let tracks = spoiled(|plan| {
        twice(plan, |_| {});
        let last = plan.events.len() - 2;
        if let Event::Leave { job, call, track, .. } = &mut plan.events[last] {
            (*job, *call, *track) = (Id::from("second"), 1, Id::from("mill/siding"));
        }
    });
    assert!(hit(&tracks, "which goes first, is done there"), "{tracks:?}");
}
