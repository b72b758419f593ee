//! Where a car stands: track, spot, and the customers served there.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::ids::{Id, IndustryIx};
use crate::layout::Industry;

use super::Names;

impl<'a> Names<'a> {
    /// Track, spot and the customer served there: `track mill, door 1, Northgate Paper`.
    pub(in crate::paper) fn position(&self, track: &Id, spot: Option<&Id>, car: &Id) -> String {
        self.position_of(track, spot, &self.customers_at(spot.unwrap_or(track), car))
    }

    /// Where a car stands at a customer, on the sheet of that customer: with the place only if it is another than its
    /// own.
    pub(in crate::paper) fn at_customer(
        &self,
        track: &Id,
        spot: Option<&Id>,
        customer: IndustryIx,
    ) -> String {
        let at = self.position_of(track, spot, &[]);
        let place = self.layout.industries()[customer].place;
        match self.track(track) {
            Some(known) if known.place != place => format!("{}, {at}", self.place_of(track)),
            _ => at,
        }
    }

    fn position_of(&self, track: &Id, spot: Option<&Id>, customers: &[&str]) -> String {
        let spot = spot.map(|spot| self.spot_name(spot).into());
        let customers = (!customers.is_empty()).then(|| self.words.list(customers).into());
        let parts: Vec<Cow<'_, str>> =
            [Some(self.track_name(track)), spot, customers].into_iter().flatten().collect();
        parts.join(", ")
    }

    /// Whether words say no more than whose spot it is: `Northgate Paper, Northgate`. A customer may have spots at
    /// another place than its own, too.
    pub(in crate::paper) fn is_customer_at(
        &self,
        bound: &str,
        track: &Id,
        spot: Option<&Id>,
        car: &Id,
    ) -> bool {
        let own = |customer: &Industry| {
            let place = bound.strip_prefix(&*customer.name).and_then(|rest| rest.strip_prefix(", "));
            place == Some(&*self.layout.places()[customer.place].title)
        };
        self.served_at(spot.unwrap_or(track), car).into_iter().any(own)
    }

    /// A spot and the customer served there: `door 1, Northgate Paper`.
    pub(in crate::paper) fn spot_and_customer(&self, spot: &Id, car: &Id) -> String {
        let customers = self.customers_at(spot, car);
        let spot = self.spot_name(spot);
        if customers.is_empty() { spot } else { format!("{spot}, {}", self.words.list(&customers)) }
    }

    /// The position; with the place before it where a customer is served, so that the line is a
    /// whole address: town, track, part, customer.
    pub(in crate::paper) fn address(&self, track: &Id, spot: Option<&Id>, car: &Id) -> String {
        let customers = self.customers_at(spot.unwrap_or(track), car);
        let position = self.position_of(track, spot, &customers);
        if customers.is_empty() { position } else { format!("{}, {position}", self.place_of(track)) }
    }

    /// The place, then as [`Names::position`].
    pub(in crate::paper) fn whereabouts(&self, track: &Id, spot: Option<&Id>, car: &Id) -> String {
        format!("{}, {}", self.place_of(track), self.position(track, spot, car))
    }

    /// The customers served at a spot, or on a track without spots: those of the car's own order,
    /// if they are among them.
    fn customers_at(&self, target: &Id, car: &Id) -> Vec<&'a str> {
        self.served_at(target, car).into_iter().map(|customer| &*customer.name).collect()
    }

    /// The same, with all that is known of them.
    fn served_at(&self, target: &Id, car: &Id) -> Vec<&'a Industry> {
        let Some(here) = self.customers.get(target) else { return Vec::new() };
        let ends = self
            .order_of(car)
            .and_then(|order| self.lane_ends.get(&order.lane))
            .map_or(&[][..], Vec::as_slice);
        let own: Vec<IndustryIx> = ends.iter().filter(|end| here.contains(end)).copied().collect();
        let named = if own.is_empty() { here.iter().copied().collect() } else { own };
        named.into_iter().map(|industry| &self.layout.industries()[industry]).collect()
    }

    /// The customers along a whole track, its spots included.
    pub(in crate::paper) fn customers_along(&self, track: &Id) -> Vec<&'a Industry> {
        let spots = self.track(track).map_or(&[][..], |track| track.spots.as_slice());
        let targets = spots.iter().map(|spot| &self.layout.spots()[*spot].id).chain([track]);
        let industries: BTreeSet<IndustryIx> =
            targets.filter_map(|target| self.customers.get(target)).flatten().copied().collect();
        industries.into_iter().map(|industry| &self.layout.industries()[industry]).collect()
    }

    /// The customers at a spot, or on a track without spots.
    pub(in crate::paper) fn customers_of(&self, target: &Id) -> impl Iterator<Item = IndustryIx> + '_ {
        self.customers.get(target).into_iter().flatten().copied()
    }
}
