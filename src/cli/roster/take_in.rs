//! `setout roster in`: cars from a spreadsheet, shown against the roster, and put into it if asked.

use serde_json::json;

use super::args::In;
use super::read;
use crate::cli::args::Form;
use crate::cli::screen::Screen;
use crate::cli::{Outcome, folder, told};
use crate::diag::render;
use crate::error::{Error, Result};
use crate::ledger::store;
use crate::roster::{self, Asked, Column, Meaning, ROSTER, Taken};
use crate::study::table::{self, PAGE, table, wrap};

/// Reads the file, shows what it makes of the roster, and writes it where that is asked.
pub(super) fn run(asked: &In, screen: &mut Screen) -> Result<Outcome> {
    let how = Asked { told: asked.columns.clone(), leave_rest: asked.leave_rest, only: asked.only };
    let (description, marked) = read::description(&asked.at.folder)?;
    let (sheet, said) = read::sheet(asked, &how)?;
    if let Some(said) = said {
        screen.say(&said);
    }
    let taken = match roster::take_in(&description, &sheet, &how) {
        Ok(taken) => taken,
        Err((_, faults)) if asked.form == Form::Json => {
            screen.data(&render::json(&faults))?;
            return Ok(Outcome::Faulty);
        }
        Err((columns, faults)) => {
            if !columns.is_empty() {
                screen.say(&format!("{} was understood so far:\n{}", sheet.name, understood(&columns)));
            }
            return Err(Error::Faults(Box::new(faults)));
        }
    };
    if asked.write {
        write(asked, &taken, marked)?;
    }
    if asked.form == Form::Json {
        screen.data(&data(&taken, asked.write))?;
    } else {
        screen.faults(&taken.warnings);
        screen.answer(&page(&sheet.name, &taken, asked))?;
    }
    Ok(Outcome::Done)
}

fn write(asked: &In, taken: &Taken, marked: bool) -> Result<()> {
    let mark = if marked { "\u{feff}" } else { "" };
    let own =
        folder::files(&asked.at.folder)?.into_iter().find(|(name, _)| name.eq_ignore_ascii_case(ROSTER));
    let path = own.map_or_else(|| asked.at.folder.join(ROSTER), |(_, path)| path);
    store::write_whole(&path, &format!("{mark}{}", taken.text))
}

/// What every column was read as.
fn understood(columns: &[Column]) -> String {
    let rows: Vec<Vec<String>> = columns
        .iter()
        .map(|column| {
            let unit = column.unit.as_ref().map(|unit| format!(" in {unit}")).unwrap_or_default();
            let meaning = match column.meaning {
                Meaning::LeftOut => "left out".to_owned(),
                meaning => format!("{}{unit}", meaning.word()),
            };
            vec![column.name.clone(), meaning]
        })
        .collect();
    table(&[table::Column::Words("column"), table::Column::Words("read as")], &rows)
}

fn page(name: &str, taken: &Taken, asked: &In) -> String {
    let mut page = format!("{name}: {}\n\n", told::counted(taken.cars, "car"));
    page.push_str(&understood(&taken.columns));
    page.push('\n');
    let mut list = |head: &str, cars: &[String]| {
        if !cars.is_empty() {
            let words = format!("{head}: {}", cars.join(", "));
            page.extend([wrap(&words, PAGE - 2).join("\n  "), "\n".to_owned()]);
        }
    };
    list(&format!("{} new", told::counted(taken.new.len(), "car")), &taken.new);
    let others = told::counted(taken.others.len(), "other car");
    if asked.only {
        list(&format!("{others} taken out of {ROSTER}"), &taken.others);
    } else if !taken.others.is_empty() {
        list(&format!("{others} in {ROSTER}"), &["left alone".to_owned()]);
    }
    for (car, file) in &taken.elsewhere {
        list(&format!("{car} stands in {file} and differs there"), &["change it by hand".to_owned()]);
    }
    for change in &taken.changed {
        let keys = change.keys.iter().map(|(key, was, is)| match (&**was, &**is) {
            ("", is) => format!("{key} `{is}`"),
            (was, "") => format!("{key} no longer `{was}`"),
            (was, is) => format!("{key} `{was}` becomes `{is}`"),
        });
        list(&change.car, &keys.collect::<Vec<_>>());
    }
    let nothing =
        taken.new.is_empty() && taken.changed.is_empty() && (!asked.only || taken.others.is_empty());
    page.push_str(match (nothing, asked.write) {
        (true, _) => "Nothing changes.\n",
        (false, true) => "cars.csv is written.\n",
        (false, false) => "Nothing is written yet: say `--write` to put it into cars.csv.\n",
    });
    page
}

fn data(taken: &Taken, written: bool) -> serde_json::Value {
    let columns: Vec<_> = taken
        .columns
        .iter()
        .map(|column| json!({ "name": column.name, "read_as": column.meaning.word(), "unit": column.unit }))
        .collect();
    let elsewhere: Vec<_> =
        taken.elsewhere.iter().map(|(car, file)| json!({ "car": car, "file": file })).collect();
    let changed: Vec<_> = taken
        .changed
        .iter()
        .map(|change| {
            let keys: Vec<_> = change
                .keys
                .iter()
                .map(|(key, was, is)| json!({ "key": key, "was": was, "is": is }))
                .collect();
            json!({ "car": change.car, "keys": keys })
        })
        .collect();
    let mut answer = render::json(&taken.warnings);
    answer["columns"] = json!(columns);
    answer["cars"] = json!(taken.cars);
    answer["new"] = json!(taken.new);
    answer["changed"] = json!(changed);
    answer["others"] = json!(taken.others);
    answer["elsewhere"] = json!(elsewhere);
    answer["written"] = json!(written);
    answer
}
