//! The layout while it is checked: built, but not yet trusted.
//!
//! A name that was not found is filled in with the first of its kind, and the thing marked as not
//! sound; rules ask [`Draft`] whether a thing is sound before they follow its names. As every such
//! fault is an error, no filled-in name leaves `check`.

use super::build::{self, Context};
use super::names::Names;
use super::types;
use crate::ids::{IxVec, SpotIx};
use crate::layout::Layout;
use crate::layout::model::Former;
use crate::layout::read::{Said, SaidLayout, SaidPlace, SaidSpot};
use crate::layout::sink::Sink;
use crate::units::{Length, Scale};

/// The length of a car that `6 cars` counts by, if nothing is said: an Army textbook on rail
/// operations (TR0635) counts passing tracks in cars of 44 ft, the coupled length of a 40-ft box car.
pub(super) const USUAL_CAR: Length = Length::scale_feet(44);

/// Everything built, and what was said of it.
#[derive(Debug)]
pub(super) struct Draft<'a> {
    pub(super) names: Names<'a>,
    pub(super) spots_said: IxVec<SpotIx, &'a SaidSpot>,
    pub(super) layout: Layout,
    /// Whether a link was said that has no two ends.
    pub(super) lost_links: bool,
}

impl<'a> Draft<'a> {
    /// Builds all nouns.
    pub(super) fn new(
        said: &'a Said,
        settings_said: &'a SaidLayout,
        unsaid: &'a [SaidPlace],
        sink: &mut Sink,
    ) -> Self {
        build::once_each(said, sink);
        let mut names = Names::new(said, unsaid, sink);
        let ruler = build::ruler(settings_said, sink);
        let settings = build::settings(settings_said, ruler, sink);
        let types = types::Types::new(&said.types, ruler, sink);
        let spots = build::Spots::new(&names, ruler, sink);
        let context = Context { names: &names, ruler, types: &types, spots: &spots, full: settings.full };
        let mut nouns = build::Nouns::new(&context, sink);
        let layout = Layout {
            settings,
            pace: build::pace(said.paces.first()),
            learns: build::learns(said.paces.first()),
            placards: build::placards(said.placards.first()),
            railroads: std::mem::take(&mut nouns.railroads),
            places: std::mem::take(&mut nouns.places),
            tracks: std::mem::take(&mut nouns.tracks),
            links: std::mem::take(&mut nouns.links),
            industries: std::mem::take(&mut nouns.industries),
            gateways: std::mem::take(&mut nouns.gateways),
            commodities: std::mem::take(&mut nouns.commodities),
            lanes: std::mem::take(&mut nouns.lanes),
            jobs: std::mem::take(&mut nouns.jobs),
            cars: std::mem::take(&mut nouns.cars),
            types: types.into_types(),
            former: Former {
                places: names.places.former().clone(),
                tracks: names.tracks.former().clone(),
                spots: spots.former,
                industries: names.industries.former().clone(),
                gateways: names.gateways.former().clone(),
                commodities: names.commodities.former().clone(),
                lanes: names.lanes.former().clone(),
                jobs: names.jobs.former().clone(),
                cars: names.cars.former().clone(),
            },
            spots: spots.built,
        };
        let spots_said = spots.said;
        nouns.mark_broken(&mut names);
        let lost_links = said.links.iter().any(|link| link.between.len() != 2);
        Draft { names, spots_said, layout, lost_links }
    }

    /// The checked layout.
    pub(super) fn into_layout(self) -> Layout {
        self.layout
    }
}

/// The scale that stands in for one that could not be read.
pub(super) fn some_scale() -> Scale {
    Scale::named("HO").expect("HO is in every list")
}
