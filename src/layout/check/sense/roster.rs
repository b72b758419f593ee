//! Whether the cars of the roster belong on this layout.

use std::collections::BTreeMap;

use super::View;
use crate::ids::{CarIx, RailroadIx};
use crate::layout::codes;
use crate::layout::model::{Car, Service, TrackUse};
use crate::layout::sink::{Sink, Wrong};

impl View<'_, '_> {
    fn cars(&self) -> impl Iterator<Item = (CarIx, &Car)> {
        self.draft.layout.cars.iter().filter(|(_, car)| self.draft.stands(car.existence))
    }
}

/// A car whose years do not meet those in which the layout is set.
pub(super) fn car_outside_its_years(view: &View<'_, '_>, sink: &mut Sink) {
    let days = view.draft.layout.settings.days;
    let (begins, ends) = (days.first.year(), days.last.year());
    for (index, car) in view.cars() {
        let message = match car.years {
            (Some(first), _) if first > ends => {
                format!("`{}` runs from {first} on, the layout is set in {ends}", car.id)
            }
            (_, Some(last)) if last < begins => {
                format!("`{}` ran until {last}, the layout is set in {begins}", car.id)
            }
            _ => continue,
        };
        let wrong = Wrong::new(codes::CAR_OUTSIDE_ITS_YEARS, message)
            .help("it stays on the shelf; correct its `years` if it shall run");
        let said = view.draft.names.cars.said(index);
        sink.wrong(said.years.as_ref().map_or(said.span, |years| years.span), wrong);
    }
}

/// A railroad whose cars have no gateway to go home through.
pub(super) fn no_way_home(view: &View<'_, '_>, sink: &mut Sink) {
    let layout = &view.draft.layout;
    let mut stranded: BTreeMap<RailroadIx, (u32, CarIx)> = BTreeMap::new();
    for (index, car) in view.cars() {
        if let Some(railroad) =
            car.railroad.filter(|railroad| car.home.is_none() && !layout.railroads[*railroad].home)
        {
            stranded.entry(railroad).or_insert((0, index)).0 += 1;
        }
    }
    for (railroad, (count, first)) in stranded {
        let described = &layout.railroads[railroad];
        // A road with a place of its own on the layout is at home there.
        if layout.places.values().any(|place| place.railroad == railroad) {
            continue;
        }
        let cars = if count == 1 { "1 car".to_owned() } else { format!("{count} cars") };
        let message = format!(
            "nothing brings home the cars of `{}`: {cars}, such as `{}`",
            described.id, layout.cars[first].id
        );
        let wrong = Wrong::new(codes::NO_WAY_HOME, message)
            .help("give the railroad a gateway with `beyond`, or its cars a `home`");
        sink.wrong(view.draft.names.railroads.said(railroad).id.span, wrong);
    }
}

/// A bad order, and no track where cars are repaired.
pub(super) fn nowhere_to_repair(view: &View<'_, '_>, sink: &mut Sink) {
    let repairs = view.draft.layout.tracks.iter().any(|(index, track)| {
        (track.usage == TrackUse::Repair || track.offers.contains(&Service::Repair))
            && view.draft.track_stands(index)
    });
    for (index, car) in view.cars().filter(|(_, car)| car.bad_order && !repairs) {
        let wrong = Wrong::new(
            codes::NOWHERE_TO_REPAIR,
            format!("`{}` is a bad order, and no track repairs it", car.id),
        )
        .help("give a track `use = \"repair\"`, or let one offer it: `offers = [\"repair\"]`");
        let said = view.draft.names.cars.said(index);
        sink.wrong(said.bad_order.as_ref().map_or(said.span, |bad| bad.span), wrong);
    }
}
