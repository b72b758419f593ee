//! Whether the parts of a workbook that hold its tables are all there.
//!
//! A page that was cut off inside a sound archive has tables that never end, and the reader of workbooks
//! waits for their end for ever. So every part that it reads is gone through once before: what
//! begins must end. What the parts mean is not looked at.

use std::io::{BufRead, BufReader, Cursor, Read};

use quick_xml::events::Event;
use quick_xml::reader::Reader;
use zip::ZipArchive;

/// The parts that the reader of workbooks reads, by how their names begin: those of ODS, then those of XLSX.
const PARTS: [&str; 7] = [
    "content.xml",
    "META-INF/manifest.xml",
    "xl/workbook.xml",
    "xl/_rels/",
    "xl/worksheets/",
    "xl/sharedStrings.xml",
    "xl/styles.xml",
];

/// The most bytes of a part that are looked at, unpacked: beyond it is no roster.
const MOST_BYTES: u64 = 512 << 20;

/// Goes through all parts with tables.
///
/// # Errors
/// Names the first part that is cut off or cannot be made out, in words.
pub(super) fn whole(bytes: &[u8]) -> Result<(), String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|cause| cause.to_string())?;
    for place in 0..archive.len() {
        let part = archive.by_index(place).map_err(|cause| cause.to_string())?;
        let name = part.name().map(String::from).unwrap_or_default();
        if PARTS.iter().any(|begin| name.starts_with(begin)) {
            let page = BufReader::new(part.take(MOST_BYTES));
            ends(page).map_err(|why| format!("its part `{name}` {why}"))?;
        }
    }
    Ok(())
}

/// Whether all that begins in a page of XML ends in it.
fn ends(page: impl BufRead) -> Result<(), String> {
    let mut page = Reader::from_reader(page);
    let (mut open, mut any, mut text) = (0_u32, false, Vec::new());
    loop {
        match page.read_event_into(&mut text) {
            Ok(Event::Start(_)) => (open, any) = (open + 1, true),
            Ok(Event::Empty(_)) => any = true,
            Ok(Event::End(_)) => open = open.saturating_sub(1),
            Ok(Event::Eof) if open > 0 || !any => return Err("is cut off".to_owned()),
            Ok(Event::Eof) => return Ok(()),
            Ok(_) => {}
            Err(cause) => return Err(format!("cannot be made out: {cause}")),
        }
        text.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_whole_when_all_that_begins_ends() {
        let ends = |page: &str| ends(page.as_bytes()).is_ok();
        assert!(ends("<?xml version=\"1.0\"?><a><b x=\"1\"/>words<c>&amp;</c></a>\n"));
        for cut in ["<a><b/>", "<a><b>wor", "<a><b", "<a></b></a>", ""] {
            assert!(!ends(cut), "{cut}");
        }
    }
}
