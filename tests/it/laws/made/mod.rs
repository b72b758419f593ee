//! Layouts made up from a seed, as a host might have written them.
//!
//! A yard with one or two arms of towns, a gateway or two, customers on spurs of every kind, lanes in,
//! out, between customers and from gateway to gateway, jobs out and back, and a roster in proportion.
//! A layout has no faults, though it may well have weak points that `check` warns of: a spur that is
//! hard to work, a lane that asks too much. The same seed gives the same text on every machine.

mod customers;
pub(crate) mod draw;
mod ground;
mod jobs;
mod roster;

use draw::Draw;
use setout::diag::{Sources, render};
use setout::layout::{self, Layout};

/// The description of a layout in parts that may stand in any order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Folder {
    /// Tables of TOML, each with its head.
    pub(crate) tables: Vec<String>,
    /// The head of the roster.
    pub(crate) head: String,
    /// The rows of the roster.
    pub(crate) rows: Vec<String>,
}

impl Folder {
    /// From files as a host keeps them: parted before each head of a table.
    pub(crate) fn of(files: &[(&str, &str)]) -> Self {
        let mut folder = Folder::default();
        for (name, text) in files {
            if *name == "cars.csv" {
                let mut lines = text.lines();
                lines.next().unwrap().clone_into(&mut folder.head);
                folder.rows.extend(lines.map(ToOwned::to_owned));
                continue;
            }
            let mut table = String::new();
            for line in text.lines() {
                if line.starts_with('[') {
                    folder.add(std::mem::take(&mut table));
                }
                table = table + line + "\n";
            }
            folder.add(table);
        }
        folder
    }

    fn add(&mut self, table: String) {
        if !table.trim().is_empty() {
            self.tables.push(table);
        }
    }

    /// The whole description in one file, and the roster.
    pub(crate) fn text(&self) -> String {
        format!("{}\n# cars.csv\n# {}\n# {}\n", self.tables.join("\n"), self.head, self.rows.join("\n# "))
    }

    /// As files, in order.
    pub(crate) fn sources(&self) -> Sources {
        let mut sources = Sources::default();
        sources.add("layout.toml", self.tables.join("\n"));
        sources.add("cars.csv", format!("{}\n{}\n", self.head, self.rows.join("\n")));
        sources
    }

    /// As files, tables and rows in another order, dealt out to several files that come in any order.
    pub(crate) fn shuffled(&self, seed: u64) -> Sources {
        let mut draw = Draw::new(seed, "shuffle");
        let (mut tables, mut rows) = (self.tables.clone(), self.rows.clone());
        draw.shuffle(&mut tables);
        draw.shuffle(&mut rows);
        let mut files = vec![("cars.csv".to_owned(), format!("{}\n{}\n", self.head, rows.join("\n")))];
        let count = draw.between(1, 4);
        for file in 0..count {
            let share: Vec<&str> = tables.iter().skip(file).step_by(count).map(String::as_str).collect();
            files.push((format!("{}.toml", draw.between(0, 99) * 4 + file), share.join("\n")));
        }
        draw.shuffle(&mut files);
        let mut sources = Sources::default();
        for (name, text) in files {
            sources.add(name, text);
        }
        sources
    }

    /// The layout; a fault stops the test with the text that has it.
    pub(crate) fn layout(&self) -> Layout {
        sound(self.sources())
    }
}

/// The layout of some files; a fault stops the test.
pub(crate) fn sound(sources: Sources) -> Layout {
    let (layout, faults) = layout::load(sources);
    layout.unwrap_or_else(|| panic!("{}", render::text(&faults, false)))
}

/// What has been drawn so far, for what is drawn next.
struct Draft {
    seed: u64,
    folder: Folder,
    /// Whether a second railroad has track here.
    two: bool,
    /// The towns of the arms, with the town or yard each hangs on.
    towns: Vec<Town>,
    gateways: Vec<Gateway>,
    /// Services that some track offers.
    offers: Vec<&'static str>,
    /// Indices into [`customers::COMMODITIES`] of what is carried here.
    carried: Vec<usize>,
}

struct Town {
    id: String,
    railroad: &'static str,
    west: bool,
    /// The place between it and the yard next to it: an earlier town of its arm, or the yard.
    parent: Option<usize>,
    /// Whether it has a run-around: without one its spurs all open to one end.
    turns: bool,
}

struct Gateway {
    id: String,
    railroad: &'static str,
    /// The place where its tracks are; the yard's own tracks, if it is an interchange.
    place: Option<String>,
    /// Whether it hangs on the last town of an arm.
    west: bool,
    cities: Vec<&'static str>,
}

/// A layout from a seed.
pub(crate) fn folder(seed: u64) -> Folder {
    let mut draft = Draft {
        seed,
        folder: Folder::default(),
        two: false,
        towns: Vec::new(),
        gateways: Vec::new(),
        offers: Vec::new(),
        carried: Vec::new(),
    };
    ground::lay(&mut draft);
    customers::settle(&mut draft);
    jobs::call(&mut draft);
    roster::buy(&mut draft);
    // Trains are short here: half of the hosts do not mind a tank car next to the engine.
    draft.folder.add(Draw::new(seed, "placards").maybe(1, 2, "[placards]\nnearest_short = 1"));
    draft.folder
}
