//! What a call asks of a crew, counted: the numbers that a pace turns into minutes.
//!
//! Counted are the deeds of a crew, not the time they take, so that the same counts serve to estimate
//! a session and, with recorded minutes beside them, to fit the pace.

use crate::ids::TrackIx;
use crate::layout::Pace;
use crate::switching::{CallDone, Handling, Movement};
use crate::trips::Task;
use crate::units::{Effort, Minutes};

impl Effort {
    /// The effort of a call, and of a run over such links after it.
    pub fn of(done: &CallDone, task: &Task, links: Minutes) -> Effort {
        let mut effort = Effort { reading: to_read(done, task), links, ..Effort::default() };
        let mut rows = Rows(done.found.iter().map(|(track, row)| (*track, row.len())).collect());
        let mut before: Option<&Handling> = None;
        let mut handlings = done.handlings.iter().peekable();
        while let Some(handling) = handlings.next() {
            let standing = rows.after(handling);
            if before.is_some_and(|before| before.end != handling.end) {
                effort.run_arounds += 1;
            }
            if let Some(round) = handlings.next_if(|next| goes_round(handling, next)) {
                effort.run_arounds += 1;
                rows.after(round);
                before = Some(round);
                continue;
            }
            effort.handlings += 1;
            effort.cars += count(handling.cars.len());
            effort.couplings += 1;
            if before.is_none_or(|before| (before.track, before.end) != (handling.track, handling.end)) {
                effort.turnouts += 1;
            }
            if handling.movement == Movement::Leave {
                effort.spots += count(handling.cars.iter().filter(|on| on.spot.is_some()).count());
            } else if standing > 0 {
                // A second joint is parted where the cut is taken from a longer row.
                effort.couplings += 1;
            }
            before = Some(handling);
        }
        effort
    }

    /// The minutes of the work at a pace, rounded up to the second.
    pub fn work(self, pace: &Pace) -> Minutes {
        let each = [
            (self.handlings, pace.handling),
            (self.cars, pace.car),
            (self.couplings, pace.coupling),
            (self.turnouts, pace.turnout),
            (self.spots, pace.spot),
            (self.run_arounds, pace.run_around),
            (self.reading, pace.reading),
        ];
        let plain: u64 =
            each.iter().map(|(count, one)| u64::from(*count) * u64::from(one.whole_seconds())).sum();
        let scaled = (plain * u64::from(pace.crew)).div_ceil(100);
        Minutes::seconds(u32::try_from(scaled).expect("a call takes less than a lifetime"))
    }

    /// The minutes of the run at a pace, rounded up to the second; they are the same for slow and quick crews.
    pub fn run(self, pace: &Pace) -> Minutes {
        let sixtieths = u64::from(self.links.whole_seconds()) * u64::from(pace.running.whole_seconds());
        Minutes::seconds(u32::try_from(sixtieths.div_ceil(60)).expect("a run takes less than a lifetime"))
    }
}

/// Whether two movements are the engine going round the cars it has just left.
fn goes_round(leave: &Handling, couple: &Handling) -> bool {
    leave.movement == Movement::Leave
        && couple.movement == Movement::Couple
        && leave.track == couple.track
        && leave.end != couple.end
}

/// How many cars stand on each track that a call touches, followed from movement to movement.
struct Rows(Vec<(TrackIx, usize)>);

impl Rows {
    /// Makes the movement; the number of cars that stand on its track afterwards.
    fn after(&mut self, handling: &Handling) -> usize {
        let place = self.0.iter().position(|(track, _)| *track == handling.track);
        let place = place.unwrap_or_else(|| {
            self.0.push((handling.track, 0));
            self.0.len() - 1
        });
        let standing = &mut self.0[place].1;
        *standing = match handling.movement {
            Movement::Couple => standing.saturating_sub(handling.cars.len()),
            Movement::Leave => *standing + handling.cars.len(),
        };
        *standing
    }
}

/// The cars on the crew's list that it does not just leave alone: those of its task, and those that
/// it moves out of the way and puts back.
fn to_read(done: &CallDone, task: &Task) -> u32 {
    let moved = |car| done.handlings.iter().any(|handling| handling.cars.iter().any(|on| on.car == car));
    let stood = done.found.iter().flat_map(|(_, row)| row.iter());
    let held = stood.filter(|on| !task.cars.contains(&on.car) && moved(on.car));
    count(task.cars.len() + held.count())
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{CarIx, Ix};
    use crate::layout::End;
    use crate::switching::OnTrack;

    fn movement(movement: Movement, track: usize, end: End, cars: &[usize]) -> Handling {
        let cars = cars.iter().map(|car| OnTrack { car: CarIx::new(*car), spot: None }).collect();
        Handling { movement, track: TrackIx::new(track), end, cars }
    }

    #[test]
    fn a_call_is_counted_as_by_hand() {
        // Three cars stand on track 0; two are drawn out at its west end (the third stays: two joints),
        // left on the loop, fetched at its other end (one run-around for both movements), and one is
        // shoved into track 2. Counted: 2 movements, 3 cars, 2 + 1 joints, 2 turnouts, 1 run-around.
        use Movement::{Couple, Leave};
        let row = [0, 1, 2].map(|car| OnTrack { car: CarIx::new(car), spot: None });
        let done = CallDone {
            found: vec![(TrackIx::new(0), row.to_vec().into())],
            handlings: vec![
                movement(Couple, 0, End::West, &[0, 1]),
                movement(Leave, 1, End::West, &[0, 1]),
                movement(Couple, 1, End::East, &[0, 1]),
                movement(Leave, 2, End::East, &[1]),
            ],
            ..CallDone::default()
        };
        let task = Task { cars: vec![CarIx::new(0)], pulls: vec![CarIx::new(0)], ..Task::default() };
        let effort = Effort::of(&done, &task, Minutes::new(4));
        let by_hand = Effort {
            handlings: 2,
            cars: 3,
            couplings: 3,
            turnouts: 2,
            spots: 0,
            run_arounds: 1,
            reading: 2,
            links: Minutes::new(4),
        };
        assert_eq!(effort, by_hand);
        // 2·30 + 3·6 + 3·15 + 2·9 + 1·120 + 2·30 = 321 s; a slow crew of 110 % takes 353.1, so 354 s.
        let slow = Pace { crew: 110, running: Minutes::seconds(75), ..Pace::default() };
        assert_eq!(effort.work(&Pace::default()), Minutes::seconds(321));
        assert_eq!(effort.work(&slow), Minutes::seconds(354));
        // Four minutes of links, at 75 seconds each.
        assert_eq!(effort.run(&Pace::default()), Minutes::new(4));
        assert_eq!(effort.run(&slow), Minutes::new(5));
    }
}
