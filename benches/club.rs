//! A made-up club layout of any size, as the text a host would write.
//!
//! Districts stand in a row from west to east, each with a yard, four towns on two lines, a
//! gateway of its own and five jobs; customers, lanes and cars are dealt out evenly. Nothing is
//! drawn by chance, so that the same size gives the same text on every machine. Shared by the
//! benches and by the example that writes such a folder.

use std::fmt::Write as _;

/// How large a club is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Size {
    /// Districts, with five jobs each.
    pub(crate) districts: usize,
    /// Customers, with two lanes each.
    pub(crate) customers: usize,
    /// Cars.
    pub(crate) cars: usize,
}

/// The club of the design's measure: 60 jobs, 400 customers, 3,000 cars.
pub(crate) const CLUB: Size = Size { districts: 12, customers: 400, cars: 3_000 };

/// Towns of a district.
const TOWNS: [&str; 4] = ["a", "b", "c", "d"];

/// The railroads that own track; district by district in turn.
const RAILROADS: [(&str, &str); 3] =
    [("ALN", "Alder & Linden"), ("BRT", "Brant Terminal"), ("CVW", "Cove Western")];

/// What is carried: id, kind of car, whether it wants a clean car.
const COMMODITIES: [(&str, &str, bool); 8] = [
    ("paper", "XM", true),
    ("cans", "XM", true),
    ("lumber", "FM", false),
    ("steel", "GB", false),
    ("coal", "HT", false),
    ("grain", "LO", true),
    ("fuel", "T", false),
    ("machinery", "FM", false),
];

/// All files of the folder: names and texts.
pub(crate) fn folder(size: Size) -> Vec<(String, String)> {
    let mut files = vec![("layout.toml".to_owned(), settings(size))];
    for district in 0..size.districts {
        files.push((format!("district-{district}.toml"), ground(size, district)));
    }
    files.push(("customers.toml".to_owned(), customers(size)));
    files.push(("jobs.toml".to_owned(), jobs(size)));
    files.push(("cars.csv".to_owned(), roster(size)));
    files
}

fn settings(size: Size) -> String {
    let mut text = String::from(
        "[layout]\nname = \"The Club\"\nscale = \"HO\"\nhours = 3\n\
         days = { first = 1968-05-06, last = 1968-05-12 }\n\n",
    );
    for (at, (mark, name)) in RAILROADS.iter().enumerate() {
        let home = if at == 0 { "home = true\n" } else { "" };
        let beyond = at % size.districts;
        let _ = write!(text, "[railroad.{mark}]\nname = \"{name}\"\n{home}beyond = \"beyond-{beyond}\"\n\n");
    }
    for (id, kind, clean) in COMMODITIES {
        let _ = write!(text, "[commodity.{id}]\ncars = [\"{kind}\"]\nclean = {clean}\n\n");
    }
    text
}

/// A district's yard, towns, gateway and links.
fn ground(size: Size, district: usize) -> String {
    let (mark, _) = RAILROADS[district % RAILROADS.len()];
    let mut text = String::new();
    let all = "worked_by = [\"ALN\", \"BRT\", \"CVW\"]";
    let _ = write!(
        text,
        "[place.yard-{district}]\nname = \"Yard {district}\"\nrailroad = \"{mark}\"\n{all}\n\
         lead = {{ west = \"200 in\", east = \"200 in\" }}\n\n"
    );
    for track in 1..=10 {
        let _ = write!(
            text,
            "[place.yard-{district}.track.{track}]\nuse = \"yard\"\nlength = \"150 in\"\nopens = \"both\"\n\n"
        );
    }
    let _ = write!(
        text,
        "[place.yard-{district}.track.loop]\nuse = \"runaround\"\nlength = \"200 in\"\nopens = \"both\"\n\n\
         [place.gate-{district}]\nname = \"Staging {district}\"\nrailroad = \"{mark}\"\nhidden = true\n\n"
    );
    for track in ["in", "out"] {
        let _ = write!(
            text,
            "[place.gate-{district}.track.{track}]\nuse = \"staging\"\nlength = \"200 in\"\nopens = \"both\"\n\n"
        );
    }
    let _ = write!(
        text,
        "[gateway.beyond-{district}]\nname = \"Beyond {district}\"\nkind = \"staging\"\ntakes = \"gate-{district}/in\"\n\
         gives = \"gate-{district}/out\"\nbeyond = [\"Aston {district}\", \"Belby {district}\"]\nlimit = 24\n\n"
    );
    for town in TOWNS {
        let _ = write!(
            text,
            "[place.town-{district}{town}]\nname = \"Town {district}{town}\"\nrailroad = \"{mark}\"\n\n\
             [place.town-{district}{town}.track.loop]\nuse = \"runaround\"\nlength = \"160 in\"\nopens = \"both\"\n\n"
        );
    }
    links(&mut text, size, district);
    text
}

fn links(text: &mut String, size: Size, district: usize) {
    let mut link = |west: &str, east: &str, minutes: u32| {
        let _ = write!(text, "[[link]]\nbetween = [\"{west}\", \"{east}\"]\nminutes = {minutes}\n\n");
    };
    let yard = format!("yard-{district}");
    link(&format!("gate-{district}"), &yard, 3);
    link(&yard, &format!("town-{district}a"), 3);
    link(&format!("town-{district}a"), &format!("town-{district}b"), 4);
    link(&yard, &format!("town-{district}c"), 2);
    link(&format!("town-{district}c"), &format!("town-{district}d"), 5);
    if district + 1 < size.districts {
        link(&format!("town-{district}b"), &format!("yard-{}", district + 1), 4);
    }
}

/// Each customer has a spur with two doors, receives one commodity and ships another.
fn customers(size: Size) -> String {
    let mut text = String::new();
    for number in 0..size.customers {
        let (district, town) = (number % size.districts, TOWNS[number / size.districts % TOWNS.len()]);
        let opens = if number / size.districts % 8 < 4 { "west" } else { "east" };
        let kind = number + number / size.districts;
        let receives = COMMODITIES[kind % COMMODITIES.len()].0;
        let ships = COMMODITIES[(kind + 3) % COMMODITIES.len()].0;
        let _ = write!(
            text,
            "[place.town-{district}{town}.track.s{number}]\nuse = \"spur\"\nlength = \"24 in\"\nopens = \"{opens}\"\n\
             spots = [{{ name = \"in\", length = \"10 in\" }}, {{ name = \"out\", length = \"10 in\" }}]\n\n\
             [industry.works-{number}]\nname = \"Works {number}\"\nplace = \"town-{district}{town}\"\n\
             receives.{receives} = [\"s{number}/in\"]\nships.{ships} = [\"s{number}/out\"]\n\n"
        );
        let city = if number % 2 == 0 { "Aston" } else { "Belby" };
        let _ = write!(
            text,
            "[[lane]]\ncommodity = \"{receives}\"\nfrom = \"beyond-{district}/{city} {district}\"\n\
             to = \"works-{number}\"\ncarloads = \"2 a week\"\n\n\
             [[lane]]\ncommodity = \"{ships}\"\nfrom = \"works-{number}\"\n\
             to = \"beyond-{district}/{city} {district}\"\ncarloads = \"2 a week\"\n\n"
        );
    }
    text
}

/// Five jobs a district: a train in from staging, the yard, two locals, a train out.
fn jobs(size: Size) -> String {
    let mut text = String::new();
    for district in 0..size.districts {
        let (mark, _) = RAILROADS[district % RAILROADS.len()];
        let (yard, gate) = (format!("yard-{district}"), format!("gate-{district}"));
        let towns = |one: &str, other: &str| {
            format!("\"{yard}\", \"town-{district}{one}\", \"town-{district}{other}\", \"{yard}\"")
        };
        let rows = [
            ("in", "transfer", format!("\"{gate}\", \"{yard}\", \"{gate}\""), "6:00"),
            ("drill", "yard", format!("\"{yard}\""), "7:00"),
            ("turn", "local", towns("a", "b"), "8:00"),
            ("branch", "local", towns("c", "d"), "8:30"),
            ("out", "transfer", format!("\"{gate}\", \"{yard}\", \"{gate}\""), "13:00"),
        ];
        for (name, kind, calls, on_duty) in rows {
            let _ = write!(
                text,
                "[job.{name}-{district}]\nname = \"{name} {district}\"\nrailroad = \"{mark}\"\nkind = \"{kind}\"\n\
                 calls = [{calls}]\non_duty = \"{on_duty}\"\nmax = {{ cars = 16, length = \"150 in\" }}\n\
                 power = \"12 in\"\n\n"
            );
        }
    }
    text
}

/// Cars in proportion to what is carried, at home beyond each gateway in turn.
fn roster(size: Size) -> String {
    let mut text = String::from("mark,number,type,home\n");
    for number in 0..size.cars {
        let (mark, _) = RAILROADS[number % RAILROADS.len()];
        let kind = COMMODITIES[number / size.districts % COMMODITIES.len()].1;
        let _ = writeln!(text, "{mark},{},{kind},beyond-{}", 1_000 + number, number % size.districts);
    }
    text
}
