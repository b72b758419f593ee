//! What may be wrong with a question.

/// The most cars on a track: more never fit into the packed state.
pub(super) const MOST: usize = 64;

/// What is wrong with a question.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// A row names more or fewer tracks than there are.
    #[error("expected cars for {expected} tracks in `{row}`, found {found}")]
    Tracks {
        /// What was given.
        row: String,
        /// How many tracks there are.
        expected: usize,
        /// How many were named.
        found: usize,
    },
    /// A track holds fewer cars than it is given.
    #[error("track {track} has room for {room} cars, `{cars}` has {}", cars.chars().count())]
    Room {
        /// Which track, from 1.
        track: usize,
        /// Its room.
        room: usize,
        /// What was given.
        cars: String,
    },
    /// The lead holds fewer cars than it is given.
    #[error("the lead has room for {room} cars, `{cars}` has {}", cars.chars().count())]
    Lead {
        /// Its room.
        room: usize,
        /// What was given.
        cars: String,
    },
    /// A car is no letter or digit.
    #[error("expected a letter or digit for each car, found `{0}`")]
    Letter(char),
    /// In a start, anything is nothing.
    #[error("expected the cars themselves in a start, found `*`")]
    Open,
    /// Start and goal do not have the same cars.
    #[error("car `{0}` is not as often in the start as in the goal")]
    Cars(char),
    /// Nothing is left open for cars that the goal does not name.
    #[error(
        "the goal has no place for {0} cars that it does not name; leave tracks with room for them open with `*`"
    )]
    Nowhere(usize),
    /// There is nothing to search.
    #[error("expected a lead and at least one track, each with room for 1 to {MOST} cars")]
    NoTracks,
    /// It does not fit into the packed state.
    #[error("the puzzle is too large: its state needs {0} bits, 128 are there")]
    TooLarge(usize),
}
