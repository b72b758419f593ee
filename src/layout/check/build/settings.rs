//! `[layout]`, `[pace]`, `[placards]`.

use super::value;
use crate::diag::Span;
use crate::layout::check::draft::{USUAL_CAR, some_scale};
use crate::layout::check::ruler::Ruler;
use crate::layout::codes;
use crate::layout::model::{
    Apart, CarService, Days, End, FreeTime, Neighbour, Odds, Pace, Placards, Settings, Span as Stretch,
};
use crate::layout::read::{Said, SaidFreeTime, SaidLayout, SaidPace, SaidPlacards};
use crate::layout::sink::{Sink, Wrong};
use crate::units::{Date, Minutes, Percent};

/// The longest calendar that sessions walk through: a year.
const MOST_DAYS: i32 = 366;

/// Tables that stand once in all files together.
pub(in crate::layout::check) fn once_each(said: &Said, sink: &mut Sink) {
    let mut once = |table: &str, spans: Vec<Span>| {
        for second in spans.iter().skip(1) {
            let wrong = Wrong::new(codes::SAME_ID, format!("a second table `[{table}]`"))
                .help("put all its keys into one table");
            sink.push(wrong.at(*second).label(spans[0], "the first is here"));
        }
    };
    once("layout", said.layouts.iter().map(|table| table.span).collect());
    once("pace", said.paces.iter().map(|table| table.span).collect());
    once("placards", said.placards.iter().map(|table| table.span).collect());
}

/// What lengths are measured with.
pub(in crate::layout::check) fn ruler(said: &SaidLayout, sink: &mut Sink) -> Ruler {
    let ruler = Ruler { scale: value(&said.scale).unwrap_or_else(some_scale), car: USUAL_CAR };
    let Some(car) = &said.car else { return ruler };
    match Ruler::prototype(car.value) {
        Ok(car) => Ruler { car, ..ruler },
        Err(wrong) => {
            sink.wrong(car.span, wrong);
            ruler
        }
    }
}

/// The table `[layout]`.
pub(in crate::layout::check) fn settings(said: &SaidLayout, ruler: Ruler, sink: &mut Sink) -> Settings {
    let days = match (&said.first, &said.last) {
        (Some(first), Some(last)) => {
            let days = Days { first: first.value, last: last.value };
            if last.value < first.value {
                let wrong = Wrong::new(
                    codes::DATES_BACKWARDS,
                    format!("the last day is before the first, {}", first.value),
                );
                sink.push(wrong.at(last.span).label(first.span, "the days begin here"));
            } else if first.value.days_until(last.value) >= MOST_DAYS {
                let wrong = Wrong::new(codes::OUT_OF_BOUNDS, "the days are longer than a year")
                    .help("a layout is set in a short stretch of days: after the last comes the first again");
                sink.push(wrong.at(last.span).label(first.span, "the days begin here"));
            }
            days
        }
        _ => some_days(),
    };
    Settings {
        name: said.name.as_ref().map(|name| name.value.clone()).unwrap_or_default(),
        scale: ruler.scale,
        days,
        hours: value(&said.hours).unwrap_or(Minutes::new(180)),
        left: value(&said.left).unwrap_or(End::West),
        car: ruler.car,
        full: value(&said.full).unwrap_or(USUAL_FULL),
        shelf: value(&said.shelf).unwrap_or(true),
        car_service: value(&said.car_service).unwrap_or(CarService::TwoThirds),
        metric: value(&said.metric).unwrap_or(false),
        bad_orders: Odds { one_in: value(&said.bad_orders).unwrap_or(0) },
        repair: value(&said.repair).unwrap_or(REPAIR),
        free_time: free_time(&said.free_time, days),
    }
}

/// How long a car stands on the repair track (common practice, no source).
const REPAIR: Stretch = Stretch::days(1);

/// The first year in which weekends count as other days do. That carriers left them out while rates
/// were regulated and count them since is told by a trade column of 2003; the year is a guess.
const WEEKENDS_COUNT: i16 = 1980;

/// The usual free time: 48 hours to unload, in the national code from about 1910 (253 U.S. 319, of
/// 1920); 24 hours to load, which was usual later.
fn free_time(said: &SaidFreeTime, days: Days) -> FreeTime {
    FreeTime {
        load: value(&said.load).unwrap_or(Stretch::days(1)),
        unload: value(&said.unload).unwrap_or(Stretch::days(2)),
        weekends: value(&said.weekends).unwrap_or(days.first.year() >= WEEKENDS_COUNT),
        holidays: said.holidays.iter().map(|day| day.value).collect(),
    }
}

/// The working limit of a track (common practice, no source: no published figure could be found).
const USUAL_FULL: Percent = match Percent::new(80) {
    Some(full) => full,
    None => panic!("80 is no more than 100"),
};

/// The days that stand in for those that could not be read.
fn some_days() -> Days {
    let day = Date::new(1970, 1, 1).expect("a day of every calendar");
    Days { first: day, last: day }
}

/// The table `[pace]`: the usual, except for what is said.
pub(in crate::layout::check) fn pace(said: Option<&SaidPace>) -> Pace {
    let usual = Pace::default();
    let Some(said) = said else { return usual };
    Pace {
        handling: value(&said.handling).unwrap_or(usual.handling),
        car: value(&said.car).unwrap_or(usual.car),
        coupling: value(&said.coupling).unwrap_or(usual.coupling),
        turnout: value(&said.turnout).unwrap_or(usual.turnout),
        spot: value(&said.spot).unwrap_or(usual.spot),
        run_around: value(&said.run_around).unwrap_or(usual.run_around),
        reading: value(&said.reading).unwrap_or(usual.reading),
        running: value(&said.running).unwrap_or(usual.running),
        crew: value(&said.crew).unwrap_or(usual.crew),
    }
}

/// Whether the pace is learned from recorded sessions: it is, unless the host fixes it.
pub(in crate::layout::check) fn learns(said: Option<&SaidPace>) -> bool {
    said.and_then(|said| value(&said.learn)).unwrap_or(true)
}

/// The table `[placards]`: the usual, except for what is said.
pub(in crate::layout::check) fn placards(said: Option<&SaidPlacards>) -> Placards {
    // 49 CFR 174.85(d): the sixth car from the engine, and never nearer than the second.
    let (nearest, nearest_short) = (6, 2);
    let Some(said) = said else {
        return Placards { apply: true, nearest, nearest_short, apart: usual_apart() };
    };
    let apart = said.apart.as_ref().map(|rows| {
        let rows = rows.iter().filter_map(|row| {
            let from = row.from.iter().map(|neighbour| neighbour.value).collect();
            Some(Apart { group: value(&row.group)?, tank: value(&row.tank)?, from })
        });
        rows.collect()
    });
    Placards {
        apply: value(&said.apply).unwrap_or(true),
        nearest: value(&said.nearest).unwrap_or(nearest),
        nearest_short: value(&said.nearest_short).unwrap_or(nearest_short),
        apart: apart.unwrap_or_else(usual_apart),
    }
}

/// The neighbours of 49 CFR 174.85(d). Which columns a row holds for is from memory: the reprints
/// that could be read have lost their columns.
fn usual_apart() -> Vec<Apart> {
    use Neighbour::{Group, LoadedFlat, OpenLoad, RunningEngine};
    let row = |group, tank, from: &[Neighbour]| Apart { group, tank, from: from.to_vec() };
    vec![
        row(1, false, &[OpenLoad, LoadedFlat, RunningEngine, Group(2), Group(3), Group(4)]),
        row(2, true, &[OpenLoad, LoadedFlat, RunningEngine, Group(1), Group(3), Group(4)]),
        row(2, false, &[Group(1), Group(3), Group(4)]),
        row(3, true, &[OpenLoad, LoadedFlat, RunningEngine, Group(1), Group(2), Group(4)]),
        row(3, false, &[Group(1), Group(2), Group(4)]),
        row(4, false, &[Group(1), Group(2), Group(3)]),
    ]
}
