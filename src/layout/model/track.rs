//! Tracks and their spots: `[place.ID.track.ID]`.

use super::{End, Existence, Limits};
use crate::ids::{Id, PlaceIx, RailroadIx, SpotIx, TrackIx, TypeIx};
use crate::units::{Cars, Length};

/// A track at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Track {
    /// Its id, with the place's: `harbor/2`.
    pub id: Id,
    /// `name`: what the paper calls it; the last part of the id, if nothing is said.
    pub name: Box<str>,
    /// The place it belongs to.
    pub place: PlaceIx,
    /// `use`.
    pub usage: TrackUse,
    /// `length`: the room for cars, couplers included.
    pub length: Length,
    /// `full`: the working limit, from its own share, its place's or the layout's.
    pub working: Length,
    /// `opens`: where its switch is.
    pub opens: Opens,
    /// `behind`: the track through which alone it is reached.
    pub behind: Option<TrackIx>,
    /// `offers`: what is done to a car that stands here.
    pub offers: Vec<Service>,
    /// `spots`, from west to east.
    pub spots: Vec<SpotIx>,
    /// `off_spot`: a car whose spot is full may wait here.
    pub off_spot: bool,
    /// `holds`: the kinds of car it takes; all, if nothing is said.
    pub holds: Vec<TypeIx>,
    /// `worked_by`: the railroads whose jobs may switch it; those of its place, if nothing is said.
    pub worked_by: Vec<RailroadIx>,
    /// `max_car`, `max_height`, `max_weight`, `max_cars`.
    pub limits: Limits,
    /// `note`: a line for the paper.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`; a track is also gone when its place is.
    pub existence: Existence,
}

/// Names after which nobody asks what they are.
const SAY_SO: [&str; 12] =
    ["track", "spur", "lead", "siding", "main", "yard", "line", "runaround", "loop", "ramp", "dock", "pit"];

/// What has to be said of a track besides its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrackWords<'n> {
    /// A number: `track 2`.
    Number(&'n str),
    /// An id that does not say that it is a track: `mill track`.
    Bare(&'n str),
    /// A name that says all.
    Whole(&'n str),
}

impl<'n> TrackWords<'n> {
    /// What has to be said: the word for it where the host gave no name but the id, or a number.
    pub fn new(name: &'n str, id: &Id) -> Self {
        if name.starts_with(|first: char| first.is_ascii_digit()) || name.chars().count() < 3 {
            return TrackWords::Number(name);
        }
        let given = id.as_str().rsplit('/').next() != Some(name);
        let says_so = SAY_SO.iter().any(|word| name.ends_with(word));
        if given || says_so { TrackWords::Whole(name) } else { TrackWords::Bare(name) }
    }
}

/// A track by its name, in English.
pub fn track_words(name: &str, id: &Id) -> String {
    match TrackWords::new(name, id) {
        TrackWords::Number(number) => format!("track {number}"),
        TrackWords::Bare(name) => format!("{name} track"),
        TrackWords::Whole(name) => name.to_owned(),
    }
}

/// What a track is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TrackUse {
    /// `"yard"`: cars wait here between jobs.
    Yard,
    /// `"spur"`: customers are served here.
    Spur,
    /// `"runaround"`: kept clear, so that an engine gets round its cars.
    RunAround,
    /// `"storage"`: cars wait here for long.
    Storage,
    /// `"repair"`: bad orders.
    Repair,
    /// `"engine"`: engines and cabooses, no cars.
    Engine,
    /// `"interchange"`: cars change from one railroad to another.
    Interchange,
    /// `"staging"`: trains stand made up.
    Staging,
    /// `"main"`: the through track; cars stand on it only while a crew works.
    Main,
}

impl Track {
    /// Whether cars that wait here stand before its spots, which are reached from the same end alone.
    pub fn bars_its_spots(&self) -> bool {
        !self.spots.is_empty() && self.opens != Opens::Both
    }
}

impl TrackUse {
    /// All uses, with the words the description has for them.
    pub const WORDS: [(&'static str, TrackUse); 9] = [
        ("yard", TrackUse::Yard),
        ("spur", TrackUse::Spur),
        ("runaround", TrackUse::RunAround),
        ("storage", TrackUse::Storage),
        ("repair", TrackUse::Repair),
        ("engine", TrackUse::Engine),
        ("interchange", TrackUse::Interchange),
        ("staging", TrackUse::Staging),
        ("main", TrackUse::Main),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        TrackUse::WORDS.iter().find(|(_, usage)| *usage == self).map_or("", |(word, _)| word)
    }

    /// Whether a car may wait here between two jobs.
    pub const fn keeps_cars(self) -> bool {
        matches!(self, TrackUse::Yard | TrackUse::Storage | TrackUse::Interchange | TrackUse::Staging)
    }
}

/// The ends at which a track has a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Opens {
    /// Only at its west end.
    West,
    /// Only at its east end.
    East,
    /// At both ends.
    Both,
}

impl Opens {
    /// Whether an engine gets at the cars from this end.
    pub const fn at(self, end: End) -> bool {
        matches!((self, end), (Opens::Both, _) | (Opens::West, End::West) | (Opens::East, End::East))
    }

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Opens::West => "west",
            Opens::East => "east",
            Opens::Both => "both",
        }
    }
}

/// What is done to a car on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Service {
    /// Put on the scale.
    Weigh,
    /// Ice bunkers filled.
    Ice,
    /// Swept or washed.
    Clean,
    /// Looked over.
    Inspect,
    /// A bad order made good.
    Repair,
}

impl Service {
    /// All services, with the words the description has for them.
    pub const WORDS: [(&'static str, Service); 5] = [
        ("weigh", Service::Weigh),
        ("ice", Service::Ice),
        ("clean", Service::Clean),
        ("inspect", Service::Inspect),
        ("repair", Service::Repair),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        Service::WORDS.iter().find(|(_, service)| *service == self).map_or("", |(word, _)| word)
    }
}

/// A car position on a track, or a named part of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Its id, with the track's: `northgate/mill/door 1`.
    pub id: Id,
    /// `name`: `door 1`, `pit`, `house`.
    pub name: Box<str>,
    /// The track it belongs to.
    pub track: TrackIx,
    /// `length`: its own room; only the track's, if nothing is said.
    pub length: Option<Length>,
    /// `cars`: how many cars it takes at once; `None` where only its length counts (`"any"`).
    pub cars: Option<Cars>,
}

/// Where a customer takes or ships cars: a spot, or any part of a whole track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SpotTarget {
    /// A named position.
    Spot(SpotIx),
    /// Anywhere on a track that has no spots.
    Track(TrackIx),
}

impl SpotTarget {
    /// The spot, if it is a named position.
    pub const fn spot(self) -> Option<SpotIx> {
        match self {
            SpotTarget::Spot(spot) => Some(spot),
            SpotTarget::Track(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_is_called_a_track() {
        assert_eq!(track_words("2", &Id::from("harbor/2")), "track 2");
        assert_eq!(track_words("2 north", &Id::from("harbor/n2")), "track 2 north");
        assert_eq!(track_words("mill", &Id::from("northgate/mill")), "mill track");
        assert_eq!(track_words("siding", &Id::from("northgate/siding")), "siding");
        assert_eq!(track_words("Gleis 2", &Id::from("hafen/2")), "Gleis 2");
    }
}
