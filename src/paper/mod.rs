//! Paper: every form, from one plan.
//!
//! Takes a [`Plan`] and the [`Layout`] for its names, and gives one [`Sheet`] a paper: a switch
//! list and the moves for each job, the car cards, the host's page, the set-up before the session.
//! The [`Press`] only lays a sheet out, as text and as HTML, so that both say the same. The stage decides
//! nothing: what is on paper stands in the plan. It upholds that no car of a crew's work is missing
//! from its list and that none is on it twice in one call.
//!
//! Cost: linear in the plan, times a logarithm for the names.

mod caboose;
mod call_board;
mod car_cards;
mod consist;
mod course;
mod customers;
mod drawing;
mod engines;
mod host_page;
mod html;
mod interchange;
mod make_up;
mod minutes;
mod moves;
mod names;
mod notes;
mod phrase;
mod press;
mod set_up;
mod sheet;
mod short;
mod switch_list;
mod tallies;
mod text;
mod waits;
mod walk;
mod walk_page;
mod why_wait;
mod words;
mod yard_sheets;

use std::collections::BTreeSet;

use crate::layout::Layout;
use crate::session::plan::{Notice, Plan, WorldJob};

pub use phrase::{Measure, Phrase, Piece};
pub use press::{Format, Look, Press, Size};
pub use sheet::{Bar, Block, Card, Column, Drawing, DrawnTrack, Fact, Group, Row, Sheet, Table, When, Width};
pub use short::shorten;
pub use walk_page::walk_page;
pub use words::Words;

use names::Names;
use notes::Notes;
use waits::Waits;
use words::{Label, capital};

/// The forms, by the names of their templates.
pub const FORMS: [&str; 10] = [
    "host-page",
    "call-board",
    "set-up",
    "yard-sheets",
    "make-up",
    "customers",
    "interchange",
    "car-cards",
    "switch-list",
    "moves",
];

/// All papers of a session, in the built-in words: the host's first, then the crews' in the order of the
/// jobs.
pub fn sheets(plan: &Plan, layout: &Layout) -> Vec<Sheet> {
    sheets_in(&Words::default(), plan, layout)
}

/// All papers of a session, in these words.
pub fn sheets_in(words: &Words, plan: &Plan, layout: &Layout) -> Vec<Sheet> {
    let names = Names::new(plan, layout, words);
    let courses = course::courses(plan);
    let notes = Notes::new(plan);
    let waits = Waits::new(plan);
    let mut sheets = vec![
        host_page::sheet(&names, &courses),
        call_board::sheet(&names, &waits),
        set_up::sheet(&names),
        yard_sheets::sheet(&names, &courses),
        make_up::sheet(&names, &courses, &notes),
        customers::sheet(&names, &notes),
        interchange::sheet(&names),
        car_cards::sheet(&names, &notes),
    ];
    for job in &plan.world.jobs {
        sheets.push(switch_list::sheet(&names, &courses, &notes, &waits, job));
        sheets.push(moves::sheet(&names, &courses, job));
    }
    tell_apart(&mut sheets);
    sheets
}

/// What the host should know before anybody starts, in the built-in words: with orders in words for their ids.
pub fn notices(plan: &Plan, layout: &Layout) -> Vec<Notice> {
    // An order's id has this sign, and most plans have nothing to say of orders.
    if plan.notices.iter().all(|notice| !notice.text.contains('#')) {
        return plan.notices.clone();
    }
    let words = Words::default();
    let names = Names::new(plan, layout, &words);
    let named = |notice: &Notice| Notice::plain(&notice.about, names.told(&notice.text));
    plan.notices.iter().map(named).collect()
}

/// The sheet as text, by the built-in form.
pub fn text(sheet: &Sheet) -> String {
    laid(sheet, Format::Text)
}

/// The sheet as a page of HTML, by the built-in form.
pub fn html(sheet: &Sheet) -> String {
    laid(sheet, Format::Html)
}

fn laid(sheet: &Sheet, format: Format) -> String {
    Press::built_in(Look::default()).lay(sheet, format).expect("the built-in forms ask for nothing unknown")
}

/// Gives every sheet a name of its own, also where a file system does not mind capitals.
fn tell_apart(sheets: &mut [Sheet]) {
    let mut taken = BTreeSet::new();
    for sheet in sheets {
        let mut name = sheet.name.clone();
        for number in 2.. {
            if taken.insert(name.to_lowercase()) {
                break;
            }
            name = format!("{}-{number}", sheet.name);
        }
        sheet.name = name;
    }
}

/// The part of a file's name that a job's id gives: letters no file system minds.
fn in_file_name(id: &str) -> String {
    let safe = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_');
    id.chars().map(|letter| if safe(letter) { letter } else { '-' }).collect()
}

/// A sheet of a form, with the head that all forms share.
fn sheet(form: &'static str, kind: &Label, names: &Names<'_>) -> Sheet {
    let plan = names.plan;
    Sheet {
        name: form.to_owned(),
        form,
        job: None,
        kind: capital(kind),
        title: plan.layout.to_string(),
        whose: String::new(),
        when: when(names),
        foot: names.words.shared.foot(&*plan.layout, &**kind).text(),
        measure: names.measure(),
        blocks: Vec::new(),
    }
}

/// A sheet of a form for a job.
fn job_sheet(form: &'static str, kind: &Label, names: &Names<'_>, job: &WorldJob) -> Sheet {
    let title = names.job_title(&job.id).to_owned();
    let foot = names.words.shared.foot(&title, &**kind).text();
    Sheet {
        name: format!("{form}-{}", in_file_name(job.id.as_str())),
        job: Some(job.id.clone()),
        title,
        whose: names.railroad_name(&job.railroad),
        foot,
        ..sheet(form, kind, names)
    }
}

/// The day, the session and the revision.
fn when(names: &Names<'_>) -> When {
    let (plan, words) = (names.plan, names.words);
    let said = words.shared.when(words.day(plan.date), plan.session.to_string(), MARK).text();
    let (before, after) = said.split_once(MARK).unwrap_or((&said, ""));
    When { before: before.to_owned(), revision: plan.revision.to_string(), after: after.to_owned() }
}

/// Stands for what is put in later; no text has it (a letter that Unicode leaves to private use).
const MARK: &str = "\u{e000}";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_makes_a_file_name_that_every_system_takes() {
        assert_eq!(in_file_name("northgate-turn"), "northgate-turn");
        assert_eq!(in_file_name("a:b\\c?"), "a-b-c-");
    }
}
