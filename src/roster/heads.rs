//! What hosts call the columns of a roster: plain words of the trade, and what each may mean.
//!
//! A name with one meaning is taken; one with several is asked back. The key of a car is always a
//! name of its own.

use super::columns::Meaning;
use crate::layout::CAR_KEYS;

use Meaning::{Car, FirstYear, Key, LastYear};

/// Names in lower case, with blanks for dashes, and what each may mean.
const HEADS: [(&str, &[Meaning]); 90] = [
    ("reporting mark", &[Key("mark")]),
    ("reporting marks", &[Key("mark")]),
    ("road mark", &[Key("mark")]),
    ("marks", &[Key("mark")]),
    ("initial", &[Key("mark")]),
    ("initials", &[Key("mark")]),
    ("car initial", &[Key("mark")]),
    ("car mark", &[Key("mark")]),
    ("no", &[Key("number")]),
    ("nr", &[Key("number")]),
    ("num", &[Key("number")]),
    ("#", &[Key("number")]),
    ("car no", &[Key("number"), Car]),
    ("car nr", &[Key("number"), Car]),
    ("car number", &[Key("number"), Car]),
    ("car #", &[Key("number"), Car]),
    ("road no", &[Key("number")]),
    ("road number", &[Key("number")]),
    ("uic number", &[Key("number")]),
    ("wagon number", &[Key("number")]),
    ("car", &[Car]),
    ("car id", &[Car]),
    ("wagon", &[Car]),
    ("mark and number", &[Car]),
    ("mark and no", &[Car]),
    ("reporting mark and no", &[Car]),
    ("marks and number", &[Car]),
    ("reporting mark and number", &[Car]),
    ("road and number", &[Car]),
    ("kind", &[Key("type")]),
    ("kind of car", &[Key("type")]),
    ("car type", &[Key("type")]),
    ("car kind", &[Key("type")]),
    ("type code", &[Key("type")]),
    ("code", &[Key("type")]),
    ("aar", &[Key("type")]),
    ("aar code", &[Key("type")]),
    ("aar type", &[Key("type")]),
    ("class", &[Key("type"), Key("grade")]),
    ("len", &[Key("length")]),
    ("car length", &[Key("length")]),
    ("length over couplers", &[Key("length")]),
    ("over couplers", &[Key("length")]),
    ("height above rail", &[Key("height")]),
    ("road", &[Key("mark"), Key("railroad")]),
    ("road name", &[Key("railroad"), Key("owner")]),
    ("railway", &[Key("railroad")]),
    ("company", &[Key("railroad"), Key("owner")]),
    ("owned by", &[Key("owner")]),
    ("home gateway", &[Key("home")]),
    ("home route", &[Key("home")]),
    ("home via", &[Key("home")]),
    ("assigned to", &[Key("assigned")]),
    ("assigned service", &[Key("assigned")]),
    ("service", &[Key("assigned"), Key("years")]),
    ("pool", &[Key("assigned")]),
    ("customer", &[Key("assigned")]),
    ("quality", &[Key("grade")]),
    ("condition", &[Key("grade"), Key("bad_order")]),
    ("light weight", &[Key("light")]),
    ("empty weight", &[Key("light")]),
    ("tare", &[Key("light")]),
    ("weight", &[Key("light"), Key("capacity")]),
    ("load limit", &[Key("capacity")]),
    ("era", &[Key("years")]),
    ("year", &[FirstYear, Key("years")]),
    ("built", &[FirstYear]),
    ("year built", &[FirstYear]),
    ("first year", &[FirstYear]),
    ("from year", &[FirstYear]),
    ("last year", &[LastYear]),
    ("to year", &[LastYear]),
    ("retired", &[LastYear]),
    ("formerly", &[Key("was")]),
    ("former number", &[Key("was")]),
    ("old number", &[Key("was")]),
    ("colour", &[Key("color")]),
    ("paint", &[Key("color")]),
    ("rate", &[Key("visits")]),
    ("comes", &[Key("visits")]),
    ("b/o", &[Key("bad_order")]),
    ("needs repair", &[Key("bad_order")]),
    ("track", &[Key("stands")]),
    ("stands on", &[Key("stands")]),
    ("location", &[Key("stands"), Key("home")]),
    ("description", &[Key("color"), Key("note")]),
    ("notes", &[Key("note")]),
    ("remark", &[Key("note")]),
    ("remarks", &[Key("note")]),
    ("comments", &[Key("note")]),
];

/// What the name of a column may mean: nothing that is known, one thing, or several.
pub(super) fn meanings(name: &str) -> Vec<Meaning> {
    let keys = CAR_KEYS.into_iter().filter(|key| spaced(key) == name).map(Key);
    let known = HEADS.iter().filter(|(head, _)| *head == name);
    keys.chain(known.flat_map(|(_, meanings)| meanings.iter().copied())).collect()
}

/// All names that are known.
pub(super) fn known() -> impl Iterator<Item = String> {
    CAR_KEYS.into_iter().map(spaced).chain(HEADS.iter().map(|(head, _)| (*head).to_owned()))
}

/// A key as a host writes it: `bad order`.
fn spaced(key: &str) -> String {
    key.replace('_', " ")
}

/// A name as it is looked up, and the unit that stands behind it: `Length (ft)` is a length in feet.
pub(super) fn plain(head: &str) -> (String, Option<String>) {
    let lower =
        head.to_lowercase().replace(['_', '-', '\u{a0}', '\n', '\r', '\t'], " ").replace('&', " and ");
    let (name, unit) = match lower.split_once(['(', '[']) {
        Some((name, unit)) => (name.to_owned(), Some(unit.trim_end_matches([')', ']', ' ']).to_owned())),
        None => split_unit(&lower),
    };
    let words: Vec<&str> = name.split_whitespace().collect();
    let name = words.join(" ");
    (
        name.trim_end_matches(['.', ':', ',', ' ']).to_owned(),
        unit.map(|unit| unit.trim_matches('.').to_owned()),
    )
}

/// `length in feet`, `length, ft`.
fn split_unit(name: &str) -> (String, Option<String>) {
    let parted = name.rsplit_once(" in ").or_else(|| name.rsplit_once(", "));
    match parted {
        Some((name, unit)) if UNITS.contains(&unit.trim().trim_end_matches('.')) => {
            (name.to_owned(), Some(unit.trim().to_owned()))
        }
        _ => (name.to_owned(), None),
    }
}

/// The units in which a roster gives lengths.
pub(super) const UNITS: [&str; 14] = [
    "in", "inch", "inches", "ft", "foot", "feet", "mm", "cm", "m", "metres", "meters", "scale ft",
    "scale in", "scale m",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_hosts_write_them() {
        for (head, name, unit) in [
            (" No. ", "no", None),
            ("Reporting-Mark", "reporting mark", None),
            ("Mark & Number", "mark and number", None),
            ("Length (ft.)", "length", Some("ft")),
            ("LENGTH in feet", "length", Some("feet")),
            ("Length, mm", "length", Some("mm")),
            ("built in", "built in", None),
        ] {
            assert_eq!(plain(head), (name.to_owned(), unit.map(str::to_owned)), "{head}");
        }
    }

    #[test]
    fn every_key_means_itself_and_no_name_stands_twice() {
        for key in CAR_KEYS {
            assert_eq!(meanings(&spaced(key)), [Key(key)]);
        }
        let names: Vec<String> = known().collect();
        let once: std::collections::BTreeSet<&String> = names.iter().collect();
        assert_eq!(once.len(), names.len());
        for (_, meanings) in HEADS {
            for meaning in meanings {
                assert!(!matches!(meaning, Key(key) if !CAR_KEYS.contains(key)), "{meaning:?}");
            }
        }
    }
}
