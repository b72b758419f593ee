//! Reads the folder of a layout into memory, for benches and examples.

use std::fs;
use std::io;
use std::path::Path;

use setout::diag::Sources;

/// The description of a layout: every `*.toml` and the roster, sub-folders included.
pub(crate) fn sources(folder: &Path) -> io::Result<Sources> {
    let mut files = Vec::new();
    list(folder, "", &mut files)?;
    files.sort();
    let mut sources = Sources::default();
    for (name, text) in files {
        sources.add(name, text);
    }
    Ok(sources)
}

fn list(folder: &Path, before: &str, files: &mut Vec<(String, String)>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if path.is_dir() && name != "ledger" && name != "forms" {
            list(&path, &format!("{before}{name}/"), files)?;
        } else if path.extension().is_some_and(|kind| kind == "toml") || name == "cars.csv" {
            files.push((format!("{before}{name}"), fs::read_to_string(&path)?));
        }
    }
    Ok(())
}
