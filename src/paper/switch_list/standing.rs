//! The cars of a track in rows: one for each car that is worked, one for those together that only stand there.

use crate::session::plan::{CarWork, Deed};
use crate::units::Cars;

use super::super::phrase::Phrase;
use super::super::sheet::Row;
use super::Crew;
use super::call;

/// The rows of cars that stand in this order, from west to east.
pub(super) fn rows(crew: &Crew<'_>, cars: &[&CarWork]) -> Vec<Row> {
    let stands = |work: &CarWork| work.deed == Deed::Leave;
    let together = cars.chunk_by(|one, other| stands(one) && stands(other));
    let rows = together.map(|together| match together {
        [one] if stands(one) => alone(crew, one),
        [one] => call::row(crew, one),
        several => shared(crew, several),
    });
    rows.collect()
}

/// A car that is not touched, between others that are.
fn alone(crew: &Crew<'_>, work: &CarWork) -> Row {
    let load = crew.names.load(work.lading.as_ref());
    let deed = call::deed(crew, Deed::Leave);
    Row::new([Phrase::default(), deed, Phrase::of(&work.car), load, noted(crew, work)])
}

/// Several cars in a row that are not touched.
fn shared(crew: &Crew<'_>, together: &[&CarWork]) -> Row {
    let cars = together.iter().map(|work| {
        let (car, noted) = (Phrase::of(&work.car), noted(crew, work));
        if noted.is_empty() { car } else { car.then(" (").followed_by(noted).then(")") }
    });
    let count = Cars::new(u32::try_from(together.len()).unwrap_or(u32::MAX));
    let deed = call::deed(crew, Deed::Leave);
    Row::new([Phrase::default(), deed, Phrase::of(count), Phrase::default(), Phrase::default()])
        .with(Phrase::row(cars, ", "))
}

/// What a crew must know even of a car that it does not touch: its spot, by which it is found, its placards, and
/// that it must be repaired.
fn noted(crew: &Crew<'_>, work: &CarWork) -> Phrase {
    let spot = work.from_spot.as_ref().map(|spot| Phrase::of(crew.names.spot_name(spot)));
    let placards = crew.notes.placards(crew.names, &work.car, work.lading.as_ref());
    let bad_order = crew.notes.bad_order(crew.names, &work.car);
    Phrase::row(spot.into_iter().chain(placards).chain(bad_order), "; ")
}
