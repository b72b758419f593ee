//! A workbook, XLSX or ODS, as sheets of words.
//!
//! Numbers are written in figures as they are kept, so that nothing is shortened; days in the way
//! of ISO 8601. How a cell is formatted is not looked at.

use std::io::Cursor;
use std::panic::catch_unwind;

use calamine::{Data, Reader, Sheets, Xlsx, open_workbook_auto_from_rs};

use super::sheet::{Kind, Sheet};
use super::whole::whole;

/// Whether bytes are a workbook: XLSX and ODS are both ZIP archives, which begin so.
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// Whether bytes are a workbook of the kind that came before XLSX.
pub fn is_old_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\xD0\xCF\x11\xE0")
}

/// The most cells between the first and the last of a sheet that are looked at: beyond it is no roster.
const MOST_CELLS: u32 = 5_000_000;

/// All sheets that have anything in them; `file` is what faults call the workbook.
///
/// # Errors
/// Where the bytes are no workbook after all, in words.
pub fn sheets(file: &str, bytes: &[u8]) -> Result<Vec<Sheet>, String> {
    // The reader of workbooks stops short at some that are spoiled: a cell in row 99999999999.
    catch_unwind(|| read(file, bytes)).unwrap_or_else(|_| Err("its sheets cannot be made out".to_owned()))
}

fn read(file: &str, bytes: &[u8]) -> Result<Vec<Sheet>, String> {
    whole(bytes)?;
    let mut book: Sheets<_> =
        open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(|cause| cause.to_string())?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        if let Sheets::Xlsx(book) = &mut book {
            within_reach(book, &name)?;
        }
        let range = book.worksheet_range(&name).map_err(|cause| cause.to_string())?;
        let Some((top, left)) = range.start() else { continue };
        few_enough(&name, range.get_size())?;
        let so_many = |count: u32| usize::try_from(count.min(MOST_CELLS)).unwrap_or(usize::MAX);
        let above = std::iter::repeat_n(Vec::new(), so_many(top));
        let page = range.rows().map(|row| {
            let blank = std::iter::repeat_n((String::new(), Kind::Words), so_many(left));
            blank.chain(row.iter().map(words)).collect()
        });
        sheets.push(Sheet::of_page(format!("{file}, sheet {name}"), above.chain(page)));
    }
    Ok(sheets)
}

/// Whether the cells of a sheet lie near enough to each other: all between them take room, too.
fn within_reach(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<(), String> {
    let mut cells = book.worksheet_cells_reader(name).map_err(|cause| cause.to_string())?;
    let (mut least, mut most) = ((u32::MAX, u32::MAX), (0, 0));
    while let Some(cell) = cells.next_cell().map_err(|cause| cause.to_string())? {
        let (row, column) = cell.get_position();
        least = (least.0.min(row), least.1.min(column));
        most = (most.0.max(row), most.1.max(column));
    }
    let far = |least: u32, most: u32| {
        usize::try_from(most.saturating_sub(least)).unwrap_or(usize::MAX).saturating_add(1)
    };
    few_enough(name, (far(least.0, most.0), far(least.1, most.1)))
}

/// Whether a sheet of so many rows and columns may be a roster.
fn few_enough(name: &str, (height, width): (usize, usize)) -> Result<(), String> {
    if usize::try_from(MOST_CELLS).is_ok_and(|most| height.saturating_mul(width) > most) {
        return Err(format!("sheet `{name}` has {height} rows and {width} columns"));
    }
    Ok(())
}

/// What a cell says.
fn words(cell: &Data) -> (String, Kind) {
    match cell {
        Data::Empty => (String::new(), Kind::Words),
        Data::String(words) => (words.clone(), Kind::Words),
        Data::Int(number) => (number.to_string(), Kind::Words),
        Data::Float(number) => (number.to_string(), Kind::Words),
        Data::Bool(truth) => ((if *truth { "yes" } else { "no" }).to_owned(), Kind::Words),
        Data::DateTime(moment) if moment.is_datetime() => {
            let (year, month, day, ..) = moment.to_ymd_hms_milli();
            (format!("{year:04}-{month:02}-{day:02}"), Kind::Day)
        }
        Data::DateTime(span) => (span.as_f64().to_string(), Kind::Day),
        Data::DateTimeIso(moment) => {
            (moment.split_once('T').map_or(&**moment, |(day, _)| day).to_owned(), Kind::Day)
        }
        Data::DurationIso(span) => (span.clone(), Kind::Day),
        Data::Error(failed) => (failed.to_string(), Kind::Failed),
    }
}
