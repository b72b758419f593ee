//! What stands on whole tracks, as somebody sees it who walks round: a head for each track, and under it
//! one car a line, in order from the end named.
//!
//! ```text
//! walk of session 12, plan 1
//! track harbor/2 from west
//! [x] CHT 1234                          a box for the pencil; what is in it is not asked for
//! [ ] CHT 1240 at door 1                at this spot of the track, or `at no spot`
//! [ ] ____                              nothing
//! beyond lakes                          or `shelf`: cars that went there
//! [ ] CHT 1251
//! track harbor/3 from east: CHT 7; CHT 9    the same in one line
//! ```
//!
//! A track with a head holds the cars below it and no others. One without a head was not looked at.

use std::collections::BTreeMap;

use super::{Reader, Said, Stays};
use crate::ids::{CarIx, SpotIx, TrackIx};
use crate::layout::near_miss;
use crate::standing::Whereabouts;

/// A car that was seen, and the line that says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ledger) struct Seen {
    pub(in crate::ledger) car: CarIx,
    pub(in crate::ledger) spot: Option<SpotIx>,
    pub(in crate::ledger) origin: String,
}

/// What was seen on a track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ledger) struct Row {
    /// Where the head of the track is.
    pub(in crate::ledger) origin: String,
    /// Its cars, from west to east.
    pub(in crate::ledger) cars: Vec<Seen>,
}

/// By track, what was seen there.
pub(in crate::ledger) type Walked = BTreeMap<TrackIx, Row>;

/// What lines with a box belong to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Under {
    /// Nothing has a head yet.
    #[default]
    Nothing,
    /// A head that was not understood, of which one fault is enough.
    Unknown,
    /// A track, its cars named from the east end, or from the west.
    Track(TrackIx, bool),
    /// Off the layout.
    Away(Whereabouts),
}

const NO_SPOT: &str = "no spot";

impl Reader<'_> {
    /// A head, or a line with a box; nothing if these words are neither.
    pub(super) fn row(&mut self, said: &Said) -> Option<Result<(), String>> {
        let words = said.words.as_str();
        if let Some(line) = words.strip_prefix('[') {
            return Some(self.boxed(line, &said.origin));
        }
        if let Some(session) = words.strip_prefix("walk of session ") {
            return Some(self.of_session(session));
        }
        let head = words.strip_suffix(':').unwrap_or(words).trim_end();
        if let Some(track) = head.strip_prefix("track ") {
            self.under = Under::Unknown;
            return Some(self.track(track, &said.origin));
        }
        let gateway = head.strip_prefix("beyond ");
        if head == "shelf" || gateway.is_some() {
            self.under = Under::Unknown;
            return Some(self.names.place(gateway.map_or(head, str::trim)).and_then(|place| {
                if let Whereabouts::Track(..) = place {
                    return Err(format!("`{head}` is on the layout: its head is `track {}`", &head[7..]));
                }
                self.under = Under::Away(place);
                Ok(())
            }));
        }
        None
    }

    fn of_session(&self, words: &str) -> Result<(), String> {
        let session = words.split(',').next().unwrap_or_default().trim();
        if session == self.session.to_string() {
            return Ok(());
        }
        Err(format!(
            "this list is of session {session}, and session {} is open: `setout close --walk` writes its list",
            self.session
        ))
    }

    /// The head of a track, with its cars behind a colon if they are in the same line.
    fn track(&mut self, words: &str, origin: &str) -> Result<(), String> {
        let (head, cars) = words.split_once(':').unwrap_or((words, ""));
        let head = head.trim();
        let ends = [(" from west", false), (" from east", true)];
        let named = ends.iter().find_map(|(end, east)| Some((head.strip_suffix(end)?, *east)));
        let (name, east) = named.unwrap_or((head, false));
        let Whereabouts::Track(track, _) = self.names.track(name.trim())? else {
            return Err(format!("`{name}` is no track: a head is `track TRACK from west`"));
        };
        if let Some(before) = self.facts.walked.get(&track) {
            let id = &self.names.layout.tracks()[track].id;
            return Err(format!("`{id}` has a head already, at {}: put its cars under one", before.origin));
        }
        self.facts.walked.insert(track, Row { origin: origin.to_owned(), cars: Vec::new() });
        self.under = Under::Track(track, east);
        let cars = cars.split(';').map(str::trim).filter(|car| !car.is_empty());
        let faults: Vec<String> = cars.filter_map(|car| self.seen(car, origin).err()).collect();
        if faults.is_empty() { Ok(()) } else { Err(faults.join("; ")) }
    }

    /// A line whose box has been opened.
    fn boxed(&mut self, line: &str, origin: &str) -> Result<(), String> {
        let Some((_, car)) = line.split_once(']') else {
            return Err(format!("`[{line}` has no end of its box: expected `[ ] CAR`"));
        };
        let car = car.trim();
        if car.trim_start_matches(['_', ' ']).is_empty() || car.starts_with('_') {
            return Ok(()); // a place that nothing was written in
        }
        self.seen(car, origin)
    }

    /// One car where the last head says.
    fn seen(&mut self, words: &str, origin: &str) -> Result<(), String> {
        let (name, spot) = words.split_once(" at ").map_or((words, None), |(car, at)| (car, Some(at.trim())));
        // One more thing may be said of a car in the line that sees it.
        let (name, about) = ["loaded", "empty", "bad order"]
            .iter()
            .find_map(|about| Some((name.trim().strip_suffix(about)?.strip_suffix(' ')?, Some(*about))))
            .unwrap_or((name, None));
        let car = self.names.car(name.trim())?;
        if let Some(about) = about {
            self.line(&format!("{} {about}", self.names.layout.cars()[car].id))?;
        }
        let id = &self.names.layout.cars()[car].id;
        if let Some(before) = self.seen.get(&car) {
            return Err(format!("`{id}` is seen twice, here and at {before}: leave the line that is true"));
        }
        match self.under {
            Under::Nothing => {
                return Err(format!("`{id}` stands under no head: write `track TRACK from west` above it"));
            }
            Under::Unknown => {}
            Under::Away(place) => self.stays(car, Stays::At(place))?,
            Under::Track(track, east) => {
                let spot = self.spot_of(track, spot)?;
                let seen = Seen { car, spot, origin: origin.to_owned() };
                if let Some(row) = self.facts.walked.get_mut(&track) {
                    let place = if east { 0 } else { row.cars.len() };
                    row.cars.insert(place, seen);
                }
            }
        }
        self.seen.insert(car, origin.to_owned());
        Ok(())
    }

    /// The spot that is named; the only one of a track, if nothing is said.
    fn spot_of(&self, track: TrackIx, said: Option<&str>) -> Result<Option<SpotIx>, String> {
        let layout = self.names.layout;
        let described = &layout.tracks()[track];
        let spots = &described.spots;
        let Some(said) = said else {
            return Ok(if let [only] = spots[..] { Some(only) } else { None });
        };
        if said == NO_SPOT || spots.is_empty() {
            // A line that was brought here from a track with spots keeps its words.
            return Ok(None);
        }
        let name = |spot: &SpotIx| &*layout.spots()[*spot].name;
        let known = |spot: &&SpotIx| {
            name(spot).eq_ignore_ascii_case(said) || layout.spots()[**spot].id.as_str() == said
        };
        spots.iter().find(known).copied().map(Some).ok_or_else(|| {
            let near = near_miss(said, spots.iter().map(name));
            let near = near.map_or_else(
                || format!("its spots are `{}`", spots.iter().map(name).collect::<Vec<_>>().join("`, `")),
                |near| format!("did you mean `{near}`?"),
            );
            format!("track `{}` has no spot `{said}`: {near}; or `at {NO_SPOT}`", described.id)
        })
    }
}
