//! Moves: what is pulled and shoved, and in which order, for cars with codes.

/// One pull and what becomes of its cars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stage {
    /// The track that is pulled; nothing for the string as it came.
    pub pulled: Option<usize>,
    /// The cuts, in the order in which they are shoved.
    pub rolls: Vec<Roll>,
}

/// A cut that goes to one track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Roll {
    /// Where to.
    pub to: To,
    /// Its cars by their places in the string, the one that is left first before the others.
    pub cars: Vec<usize>,
}

/// Where a cut is shoved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum To {
    /// Onto one of the sorting tracks, counted from 0.
    Track(usize),
    /// Onto the track where the train is made up.
    Train,
}

/// The stages for a string in which each car has this code. Step `i` pulls track `i` modulo the number
/// of tracks.
pub(super) fn stages(codes: &[u128], tracks: usize) -> Vec<Stage> {
    let last = codes.iter().map(|code| u128::BITS - code.leading_zeros()).max().unwrap_or(0);
    let mut lies: Vec<Vec<usize>> = vec![Vec::new(); tracks];
    let first = roll(&mut lies, (0..codes.len()).collect(), codes, 0);
    let mut stages = vec![Stage { pulled: None, rolls: first }];
    for step in 0..last {
        let track = step as usize % tracks;
        let cars = std::mem::take(&mut lies[track]);
        let rolls = roll(&mut lies, cars, codes, step + 1);
        stages.push(Stage { pulled: Some(track), rolls });
    }
    stages
}

/// Sends cars on to the tracks of their next bits, neighbours that go together in one cut.
fn roll(lies: &mut [Vec<usize>], cars: Vec<usize>, codes: &[u128], done: u32) -> Vec<Roll> {
    let mut rolls: Vec<Roll> = Vec::new();
    for car in cars {
        let left = codes[car].checked_shr(done).unwrap_or(0);
        let to = match left {
            0 => To::Train,
            _ => To::Track((done + left.trailing_zeros()) as usize % lies.len()),
        };
        if let To::Track(track) = to {
            lies[track].push(car);
        }
        match rolls.last_mut().filter(|roll| roll.to == to) {
            Some(roll) => roll.cars.push(car),
            None => rolls.push(Roll { to, cars: vec![car] }),
        }
    }
    rolls
}
