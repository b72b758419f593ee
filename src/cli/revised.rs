//! The paper of a plan that takes the place of another: what says the same as before stays as it was
//! printed, byte for byte; what says something else is marked.

use std::fs;

use super::print;
use crate::error::Result;
use crate::ledger::Ledger;
use crate::paper::{Press, Sheet};
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
    (session, revision): (i32, u32),
    sheets: Vec<Sheet>,
    now: Option<ClockTime>,
) -> Result<Papers> {
    let folder = ledger.paper(session);
    if revision == 1 || !folder.is_dir() {
        return Ok(Papers { files: print::both(press, &sheets)?, changed: None });
    }
    let (mut files, mut changed) = (Vec::new(), Vec::new());
    for mut sheet in sheets {
        let printed = fs::read_to_string(folder.join(format!("{}.txt", sheet.name))).ok();
        if let Some(tail) = printed.as_deref().and_then(|text| marked(text, session)) {
            let fresh = std::mem::take(&mut sheet.when);
            sheet.when = with(&fresh, tail);
            let before = print::both(press, std::slice::from_ref(&sheet))?;
            let same = |(name, text): &(String, String)| {
                fs::read_to_string(folder.join(name)).is_ok_and(|printed| printed == *text)
            };
            if before.iter().all(same) {
                files.extend(before);
                continue;
            }
            sheet.when = fresh;
        }
        let time = now.map_or(String::new(), |time| format!(" {time}"));
        sheet.when = with(&sheet.when, &format!("{revision}, changed{time}"));
        files.extend(print::both(press, std::slice::from_ref(&sheet))?);
        changed.push(sheet.name);
    }
    Ok(Papers { files, changed: Some(changed) })
}

/// What stands on a printed sheet after the word `plan`: its revision, and its mark if it has one.
fn marked(text: &str, session: i32) -> Option<&str> {
    let (_, after) = text.split_once(&format!("session {session}, {PLAN}"))?;
    let end = after.find("  ").unwrap_or(after.len()).min(after.find('\n').unwrap_or(after.len()));
    Some(&after[..end])
}

/// The head of a sheet with something else after the word `plan`.
fn with(when: &str, tail: &str) -> String {
    let before = when.rfind(PLAN).map_or(when, |at| &when[..at]);
    format!("{before}{PLAN}{tail}")
}

const PLAN: &str = "plan ";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_of_a_printed_sheet_is_found_and_put_on_another() {
        let text = "Switch list\nMonday, session 3, plan 2, changed 19:40   \nmore\n";
        assert_eq!(marked(text, 3), Some("2, changed 19:40"));
        assert_eq!(marked(text, 4), None);
        assert_eq!(marked("session 3, plan 1", 3), Some("1"));
        assert_eq!(with("Monday, session 3, plan 4", "1"), "Monday, session 3, plan 1");
    }
}
