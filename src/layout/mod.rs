//! The layout: what the host described, checked.
//!
//! Takes the texts of all `*.toml` files of a folder and of its roster, and gives a [`Layout`]:
//! every name resolved to an index, every quantity in its unit, no text left to parse and no
//! "maybe broken". [`read`] holds what the files say, with places and without meaning; [`check`]
//! gives it meaning and reports all faults of all files at once; [`model`] has the nouns, [`codes`]
//! the names of the faults.
//! Only `check` can build a [`Layout`], so later stages may rely on what it guarantees:
//!
//! - every index in a noun exists in its table, and tables are in order of their ids, whatever the
//!   order of tables and files was;
//! - no two things share an id, no two cars a mark and number;
//! - `behind` has no cycle; every lane end exists and takes that commodity; every job's call is
//!   reached over links from the call before it;
//! - lengths, dates and shares lie within their bounds.
//!
//! Cost: linear in the text, times a logarithm for the names.

mod check;
pub mod codes;
pub mod model;
mod read;
mod sink;
pub mod table;

pub use check::built_in_kinds;
pub use model::*;
pub use read::{CAR_KEYS, unsettled};
pub use sink::near_miss;

use crate::diag::{Diagnostics, Sources};
use crate::ids::{
    CarIx, CommodityIx, GatewayIx, Id, IndustryIx, IxVec, JobIx, LaneIx, LinkIx, PlaceIx, RailroadIx, SpotIx,
    TrackIx, TypeIx,
};

/// A checked layout.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    settings: Settings,
    pace: Pace,
    learns: bool,
    placards: Placards,
    railroads: IxVec<RailroadIx, Railroad>,
    places: IxVec<PlaceIx, Place>,
    tracks: IxVec<TrackIx, Track>,
    spots: IxVec<SpotIx, Spot>,
    links: IxVec<LinkIx, Link>,
    industries: IxVec<IndustryIx, Industry>,
    gateways: IxVec<GatewayIx, Gateway>,
    types: IxVec<TypeIx, CarType>,
    commodities: IxVec<CommodityIx, Commodity>,
    lanes: IxVec<LaneIx, Lane>,
    jobs: IxVec<JobIx, Job>,
    cars: IxVec<CarIx, Car>,
    former: Former,
}

macro_rules! tables {
    ($($(#[$doc:meta])* $name:ident: $ix:ty => $item:ty;)*) => {
        impl Layout {
            $($(#[$doc])*
            pub fn $name(&self) -> &IxVec<$ix, $item> {
                &self.$name
            })*
        }
    };
}

tables! {
    /// The railroads, by id.
    railroads: RailroadIx => Railroad;
    /// The places, by id.
    places: PlaceIx => Place;
    /// The tracks, by id: those of one place stand together.
    tracks: TrackIx => Track;
    /// The spots: those of one track stand together, from west to east.
    spots: SpotIx => Spot;
    /// The links, by the ids of their ends.
    links: LinkIx => Link;
    /// The customers, by id.
    industries: IndustryIx => Industry;
    /// The gateways, by id.
    gateways: GatewayIx => Gateway;
    /// The kinds of car, built-in and own, by code.
    types: TypeIx => CarType;
    /// The kinds of lading, by id.
    commodities: CommodityIx => Commodity;
    /// The lanes, by id.
    lanes: LaneIx => Lane;
    /// The jobs, by id.
    jobs: JobIx => Job;
    /// The roster, by mark and number.
    cars: CarIx => Car;
}

/// Reads and checks a description: the layout if there is no error, and all faults in any case.
///
/// Files are recognised by their names: `*.toml` is description, `*.csv` a roster. The result does
/// not depend on the order of files, tables or rows.
pub fn load(sources: Sources) -> (Option<Layout>, Diagnostics) {
    let files = read::files(&sources);
    let anywhere = sources.iter().next().map(|(file, _)| file);
    let mut sink = sink::Sink::new(Diagnostics::new(sources));
    let said = read::read(&files, &mut sink);
    let layout = check::check(&said, anywhere, &mut sink);
    (layout, sink.into_found())
}

impl Layout {
    /// What holds for the layout as a whole.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The track that a place for cars is on.
    pub fn track_of(&self, target: SpotTarget) -> TrackIx {
        match target {
            SpotTarget::Spot(spot) => self.spots[spot].track,
            SpotTarget::Track(track) => track,
        }
    }

    /// The place that a place for cars is at.
    pub fn place_of(&self, target: SpotTarget) -> PlaceIx {
        self.tracks[self.track_of(target)].place
    }

    /// The id of a place for cars: the spot's, or the whole track's.
    pub fn id_of(&self, target: SpotTarget) -> &Id {
        match target {
            SpotTarget::Spot(spot) => &self.spots[spot].id,
            SpotTarget::Track(track) => &self.tracks[track].id,
        }
    }

    /// Whether a lane's cars go before others: they are promised, or what is in them is perishable.
    pub fn goes_first(&self, lane: &Lane) -> bool {
        lane.promised || self.commodities[lane.commodity].perishable
    }

    /// The ids that things had before.
    pub const fn former(&self) -> &Former {
        &self.former
    }

    /// How long things take on this layout.
    pub fn pace(&self) -> &Pace {
        &self.pace
    }

    /// Whether the pace is learned from recorded sessions: `learn` of `[pace]`.
    pub const fn learns(&self) -> bool {
        self.learns
    }

    /// Where placarded cars may ride.
    pub fn placards(&self) -> &Placards {
        &self.placards
    }
}
