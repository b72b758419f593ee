//! Rosters as files of a spreadsheet, spoiled: CSV in any encoding, XLSX and ODS.

use std::panic::{AssertUnwindSafe, catch_unwind};

use proptest::prelude::*;
use setout::diag::{Sources, render};
use setout::roster::sheet::Sheet;
use setout::roster::{Asked, decode, take_in, workbook};

use super::{archive, config, spoiled, spoils};

const BASE: &str = include_str!("../../faults/0-base.toml");

const CSV: &str = "# mine,,,,,,\nReporting Mark,No.,Kind,Length (ft),Years,Bad order,Note\n\
    CHT,1234,XM,44.5,1962-,no,\"quick, but odd\"\nCHT,0007,XM,44,,yes,\nGLN,21,XM,50,-1980,,\"a \"\"b\"\"\"\n\n\
    ,21 81 2471 217-3,XM,,,,\nCHT,1.2E+04,XM,1/2/1962,,,\n";

fn description() -> Sources {
    let mut sources = Sources::default();
    sources.add("layout.toml", BASE);
    sources.add("cars.csv", "mark,number,type\nCHT,900,XM\n");
    sources
}

/// What is taken in is taken in again without a change; what is refused can be shown.
fn taken(sheet: &Sheet) {
    let asked = Asked { leave_rest: true, ..Asked::default() };
    match take_in(&description(), sheet, &asked) {
        Ok(taken) => {
            let mut again = Sources::default();
            again.add("layout.toml", BASE);
            again.add("cars.csv", &*taken.text);
            let second =
                take_in(&again, sheet, &asked).map(|second| (second.new, second.changed, second.text));
            let nothing = (Vec::new(), Vec::new(), taken.text);
            assert!(second.as_ref().is_ok_and(|second| *second == nothing), "not the same again: {second:?}");
        }
        Err((_, faults)) => {
            let _ = (render::text(&faults, true), render::json(&faults));
        }
    }
}

fn xlsx(page: &str) -> Vec<u8> {
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const PARTS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let types = "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>";
    let book = format!(
        "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{PARTS}\"><sheets><sheet name=\"Cars\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>"
    );
    let parts = format!(
        "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
         <Relationship Id=\"rId1\" Type=\"{PARTS}/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>"
    );
    let root = parts
        .replace("worksheets/sheet1.xml", "xl/workbook.xml")
        .replace("/worksheet\"", "/officeDocument\"");
    archive::zip(&[
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", root.as_bytes()),
        ("xl/workbook.xml", book.as_bytes()),
        ("xl/_rels/workbook.xml.rels", parts.as_bytes()),
        ("xl/worksheets/sheet1.xml", page.as_bytes()),
    ])
}

/// The page of a workbook: the rows of the roster, a cell each, words in the cell itself.
fn xlsx_page() -> String {
    let mut rows = String::new();
    for (number, line) in CSV.lines().filter(|line| !line.contains('"')).enumerate() {
        let cells = line.split(',').zip('A'..).map(|(words, column)| {
            let place = format!("{column}{}", number + 1);
            match words.parse::<f64>() {
                Ok(_) if !words.starts_with('0') => format!("<c r=\"{place}\"><v>{words}</v></c>\n"),
                _ => format!("<c r=\"{place}\" t=\"inlineStr\"><is><t>{words}</t></is></c>\n"),
            }
        });
        rows.extend([format!("<row r=\"{}\">", number + 1), cells.collect(), "</row>".to_owned()]);
    }
    format!(
        "<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{rows}</sheetData></worksheet>"
    )
}

fn ods(page: &str) -> Vec<u8> {
    let kind = "application/vnd.oasis.opendocument.spreadsheet";
    let list = format!(
        "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\">\
         <manifest:file-entry manifest:full-path=\"/\" manifest:media-type=\"{kind}\"/></manifest:manifest>"
    );
    archive::zip(&[
        ("mimetype", kind.as_bytes()),
        ("META-INF/manifest.xml", list.as_bytes()),
        ("content.xml", page.as_bytes()),
    ])
}

fn ods_page() -> String {
    let row = |line: &str| {
        let cell = |words: &str| {
            format!(
                "<table:table-cell\noffice:value-type=\"string\"><text:p>{words}</text:p></table:table-cell>"
            )
        };
        format!("<table:table-row>{}</table:table-row>", line.split(',').map(cell).collect::<String>())
    };
    let rows: String = CSV.lines().filter(|line| !line.contains('"')).map(row).collect();
    format!(
        "<office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet>\
         <table:table table:name=\"Cars\">{rows}</table:table></office:spreadsheet></office:body>\
         </office:document-content>"
    )
}

/// Reads a workbook and takes in every sheet of it.
fn opened(bytes: &[u8]) {
    if let Ok(sheets) = workbook::sheets("mine.xlsx", bytes) {
        sheets.iter().for_each(taken);
    }
}

fn survives(shown: &str, read: impl FnOnce()) -> Result<(), TestCaseError> {
    let survived = catch_unwind(AssertUnwindSafe(read));
    prop_assert!(survived.is_ok(), "this does not survive:\n{shown:?}");
    Ok(())
}

#[test]
fn the_sound_workbooks_are_read() {
    for bytes in [xlsx(&xlsx_page()), ods(&ods_page())] {
        let sheets = workbook::sheets("mine", &bytes).unwrap();
        // The first row is a remark, the last but one blank.
        assert_eq!((sheets.len(), sheets[0].rows[0].cells[1].words.as_str()), (1, "No."));
    }
}

#[test]
fn a_cell_far_away_is_no_roster() {
    // Found by spoiling pages: a number of a row that no number holds, and one that no memory holds.
    for far in ["A99999999999", "XFD1048576"] {
        let page = xlsx_page().replacen("r=\"C2\"", &format!("r=\"{far}\""), 1);
        let refused = workbook::sheets("mine.xlsx", &xlsx(&page));
        assert!(refused.is_err(), "{far}");
    }
}

#[test]
fn a_remark_with_something_beside_it_in_a_column_that_is_left_out_is_no_car() {
    // Found by cutting letters of sixteen bits in two: what was left of the last one stood in a field of its own.
    let sheet =
        Sheet::of_text("mine.csv", "mark,number,type,price\n# mine,,,\u{fffd}\nCHT,7,XM,\n".into()).unwrap();
    let asked = Asked { leave_rest: true, ..Asked::default() };
    let taken_in = take_in(&description(), &sheet, &asked).unwrap();
    assert_eq!(taken_in.new, ["CHT 7"]);
    taken(&sheet);
}

#[test]
fn a_page_that_is_cut_off_is_refused_and_not_waited_for() {
    // Tables of ODS that never end were read for ever.
    for (page, packed) in [(xlsx_page(), xlsx as fn(&str) -> Vec<u8>), (ods_page(), ods)] {
        for (end, _) in page.char_indices().step_by(7) {
            let refused = workbook::sheets("mine", &packed(&page[..end])).unwrap_err();
            assert!(
                refused.contains("cut off") || refused.contains("cannot be made out"),
                "{end}: {refused}"
            );
        }
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_spoiled_roster_is_refused_or_taken_in(spoils in spoils(), wide in any::<bool>(), cut in 0_usize..4) {
        let text = spoiled(CSV, &spoils);
        let mut bytes = text.clone().into_bytes();
        if wide {
            bytes = [0xFEFF].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
        }
        bytes.truncate(bytes.len().saturating_sub(cut));
        survives(&text, || {
            if let Ok(sheet) = Sheet::of_text("mine.csv", decode::decode(&bytes).text) {
                taken(&sheet);
            }
        })?;
    }

    #[test]
    fn a_spoiled_workbook_is_refused_or_taken_in(spoils in spoils()) {
        let page = spoiled(&xlsx_page(), &spoils);
        survives(&page, || opened(&xlsx(&page)))?;
        let page = spoiled(&ods_page(), &spoils);
        survives(&page, || opened(&ods(&page)))?;
    }

    #[test]
    fn the_bytes_of_a_workbook_may_be_anything(
        ods_kind in any::<bool>(),
        changed in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..6),
        length in any::<proptest::sample::Index>(),
    ) {
        let mut bytes = if ods_kind { ods(&ods_page()) } else { xlsx(&xlsx_page()) };
        for (place, byte) in &changed {
            let at = place.index(bytes.len());
            bytes[at] = *byte;
        }
        if changed.len() == 1 {
            bytes.truncate(length.index(bytes.len()));
        }
        survives(&format!("{changed:?}"), || opened(&bytes))?;
    }
}
