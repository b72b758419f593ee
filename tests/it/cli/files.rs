//! What a folder may hold: no files, other people's files, and files as spreadsheets save them.

use super::Folder;

#[test]
fn a_folder_that_is_not_there() {
    insta::assert_snapshot!(Folder::empty("no-folder").run(&["check", "nowhere"]));
}

#[test]
fn a_folder_that_is_a_file() {
    let folder = Folder::empty("folder-is-a-file");
    folder.write("notes.txt", "Bring the coal loads.");
    insta::assert_snapshot!(folder.run(&["check", "notes.txt"]));
}

#[test]
fn a_folder_without_a_description() {
    let folder = Folder::empty("no-toml");
    folder.write("cars.csv", "mark,number,type\nCHT,1,XM\n");
    insta::assert_snapshot!(folder.run(&["check"]));
}

#[test]
fn a_file_in_another_encoding() {
    let folder = Folder::of("tiny", "not-utf8");
    // ISO 8859-1: u-umlaut is the one byte FC.
    folder.write("cars.csv", b"mark,number,type,note\nCHT,1,XM,\nCHT,2,XM,gr\xFCn\nCHT,3,XM,bra\xFCn\n");
    insta::assert_snapshot!(folder.run(&["check"]));
}

#[test]
fn a_file_in_sixteen_bit_letters() {
    let folder = Folder::of("tiny", "utf-16");
    let letters = "\u{FEFF}mark\tnumber\ttype\nCHT\t1\tXM\n".encode_utf16();
    folder.write("cars.csv", letters.flat_map(u16::to_le_bytes).collect::<Vec<u8>>());
    insta::assert_snapshot!(folder.run(&["check"]));
}

#[test]
fn a_byte_order_mark_does_no_harm() {
    let folder = Folder::of("tiny", "bom");
    let plain = folder.run(&["check", "--as", "json"]);
    for name in ["layout.toml", "cars.csv"] {
        folder.write(name, format!("\u{FEFF}{}", folder.read(name)));
    }
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}

#[test]
fn line_ends_of_another_system_do_no_harm() {
    let folder = Folder::of("tiny", "crlf");
    let plain = folder.run(&["check", "--as", "json"]);
    for name in ["layout.toml", "cars.csv"] {
        folder.write(name, folder.read(name).replace('\n', "\r\n"));
    }
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}

#[test]
fn a_description_may_be_split_over_sub_folders() {
    let folder = Folder::of("tiny", "split");
    let plain = folder.run(&["check", "--as", "json"]);
    let whole = folder.read("layout.toml");
    let (settings, rest) = whole.split_once("[gateway.beyond]").unwrap();
    folder.write("layout.toml", format!("[gateway.beyond]{rest}"));
    folder.write("towns/harbor.toml", settings);
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}

#[test]
fn the_ledger_the_forms_and_hidden_files_are_not_read() {
    let folder = Folder::of("tiny", "not-read");
    let plain = folder.run(&["check", "--as", "json"]);
    for name in ["forms/mine.toml", ".backup/layout.toml", "._layout.toml"] {
        folder.write(name, "this = is not TOML");
    }
    assert_eq!(folder.run(&["check", "--as", "json"]), plain);
}
