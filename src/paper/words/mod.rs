//! The words of the forms: one table, in English, which a host may replace word by word.
//!
//! Every word that a built-in form prints stands here, in sections by form. A form asks for its words by
//! method, so that it cannot ask for one that there is not. Most of what the plan says it keeps as sayings of the
//! table `reasons`. What becomes of orders, how a yard is too full, and what the layout calls its own are not forms' words:
//! they are printed as they are.

mod abouts;
mod crew;
mod host;
mod kinds;
mod read;
mod reasons;
mod saying;
mod section;
mod shared;
mod yard;

use std::borrow::Borrow;
use std::fmt::Write as _;

use crate::diag::{Diagnostics, Sources};
use crate::layout::{End, Railroad, Service, TrackWords};
use crate::session::plan::Deed;
use crate::units::{ClockTime, Date, Weekday};

use super::phrase::{Measure, joined};
use abouts::Abouts;
pub(in crate::paper) use crew::SwitchList;
use kinds::Kinds;
use reasons::Reasons;
pub(in crate::paper) use saying::{Label, Part, Saying};

/// The file in which a host keeps words that replace built-in ones.
pub(super) const FILE: &str = "words.toml";

/// All words of the forms.
#[derive(Clone, Debug, Default)]
pub struct Words {
    pub(super) shared: shared::Shared,
    pub(super) forms: shared::Forms,
    pub(super) drawing: shared::Drawing,
    pub(super) switch_list: SwitchList,
    pub(super) moves: crew::Moves,
    pub(super) car_cards: crew::CarCards,
    pub(super) host_page: host::HostPage,
    pub(super) call_board: host::CallBoard,
    pub(super) set_up: host::SetUp,
    pub(super) yard_sheets: yard::YardSheets,
    pub(super) make_up: yard::MakeUp,
    pub(super) customers: yard::Customers,
    pub(super) interchange: yard::Interchange,
    pub(super) abouts: Abouts,
    pub(super) reasons: Reasons,
    pub(super) kinds: Kinds,
}

/// A section of the table, with its entries by their keys.
#[derive(Debug)]
struct Listed<'w> {
    key: &'static str,
    title: &'static str,
    entries: Vec<(&'static str, &'w mut Saying)>,
}

impl Words {
    /// The built-in words with those of a host in their place: the file `words.toml` among his forms, if
    /// there is one.
    ///
    /// # Errors
    /// The faults of that file: keys that there are not, texts without a part that the built-in one has.
    pub fn read(forms: &Sources) -> Result<Words, Diagnostics> {
        let mut words = Words::default();
        let mut faults = Diagnostics::new(forms.clone());
        for (file, source) in forms.iter().filter(|(_, source)| source.name.rsplit('/').next() == Some(FILE))
        {
            read::read(&mut words, file, &source.text, &mut faults);
        }
        if faults.has_errors() { Err(faults) } else { Ok(words) }
    }

    /// The whole table as a host may keep it.
    pub fn toml(&self) -> String {
        let mut words = self.clone();
        let mut out = String::from(
            "# The words of the forms. Change what you like and leave out what you do not change.\n\
             # {part} is filled in, *words* catch the eye, ~ is a blank that never ends a line;\n\
             # one is said of one thing, other of none and of several.\n",
        );
        for section in words.sections() {
            let mut put = |part: std::fmt::Arguments<'_>| {
                out.write_fmt(part).expect("a string takes whatever is written to it");
            };
            put(format_args!("\n# {}\n[{}]\n", section.title, section.key));
            for (key, saying) in section.entries {
                let other = quoted(&saying.other);
                match saying.one.as_ref().filter(|one| **one != saying.other) {
                    Some(one) => put(format_args!("{key} = {{ one = {}, other = {other} }}\n", quoted(one))),
                    None => put(format_args!("{key} = {other}\n")),
                }
            }
        }
        out
    }

    /// How a sheet that changed with a revision is marked: `2, changed 19:40`.
    pub fn changed(&self, revision: u32, now: Option<ClockTime>) -> String {
        match now {
            Some(time) => self.shared.changed_at(revision, time.to_string()).text(),
            None => self.shared.changed(revision).text(),
        }
    }

    fn sections(&mut self) -> Vec<Listed<'_>> {
        vec![
            self.shared.listed(),
            self.forms.listed(),
            self.switch_list.listed(),
            self.moves.listed(),
            self.car_cards.listed(),
            self.host_page.listed(),
            self.call_board.listed(),
            self.set_up.listed(),
            self.yard_sheets.listed(),
            self.make_up.listed(),
            self.customers.listed(),
            self.interchange.listed(),
            self.drawing.listed(),
            self.abouts.listed(),
            self.reasons.listed(),
            self.kinds.listed(),
        ]
    }

    /// How quantities are printed.
    pub(super) fn measure(&self, metric: bool) -> Measure {
        let shared = &self.shared;
        let (length, weight) =
            if metric { (shared.metres(), shared.tonnes()) } else { (shared.feet(), shared.tons()) };
        let decimal = joined(&shared.decimal()).into();
        Measure { metric, length, weight, cars: shared.cars(), decimal }
    }

    /// A day as it is spoken: `Monday 2 October 1978`.
    pub(super) fn day(&self, date: Date) -> String {
        let shared = &self.shared;
        let weekday = match date.weekday() {
            Weekday::Monday => shared.monday(),
            Weekday::Tuesday => shared.tuesday(),
            Weekday::Wednesday => shared.wednesday(),
            Weekday::Thursday => shared.thursday(),
            Weekday::Friday => shared.friday(),
            Weekday::Saturday => shared.saturday(),
            Weekday::Sunday => shared.sunday(),
        };
        let month = match date.month() {
            1 => shared.january(),
            2 => shared.february(),
            3 => shared.march(),
            4 => shared.april(),
            5 => shared.may(),
            6 => shared.june(),
            7 => shared.july(),
            8 => shared.august(),
            9 => shared.september(),
            10 => shared.october(),
            11 => shared.november(),
            _ => shared.december(),
        };
        shared.day(weekday, date.day().to_string(), month, date.year().to_string()).text()
    }

    /// The word for an end.
    pub(super) fn end(&self, end: End) -> Label {
        match end {
            End::West => self.shared.west(),
            End::East => self.shared.east(),
        }
    }

    /// An end as the layout calls it, with the railroad's own word where that is another: `west
    /// (timetable east)`.
    pub(super) fn end_of(&self, end: End, railroad: Option<&Railroad>) -> String {
        match railroad.map(|railroad| railroad.timetable(end)) {
            Some(called) if called != end => self.shared.in_timetable(self.end(end), self.end(called)).text(),
            _ => self.end(end).into_owned(),
        }
    }

    /// The word for what a crew does with a car.
    pub(super) fn deed(&self, deed: Deed) -> Label {
        match deed {
            Deed::Pull => self.shared.pull(),
            Deed::Spot => self.shared.spot(),
            Deed::Set => self.shared.set_out(),
            Deed::OffSpot => self.shared.off_spot(),
            Deed::Hold => self.shared.hold(),
            Deed::Leave => self.shared.leave(),
        }
    }

    /// The word for what is done to a car on its way.
    pub(super) fn service(&self, service: Service) -> Label {
        match service {
            Service::Weigh => self.shared.weigh(),
            Service::Ice => self.shared.ice(),
            Service::Clean => self.shared.clean(),
            Service::Inspect => self.shared.inspect(),
            Service::Repair => self.shared.repair(),
        }
    }

    /// A track's name, with the word for a track where it needs one.
    pub(super) fn track(&self, name: TrackWords<'_>) -> String {
        match name {
            TrackWords::Number(number) => self.shared.track_numbered(number).text(),
            TrackWords::Bare(name) => self.shared.track_named(name).text(),
            TrackWords::Whole(name) => name.to_owned(),
        }
    }

    /// Names in a row: `a, b and c`.
    pub(super) fn list<S: Borrow<str>>(&self, names: &[S]) -> String {
        match names {
            [] => String::new(),
            [one] => one.borrow().to_owned(),
            [first @ .., last] => self.shared.list(first.join(", "), last.borrow()).text(),
        }
    }
}

/// The words with a capital letter first.
pub(super) fn capital(words: &str) -> Label {
    let mut letters = words.chars();
    let capital: String =
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    capital.into()
}

/// A kind of car by the words before its details: `flat car with stanchions` is a flat car.
pub(super) fn in_short(meaning: &str) -> &str {
    let details = [",", " (", " with ", " without ", " for "];
    let end = details.iter().filter_map(|mark| meaning.find(mark)).filter(|end| *end > 0).min();
    end.and_then(|end| meaning.get(..end)).unwrap_or(meaning)
}

/// A text as TOML has it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Words, String> {
        let mut forms = Sources::default();
        forms.add("forms/words.toml", text);
        Words::read(&forms).map_err(|faults| crate::diag::render::text(&faults, false))
    }

    #[test]
    fn a_day_is_told_with_its_weekday() {
        // Any perpetual calendar: 2 October 1978 was a Monday.
        assert_eq!(Words::default().day(Date::new(1978, 10, 2).unwrap()), "Monday 2 October 1978");
    }

    #[test]
    fn a_kind_of_car_is_told_without_its_details() {
        assert_eq!(in_short("short covered hopper, two bays, for sand"), "short covered hopper");
        assert_eq!(in_short("bulkhead flat car (a barrel rack before 1961)"), "bulkhead flat car");
        assert_eq!(in_short("tank car"), "tank car");
    }

    #[test]
    fn names_in_a_row_end_with_and() {
        let words = Words::default();
        assert_eq!(words.list(&["a", "b", "c"]), "a, b and c");
    }

    #[test]
    fn every_built_in_text_keeps_the_rules_that_a_host_has_to_keep() {
        let table = Words::default().toml();
        let again = read(&table).unwrap();
        assert_eq!(again.toml(), table);
        assert!(table.matches("\n[").count() == 16 && table.lines().count() > 250, "{table}");
    }

    #[test]
    fn a_word_of_the_host_takes_the_place_of_one_and_of_no_other() {
        let words =
            read("[shared]\nday = \"{weekday}, {day}. {month} {year}\"\noctober = \"Oktober\"\n").unwrap();
        assert_eq!(words.day(Date::new(1978, 10, 2).unwrap()), "Monday, 2. Oktober 1978");
    }

    #[test]
    fn a_built_in_kind_is_called_by_the_hosts_word_and_one_of_the_layouts_own_by_its_meaning() {
        let words = read("[kinds]\nHM = \"Trichterwagen\"\n").unwrap();
        assert_eq!(words.kinds.said("HM", "two-bay hopper"), "Trichterwagen");
        assert_eq!(words.kinds.said("HM", "coal jimmy"), "coal jimmy");
        assert_eq!(words.kinds.said("HT", "three-bay hopper"), "three-bay hopper");
    }

    #[test]
    fn what_the_table_does_not_have_is_told_at_once_with_its_line() {
        let told = read(
            "[shared]\ndya = \"x\"\nempty = 3\nloaded = \"{load}\"\norder = \"{lading} {lading} {number} {from} {to}\"\n\
             cars = { one = \"car\", few = \"cars\" }\nday = { one = \"a\", other = \"b\" }\nclear = \"a } b\"\n[forms]\n[form]\nx = \"\"\n",
        )
        .unwrap_err();
        for expected in [
            "words-unknown]: no entry of `shared` is called `dya`",
            "a similar one exists: `day`; `setout print --words` shows the whole table",
            "expected a text, found integer",
            "no part is called `load`",
            "expected `{lading}` once, found it 2 times",
            "no number is called `few`",
            "expected `one` and `other`, found no `other`",
            "expected one text, found several",
            "expected every `{` to be closed",
            "no section is called `form`",
            "a similar one exists: `forms`",
            "words.toml:2",
        ] {
            assert!(told.contains(expected), "{expected}: {told}");
        }
    }

    #[test]
    fn a_file_that_is_no_toml_is_told_with_its_line() {
        let told = read("[shared]\nday = Monday\n").unwrap_err();
        assert!(told.contains("words-broken") && told.contains("words.toml:2"), "{told}");
    }
}
