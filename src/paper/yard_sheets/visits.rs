//! Follows the cars of one yard through the session: what every call of a job changes on its tracks, told
//! so that the rows after it follow from the rows before it and from what the sheet says.

use std::collections::BTreeMap;

use crate::ids::Id;
use crate::layout::End;
use crate::session::plan::{Event, WorldTrack};
use crate::units::Length;

use super::super::course::{Course, Courses};
use super::super::names::Names;

/// Cars by the tracks on which they stand, from west to east.
pub(super) type Rows<'a> = BTreeMap<&'a Id, Vec<&'a Id>>;

/// One call of a job at a yard, and what it does to it.
#[derive(Debug)]
pub(super) struct Visit<'a> {
    pub(super) job: &'a Id,
    pub(super) call: u32,
    /// The tracks that are worked, as the crew finds them.
    pub(super) before: Rows<'a>,
    /// The same tracks, as it leaves them.
    pub(super) after: Rows<'a>,
    /// How many cars are in the yard then.
    pub(super) on_hand: usize,
    /// How long these are.
    pub(super) length: Length,
    /// The other tracks of the place from which cars are taken, and those on which cars are left, by the cars.
    pub(super) aside: Aside<'a>,
}

/// By car, the track from which a call takes it and the one on which it leaves it, where these are no yard tracks.
pub(super) type Aside<'a> = BTreeMap<&'a Id, (Option<&'a Id>, Option<&'a Id>)>;

/// Cars that change their track together: from a yard track, to a yard track, or both.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Cut<'a> {
    pub(super) from: Option<&'a Id>,
    pub(super) to: Option<&'a Id>,
    /// Where they come from, or go, if that is another track of the place; else it is the train.
    pub(super) other: Option<&'a Id>,
    /// The end at which they are put to the cars that stay on their new track, if any stays.
    pub(super) end: Option<End>,
    /// The cars, from west to east.
    pub(super) cars: Vec<&'a Id>,
}

/// How the yard stands when the first job begins, and what every call does to it.
pub(super) fn follow<'a>(
    names: &Names<'a>,
    courses: &Courses<'a>,
    yard: &[&'a WorldTrack],
) -> (Rows<'a>, Vec<Visit<'a>>) {
    let mut rows: Rows<'_> = yard
        .iter()
        .map(|track| {
            let row = names.plan.before.tracks.get(&track.id).map_or(&[][..], Vec::as_slice);
            (&track.id, row.iter().map(|car| &car.car).collect())
        })
        .collect();
    let mut begun = None;
    let mut visits: Vec<Visit<'_>> = Vec::new();
    for event in &names.plan.events {
        match event {
            Event::Lifted { car, track, gateway: _ } => {
                if let Some(row) = rows.get_mut(track) {
                    row.retain(|standing| *standing != car);
                }
            }
            Event::Placed { car, track, .. } => {
                if let Some(row) = rows.get_mut(track) {
                    row.push(car);
                }
            }
            Event::Starts { .. } => {
                begun.get_or_insert_with(|| rows.clone());
            }
            Event::Couple { job, call, track, end: _, cars } => {
                let Some(row) = rows.get_mut(track) else { continue };
                let visit = visit(&mut visits, job, *call, track, row);
                row.retain(|standing| !cars.contains(standing));
                visit.goes_on(names, track, &rows);
            }
            Event::Leave { job, call, track, end, cars } => {
                let Some(row) = rows.get_mut(track) else { continue };
                let visit = visit(&mut visits, job, *call, track, row);
                put(row, Some(*end), cars.iter().map(|left| &left.car));
                visit.goes_on(names, track, &rows);
            }
            _ => {}
        }
    }
    for visit in &mut visits {
        let course = courses.get(&(visit.job, visit.call));
        visit.aside = course.map(|course| aside(course, &rows)).unwrap_or_default();
    }
    (begun.unwrap_or(rows), visits)
}

/// The tracks that are not among these from which a call takes cars, and on which it leaves them.
fn aside<'a>(course: &Course<'a>, yard: &Rows<'a>) -> Aside<'a> {
    let mut aside = Aside::new();
    let other = |track: &'a Id| (!yard.contains_key(track)).then_some(track);
    for event in &course.handlings {
        match event {
            Event::Couple { track, cars, .. } => {
                for car in cars {
                    // Only the first time is it taken from where it stood.
                    aside.entry(car).or_insert((other(track), None)).1 = None;
                }
            }
            Event::Leave { track, cars, .. } => {
                for left in cars {
                    aside.entry(&left.car).or_insert((None, None)).1 = other(track);
                }
            }
            _ => {}
        }
    }
    aside
}

/// The visit that goes on, or a new one, with the track that it works now as it was found.
fn visit<'v, 'a>(
    visits: &'v mut Vec<Visit<'a>>,
    job: &'a Id,
    call: u32,
    track: &'a Id,
    row: &[&'a Id],
) -> &'v mut Visit<'a> {
    if visits.last().is_none_or(|visit| visit.job != job || visit.call != call) {
        let (before, after) = (Rows::new(), Rows::new());
        let (length, aside) = (Length::default(), Aside::new());
        visits.push(Visit { job, call, before, after, on_hand: 0, length, aside });
    }
    let place = visits.len() - 1;
    let visit = &mut visits[place];
    visit.before.entry(track).or_insert_with(|| row.to_vec());
    visit
}

/// Puts cars to a row, at its east end unless the west is named.
fn put<'a>(row: &mut Vec<&'a Id>, end: Option<End>, cars: impl IntoIterator<Item = &'a Id>) {
    let at = if end == Some(End::West) { 0 } else { row.len() };
    row.splice(at..at, cars);
}

impl<'a> Visit<'a> {
    fn goes_on(&mut self, names: &Names<'_>, track: &'a Id, rows: &Rows<'a>) {
        self.after.insert(track, rows[track].clone());
        self.on_hand = rows.values().map(Vec::len).sum();
        self.length = rows.values().flatten().map(|car| super::long(names, car)).sum();
    }

    /// The track of the place on which a car waits for it, if it does not come in its train.
    pub(super) fn waits_on(&self, car: &Id) -> Option<&'a Id> {
        track_of(&self.before, car).or_else(|| self.aside.get(car).and_then(|(from, _)| *from))
    }

    /// Whether the tracks stand otherwise after it. A car that is taken out and put back was only in the way.
    pub(super) fn works(&self) -> bool {
        self.before != self.after
    }

    /// The cars that change their track: those that go, those that come, those that stay in the yard.
    pub(super) fn cuts(&self) -> Vec<Cut<'a>> {
        let mut cuts = Vec::new();
        for (track, row) in &self.before {
            cuts.extend(self.gone_from(track, row));
        }
        for (track, row) in &self.after {
            cuts.extend(self.new_on(track, row));
        }
        cuts.sort_by_key(|cut| (cut.to.is_some(), cut.from.is_some()));
        self.name_ends(&mut cuts);
        cuts
    }

    /// Names the ends of cuts onto a track that they fill together, all but the first: that one finds it clear.
    fn name_ends(&self, cuts: &mut [Cut<'a>]) {
        for place in 0..cuts.len() {
            let (earlier, later) = cuts.split_at_mut(place);
            let cut = &mut later[0];
            let (Some(to), None) = (cut.to, cut.end) else { continue };
            if let Some(first) = earlier.iter().find(|earlier| earlier.to == Some(to)) {
                let at = |cut: &Cut<'_>| self.after[to].iter().position(|car| *car == cut.cars[0]);
                cut.end = Some(if at(cut) < at(first) { End::West } else { End::East });
            }
        }
    }

    /// The cars that leave the yard from a track: those that go to one other track, or in the train, are one cut.
    fn gone_from(&self, track: &'a Id, row: &[&'a Id]) -> Vec<Cut<'a>> {
        let mut cuts: Vec<Cut<'a>> = Vec::new();
        for car in row.iter().filter(|car| track_of(&self.after, car).is_none()) {
            let other = self.aside.get(car).and_then(|(_, to)| *to);
            match cuts.iter_mut().find(|cut| cut.other == other) {
                Some(cut) => cut.cars.push(car),
                None => cuts.push(Cut { from: Some(track), to: None, other, end: None, cars: vec![*car] }),
            }
        }
        cuts
    }

    /// The cars that are new on a track: those that stood on one track, or came in the train, are one cut.
    fn new_on(&self, track: &'a Id, row: &[&'a Id]) -> Vec<Cut<'a>> {
        let known = &self.before[track];
        let first = row.iter().position(|car| known.contains(car));
        let mut cuts: Vec<Cut<'a>> = Vec::new();
        for (place, car) in row.iter().enumerate().filter(|(_, car)| !known.contains(car)) {
            let end = first.map(|first| if place < first { End::West } else { End::East });
            let from = track_of(&self.before, car);
            let other = self.aside.get(car).and_then(|(other, _)| other.filter(|_| from.is_none()));
            match cuts.last_mut() {
                Some(cut) if (cut.from, cut.other, cut.end) == (from, other, end) => cut.cars.push(car),
                _ => cuts.push(Cut { from, to: Some(track), other, end, cars: vec![*car] }),
            }
        }
        cuts
    }

    /// The tracks whose rows do not follow from the cuts: their own cars are sorted, or cars are put in between.
    pub(super) fn sorted(&self, cuts: &[Cut<'a>]) -> Vec<(&'a Id, &[&'a Id])> {
        let mut rows = self.before.clone();
        for row in rows.values_mut() {
            row.retain(|car| !cuts.iter().any(|cut| cut.cars.contains(car)));
        }
        for cut in cuts {
            if let Some(row) = cut.to.and_then(|to| rows.get_mut(to)) {
                put(row, cut.end, cut.cars.iter().copied());
            }
        }
        let other = self.after.iter().filter(|(track, row)| rows.get(*track) != Some(*row));
        other.map(|(track, row)| (*track, row.as_slice())).collect()
    }
}

/// The track on which a car stands.
fn track_of<'a>(rows: &Rows<'a>, car: &Id) -> Option<&'a Id> {
    rows.iter().find(|(_, row)| row.contains(&car)).map(|(track, _)| *track)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(told: &'static [(&'static str, &'static str)]) -> BTreeMap<Id, Vec<Id>> {
        let cars = |row: &str| row.split_whitespace().map(Id::from).collect();
        told.iter().map(|(track, row)| (Id::from(*track), cars(row))).collect()
    }

    fn by(rows: &BTreeMap<Id, Vec<Id>>) -> Rows<'_> {
        rows.iter().map(|(track, row)| (track, row.iter().collect())).collect()
    }

    /// What is said of a visit: the cuts as `from>to end cars`, and the rows that are told whole.
    fn told(before: &BTreeMap<Id, Vec<Id>>, after: &BTreeMap<Id, Vec<Id>>) -> (Vec<String>, Vec<String>) {
        told_with(before, after, &Aside::new())
    }

    /// The same, with cars that are taken from or left on other tracks of the place.
    fn told_with(
        before: &BTreeMap<Id, Vec<Id>>,
        after: &BTreeMap<Id, Vec<Id>>,
        aside: &Aside<'_>,
    ) -> (Vec<String>, Vec<String>) {
        let job = Id::from("drill");
        let visit = Visit {
            job: &job,
            call: 1,
            before: by(before),
            after: by(after),
            on_hand: 0,
            length: Length::default(),
            aside: aside.clone(),
        };
        let cuts = visit.cuts();
        // Only one of the two is another track of the place.
        let name = |track: Option<&Id>| track.map_or("train", Id::as_str).to_owned();
        let joined = |cars: &[&Id]| cars.iter().map(|car| car.as_str()).collect::<Vec<_>>().join(" ");
        let said = cuts.iter().map(|cut| {
            let end = cut.end.map_or("", |end| if end == End::West { "west " } else { "east " });
            format!(
                "{}>{} {end}{}",
                name(cut.from.or(cut.other)),
                name(cut.to.or(cut.other)),
                joined(&cut.cars)
            )
        });
        let whole = visit.sorted(&cuts).into_iter().map(|(track, row)| format!("{track}: {}", joined(row)));
        (said.collect(), whole.collect())
    }

    #[test]
    fn cars_come_go_and_move_by_the_ends_at_which_they_are_put() {
        let before = rows(&[("1", "a b"), ("2", "c d"), ("3", "")]);
        let after = rows(&[("1", "x y b"), ("2", "d a"), ("3", "z")]);
        let (cuts, whole) = told(&before, &after);
        assert_eq!(cuts, ["2>train c", "train>1 west x y", "train>3 z", "1>2 east a"]);
        assert_eq!(whole, [""; 0]);
    }

    #[test]
    fn cuts_that_fill_a_track_together_say_their_ends_but_for_the_first() {
        let (before, after) =
            (rows(&[("1", "a b"), ("2", "c"), ("3", "")]), rows(&[("1", ""), ("2", ""), ("3", "a b x c")]));
        let (cuts, whole) = told(&before, &after);
        assert_eq!(cuts, ["train>3 x", "1>3 west a b", "2>3 east c"]);
        assert_eq!(whole, [""; 0]);
    }

    #[test]
    fn a_row_that_is_sorted_or_filled_in_between_is_told_whole() {
        let (cuts, whole) =
            told(&rows(&[("1", "a b c"), ("2", "d e")]), &rows(&[("1", "c a b"), ("2", "d x e")]));
        assert_eq!(cuts, ["train>2 east x"]);
        assert_eq!(whole, ["1: c a b", "2: d x e"]);
    }

    #[test]
    fn cars_that_come_from_another_track_of_the_place_or_go_to_one_are_told_so() {
        let (before, after) = (rows(&[("1", "a b c"), ("2", "")]), rows(&[("1", ""), ("2", "x y")]));
        let (transfer, ice) = (Id::from("transfer"), Id::from("ice"));
        let [b, x] = ["b", "x"].map(Id::from);
        let aside = Aside::from([(&b, (None, Some(&ice))), (&x, (Some(&transfer), None))]);
        let (cuts, _) = told_with(&before, &after, &aside);
        assert_eq!(cuts, ["1>train a c", "1>ice b", "transfer>2 x", "train>2 east y"]);
    }
}
