//! Writes the made-up club layout of the benches to a folder, so that whole runs can be timed:
//! `cargo run --example club -- FOLDER [DISTRICTS CUSTOMERS CARS]`.
#![allow(missing_docs, reason = "an example is a program, not an interface")]

use std::error::Error;
use std::io::Write;
use std::path::PathBuf;

#[path = "../benches/club.rs"]
mod club;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().ok_or("usage: club FOLDER [DISTRICTS CUSTOMERS CARS]")?);
    let numbers = arguments.map(|number| number.parse()).collect::<Result<Vec<usize>, _>>()?;
    let size = match numbers[..] {
        [] => club::CLUB,
        [districts, customers, cars] => club::Size { districts, customers, cars },
        _ => return Err("expected no numbers or three: districts, customers, cars".into()),
    };
    std::fs::create_dir_all(&folder)?;
    for (name, text) in club::folder(size) {
        std::fs::File::create(folder.join(name))?.write_all(text.as_bytes())?;
    }
    Ok(())
}
