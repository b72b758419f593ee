//! How evenly a session keeps its people busy.
//!
//! Two measures, both of the minutes that each person works, waiting not counted. **Busiest over mean**:
//! the most minutes of anybody over the mean; 100 % where all have the same. **Jain's index**: the
//! square of the sum over the number of people times the sum of the squares (Jain, Chiu and Hawe 1984,
//! from memory); 100 % where all have the same, and 1 over the number of people where one does all.

use serde::Serialize;

use crate::session::plan::Plan;

/// How evenly people are busy.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Balance {
    /// The minutes of each person, by number from 1.
    pub minutes: Vec<u32>,
    /// The busiest over the mean, in hundredths, rounded up.
    pub busiest_over_mean: u32,
    /// Jain's index, in hundredths, rounded down.
    pub jain: u32,
}

impl Balance {
    /// The balance of so many minutes each; nothing where nobody works.
    pub fn of(minutes: Vec<u32>) -> Option<Balance> {
        let people = u64::try_from(minutes.len()).ok()?;
        let sum: u64 = minutes.iter().map(|minutes| u64::from(*minutes)).sum();
        let squares: u64 = minutes.iter().map(|minutes| u64::from(*minutes).pow(2)).sum();
        let busiest = u64::from(minutes.iter().max().copied()?);
        if sum == 0 {
            return None;
        }
        let hundredths = |value: u64| u32::try_from(value).ok();
        Some(Balance {
            busiest_over_mean: hundredths((busiest * people * 100).div_ceil(sum))?,
            jain: hundredths(sum * sum * 100 / (people * squares))?,
            minutes,
        })
    }

    /// The balance of the people of a plan; nothing where people were not counted.
    pub fn of_people(plan: &Plan) -> Option<Balance> {
        let crews = plan.crews.as_ref()?;
        let mut minutes = vec![0; usize::try_from(crews.people).ok()?];
        for job in &crews.jobs {
            let all: u32 = plan.minutes.iter().find(|told| told.job == job.job)?.seconds.rounded_up();
            for person in &job.people {
                let place = usize::try_from(*person).ok()?.checked_sub(1)?;
                *minutes.get_mut(place)? += all;
            }
        }
        Balance::of(minutes)
    }
}

/// How good a plan is among those of other seeds, compared field by field; less is better: minutes
/// beyond the hours, then the busiest over the mean, then cars that do not arrive.
pub type Rank = (u32, u32, usize);

/// The rank of a plan.
pub fn rank(plan: &Plan) -> Rank {
    let hours = plan.crews.as_ref().map_or(u32::MAX, |crews| crews.minutes);
    let ends = plan.crews.iter().flat_map(|crews| &crews.jobs).map(|job| job.ends);
    let late = ends.max().unwrap_or(0).saturating_sub(hours);
    let uneven = Balance::of_people(plan).map_or(u32::MAX, |balance| balance.busiest_over_mean);
    (late, uneven, plan.trips.iter().filter(|trip| !trip.arrives).count())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_measures_are_those_of_their_definitions() {
        // 10, 20, 30: mean 20, busiest 150 % of it; 60² / (3 · 1400) = 3600 / 4200 = 85.7 %.
        let balance = Balance::of(vec![10, 20, 30]).unwrap();
        assert_eq!((balance.busiest_over_mean, balance.jain), (150, 85));
        let even = Balance::of(vec![7, 7, 7, 7]).unwrap();
        assert_eq!((even.busiest_over_mean, even.jain), (100, 100));
        let one_does_all = Balance::of(vec![0, 0, 9, 0]).unwrap();
        assert_eq!((one_does_all.busiest_over_mean, one_does_all.jain), (400, 25));
        assert_eq!(Balance::of(vec![0, 0]), None);
        assert_eq!(Balance::of(Vec::new()), None);
    }
}
