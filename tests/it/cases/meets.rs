//! Two trains that must meet on single track, and sidings that are too short: common practice, no
//! source.

use std::fmt::Write as _;

use setout::session::plan::MeetLine;

use super::*;

/// A line from west to east with three sidings. Two trains run the whole way, one from each end.
const LINE: &str = r#"
[layout]
name = "Line"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
full = "100 %"
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
marks = ["CHT", "WST", "EST"]
[gateway.far-west]
name = "Far West"
kind = "staging"
gives = "west/in"
takes = "west/out"
[gateway.far-east]
name = "Far East"
kind = "staging"
gives = "east/in"
takes = "east/out"
[commodity.flour]
cars = ["XM"]
"#;

/// The line with trains of so many cars, and more said about the meet.
fn line(east_bound: usize, west_bound: usize, sidings: [u32; 3], meets: &str) -> Case {
    let mut text = LINE.to_owned();
    for end in ["west", "east"] {
        let _ = write!(text, "[place.{end}]\nname = \"{end} end\"\nrailroad = \"CHT\"\n");
        for track in ["in", "out"] {
            let _ = writeln!(
                text,
                "track.{track} = {{ use = \"staging\", length = \"1600 scale ft\", opens = \"both\" }}"
            );
        }
    }
    let mut last = "west";
    for (place, length) in ["ford", "grove", "hill"].into_iter().zip(sidings) {
        let _ = write!(
            text,
            "[place.{place}]\nname = \"{place}\"\nrailroad = \"CHT\"\n\
             track.siding = {{ use = \"runaround\", length = \"{length} scale ft\", opens = \"both\" }}\n\
             [[link]]\nbetween = [\"{last}\", \"{place}\"]\nminutes = 5\n"
        );
        last = place;
    }
    let _ = write!(text, "[[link]]\nbetween = [\"{last}\", \"east\"]\nminutes = 5\n");
    text += &lane("eastward", "flour", "far-west", "far-east");
    text += &lane("westward", "flour", "far-east", "far-west");
    // Two engines of 60 ft and a caboose of 35 ft.
    let _ = write!(
        text,
        "[job.a]\nname = \"Train A\"\nrailroad = \"CHT\"\ncalls = [\"west\", \"east\"]\non_duty = \"8:00\"\n\
         power = \"155 scale ft\"\n{meets}\n\
         [job.b]\nname = \"Train B\"\nrailroad = \"CHT\"\ncalls = [\"east\", \"west\"]\non_duty = \"8:10\"\n\
         power = \"155 scale ft\"\n"
    );
    let trains = [("WST", east_bound, "west/in", "eastward"), ("EST", west_bound, "east/in", "westward")];
    for (mark, count, _, _) in trains {
        for number in 1..=count {
            let _ = write!(
                text,
                "[[car]]\nmark = \"{mark}\"\nnumber = \"{number}\"\ntype = \"XM\"\nlength = \"45 ft\"\n"
            );
        }
    }
    let mut case = Case::of(&text);
    for (mark, count, track, lane) in trains {
        for number in 1..=count {
            let id = format!("{mark} {number}");
            case.put(&id, track, None);
            case.load(&id, lane, 0);
        }
    }
    case
}

const NAMED: &str = "meets = [\"b\"]";

/// The only meet of a session, and what the host is told of it.
fn met(case: &mut Case) -> (MeetLine, Vec<String>) {
    let plan = case.session();
    let told = plan.notices.iter().filter(|notice| &*notice.about == "meet");
    let told = told.map(|notice| notice.text.to_string()).collect();
    let [meet] = &plan.meets[..] else { panic!("one meet, not {:?}", plan.meets) };
    (meet.clone(), told)
}

fn feet(meet: &MeetLine) -> [u32; 2] {
    meet.trains.map(|train| train.whole_scale_inches() / 12)
}

/// The siding and who takes it.
fn at(meet: &MeetLine) -> Option<(&str, &str)> {
    Some((meet.at.as_ref()?.as_str(), meet.siding.as_ref()?.as_str()))
}

#[test]
fn the_train_that_fits_the_longest_siding_takes_it_and_the_other_is_told() {
    let (meet, told) = met(&mut line(30, 26, [540, 990, 1485], NAMED));
    // 30 × 45 + 2 × 60 + 35 = 1505; 26 × 45 + 155 = 1325.
    assert_eq!(feet(&meet), [1505, 1325]);
    assert_eq!(at(&meet), Some(("hill/siding", "b")));
    assert!(matches!(&told[..], [one] if one.contains("is long enough for Train A")), "{told:?}");
}

#[test]
fn trains_of_which_neither_fits_any_siding_are_told_before_anything_is_printed() {
    let (meet, told) = met(&mut line(30, 30, [540, 990, 1485], NAMED));
    assert_eq!(feet(&meet), [1505, 1505]);
    assert_eq!(at(&meet), None);
    assert!(
        matches!(&told[..], [one] if one.contains("neither fits a siding") && one.contains("1485 ft")),
        "{told:?}"
    );
}

#[test]
fn as_many_cars_do_not_make_as_long_a_train() {
    // Both have 18 cars: 18 × 45 + 155 = 965 fits 990; with 19 they are 1010 and do not.
    let (meet, told) = met(&mut line(18, 18, [540, 990, 900], NAMED));
    assert_eq!((feet(&meet), at(&meet)), ([965, 965], Some(("grove/siding", "a"))));
    assert!(told.is_empty(), "{told:?}");
    let (meet, told) = met(&mut line(19, 19, [540, 990, 900], NAMED));
    assert_eq!((feet(&meet), at(&meet), told.len()), ([1010, 1010], None, 1));
}

#[test]
fn of_two_that_fit_the_shorter_takes_the_siding_where_the_host_likes_it_best() {
    let likes = "meets = [{ with = \"b\", at = [\"hill/siding\", \"grove/siding\"] }]";
    let (meet, told) = met(&mut line(10, 6, [540, 990, 1485], likes));
    // 10 × 45 + 155 = 605; 6 × 45 + 155 = 425.
    assert_eq!((feet(&meet), at(&meet)), ([605, 425], Some(("hill/siding", "b"))));
    assert!(told.is_empty(), "{told:?}");
}

#[test]
fn a_siding_holds_what_the_cars_that_stand_there_leave() {
    // 990 - 2 × 45 = 900: the train of 18 cars, 965, no longer fits.
    let mut case = line(18, 18, [540, 990, 900], NAMED);
    for car in ["WST 1", "EST 1"] {
        case.put(car, "grove/siding", None);
        let car = case.car(car);
        case.standing.car_mut(car).condition = Condition::Empty;
    }
    let (meet, told) = met(&mut case);
    // 17 × 45 + 155 = 920.
    assert_eq!((feet(&meet), at(&meet), told.len()), ([920, 920], None, 1));
}

#[test]
fn trains_that_never_come_toward_each_other_do_not_meet() {
    let text = "come past no siding in opposite directions";
    let mut case = line(
        3,
        0,
        [540, 990, 1485],
        "meets = [{ with = \"c\" }]\n[job.c]\nname = \"Train C\"\nrailroad = \"CHT\"\ncalls = [\"west\", \"east\"]\non_duty = \"9:00\"",
    );
    let (meet, told) = met(&mut case);
    assert_eq!(at(&meet), None);
    assert!(matches!(&told[..], [one] if one.contains(text)), "{told:?}");
}
