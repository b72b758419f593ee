//! The page in words, at 80 columns.

use super::missing::Count;
use super::{CustomerLine, PlaceLine, Summary};
use crate::ids::Id;
use crate::layout::Opens;
use crate::study::table::{Column, PAGE, table, wrap};
use crate::units::Length;

/// The page as a host reads it.
pub fn text(summary: &Summary) -> String {
    let mut page = head(summary);
    page.push_str(&places(summary));
    page.push_str(&customers(summary));
    page.push_str(&lanes(summary));
    page.push_str(&cars(summary));
    page.push_str(&missing(summary));
    page
}

fn head(summary: &Summary) -> String {
    let (first, last) = summary.days;
    let roads = summary.railroads.iter().map(|road| {
        let home = if road.home { ", home" } else { "" };
        format!("{} ({}{home})", road.name, road.id)
    });
    let mut page = format!("{}, scale {}\n", summary.layout, summary.scale);
    page.push_str(&paragraph(&roads.collect::<Vec<_>>().join(", ")));
    page.push_str(&paragraph(&format!(
        "Sessions walk through {first} to {last}; the next is session {} on {}, {}.",
        summary.session,
        summary.date.weekday().name(),
        summary.date
    )));
    page
}

fn places(summary: &Summary) -> String {
    let mut columns = vec![
        Column::Words("track"),
        Column::Words("use"),
        Column::Words("opens"),
        Column::Numbers("room"),
        Column::Numbers("cars"),
        Column::Numbers("limit"),
        Column::Numbers("spots"),
    ];
    if summary.placed {
        columns.push(Column::Numbers("standing"));
    }
    let mut page = section("Tracks", "room, the same in cars, working limit in cars");
    for place in &summary.places {
        page.push_str(&paragraph(&place_head(place, summary.metric)));
        let rows = place.tracks.iter().map(|track| {
            let mut row = vec![
                track.name.to_string(),
                track.usage.to_owned(),
                match track.opens {
                    Opens::Both => "both ends".to_owned(),
                    Opens::West | Opens::East => format!("{} end", track.opens.word()),
                },
                length(track.length, summary.metric),
                track.cars.to_string(),
                track.working_cars.to_string(),
                some(&track.spots),
            ];
            if summary.placed {
                let over = if track.standing_length > track.working { " over" } else { "" };
                row.push(format!("{}{over}", some(&track.standing_cars)));
            }
            row
        });
        page.push_str(&table(&columns, &rows.collect::<Vec<_>>()));
    }
    if !summary.placed {
        page.push_str("No car has been placed yet: the first plan does that.\n");
    }
    page
}

fn place_head(place: &PlaceLine, metric: bool) -> String {
    let lead = |end: &str, lead: Option<Length>| lead.map(|lead| format!("{} {end}", length(lead, metric)));
    let leads: Vec<String> =
        [lead("west", place.lead_west), lead("east", place.lead_east)].into_iter().flatten().collect();
    let leads = if leads.is_empty() { String::new() } else { format!(", lead {}", leads.join(" and ")) };
    format!("{} ({}, {}){leads}", place.title, place.id, place.railroad)
}

fn customers(summary: &Summary) -> String {
    if summary.customers.is_empty() {
        return String::new();
    }
    let columns = [Column::Words("customer"), Column::Words("works"), Column::Words("served by")];
    let row = |customer: &CustomerLine| {
        let jobs = if customer.jobs.is_empty() { "no job".to_owned() } else { list(&customer.jobs) };
        vec![customer.name.to_string(), customer.works.to_string(), jobs]
    };
    let mut page = section("Customers", "with the jobs that reach them");
    for place in &summary.places {
        let here = summary.customers.iter().filter(|customer| customer.place == place.id);
        let rows: Vec<_> = here.map(row).collect();
        if !rows.is_empty() {
            page.push_str(&paragraph(&place.title));
            page.push_str(&table(&columns, &rows));
        }
    }
    page
}

fn lanes(summary: &Summary) -> String {
    if summary.lanes.is_empty() {
        return String::new();
    }
    let rows = summary.lanes.iter().map(|lane| {
        let over = lane.turns_in_ten_weeks.is_some_and(|turns| turns < lane.carloads_in_ten_weeks);
        let turns = lane.turns_in_ten_weeks.map_or_else(String::new, tenths);
        vec![
            lane.id.to_string(),
            tenths(lane.carloads_in_ten_weeks),
            match (over, lane.shared) {
                (true, _) => format!("only {turns}"),
                (false, true) => format!("({turns})"),
                (false, false) => turns,
            },
            lane.busy_cars.to_string(),
            list(&lane.cars),
        ]
    });
    let columns = [
        Column::Words("lane"),
        Column::Numbers("a week"),
        Column::Numbers("can turn"),
        Column::Numbers("busy"),
        Column::Words("in"),
    ];
    let words = "carloads a week; what its spots can turn, in brackets if shared; cars it\nkeeps busy";
    section("Lanes", words) + &table(&columns, &rows.collect::<Vec<_>>())
}

fn cars(summary: &Summary) -> String {
    if summary.cars.is_empty() {
        return String::new();
    }
    let mut columns = vec![
        Column::Words("type"),
        Column::Numbers("roster"),
        Column::Numbers("assigned"),
        Column::Numbers("needed"),
        Column::Words("meaning"),
    ];
    if summary.placed {
        columns.insert(2, Column::Numbers("on layout"));
    }
    let rows = summary.cars.iter().map(|kind| {
        let short = match kind.needed.saturating_sub(kind.roster) {
            0 => String::new(),
            lacking => format!(", {lacking} short"),
        };
        let mut row = vec![
            kind.code.to_string(),
            kind.roster.to_string(),
            some(&kind.assigned),
            format!("{}{short}", kind.needed),
            kind.meaning.to_string(),
        ];
        if summary.placed {
            row.insert(2, some(&kind.on_layout.unwrap_or(0)));
        }
        row
    });
    let words = "on the roster, and kept busy by the lanes that want them first";
    section("Cars", words) + &table(&columns, &rows.collect::<Vec<_>>())
}

fn missing(summary: &Summary) -> String {
    if summary.missing.is_empty() {
        return String::new();
    }
    let mut page = section("Described, but not there on that day", "");
    let mut line = |words: &str, counts: &[Count]| {
        if !counts.is_empty() {
            let counts = counts.iter().map(|count| {
                format!("{} {}", count.number, if count.number == 1 { count.one } else { count.several })
            });
            page.push_str(&indented(&format!("{words}: {}", counts.collect::<Vec<_>>().join(", "))));
        }
    };
    line("planned", &summary.missing.planned);
    line("out of service", &summary.missing.out_of_service);
    line("not yet, or no longer", &summary.missing.by_date);
    page
}

fn section(title: &str, words: &str) -> String {
    if words.is_empty() { format!("\n{title}\n") } else { format!("\n{title} ({words})\n") }
}

fn paragraph(text: &str) -> String {
    wrap(text, PAGE).join("\n") + "\n"
}

fn indented(text: &str) -> String {
    wrap(text, PAGE - 4).join("\n    ").replacen("", "  ", 1) + "\n"
}

fn list(ids: &[Id]) -> String {
    ids.iter().map(Id::as_str).collect::<Vec<_>>().join(", ")
}

/// A number, or nothing where there are none: a page of noughts hides the rest.
fn some(count: &(impl std::fmt::Display + Default + PartialEq)) -> String {
    if *count == Default::default() { "-".to_owned() } else { count.to_string() }
}

fn tenths(tenths: u32) -> String {
    match (tenths / 10, tenths % 10) {
        (whole, 0) => whole.to_string(),
        (whole, tenth) => format!("{whole}.{tenth}"),
    }
}

/// Room in feet or metres of the prototype, rounded down like all room.
fn length(length: Length, metric: bool) -> String {
    let inches = length.whole_scale_inches();
    if metric {
        // One inch is 25.4 mm; tenths of a metre are 100 mm.
        let tenths = u64::from(inches) * 254 / 1000;
        format!("{}.{} m", tenths / 10, tenths % 10)
    } else {
        format!("{} ft", inches / 12)
    }
}
