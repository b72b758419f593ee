//! The paper of a plan that takes the place of another: what says the same as before stays as it was
//! printed, byte for byte; what says something else is marked.

use std::fs;

use super::print;
use crate::error::Result;
use crate::ledger::Ledger;
use crate::paper::{Press, Sheet, When};
use crate::session::plan::Plan;
use crate::units::ClockTime;

/// The files of a session's paper.
pub(super) struct Papers {
    /// By their names.
    pub(super) files: Vec<(String, String)>,
    /// The sheets that are new or say something else than before, by name; nothing where all are new.
    pub(super) changed: Option<Vec<String>>,
}

/// Lays out the sheets of a plan. Where paper of an earlier revision lies, only what changed is laid out
/// anew.
pub(super) fn papers(
    press: &Press,
    ledger: &Ledger,
    plan: &Plan,
    sheets: Vec<Sheet>,
    now: Option<ClockTime>,
) -> Result<Papers> {
    let folder = ledger.paper(plan.session);
    if plan.revision == 1 || !folder.is_dir() {
        return Ok(Papers { files: print::both(press, &sheets)?, changed: None });
    }
    let (mut files, mut changed) = (Vec::new(), Vec::new());
    for mut sheet in sheets {
        let printed = fs::read_to_string(folder.join(format!("{}.txt", sheet.name))).ok();
        if let Some(tail) = printed.as_deref().and_then(|text| marked(text, &sheet.when)) {
            let fresh = std::mem::replace(&mut sheet.when.revision, tail.to_owned());
            let before = print::twice(press, &sheet)?;
            let same = |(name, text): &(String, String)| {
                fs::read_to_string(folder.join(name)).is_ok_and(|printed| printed == *text)
            };
            if before.iter().all(same) {
                files.extend(before);
                continue;
            }
            sheet.when.revision = fresh;
        }
        sheet.when.revision = press.words().changed(plan.revision, now);
        files.extend(print::twice(press, &sheet)?);
        changed.push(sheet.name);
    }
    Ok(Papers { files, changed: Some(changed) })
}

/// What a printed sheet says of its revision, and its mark if it has one: what stands on its line between
/// the words before the revision and those after it.
fn marked<'t>(text: &'t str, when: &When) -> Option<&'t str> {
    // A blank at which no line ends is a blank like any other in text.
    let [before, after] = [&when.before, &when.after].map(|said| said.replace('\u{a0}', " "));
    let (before, after) = (before.trim_start(), after.trim_end());
    text.lines().find_map(|line| {
        let line = line.trim_end();
        let (_, rest) = if before.is_empty() { ("", line) } else { line.split_once(before)? };
        let said = if after.is_empty() { rest } else { rest.split_once(after)?.0 };
        // Two blanks part it from what else stands on the line.
        let said = if before.is_empty() { said.rsplit("  ").next()? } else { said.split("  ").next()? };
        (!said.is_empty()).then_some(said)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_of_a_printed_sheet_is_found_and_put_on_another() {
        let text = "Switch list\nMonday, session 3, plan 2, changed 19:40   \nmore\n";
        let when = |before: &str, after: &str| When {
            before: before.to_owned(),
            revision: "4".to_owned(),
            after: after.to_owned(),
        };
        assert_eq!(marked(text, &when("Monday, session 3, plan ", "")), Some("2, changed 19:40"));
        assert_eq!(marked(text, &when("Monday, session 4, plan ", "")), None);
        assert_eq!(marked("session 3, plan 1", &when("session 3, plan ", "")), Some("1"));
        assert_eq!(marked("session 3, plan 1", &when("session\u{a0}3, plan\u{a0}", "")), Some("1"));
        assert_eq!(
            marked("Switch list\nMill   2 (neu). Plan, Montag\n", &when("", ". Plan, Montag")),
            Some("2 (neu)")
        );
        assert_eq!(marked("3rd session (1st plan)\n", &when("3rd session (", " plan)")), Some("1st"));
    }
}
