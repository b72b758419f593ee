//! Reads the folder of a layout: every `*.toml` and the roster, as text.
//!
//! Sub-folders are read too, except `ledger` (setout's own) and `forms` (the host's templates).
//! Names that begin with a dot are left to the programs that made them. A byte-order mark is taken
//! off; a file that is not UTF-8 is a fault that points at the first strange byte, and one that cannot be read
//! is a fault, too. What the texts mean is for `layout` to say.

use std::borrow::Cow;
use std::fs;
use std::path::{Path, PathBuf};

use crate::diag::{Diagnostic, Diagnostics, Sources, Span};
use crate::error::{Error, Result};
use crate::layout::{self, Layout};

/// The host's own forms.
const FORMS: &str = "forms";
/// The words of the host's own forms, among them.
const WORDS: &str = "words.toml";

/// Sub-folders that hold no description.
const NOT_READ: [&str; 2] = ["ledger", FORMS];

/// The name of the roster.
const ROSTER: &str = "cars.csv";

/// Reads the description and checks it: a sound layout, and what makes no sense in it.
///
/// # Errors
/// As for [`read`], and when the description has faults.
pub(super) fn sound(folder: &Path) -> Result<(Layout, Diagnostics)> {
    match layout::load(read(folder)?) {
        (Some(layout), warnings) => Ok((layout, warnings)),
        (None, faults) => Err(Error::Faults(Box::new(faults))),
    }
}

/// Reads all files of the description.
///
/// # Errors
/// When the folder or a file cannot be read, when there is no description in it, and when a file
/// is not UTF-8.
pub(super) fn read(folder: &Path) -> Result<Sources> {
    texts(files(folder)?)
}

/// Reads the description without its rosters.
///
/// # Errors
/// As for [`read`].
pub(super) fn read_toml(folder: &Path) -> Result<Sources> {
    texts(files(folder)?.into_iter().filter(|(name, _)| is_toml(name)).collect())
}

/// Reads the host's own forms, if there are any.
///
/// # Errors
/// As for [`read`], but that there may be none.
pub(super) fn forms(folder: &Path) -> Result<Sources> {
    let folder = folder.join(FORMS);
    let mut files = Vec::new();
    if folder.is_dir() {
        let unread = |cause| Error::Read { path: folder.clone(), cause };
        for entry in fs::read_dir(&folder).map_err(unread)? {
            let entry = entry.map_err(unread)?;
            let (name, path) = (entry.file_name().to_string_lossy().into_owned(), entry.path());
            let form = [".html", ".txt"].iter().any(|ending| name.ends_with(ending)) || name == WORDS;
            if form && !name.starts_with('.') && path.is_file() {
                files.push((format!("{FORMS}/{name}"), path));
            }
        }
    }
    files.sort();
    texts(files)
}

/// Reads files, each by the name that faults give it. What is wrong with any of them is told at once.
fn texts(files: Vec<(String, PathBuf)>) -> Result<Sources> {
    let mut sources = Sources::default();
    let mut strange = Vec::new();
    for (name, path) in files {
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(cause) => {
                let file = sources.add(name, "");
                let help = "mend its rights, or where it leads, if it is a link; or take it away";
                let message = format!("this file cannot be read: {cause}");
                strange.push(
                    Diagnostic::error("not-readable", Span::new(file, 0..0), message).help(help.to_owned()),
                );
                continue;
            }
        };
        match text(&bytes) {
            Ok(text) => {
                sources.add(name, text);
            }
            Err(fault) => strange.push(not_text(&mut sources, name, fault)),
        }
    }
    if strange.is_empty() {
        return Ok(sources);
    }
    let mut faults = Diagnostics::new(sources);
    for fault in strange {
        faults.push(fault);
    }
    Err(Error::Faults(Box::new(faults)))
}

/// That a file is no text, and what to do about it.
fn not_text(sources: &mut Sources, name: String, fault: NotText) -> Diagnostic {
    let file = sources.add(name, fault.legible);
    let place = Span::new(file, fault.start..fault.end);
    let roster = sources.file(file).name.eq_ignore_ascii_case(ROSTER);
    let help = if roster && fault.code == NOT_UTF8 {
        format!("{}; or let `setout roster in {ROSTER} --write` do it", fault.help)
    } else {
        fault.help.to_owned()
    };
    Diagnostic::error(fault.code, place, fault.message).help(help)
}

/// The files of the description, sorted: their names relative to the folder, and where they lie.
///
/// # Errors
/// When the folder cannot be read, and when there is no description in it.
pub(super) fn files(folder: &Path) -> Result<Vec<(String, PathBuf)>> {
    let mut files = Vec::new();
    list(folder, "", &mut files)?;
    files.sort();
    if files.iter().any(|(name, _)| is_toml(name)) {
        return Ok(files);
    }
    Err(Error::Asked(format!(
        "the folder `{}` holds no description of a layout: expected at least one file whose name \
         ends in `.toml`",
        folder.display()
    )))
}

/// Adds every file of the description in a folder, by its name relative to the layout's folder.
fn list(folder: &Path, prefix: &str, files: &mut Vec<(String, PathBuf)>) -> Result<()> {
    let unread = |cause| Error::Read { path: folder.to_owned(), cause };
    for entry in fs::read_dir(folder).map_err(unread)? {
        let entry = entry.map_err(unread)?;
        let own = entry.file_name().to_string_lossy().into_owned();
        if own.starts_with('.') {
            continue;
        }
        let name = format!("{prefix}{own}");
        let path = entry.path();
        let kind = entry.file_type().map_err(unread)?;
        // A link to a file is followed, a link to a folder is not: it could lead round in a ring. One that
        // leads nowhere is told when it is read: a file that is missing is not passed over.
        let is_file = || path.is_file() || (kind.is_symlink() && !path.exists());
        if kind.is_dir() {
            if !NOT_READ.contains(&name.as_str()) {
                list(&path, &format!("{name}/"), files)?;
            }
        } else if (is_toml(&name) || own.eq_ignore_ascii_case(ROSTER)) && is_file() {
            files.push((name, path));
        }
    }
    Ok(())
}

pub(super) fn is_toml(name: &str) -> bool {
    Path::new(name).extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml"))
}

/// A file that is no text, made as legible as it can be.
struct NotText {
    code: &'static str,
    legible: String,
    start: usize,
    end: usize,
    message: &'static str,
    help: &'static str,
}

/// The code of a file in another encoding.
const NOT_UTF8: &str = "not-utf8";

const SAVE_AGAIN: &str = "save it again as UTF-8; a spreadsheet calls that \"CSV UTF-8\"";

/// The text of a file. Where lines end as they did on an old system, with a carriage return alone, they end
/// with a line feed instead: all places stay as they are.
fn text(bytes: &[u8]) -> std::result::Result<Cow<'_, str>, NotText> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(NotText {
            code: NOT_UTF8,
            legible: String::new(),
            start: 0,
            end: 0,
            message: "expected a file in UTF-8, found one in UTF-16",
            help: SAVE_AGAIN,
        });
    }
    if let Some(place) = bytes.iter().position(|byte| *byte == 0) {
        let before = String::from_utf8_lossy(&bytes[..place]).len();
        return Err(NotText {
            code: "not-text",
            legible: String::from_utf8_lossy(bytes).into_owned(),
            start: before,
            end: before + 1,
            message: "expected text, found a byte that no text has (zero)",
            help: "put back a whole copy of the file, or save it again as UTF-8: a disk that failed, and letters of \
                   sixteen bits, leave such bytes",
        });
    }
    let text = std::str::from_utf8(bytes).map_err(|cause| {
        let start = cause.valid_up_to();
        NotText {
            code: NOT_UTF8,
            legible: String::from_utf8_lossy(bytes).into_owned(),
            start,
            end: start + char::REPLACEMENT_CHARACTER.len_utf8(),
            message: "expected a file in UTF-8, found a byte that does not belong in one",
            help: SAVE_AGAIN,
        }
    })?;
    let old_ends = text.contains('\r') && !text.contains('\n');
    Ok(if old_ends { Cow::Owned(text.replace('\r', "\n")) } else { Cow::Borrowed(text) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_byte_order_mark_is_taken_off() {
        assert!(text(b"\xEF\xBB\xBFmark,number").is_ok_and(|text| text == "mark,number"));
    }

    #[test]
    fn a_strange_byte_is_pointed_at() {
        // ISO 8859-1 writes u-umlaut as the one byte FC.
        let fault = text(b"name = \"M\xFChle\"").err().unwrap();
        assert_eq!(&fault.legible[fault.start..fault.end], "\u{FFFD}");
        assert_eq!(fault.start, 9);
    }
}
