//! Dates, clock times, weekdays, seasons, spans and rates.

use toml::de::DeValue;

use crate::layout::codes;
use crate::layout::model::{Duration, Rate, Span};
use crate::layout::read::node::{Node, Read, plain};
use crate::layout::sink::Wrong;
use crate::units::{ClockTime, Date, Weekday, Weekdays};

/// The longest span: a year, which is longer than any layout's memory.
const MOST_DAYS: u32 = 366;

/// The most carloads in any rate.
const MOST_CARLOADS: u32 = 9_999;

/// The rarest that something may happen: once in so many times.
const RAREST: u32 = 10_000;

/// The commonest: what happens every time would never end.
const COMMONEST: u32 = 2;

/// The years a layout may be set in: from the first steam railroads on, and well within the calendar.
const YEARS: std::ops::RangeInclusive<i16> = 1800..=2200;

/// A day of the calendar.
pub(in crate::layout::read) fn date(node: Node<'_>) -> Read<Date> {
    let wrong = || {
        Wrong::new(codes::BAD_DATE, format!("expected a date such as `1978-10-02`, found {}", node.found()))
            .help("write year, month and day in figures: `1978-10-02`")
    };
    let parsed = match node {
        Node::Value(DeValue::Datetime(moment)) if moment.time.is_none() && moment.offset.is_none() => {
            moment.date.and_then(|date| {
                let year = i16::try_from(date.year).ok()?;
                Date::new(year, i8::try_from(date.month).ok()?, i8::try_from(date.day).ok()?)
            })
        }
        Node::Value(DeValue::Datetime(_)) => None,
        _ => node.words().filter(|words| is_date_shaped(words)).and_then(Date::parse),
    };
    let date = parsed.ok_or_else(wrong)?;
    if YEARS.contains(&date.year()) {
        Ok(date)
    } else {
        Err(Wrong::new(
            codes::BAD_DATE,
            format!("expected a year from {} to {}, found `{date}`", YEARS.start(), YEARS.end()),
        ))
    }
}

fn is_date_shaped(words: &str) -> bool {
    words.len() == 10
        && words.bytes().enumerate().all(|(place, byte)| match place {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        })
}

/// A time of the layout's clock.
pub(in crate::layout::read) fn clock(node: Node<'_>) -> Read<ClockTime> {
    if let Node::Value(DeValue::Datetime(moment)) = node
        && let (None, None, Some(time)) = (moment.date, moment.offset, moment.time)
        && let Some(clock) = ClockTime::new(time.hour.into(), time.minute.into())
    {
        return Ok(clock);
    }
    node.words().and_then(ClockTime::parse).ok_or_else(|| {
        Wrong::new(codes::BAD_TIME, format!("expected a time such as `7:30`, found {}", node.found()))
            .help("write hour and minute of a day of 24 hours, as text: `\"19:05\"`")
    })
}

/// Days of the week: `Mon-Fri`, `Mon, Wed, Fri`, `every day`.
pub(in crate::layout::read) fn weekdays(node: Node<'_>) -> Read<Weekdays> {
    let wrong = || {
        Wrong::new(
            codes::BAD_WEEKDAYS,
            format!("expected days such as `Mon-Fri`, `Mon, Wed` or `every day`, found {}", node.found()),
        )
        .help("the days are Mon, Tue, Wed, Thu, Fri, Sat and Sun")
    };
    let words = node.words().ok_or_else(wrong)?;
    if words.eq_ignore_ascii_case("every day") {
        return Ok(Weekdays::EVERY);
    }
    let mut days = Weekdays::NONE;
    for part in words.split(',') {
        let (first, last) = part.split_once('-').unwrap_or((part, part));
        let (first, last) = (weekday(first).ok_or_else(wrong)?, weekday(last).ok_or_else(wrong)?);
        // A run may pass over the weekend: `Sat-Tue`.
        for step in 0..7 {
            let day = Weekday::ALL[(first as usize + step) % 7];
            days = days.with(day);
            if day == last {
                break;
            }
        }
    }
    Ok(days)
}

fn weekday(word: &str) -> Option<Weekday> {
    let word = word.trim();
    Weekday::ALL
        .into_iter()
        .find(|day| word.eq_ignore_ascii_case(day.short()) || word.eq_ignore_ascii_case(day.name()))
}

/// A day of any year: `09-01`.
pub(in crate::layout::read) fn season(node: Node<'_>) -> Read<(i8, i8)> {
    let wrong = || {
        Wrong::new(
            codes::BAD_SEASON,
            format!("expected month and day such as `09-01`, found {}", node.found()),
        )
        .help("write month and day in two figures each; the year is left out")
    };
    let (month, day) = node.words().and_then(|words| words.split_once('-')).ok_or_else(wrong)?;
    let figures = |part: &str| (part.len() == 2).then(|| i8::try_from(plain(part)?).ok()).flatten();
    let (month, day) = (figures(month).ok_or_else(wrong)?, figures(day).ok_or_else(wrong)?);
    // 1976 was a leap year: 29 February is a day of some year.
    Date::new(1976, month, day).map(|_| (month, day)).ok_or_else(wrong)
}

/// A span: so many days, or sessions.
pub(in crate::layout::read) fn span(node: Node<'_>) -> Read<Span> {
    let wrong = || {
        Wrong::new(
            codes::BAD_SPAN,
            format!("expected a time such as `2 days` or `1 session`, found {}", node.found()),
        )
        .help(format!("count in days, weeks or sessions, up to {MOST_DAYS} days"))
    };
    let words = node.words().ok_or_else(wrong)?;
    let (number, unit) = words.split_once(char::is_whitespace).ok_or_else(wrong)?;
    let length = match unit.trim() {
        "day" | "days" | "session" | "sessions" => 1,
        "week" | "weeks" => 7,
        _ => return Err(wrong()),
    };
    let days = plain(number).and_then(|number| number.checked_mul(length)).filter(|days| *days <= MOST_DAYS);
    days.map(Span::days).ok_or_else(wrong)
}

/// How often something happens: once in so many times, or never.
pub(in crate::layout::read) fn odds(node: Node<'_>) -> Read<u32> {
    let wrong = || {
        Wrong::new(
            codes::BAD_ODDS,
            format!("expected odds such as `1 in 100`, or `never`, found {}", node.found()),
        )
        .help(format!("`1 in 100` happens once in a hundred times on average; up to 1 in {RAREST}"))
    };
    match node.words().ok_or_else(wrong)? {
        "never" => Ok(0),
        words => {
            let many = words.strip_prefix("1 in ").and_then(|many| plain(many.trim()));
            many.filter(|many| (COMMONEST..=RAREST).contains(many)).ok_or_else(wrong)
        }
    }
}

/// A rate: so many carloads in so long.
pub(in crate::layout::read) fn rate(node: Node<'_>) -> Read<Rate> {
    let wrong = || {
        Wrong::new(codes::BAD_RATE, format!("expected a rate such as `9 a week`, found {}", node.found()))
            .help("count carloads `a day`, `a week`, `a month` or `a session`")
    };
    let words = node.words().ok_or_else(wrong)?;
    let mut parts = words.split_whitespace();
    let carloads = parts.next().and_then(plain).filter(|number| (1..=MOST_CARLOADS).contains(number));
    let carloads = carloads.ok_or_else(wrong)?;
    let per = match (parts.next(), parts.next(), parts.next()) {
        (Some("a" | "per"), Some("day"), None) => Duration::Day,
        (Some("a" | "per"), Some("week"), None) => Duration::Week,
        (Some("a" | "per"), Some("month"), None) => Duration::Month,
        (Some("a" | "per"), Some("session"), None) => Duration::Session,
        _ => return Err(wrong()),
    };
    Ok(Rate { carloads, per })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weekdays_are_runs_and_lists() {
        let days = |words| weekdays(Node::Cell(words)).unwrap().to_string();
        assert_eq!(days("Mon-Fri"), "Mon-Fri");
        assert_eq!(days("Mon, Wed,Fri"), "Mon, Wed, Fri");
        assert_eq!(days("every day"), "Mon-Sun");
        assert_eq!(days("sat - mon"), "Mon, Sat, Sun");
        assert!(["", "Mon-", "Mon..Fri", "Mo-Fr"].iter().all(|bad| weekdays(Node::Cell(bad)).is_err()));
    }

    #[test]
    fn spans_count_days_weeks_and_sessions() {
        assert_eq!(span(Node::Cell("2 days")), Ok(Span::days(2)));
        assert_eq!(span(Node::Cell("1 session")), Ok(Span::days(1)));
        assert_eq!(span(Node::Cell("2 weeks")), Ok(Span::days(14)));
        assert_eq!(span(Node::Cell("0 days")), Ok(Span::days(0)));
        for bad in ["2", "two days", "-1 days", "+1 days", "367 days", "99999999999 weeks", "2 hours"] {
            assert!(span(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn odds_are_once_in_so_many_times() {
        assert_eq!(odds(Node::Cell("1 in 200")), Ok(200));
        assert_eq!(odds(Node::Cell("never")), Ok(0));
        for bad in ["1 in 1", "1 in 0", "2 in 5", "1 in 10001", "always", "1 in many"] {
            assert!(odds(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn rates_count_carloads() {
        assert_eq!(rate(Node::Cell("9 a week")), Ok(Rate { carloads: 9, per: Duration::Week }));
        assert_eq!(rate(Node::Cell("1 per session")), Ok(Rate { carloads: 1, per: Duration::Session }));
        for bad in ["0 a week", "9 week", "9 a year", "10000 a day", "9 a week or so", "1.5 a week"] {
            assert!(rate(Node::Cell(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn dates_and_seasons_are_in_the_calendar() {
        assert_eq!(date(Node::Cell("1976-02-29")).ok(), Date::new(1976, 2, 29));
        for bad in ["1978-02-29", "1978-13-01", "78-10-02", "1978-10-2", "1978/10/02", "1978-10-02T00:00"] {
            assert!(date(Node::Cell(bad)).is_err(), "{bad}");
        }
        assert_eq!(season(Node::Cell("02-29")), Ok((2, 29)));
        assert!(
            ["02-30", "13-01", "9-1", "0901", "+9-01"].iter().all(|bad| season(Node::Cell(bad)).is_err())
        );
    }
}
